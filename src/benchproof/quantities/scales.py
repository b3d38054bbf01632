"""Exact scales of the units to SI.

The inch is 25.4 mm and the pound 0.45359237 kg exactly (international yard and pound agreement,
1959); the standard acceleration of free fall is 9.80665 m/s2 (3rd General Conference on Weights
and Measures, 1901); conventional mercury is 13 595.1 kg/m3, so that an inch of it is 3386.389 Pa
(A. Thompson and B. N. Taylor, NIST Special Publication 811, 2008, appendix B.8, from memory); the
standard atmosphere is 101 325 Pa (10th General Conference, 1954).
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Final

from benchproof.quantities.kinds import Unit

ATMOSPHERE: Final = 101_325.0
"""Standard atmosphere [Pa]: what lies between gauge and absolute pressure."""

INCH: Final = Fraction("0.0254")
POUND: Final = Fraction("0.45359237")
FREE_FALL: Final = Fraction("9.80665")
MERCURY: Final = Fraction("13595.1") * FREE_FALL
PSI: Final = POUND * FREE_FALL / INCH**2
DEGREE: Final = Fraction(math.pi) / 180


def unit(symbol: str, scale: Fraction | int | str, decimals: int, spellings: str = "") -> Unit:
    """Return a unit whose further spellings are separated by bars."""
    names = tuple(name for name in spellings.split("|") if name)
    return Unit(symbol, Fraction(scale), decimals, names)
