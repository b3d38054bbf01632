"""A standing in a builder's words: what the lathe holds, how many parts say so, and what is next.

A few parts never settle what a lathe can do, so the words say how many there are, give the
range beside the best estimate, and below three parts say that a careful builder is assumed.
"""

from __future__ import annotations

import math

from benchproof.features import ProcessKind
from benchproof.quantities import ANGLE, LENGTH, System, show
from benchproof.workshop.standing import Standing

FEWEST_PARTS = 3
"""Below this the prior speaks louder than the parts, and the words must say so."""

_SIX_SIGMA = 6.0


def words(standing: Standing, kind: ProcessKind, *, size: float, system: System = "metric") -> str:
    """Say in one sentence what a machine has shown for one kind of process.

    ``size`` is the scaling size [m] of the next part; it matters for diameters only. ``system``
    chooses the units.
    """
    held = _held(standing, kind, size=size, system=system)
    upcoming = _next(standing, kind, size=size, system=system)
    if standing.parts < FEWEST_PARTS:
        return f"assumed of a careful builder: {held}; {_count(standing)}; {upcoming}"
    return f"holds {held}; shown by {_count(standing)}; {upcoming}"


def _held(standing: Standing, kind: ProcessKind, *, size: float, system: System) -> str:
    """Spread of the work as a tolerance grade, or as a size where grades have no meaning."""
    likely, low, high = (standing.spread_quantile(share) for share in (0.5, 0.05, 0.95))
    if kind.unit == "tolerance unit":
        best, finest, coarsest = (f"IT{_grade(spread):.1f}" for spread in (likely, low, high))
    else:
        unit = kind.unit_at(size)
        best, finest, coarsest = (
            _shown(_SIX_SIGMA * spread * unit, kind, system) for spread in (likely, low, high)
        )
    return f"{best} on {kind.plural} (all but 3 in 1000; likely {finest} to {coarsest})"


def _grade(spread: float) -> float:
    """Continuous tolerance grade of six sigma, which is the same at every diameter.

    Source: ISO 286-1:2010, annex A: IT6 is 10 i and five grades are a factor of ten.
    """
    return 6.0 + 5.0 * math.log10(_SIX_SIGMA * spread / 10.0)


def _count(standing: Standing) -> str:
    if standing.parts == 0:
        return "no parts yet"
    count = "1 part" if standing.parts == 1 else f"{standing.parts} parts"
    if standing.worth < standing.parts - 0.05:
        count += f" (some older, together worth {standing.worth:.1f})"
    return count


def _next(standing: Standing, kind: ProcessKind, *, size: float, system: System) -> str:
    unit = kind.unit_at(size)
    lower, upper = (unit * end for end in standing.predictive_interval(0.9))
    name = kind.label
    if kind.unit == "tolerance unit":
        name = f"{show(size, LENGTH, system=system)} {name}"
    if abs(lower + upper) <= 0.1 * (upper - lower):
        where = f"within ±{_shown(max(-lower, upper), kind, system)}"
    else:
        where = f"from {_signed(lower, kind, system)} to {_signed(upper, kind, system)}"
    return f"next {name} {where} of its aim, 9 times in 10"


def _signed(value: float, kind: ProcessKind, system: System) -> str:
    return f"{'−' if value < 0.0 else '+'}{_shown(abs(value), kind, system)}"


def _shown(value: float, kind: ProcessKind, system: System) -> str:
    """Two figures: an estimate from a few parts deserves no more."""
    rounded = float(f"{value:.1e}")
    return show(rounded, ANGLE if kind.unit == "rad" else LENGTH, system=system)
