"""Duration, speed, speed of rotation, flow of mass and of volume, viscosity."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from benchproof.quantities.kinds import Kind
from benchproof.quantities.scales import INCH, POUND, PSI, unit

DURATION: Final = Kind(
    "duration",
    "a length of time",
    "s",
    (
        unit("ms", "1e-3", 1, "millisecond|milliseconds"),
        unit("s", 1, 1, "sec|secs|second|seconds"),
        unit("min", 60, 2, "m|mins|minute|minutes"),
        unit("h", 3600, 2, "hr|hrs|hour|hours"),
        unit("d", 86400, 2, "day|days"),
    ),
    metric=((0.0, "s"),),
    inch=((0.0, "s"),),
    lowest=0.0,
    highest=1e10,
    floor=0.0,
    example=45.0,
    compounds=("h", "min", "s"),
)


SPEED_OF_ROTATION: Final = Kind(
    "speed of rotation",
    "a speed of rotation",
    "Hz",  # revolutions per second, not radians
    (
        unit(
            "rpm",
            Fraction(1, 60),
            1,
            "rev/min|r/min|revs/min|rev per min|revs per min|1/min|turns/min",
        ),
        unit("rps", 1, 2, "rev/s|r/s|revs/s|rev/sec|rev per s|Hz|1/s|turns/s"),
    ),
    metric=((0.0, "rpm"),),
    inch=((0.0, "rpm"),),
    lowest=0.0,
    highest=1e4,
    floor=-1e4,
    example=5.0,
)


MASS_FLOW: Final = Kind(
    "mass flow",
    "a mass flow",
    "kg/s",
    (
        unit("g/s", "1e-3", 3, "g/sec|gram/s|grams/s"),
        unit("kg/s", 1, 3, "kg/sec"),
        unit("g/min", Fraction(1, 60_000), 1, "gram/min|grams/min"),
        unit("kg/min", Fraction(1, 60), 3),
        unit("g/h", Fraction(1, 3_600_000), 1, "g/hr"),
        unit("kg/h", Fraction(1, 3600), 2, "kg/hr"),
        unit("oz/min", POUND / 960, 2),
        unit("lb/min", POUND / 60, 3, "lbs/min"),
        unit("lb/h", POUND / 3600, 2, "lb/hr|lbs/h|lbs/hr|pph"),
    ),
    metric=((0.0, "g/h"), (1e-5, "g/s"), (1.0, "kg/s")),
    inch=((0.0, "lb/h"),),
    lowest=0.0,
    highest=1e4,
    floor=-1e4,
    example=1.05e-3,
)


VOLUME_FLOW: Final = Kind(
    "volume flow",
    "a flow of volume",
    "m3/s",
    (
        unit("mL/min", Fraction(1, 60_000_000), 1, "ml/min|cc/min|cm3/min"),
        unit("mL/s", "1e-6", 3, "ml/s|cc/s|cm3/s"),
        unit("L/min", Fraction(1, 60_000), 3, "l/min|litre/min|litres/min"),
        unit("L/h", Fraction(1, 3_600_000), 2, "l/h|l/hr|litres/h"),
        unit("m³/s", 1, 6, "m3/s"),
        unit("in³/min", INCH**3 / 60, 3, "cu in/min"),
        unit("ft³/min", (12 * INCH) ** 3 / 60, 3, "cu ft/min|cfm"),
    ),
    metric=((0.0, "mL/min"), (1e-4, "L/min")),
    inch=((0.0, "in³/min"), (1e-3, "ft³/min")),
    lowest=0.0,
    highest=1e3,
    floor=-1e3,
    example=4e-6,
)


SPEED: Final = Kind(
    "speed",
    "a speed",
    "m/s",
    (
        unit("mm/s", "1e-3", 2, "mm/sec"),
        unit("m/min", Fraction(1, 60), 2, "metres/min"),
        unit("m/s", 1, 2, "m/sec|metres/s"),
        unit("km/h", Fraction(1000, 3600), 1, "kph|km/hr"),
        unit("ft/min", 12 * INCH / 60, 1, "fpm|ft per min"),
        unit("ft/s", 12 * INCH, 2, "ft/sec|fps"),
        unit("mile/h", 5280 * 12 * INCH / 3600, 1, "mph|miles/h|miles per hour"),
    ),
    metric=((0.0, "mm/s"), (0.1, "m/s")),
    inch=((0.0, "ft/min"), (0.5, "ft/s")),
    lowest=0.0,
    highest=1e4,
    floor=-1e4,
    example=1.5,
)


VISCOSITY: Final = Kind(
    "viscosity",
    "a dynamic viscosity",
    "Pa s",
    (
        unit("mPa·s", "1e-3", 2, "mPa s|cP|centipoise"),
        unit("Pa·s", 1, 4, "Pa s"),
        unit("µreyn", PSI / 1_000_000, 3, "ureyn|microreyn"),
    ),
    metric=((0.0, "mPa·s"), (10.0, "Pa·s")),
    inch=((0.0, "mPa·s"),),
    lowest=0.0,
    highest=1e4,
    floor=0.0,
    example=0.1,
)
