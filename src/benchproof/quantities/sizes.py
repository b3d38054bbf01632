"""Length, area, volume, mass, force and torque."""

from __future__ import annotations

from typing import Final

from benchproof.quantities.gauges import EXAMPLES
from benchproof.quantities.kinds import Kind
from benchproof.quantities.scales import FREE_FALL, INCH, POUND, unit

LENGTH: Final = Kind(
    "length",
    "a length",
    "m",
    (
        unit("µm", "1e-6", 1, "um|micron|microns|micrometre|micrometres|micrometer|micrometers"),
        unit("mm", "1e-3", 3, "millimetre|millimetres|millimeter|millimeters"),
        unit("cm", "1e-2", 3, "centimetre|centimetres|centimeter|centimeters"),
        unit("m", 1, 3, "metre|metres|meter|meters"),
        unit("µin", INCH / 1_000_000, 1, "uin|microinch|microinches|micro-inch|micro-inches"),
        unit("thou", INCH / 1000, 1, "thous|thousandth|thousandths|mil|mils"),
        unit("in", INCH, 4, '"|inch|inches|ins'),
        unit("ft", 12 * INCH, 4, "'|foot|feet"),
    ),
    metric=((0.0, "µm"), (0.2e-3, "mm"), (10.0, "m")),
    inch=((0.0, "thou"), (0.254e-3, "in"), (3.048, "ft")),
    lowest=0.0,
    highest=1000.0,
    floor=-1000.0,
    example=12e-3,
    compounds=("ft", "in"),
    by_name=EXAMPLES,
)


AREA: Final = Kind(
    "area",
    "an area",
    "m2",
    (
        unit("mm²", "1e-6", 3, "sq mm|mm sq"),
        unit("cm²", "1e-4", 2, "sq cm|cm sq"),
        unit("m²", 1, 4, "sq m|m sq"),
        unit("in²", INCH**2, 4, "sq in|sq ins|in sq|square inch|square inches"),
        unit("ft²", (12 * INCH) ** 2, 3, "sq ft|ft sq"),
    ),
    metric=((0.0, "mm²"), (1e-2, "cm²"), (1.0, "m²")),
    inch=((0.0, "in²"), (1.0, "ft²")),
    lowest=0.0,
    highest=1e4,
    floor=0.0,
    example=100e-6,
)


VOLUME: Final = Kind(
    "volume",
    "a volume",
    "m3",
    (
        unit("mm³", "1e-9", 1, "cu mm"),
        unit("mL", "1e-6", 1, "ml|cc|cm3|cu cm|millilitre|millilitres|milliliter|milliliters"),
        unit("L", "1e-3", 3, "l|litre|litres|liter|liters|dm3"),
        unit("m³", 1, 3, "cu m"),
        unit("in³", INCH**3, 2, "cu in|cu ins|cubic inch|cubic inches"),
        unit("ft³", (12 * INCH) ** 3, 3, "cu ft|cubic foot|cubic feet"),
    ),
    metric=((0.0, "mm³"), (1e-6, "mL"), (1e-3, "L"), (10.0, "m³")),
    inch=((0.0, "in³"), (1.0, "ft³")),
    lowest=0.0,
    highest=1e5,
    floor=-1e5,
    example=250e-6,
)


GAP_CONDUCTANCE: Final = Kind(
    "gap conductance",
    "a gap conductance",
    "m3",
    (
        unit("µm³", "1e-18", 0, "um3|cu um"),
        unit("mm³", "1e-9", 4, "cu mm"),
        unit("m³", 1, 6),
        unit("thou³", (INCH / 1000) ** 3, 4, "cu thou"),
        unit("in³", INCH**3, 6, "cu in"),
        unit("ft³", (12 * INCH) ** 3, 4),
    ),
    metric=((0.0, "µm³"), (1e-11, "mm³"), (1e-4, "m³")),
    inch=((0.0, "thou³"), (1e-9, "in³"), (1e-3, "ft³")),
    lowest=0.0,
    highest=1.0,
    floor=-1.0,
    example=1000e-18,
)


MASS: Final = Kind(
    "mass",
    "a mass",
    "kg",
    (
        unit("mg", "1e-6", 1, "milligram|milligrams"),
        unit("g", "1e-3", 2, "gram|grams|gramme|grammes|gm|gms"),
        unit("kg", 1, 3, "kgs|kilo|kilos|kilogram|kilograms|kilogramme|kilogrammes"),
        unit("oz", POUND / 16, 2, "ounce|ounces"),
        unit("lb", POUND, 2, "lbs|pound|pounds"),
    ),
    metric=((0.0, "mg"), (1e-4, "g"), (1.0, "kg")),
    inch=((0.0, "oz"), (float(POUND), "lb")),
    lowest=0.0,
    highest=1e5,
    floor=-1e5,
    example=3.2,
    compounds=("lb", "oz"),
)


FORCE: Final = Kind(
    "force",
    "a force",
    "N",
    (
        unit("N", 1, 1, "newton|newtons"),
        unit("kN", 1000, 2, "kilonewton|kilonewtons"),
        unit("kgf", FREE_FALL, 2, "kp|kilopond"),
        unit("ozf", POUND * FREE_FALL / 16, 2),
        unit("lbf", POUND * FREE_FALL, 1, "lb f|pound force|pounds force"),
    ),
    metric=((0.0, "N"), (1e4, "kN")),
    inch=((0.0, "lbf"),),
    lowest=0.0,
    highest=1e8,
    floor=-1e8,
    example=50.0,
)


TORQUE: Final = Kind(
    "torque",
    "a torque",
    "N m",
    (
        unit("N·mm", "1e-3", 1, "N mm|Nmm|newton millimetre|newton millimetres"),
        unit("N·m", 1, 3, "N m|Nm|newton metre|newton metres"),
        unit("kgf·cm", FREE_FALL / 100, 2, "kgf cm|kg cm"),
        unit("ozf·in", POUND * FREE_FALL * INCH / 16, 1, "ozf in|oz in"),
        unit("lbf·in", POUND * FREE_FALL * INCH, 2, "lbf in|lb in|in lb|in lbf"),
        unit("lbf·ft", POUND * FREE_FALL * INCH * 12, 2, "lbf ft|lb ft|ft lb|ft lbf"),
    ),
    metric=((0.0, "N·mm"), (1.0, "N·m")),
    inch=((0.0, "lbf·in"), (10.0, "lbf·ft")),
    lowest=0.0,
    highest=1e6,
    floor=-1e6,
    example=2.5,
)
