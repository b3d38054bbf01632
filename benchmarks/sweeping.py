"""A sweep of aims of every duty, against the same forward model as a compiled loop."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from time import process_time
from typing import Any

import numpy as np

from benchmarks.adapters import ADAPTERS, APART, TABLES, Limits, Samples
from benchmarks.compiled import CompiledSweep, built_kernel
from benchmarks.demo_job import SPECS, job
from benchmarks.timing import Figure, took, took_in_turn
from benchproof.duties import DUTIES
from benchproof.duties.contract import Need
from benchproof.reckon.aims import narrowed, offsets_to_try
from benchproof.reckon.odds import Sweep, sweep

SAMPLES = 65_536
AIMS = 101
ROUNDING = 2  # samples that may come out otherwise because sums are rounded in another order
AT_MOST = 150e-3
# An injector is solved at three corners of its range for every aim; its own aim is for fewer.
SLOW = {"injector"}
PREPARED = {"piston-fit": 50e-3}
REPEATS = 11


def figures() -> Iterator[Figure]:
    """Time of ``prepare`` from nothing, and of a sweep against compiled loops, duty by duty."""
    with TemporaryDirectory(prefix="benchproof-") as folder:
        for key in DUTIES:
            yield from _duty(key, Path(folder))


def _duty(key: str, folder: Path) -> Iterator[Figure]:
    if key not in SPECS:
        raise SystemExit(f"{key} is registered, but benchmarks/demo_job.py has no spec of it")
    to_be_made = job(duty_key=key)
    duty, spec = to_be_made.duty, to_be_made.spec
    model, needs = duty.prepare(spec), duty.needs(spec)
    joint = to_be_made.joint()
    count = duty.draws if key in SLOW else SAMPLES
    at_most = None if key in SLOW else AT_MOST
    samples = joint.samples(joint.normals(count, 1))
    few = {name: values[:2048] for name, values in samples.items()}
    widest = offsets_to_try(*duty.aims_to_try(spec), AIMS)
    offsets = narrowed(sweep(model, needs, few, joint.swept, widest), AIMS)

    def swept() -> Sweep:
        found = sweep(model, needs, samples, joint.swept, offsets)
        found.odds()
        return found

    def prepare() -> None:
        for table in TABLES:
            table.cache_clear()
        duty.prepare(spec)

    yield Figure(f"{key}: prepare, from nothing", took(prepare), at_most=PREPARED.get(key))
    what = f"{key}: sweep" + (f" of {count} samples" if key in SLOW else ", two threads")
    compiler = shutil.which("cc")
    if compiler is None or key not in ADAPTERS:
        why = "no C compiler" if compiler is None else "no kernel"
        time = took(swept, REPEATS)
        yield Figure(f"{what} ({why} to compare with)", time, at_most=at_most)
        return
    kernel, adapter = built_kernel(compiler, folder, key), ADAPTERS[key]

    def compiled_sweep(samples: Samples, limits: Limits) -> CompiledSweep:
        return CompiledSweep(kernel, adapter(model, samples, limits), joint.swept.correction)

    compiled = compiled_sweep(samples, {need.merit: need.limit for need in needs})
    apart = ROUNDING + APART.get(key, 0)
    _compare(key, swept(), compiled, offsets, apart)
    for need, limits in _one_at_a_time(needs, model.perform(few).merits):
        alone = sweep(model, [need], few, joint.swept, offsets)
        _compare(f"{key}, {need.merit} alone", alone, compiled_sweep(few, limits), offsets, apart)
    runs: list[Callable[[], object]] = [swept, lambda: compiled.run(offsets, 2)]
    ours, loop = took_in_turn(runs, REPEATS)
    yield Figure(what, ours, "C, two threads", loop, "seconds", at_most)
    ours, loop = took_in_turn(runs, REPEATS, process_time)
    yield Figure(f"{key}: processor time of both", ours, "C, of both", loop)


def _one_at_a_time(needs: Sequence[Need], merits: Samples) -> Iterator[tuple[Need, Limits]]:
    """Each need with a limit that half the samples meet, and limits that leave it the only one.

    At the demo's own limits some needs hardly ever fail, and a slip in them would go unseen.
    """
    never = {need.merit: np.inf if need.direction == "at most" else -np.inf for need in needs}
    for need in needs:
        middle = float(np.median(merits[need.merit]))
        yield replace(need, limit=middle), {**never, need.merit: middle}


def _compare(
    key: str, swept: Sweep, compiled: CompiledSweep, offsets: Any, most_apart: int
) -> None:
    """Stop unless both ways find the same samples right and correctable, and count them so."""
    for threads in (1, 2):
        right, correctable, counts = compiled.run(offsets, threads)
        for name, theirs, ours, counted in (
            ("right", right, swept.right, counts[0]),
            ("correctable", correctable, swept.correctable, counts[1]),
        ):
            apart = int((theirs ^ ours).sum(axis=1).max())
            miscounted = not np.array_equal(counted, theirs.sum(axis=1))
            if apart > most_apart or miscounted:
                raise SystemExit(f"{key}: sweep and loop disagree on {apart} samples ({name})")
