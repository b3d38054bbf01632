"""Run charts: has the process moved, and does it matter to the part.

Two pairs of limits answer two questions. Those from the process itself (Shewhart's) tell whether
something changed. Those from the part's need tell whether it matters: they stand so far inside
the limits of size that a run which would put too large a share of pieces outside is stopped.

Sources: D. C. Montgomery, Introduction to Statistical Quality Control, 2nd ed. 1991 (means and
ranges, individuals; modified and acceptance control charts); R. A. Freund, Acceptance control
charts, Industrial Quality Control 14 (1957), from memory; Western Electric, Statistical Quality
Control Handbook, 1956 (eight in a row on one side), from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaln, ndtri

from benchproof.tables.control_charts import range_constants

Array: TypeAlias = NDArray[np.float64]

IN_A_ROW = 8
TREND = 6
SHARE_OUT = 0.02
MISSED = 0.05


@dataclass(frozen=True)
class ChartLimits:
    """Centre and limits of one chart, in the unit of the readings."""

    centre: float
    lower: float
    upper: float

    def outside(self, points: ArrayLike) -> list[int]:
        """Places, counted from 0, of the points outside the limits."""
        values = np.asarray(points, dtype=float)
        return [int(each) for each in np.flatnonzero((values < self.lower) | (values > self.upper))]


@dataclass(frozen=True)
class NeedLimits:
    """Limits for the mean of ``count`` pieces that come from the part's need.

    ``useful`` is false when scatter within a setting leaves no room between them: then no chart
    can warn in time.
    """

    lower: float
    upper: float
    count: int

    @property
    def useful(self) -> bool:
        """Whether the chart leaves any room."""
        return self.lower < self.upper


@dataclass(frozen=True, eq=False)
class RunChart:
    """Points, the process's own limits, and the part's need beside them.

    ``points`` are means of groups or single readings, ``spreads`` their ranges, standard
    deviations or moving ranges; ``sigma`` is the scatter within groups. ``need`` is ``None``
    where no limits of size were given.
    """

    points: Array
    spreads: Array
    sigma: float
    means: ChartLimits
    ranges: ChartLimits
    need: NeedLimits | None = None

    @property
    def changed(self) -> list[int]:
        """Places of points outside the process's own limits: something changed."""
        return self.means.outside(self.points)

    @property
    def matters(self) -> list[int]:
        """Places of points at which the part's need asks for a re-set."""
        if self.need is None or not self.need.useful:
            return []
        return ChartLimits(0.0, self.need.lower, self.need.upper).outside(self.points)


def chart_of_means(
    groups: ArrayLike,
    *,
    lower: float | None = None,
    upper: float | None = None,
    by_deviation: bool = False,
) -> RunChart:
    """Chart of the means of groups of equal size, shape (groups, 2 to 25).

    The scatter is taken from the groups' ranges, or from their standard deviations with
    ``by_deviation``. ``lower`` and ``upper`` are the limits of size, or the readings to accept,
    from which the limits of the need follow. Raises ``ValueError`` for another shape, fewer than
    two groups, or readings that are no numbers.
    """
    taken = np.asarray(groups, dtype=float)
    if taken.ndim != 2 or taken.shape[0] < 2 or not 2 <= taken.shape[1] <= 25:
        raise ValueError(
            f"a chart of means wants two groups or more of 2 to 25 readings, not {taken.shape}"
        )
    _finite(taken)
    count = taken.shape[1]
    means = taken.mean(axis=1)
    if by_deviation:
        spreads = taken.std(axis=1, ddof=1)
        unbiased = mean_deviation_factor(count)
        sigma = float(spreads.mean()) / unbiased
        scatter = math.sqrt(1.0 - unbiased**2) * sigma
    else:
        spreads = np.ptp(taken, axis=1)
        known = range_constants(count)
        sigma = float(spreads.mean()) / known.d2
        scatter = known.d3 * sigma
    return RunChart(
        points=means,
        spreads=spreads,
        sigma=sigma,
        means=_three_sigma(float(means.mean()), sigma / math.sqrt(count)),
        ranges=_three_sigma(float(spreads.mean()), scatter, floor=0.0),
        need=_need(lower, upper, sigma, count),
    )


