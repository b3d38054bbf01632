"""What to aim at, the window a fit bears, and the limits to cut to.

Three sweeps of one forward model differ only in what is taken as exact:

- the *aim* draws everything: the cut, the gauges, the circumstances;
- the *limits* take a size as gauged: the gauges and the circumstances vary;
- the *window* takes the size itself as exact: only the circumstances vary.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.reckon.odds import Odds, Sweep

Array: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True)
class Costs:
    """What a lost piece and another cut weigh against each other (judgement, can be overruled)."""

    lost: float = 10.0
    another_cut: float = 1.0


@dataclass(frozen=True)
class Aim:
    """An offset of the swept feature from its nominal aim [SI], and the odds there."""

    offset: float
    odds: Odds


@dataclass(frozen=True)
class Interval:
    """Offsets between which the odds reach a stated level; ``None`` where nothing does."""

    lower: float | None
    upper: float | None
    level: float
    best_offset: float
    best: float

    @property
    def empty(self) -> bool:
        """Whether no offset reaches the level."""
        return self.lower is None


def best_aim(swept: Sweep, costs: Costs | None = None) -> Aim:
    """Find the aim of least expected cost: a scrapped part is weighed against another cut.

    A piece still correctable costs another cut and stands where it stood, with the same chances
    again; so the cost of an aim until the piece is right or lost is
    ``(lost * L + another_cut * C) / (1 - C)``, with L the chance lost and C that of correctable.
    Where the draws cannot tell aims apart (a plateau), the middle of them is taken.
    """
    costs = costs or Costs()
    odds = swept.odds()
    expected = np.array(
        [
            (costs.lost * o.lost + costs.another_cut * o.correctable)
            / max(1.0 - o.correctable, 1.0 / o.samples)
            for o in odds
        ]
    )
    least = odds[int(np.argmin(expected))]
    doubt = costs.lost * _doubt(least.lost, least.samples)
    equal = np.flatnonzero(expected <= expected.min() + doubt)
    chosen = int(equal[len(equal) // 2])
    return Aim(float(swept.offsets[chosen]), odds[chosen])


def _doubt(share: float, samples: int) -> float:
    """Standard error of a share that was counted in so many draws; one draw at the least."""
    return float(np.sqrt(max(share * (1.0 - share), 1.0 / samples) / samples))


def likeliest_aim(swept: Sweep) -> Aim:
    """Find the aim with the best odds of right first time."""
    odds = swept.odds()
    right = np.array([o.right for o in odds])
    equal = np.flatnonzero(right >= right.max() - _doubt(right.max(), odds[0].samples))
    chosen = int(equal[len(equal) // 2])
    return Aim(float(swept.offsets[chosen]), odds[chosen])


def interval(swept: Sweep, level: float) -> Interval:
    """Offsets at which the odds reach ``level``, crossings interpolated between grid points.

    When the odds reach the level in several stretches, the one around the best offset counts.
    """
    share = swept.chances
    offsets = swept.offsets
    top = np.flatnonzero(share >= share.max() - 1e-12)
    best = int(top[len(top) // 2])
    if share[best] < level:
        return Interval(None, None, level, float(offsets[best]), float(share[best]))
    low = best
    while low > 0 and share[low - 1] >= level:
        low -= 1
    high = best
    while high < share.size - 1 and share[high + 1] >= level:
        high += 1
    return Interval(
        _crossing(offsets, share, low, -1, level),
        _crossing(offsets, share, high, +1, level),
        level,
        float(offsets[best]),
        float(share[best]),
    )


def _crossing(offsets: Array, share: Array, inside: int, step: int, level: float) -> float:
    outside = inside + step
    if not 0 <= outside < offsets.size:
        return float(offsets[inside])
    fraction = (share[inside] - level) / (share[inside] - share[outside])
    return float(offsets[inside] + fraction * (offsets[outside] - offsets[inside]))


def offsets_to_try(lower: float, upper: float, count: int = 101) -> Array:
    """Evenly spaced offsets, both ends included."""
    return np.linspace(lower, upper, count)


def narrowed(swept: Sweep, count: int = 101) -> Array:
    """Offsets for a second, finer sweep where the first found anything right."""
    share = swept.chances
    alive = np.flatnonzero(share > 0.0)
    if alive.size == 0:
        return swept.offsets
    low = max(int(alive[0]) - 1, 0)
    high = min(int(alive[-1]) + 1, share.size - 1)
    return offsets_to_try(float(swept.offsets[low]), float(swept.offsets[high]), count)


def laps_to_expect(
    *,
    start: Sequence[float] | Array,
    lower: float,
    upper: float,
    fraction: float,
    spread: float,
    seed: int,
    most: int = 20,
) -> tuple[float, float, float]:
    """Laps wanted from a tight start until the fit stands between two limits, by simulation.

    ``start`` holds clearances [m] as cut. Each lap is planned to take ``fraction`` of what is
    left to the middle of the limits, and takes that times a factor of log-sd ``spread``; a bench
    test after each shows where the fit stands. Returns the median, the 90th percentile, and the
    share that overshoots or is not home after ``most`` laps.
    """
    clearance = np.array(start, dtype=float)
    rng = np.random.default_rng(seed)
    target = 0.5 * (lower + upper)
    laps = np.zeros(clearance.size)
    for _ in range(most):
        short = clearance < lower
        if not short.any():
            break
        taken = fraction * (target - clearance) * np.exp(spread * rng.standard_normal(laps.size))
        clearance = np.where(short, clearance + taken, clearance)
        laps += short
    missed = (clearance < lower) | (clearance > upper)
    home = laps[~missed] if (~missed).any() else laps
    return (
        float(np.median(home)),
        float(np.quantile(home, 0.9)),
        float(missed.mean()),
    )
