"""A sweep of aims as a compiled loop in C: ``kernels/<duty>.c`` in the harness they share."""

from __future__ import annotations

import ctypes
import subprocess
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

KERNELS = Path(__file__).with_name("kernels")
# Neither of the last two changes a result; without them gcc makes no vectors of square roots.
FLAGS = ("-O3", "-march=native", "-fno-math-errno", "-fno-trapping-math")


@dataclass(frozen=True)
class Given:
    """What a kernel is handed, each in the order that it names them.

    ``samples`` are the draws, the same arrays as the sweep's own; ``tables`` and ``numbers`` are
    what ``prepare`` and the spec make of it, limits of the needs last.
    """

    samples: Sequence[Any]
    tables: Sequence[Any]
    numbers: Sequence[float]


class _Pointers(ctypes.Structure):
    """``Given`` of ``kernel_sweep.h``."""

    _fields_ = (
        ("sample", ctypes.c_void_p),
        ("table", ctypes.c_void_p),
        ("number", ctypes.c_void_p),
    )


def built_kernel(compiler: str, folder: Path, duty: str) -> ctypes.CDLL:
    """One duty's kernel, built in a folder."""
    name = duty.replace("-", "_")
    built, source = folder / f"{name}.so", KERNELS / f"{name}.c"
    subprocess.run([compiler, *FLAGS, "-shared", "-fPIC", "-o", built, source, "-lm"], check=True)
    return ctypes.CDLL(str(built))


class CompiledSweep:
    """One duty's kernel with its figures, to be run in one thread or several."""

    def __init__(self, kernel: ctypes.CDLL, given: Given, correction: str | None) -> None:
        self._sweep = kernel.sweep
        self._smaller = {"smaller": 1, "larger": -1, None: 0}[correction]
        # Kept here, so that what the structure points at stays where it is.
        self._samples = [np.ascontiguousarray(each, dtype=np.float64) for each in given.samples]
        tables = [np.ascontiguousarray(each, dtype=np.float64) for each in given.tables]
        numbers = np.array(given.numbers, dtype=np.float64)
        self._kept = (tables, _addresses(self._samples), _addresses(tables), numbers)
        self._given = _Pointers(*(each.ctypes.data for each in self._kept[1:]))

    def run(self, offsets: Any, threads: int) -> tuple[Any, Any, Any]:
        """Which samples are right and which correctable at every offset, and counts of both."""
        count = self._samples[0].size
        right = np.empty((offsets.size, count), dtype=bool)
        correctable = np.empty_like(right)
        counts = np.empty((threads, 2, offsets.size), dtype=np.int64)
        ends = np.linspace(0, count, threads + 1).astype(int)

        def part(number: int) -> None:
            self._sweep(
                ctypes.byref(self._given),
                ctypes.c_int64(count),
                ctypes.c_int64(int(ends[number])),
                ctypes.c_int64(int(ends[number + 1])),
                ctypes.c_int64(offsets.size),
                _pointer(offsets),
                ctypes.c_int64(self._smaller),
                _pointer(right),
                _pointer(correctable),
                _pointer(counts[number, 0]),
                _pointer(counts[number, 1]),
            )

        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(part, range(threads)))
        return right, correctable, counts.sum(axis=0)


def _addresses(arrays: Sequence[Any]) -> Any:
    return np.array([each.ctypes.data for each in arrays], dtype=np.uintp)


def _pointer(values: Any) -> ctypes.c_void_p:
    return ctypes.c_void_p(values.ctypes.data)