def chart_of_individuals(
    readings: ArrayLike, *, lower: float | None = None, upper: float | None = None
) -> RunChart:
    """Chart of single readings in the order they were made, three or more.

    The scatter comes from the differences of neighbours, so that slow wear hardly widens it.
    ``lower`` and ``upper`` as in :func:`chart_of_means`; refusals alike.
    """
    taken = np.asarray(readings, dtype=float)
    if taken.ndim != 1 or taken.size < 3:
        raise ValueError(f"a chart of single readings wants three or more, not {taken.shape}")
    _finite(taken)
    moving = np.abs(np.diff(taken))
    known = range_constants(2)
    sigma = float(moving.mean()) / known.d2
    return RunChart(
        points=taken,
        spreads=moving,
        sigma=sigma,
        means=_three_sigma(float(taken.mean()), sigma),
        ranges=_three_sigma(float(moving.mean()), known.d3 * sigma, floor=0.0),
        need=_need(lower, upper, sigma, 1),
    )


def limits_from_need(
    *,
    lower: float,
    upper: float,
    spread: float,
    count: int,
    share_out: float = SHARE_OUT,
    missed: float = MISSED,
) -> NeedLimits:
    """Limits for the mean of ``count`` pieces from the part's need.

    A run whose level puts ``share_out`` [0 to 1] of its pieces beyond ``lower`` or ``upper``
    leaves them with chance 1 - ``missed``; ``spread`` is the scatter of single readings about
    that level. So they stand (z(share_out) + z(missed) / sqrt(count)) spread inside. Source: the
    acceptance control chart, R. A. Freund 1957, named above.
    """
    if not lower < upper:
        raise ValueError(f"the lower limit {lower} must be under the upper limit {upper}")
    if not (math.isfinite(spread) and spread >= 0.0) or count < 1:
        raise ValueError(f"a spread of zero or more and one piece or more, not {spread}, {count}")
    if not (0.0 < share_out < 0.5 and 0.0 < missed < 0.5):
        raise ValueError(f"shares lie between 0 and a half, not {share_out} and {missed}")
    inside = -(float(ndtri(share_out)) + float(ndtri(missed)) / math.sqrt(count)) * spread
    return NeedLimits(lower + inside, upper - inside, count)


def signals(points: ArrayLike, *, centre: float) -> list[str]:
    """What a run of points says even while all lie within limits, in words.

    Eight in a row on one side of ``centre`` tell a shift, six in a row that all rise or all fall
    tell a drift, such as a tool that wears.
    """
    values = np.asarray(points, dtype=float)
    _finite(values)
    found = []
    side = np.sign(values - centre)
    if (longest := _longest(side)) >= IN_A_ROW:
        found.append(f"{longest} in a row on one side of the centre: the level has shifted")
    if (steps := _longest(np.sign(np.diff(values)))) >= TREND - 1:
        found.append(f"{steps + 1} in a row rise or fall: the tool wears, or something warms up")
    return found


def mean_deviation_factor(count: int) -> float:
    """Mean of the standard deviation (n - 1) of ``count`` normal readings of unit spread, c4."""
    if count < 2:
        raise ValueError(f"a standard deviation wants two readings or more, not {count}")
    half = 0.5 * count
    return math.sqrt(2.0 / (count - 1)) * math.exp(float(gammaln(half) - gammaln(half - 0.5)))


def _three_sigma(centre: float, scatter: float, *, floor: float = -math.inf) -> ChartLimits:
    return ChartLimits(centre, max(floor, centre - 3.0 * scatter), centre + 3.0 * scatter)


def _need(lower: float | None, upper: float | None, sigma: float, count: int) -> NeedLimits | None:
    if lower is None and upper is None:
        return None
    return limits_from_need(
        lower=-math.inf if lower is None else lower,
        upper=math.inf if upper is None else upper,
        spread=sigma,
        count=count,
    )


def _longest(signs: Array) -> int:
    """Longest run of equal signs; zeros break it."""
    longest = length = 0
    last = 0.0
    for sign in signs:
        length = (length + 1 if sign == last else 1) if sign else 0
        last = float(sign)
        longest = max(longest, length)
    return longest


def _finite(values: Array) -> None:
    if not np.all(np.isfinite(values)):
        raise ValueError("every reading of a chart must be a finite number")
