"""Temperature and its difference, which are read alike and stored apart."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from benchproof.quantities.kinds import Kind, Unit
from benchproof.quantities.scales import unit

TEMPERATURE_DIFFERENCE: Final = Kind(
    "temperature difference",
    "a difference of temperature",
    "K",
    (
        unit("K", 1, 1, "kelvin|kelvins|C|°C|degC|deg C|deg. C|celsius|centigrade"),
        unit("°F", Fraction(5, 9), 1, "F|degF|deg F|deg. F|fahrenheit"),
    ),
    metric=((0.0, "K"),),
    inch=((0.0, "°F"),),
    lowest=-3000.0,
    highest=3000.0,
    floor=-3000.0,
    example=10.0,
)


TEMPERATURE: Final = Kind(
    "temperature",
    "a temperature",
    "K",
    (
        unit("K", 1, 2, "kelvin|kelvins"),
        Unit(
            "°C",
            Fraction(1),
            1,
            ("C", "degC", "deg C", "deg. C", "celsius", "centigrade"),
            offset=Fraction("273.15"),
        ),
        Unit(
            "°F",
            Fraction(5, 9),
            1,
            ("F", "degF", "deg F", "deg. F", "fahrenheit"),
            offset=Fraction("459.67") * Fraction(5, 9),
        ),
    ),
    metric=((0.0, "°C"),),
    inch=((0.0, "°F"),),
    lowest=0.0,
    highest=3500.0,
    floor=0.0,
    example=295.15,
    difference=TEMPERATURE_DIFFERENCE,
)
