"""A sweep of aims, against the same forward model as a compiled loop."""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.demo_job import job
from benchmarks.timing import Figure, took, took_in_turn
from benchproof.duties import steam_past_piston as tabulated
from benchproof.duties.matter import expansion_name
from benchproof.reckon.aims import narrowed, offsets_to_try
from benchproof.reckon.odds import Sweep, sweep

SAMPLES = 65_536
AIMS = 101
ROUNDING = 2  # samples that may come out otherwise because sums are rounded in another order


class Model(ctypes.Structure):
    """Invariants of one spec, as ``kernel.c`` wants them."""

    _fields_ = (
        *((name, ctypes.c_void_p) for name in ("corner", "along", "across", "both")),
        ("per_clearance", ctypes.c_double),
        ("per_posture", ctypes.c_double),
        ("least_posture", ctypes.c_double),
        ("last_row", ctypes.c_double),
        ("last_column", ctypes.c_double),
        ("columns", ctypes.c_int64),
        ("form", ctypes.c_double),
        ("roughness", ctypes.c_double),
        ("diameter", ctypes.c_double),
        ("share_limit", ctypes.c_double),
    )


class CompiledSweep:
    """The sweep as ``kernel.c`` does it, in one thread or several."""

    def __init__(
        self, library: ctypes.CDLL, model: Any, samples: Mapping[str, Any], limit: float
    ) -> None:
        steam, spec = model.steam, model.spec
        # Kept here, so that what the structure points at stays where it is.
        self._tables = [
            np.ascontiguousarray(getattr(steam, f"_{name}"), dtype=np.float64)
            for name in ("corner", "along", "across", "both")
        ]
        self._model = Model(
            *(table.ctypes.data for table in self._tables),
            per_clearance=1.0 / steam._step,
            per_posture=1.0 / steam._posture_step,
            least_posture=tabulated.LEAST_POSTURE,
            last_row=tabulated._LAST_ROW,
            last_column=tabulated._LAST_COLUMN,
            columns=tabulated.POSTURES - 1,
            form=spec.form,
            roughness=model.roughness,
            diameter=spec.bore,
            share_limit=limit,
        )
        names = ("bore", "piston", "piston_lead", "film", "service_posture")
        self._samples = [
            np.ascontiguousarray(samples[name], dtype=np.float64)
            for name in (*names, expansion_name(spec.piston_material))
        ]
        self._sweep = library.sweep

    def run(self, offsets: Any, threads: int) -> tuple[Any, Any]:
        """Counts of right and of correctable samples at every offset."""
        count = self._samples[0].size
        right = np.empty((offsets.size, count), dtype=np.uint8)
        correctable = np.empty_like(right)
        counts = np.empty((2, threads, offsets.size), dtype=np.int64)
        ends = np.linspace(0, count, threads + 1).astype(int)

        def part(number: int) -> None:
            self._sweep(
                ctypes.byref(self._model),
                ctypes.c_int64(count),
                ctypes.c_int64(int(ends[number])),
                ctypes.c_int64(int(ends[number + 1])),
                *(_pointer(values) for values in self._samples),
                ctypes.c_int64(offsets.size),
                _pointer(offsets),
                _pointer(right),
                _pointer(correctable),
                _pointer(counts[0, number]),
                _pointer(counts[1, number]),
            )

        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(part, range(threads)))
        return counts[0].sum(axis=0), counts[1].sum(axis=0)


def _pointer(values: Any) -> ctypes.c_void_p:
    return ctypes.c_void_p(values.ctypes.data)


def figures() -> Sequence[Figure]:
    """Time of ``prepare``, and of a sweep against compiled loops."""
    made_to_suit = job()
    duty, spec = made_to_suit.duty, made_to_suit.spec
    model, needs = duty.prepare(spec), duty.needs(spec)
    joint = made_to_suit.joint()
    samples = joint.samples(joint.normals(SAMPLES, 1))
    few = {name: values[:2048] for name, values in samples.items()}
    widest = offsets_to_try(*duty.aims_to_try(spec), AIMS)
    offsets = narrowed(sweep(model, needs, few, joint.swept, widest), AIMS)

    def plain() -> Sweep:
        found = sweep(model, needs, samples, joint.swept, offsets)
        found.odds()
        return found

    def prepare() -> None:
        tabulated.steam_past_piston.cache_clear()
        duty.prepare(spec)

    found = [Figure("prepare: table of steam past the piston", took(prepare), at_most=50e-3)]
    what = f"sweep of {AIMS} aims, {SAMPLES} samples, two threads"
    compiler = shutil.which("cc")
    if compiler is None:
        return [*found, Figure(f"{what} (no C compiler to compare with)", took(plain))]
    (limit,) = (need.limit for need in needs if need.merit == "steam_share")
    with tempfile.TemporaryDirectory() as folder:
        compiled = CompiledSweep(_library(compiler, Path(folder)), model, samples, limit)
        _compare(plain(), compiled, offsets)
        runs: list[Callable[[], object]] = [
            plain,
            lambda: compiled.run(offsets, 1),
            lambda: compiled.run(offsets, 2),
        ]
        ours, one, two = took_in_turn(runs)
    return [
        *found,
        Figure(what, ours, "C, two threads", two, "ratio", 6.0),
        Figure("the same", ours, "C, one thread", one),
    ]


def _library(compiler: str, folder: Path) -> ctypes.CDLL:
    kernel = Path(__file__).with_name("kernel.c")
    built = folder / "kernel.so"
    subprocess.run(
        [compiler, "-O3", "-march=native", "-shared", "-fPIC", "-o", built, kernel, "-lm"],
        check=True,
    )
    return ctypes.CDLL(str(built))


def _compare(swept: Sweep, compiled: CompiledSweep, offsets: Any) -> None:
    """Stop unless both ways find the same samples right and correctable."""
    for threads in (1, 2):
        right, correctable = compiled.run(offsets, threads)
        for name, theirs, ours in (
            ("right", right, swept.right),
            ("correctable", correctable, swept.correctable),
        ):
            apart = int(np.abs(theirs - ours.sum(axis=1)).max())
            if apart > ROUNDING:
                raise SystemExit(f"sweep and compiled loop disagree on {apart} samples ({name})")
