"""What has no dimension: shares, angles, tapers, plain and whole numbers."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from typing import Final

from benchproof.quantities.kinds import Kind, Unit
from benchproof.quantities.scales import DEGREE, unit

FRACTION: Final = Kind(
    "fraction",
    "a share",
    "1",
    (
        unit("%", "0.01", 1, "percent|per cent|pct"),
        unit("", 1, 4, "1"),
    ),
    metric=((0.0, "%"),),
    inch=((0.0, "%"),),
    lowest=0.0,
    highest=1.0,
    floor=-1000.0,
    example=0.75,
    ratio=True,
)


_ANGLES: Final = (
    ("°", DEGREE, 3, ("deg", "degs", "degree", "degrees")),
    ("arcmin", DEGREE / 60, 1, ("'", "arcmins", "arc min", "arcminute", "arcminutes")),
    ("arcsec", DEGREE / 3600, 1, ('"', "arcsecs", "arc sec", "arcsecond", "arcseconds")),
    ("rad", Fraction(1), 5, ("radian", "radians")),
    ("mrad", Fraction(1, 1000), 2, ("milliradian", "milliradians")),
)

ANGLE: Final = Kind(
    "angle",
    "an angle",
    "rad",
    tuple(Unit(*angle) for angle in _ANGLES),
    metric=((0.0, "arcsec"), (float(DEGREE / 60), "arcmin"), (float(DEGREE), "°")),
    inch=((0.0, "arcsec"), (float(DEGREE / 60), "arcmin"), (float(DEGREE), "°")),
    lowest=0.0,
    highest=4.0 * math.pi,
    floor=-4.0 * math.pi,
    example=math.radians(8.0),
    compounds=("°", "arcmin", "arcsec"),
)

TAPER: Final = Kind(
    "taper",
    "a taper on diameter",
    "1",
    (
        unit("", 1, 5, "1|mm/mm|in/in"),
        unit("mm/m", "1e-3", 2, "mm per m|mm per metre"),
        unit("%", "0.01", 2),
        unit("in/ft", Fraction(1, 12), 4, "in per ft|in per foot|inch per foot|tpf"),
        *(replace(Unit(*angle), included_angle=True) for angle in _ANGLES),
    ),
    metric=((0.0, ""),),
    inch=((0.0, ""),),
    lowest=0.0,
    highest=20.0,
    floor=-20.0,
    example=0.1,
    ratio=True,
    compounds=("°", "arcmin", "arcsec"),
)


NUMBER: Final = Kind(
    "number",
    "a plain number",
    "1",
    (unit("", 1, 4, "1"),),
    metric=((0.0, ""),),
    inch=((0.0, ""),),
    lowest=0.0,
    highest=1e12,
    floor=-1e12,
    example=1.5,
)


COUNT: Final = Kind(
    "count",
    "a whole number",
    "1",
    (unit("", 1, 0, "1|off|pcs|pieces"),),
    metric=((0.0, ""),),
    inch=((0.0, ""),),
    lowest=0.0,
    highest=1e9,
    floor=-1e9,
    example=3.0,
    whole=True,
)
