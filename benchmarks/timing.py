"""Medians of several runs, and one line for each figure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from time import perf_counter
from typing import Literal


@dataclass(frozen=True)
class Figure:
    """One measured time [s], against another or against an aim, or both.

    ``at_most`` is what is aimed for: a ratio to ``against`` or seconds, as ``aim_is`` says.
    """

    what: str
    took: float
    against: str = ""
    other: float | None = None
    aim_is: Literal["ratio", "seconds"] = "seconds"
    at_most: float | None = None

    @property
    def ratio(self) -> float | None:
        """How many times as long it took as the other."""
        return None if self.other is None else self.took / self.other

    def row(self) -> tuple[str, ...]:
        """The figure in words: what, measured, against, ratio, aim, met or not."""
        other = f"{self.against}: {duration(self.other)}" if self.other is not None else ""
        ratio = "" if self.ratio is None else times(self.ratio)
        if self.at_most is None:
            return (self.what, duration(self.took), other, ratio, "", "")
        reached = self.ratio if self.aim_is == "ratio" else self.took
        assert reached is not None
        aim = f"{self.at_most:g} x" if self.aim_is == "ratio" else duration(self.at_most)
        met = "met" if reached <= self.at_most else "MISSED"
        return (self.what, duration(self.took), other, ratio, aim, met)


def times(ratio: float) -> str:
    """A ratio as one reads it: twice as long, or a fifth."""
    return f"{ratio:.1f} x" if ratio >= 1.0 else f"1/{1.0 / ratio:.1f} x"


def duration(seconds: float) -> str:
    """Seconds with three figures, in a unit that suits them."""
    return f"{seconds:.2f} s" if seconds >= 1.0 else f"{seconds * 1e3:.3g} ms"


def took(run: Callable[[], object], repeats: int = 7) -> float:
    """Median time of several runs [s], after one that counts for nothing."""
    return took_in_turn([run], repeats)[0]


def took_in_turn(
    runs: list[Callable[[], object]],
    repeats: int = 7,
    clock: Callable[[], float] = perf_counter,
) -> list[float]:
    """Median times [s] of runs taken in turn, so that a busy moment falls on all alike.

    ``process_time`` as the clock counts what the processor did in all threads together, and not
    how long other work kept them waiting.
    """
    for run in runs:
        run()
    taken: list[list[float]] = [[] for _ in runs]
    for _ in range(repeats):
        for run, so_far in zip(runs, taken, strict=True):
            start = clock()
            run()
            so_far.append(clock() - start)
    return [median(each) for each in taken]
