"""Duration, speed of rotation and mass flow."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from benchproof.quantities.kinds import Kind
from benchproof.quantities.scales import POUND, unit

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
