"""Sizes of parallel reamers that are to be had: a bore is reamed to one of them and to no other.

Inches: by sixty-fourths (U.S. Army, correspondence lesson OD0017, paragraph 9: straight reamers
from 1/16 in up, in sets by 1/64 in). Millimetres: by halves to 12 mm and by whole ones above
(common practice; the preferred sizes of ISO 236-1 are from memory and hold a few more).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

INCH = 25.4e-3
_STEP = Fraction(1, 64)
_HALVES_TO = 12e-3
SAME = 1e-6
"""Sizes closer than this [m] are one reamer's."""


@dataclass(frozen=True)
class Reamer:
    """A reamer to be had: its size [m], and what is stamped on it."""

    size: float
    stamp: str


def nearest_reamer(size: float) -> Reamer:
    """The reamer to be had that is nearest to a size [m] above zero."""
    if not (math.isfinite(size) and size > 0.0):
        raise ValueError(f"no reamer is of the size {size}")
    step = 0.5e-3 if size <= _HALVES_TO + SAME else 1e-3
    metric = step * max(round(size / step), 1)
    sixty_fourths = _STEP * max(round(size / (INCH * float(_STEP))), 4)
    inch = INCH * float(sixty_fourths)
    if abs(inch - size) < abs(metric - size) - SAME:
        return Reamer(inch, f"{_fraction(sixty_fourths)} in")
    return Reamer(metric, f"{1e3 * metric:g} mm")


def _fraction(inches: Fraction) -> str:
    whole, rest = divmod(inches, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)
