"""One answer for every face: screens, papers and terminals show it, JSON is its plain form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.bench_tests.contract import Weight
from benchproof.duties.contract import Duty, ForwardModel, Merit, Need, PlainWindow, Samples
from benchproof.quantities import Kind, System
from benchproof.reckon.aims import Aim, Interval
from benchproof.reckon.causes import Cause
from benchproof.reckon.odds import Odds

Array: TypeAlias = NDArray[np.float64]

OFTEN = 0.01  # a flag raised by more than this share of the draws is told
_HARDLY = 1e-4  # odds told as none of a hundred
CUT_NOTHING = "cut nothing yet"
BEST_ALL_THE_SAME = "The best there is, all the same: cut the"


@dataclass(frozen=True)
class Range:
    """Median, 5th and 95th percentile of one figure over the draws, in SI."""

    name: str
    label: str
    kind: Kind
    median: float
    p5: float
    p95: float

    @property
    def width(self) -> float:
        """From the 5th to the 95th percentile."""
        return self.p95 - self.p5


@dataclass(frozen=True)
class MeritRange:
    """A merit over the draws, against its need where it has one."""

    range: Range
    need: Need | None
    met: float | None


@dataclass(frozen=True)
class Steps:
    """How to creep up on a fit: where to start, and how many steps to expect."""

    start: Aim
    start_size: float
    start_value: float
    step: str
    cut: str
    test: str
    median: float
    p90: float
    missed: float
    source: str


@dataclass(frozen=True)
class Target:
    """What to cut: the aim of the last feature, as a size and as the fit it makes."""

    feature: str
    label: str
    kind: Kind
    offset: float
    size: float
    value: float
    odds: Odds


@dataclass(frozen=True)
class Flagged:
    """Something the builder should know, and the share of draws it comes from, if any."""

    name: str
    words: str
    share: float | None = None
    weight: Weight = "note"


@dataclass(frozen=True)
class Answer:
    """What to cut, whether the lathe will hold it, and what spoils it.

    ``value`` of an offset is the clearance (or whatever difference the duty is judged by);
    ``limits`` are sizes as gauged, ``window`` sizes taken as exact, both as such values. ``work``
    is the order of work in a builder's words, in each measuring system. ``curve`` has every
    aim that was tried, in order.
    """

    duty: str
    title: str
    level: float
    best: Target
    likeliest: Target
    already_cut: bool
    plain_window: PlainWindow | None
    window: Bounds
    limits: Bounds
    size_limits: tuple[float, float] | None
    value_label: str | None
    no_window_advice: str
    merits: Sequence[MeritRange]
    causes: Sequence[Cause]
    flags: Sequence[Flagged]
    cautions: Sequence[str]
    sources: Sequence[str]
    theory: str
    steps: Steps | None
    work: Mapping[System, Sequence[str]]
    known_from: str
    seed: int
    draws: int
    versions: Mapping[str, str] = field(default_factory=dict)
    curve: Sequence[Target] = ()

    @property
    def hopeless(self) -> bool:
        """Whether no size at all does it, so that there is nothing to cut."""
        odds = self.best.odds
        nothing = odds.right < _HARDLY and odds.correctable < _HARDLY
        return self.window.lower is None and nothing and not self.already_cut

    @property
    def no_size(self) -> str:
        """Say of a hopeless answer that nothing will do."""
        return f"No size of the {self.best.label} does it"


@dataclass(frozen=True)
class Bounds:
    """Lower and upper value at which the odds reach a level, or the reason why nothing does."""

    lower: float | None
    upper: float | None
    level: float
    reason: str
    best: float
    best_value: float


def ranges(merits: Sequence[Merit], values: Mapping[str, Array]) -> list[Range]:
    """Median, 5th and 95th percentile of each merit there is a value for."""
    return [range_of(m.name, m.label, m.kind, values[m.name]) for m in merits if m.name in values]


def range_of(name: str, label: str, kind: Kind, values: Array) -> Range:
    """Median, 5th and 95th percentile of one figure."""
    low, middle, high = np.quantile(values, (0.05, 0.5, 0.95))
    return Range(name, label, kind, float(middle), float(low), float(high))


def judge(
    duty: Duty[Any], needs: Sequence[Need], model: ForwardModel, samples: Samples
) -> tuple[list[MeritRange], list[Flagged]]:
    """Merits against needs, and the flags that enough draws raise."""
    outcome = model.perform(samples)
    by_merit = {need.merit: need for need in needs}
    merits = []
    for figure in ranges(duty.merits, outcome.merits):
        need = by_merit.get(figure.name)
        met = float(need.met(outcome.merits[figure.name]).mean()) if need else None
        merits.append(MeritRange(figure, need, met))
    flags = [
        Flagged(name, duty.flag_words[name], float(raised.mean()))
        for name, raised in outcome.flags.items()
        if raised.mean() > OFTEN
    ]
    return merits, flags


def bounds(
    found: Interval, value_of_lower: float, value_of_upper: float, reason: str, best_value: float
) -> Bounds:
    """Put an interval of offsets into values, the smaller first."""
    if found.empty:
        return Bounds(None, None, found.level, reason, found.best, best_value)
    low, high = sorted((value_of_lower, value_of_upper))
    return Bounds(low, high, found.level, "", found.best, best_value)
