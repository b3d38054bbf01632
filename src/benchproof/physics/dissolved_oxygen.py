"""Oxygen that an injector brings into a boiler: dissolved in the feed, and drawn in as air.

What is dissolved in tank water is known well. What an overflow that runs dry draws in is not:
here the whole empty part of the delivery throat is taken to be filled with air, which is an upper
bound. How much air a jet takes along across a gap of half a millimetre nobody has published.

Almost all of it leaves with the steam. What it does to steel or copper is therefore said as "at
most": as if every milligram were used up.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from benchproof.physics.air import GAS_CONSTANT_AIR, STANDARD_PRESSURE
from benchproof.physics.errors import Array, require_within
from benchproof.physics.ranges import Numbers, require
from benchproof.physics.saturation_line import saturation_pressure

OXYGEN_IN_AIR: Final = 0.2314
"""Share of the mass of dry air that is oxygen [-]."""

IRON_PER_OXYGEN: Final = 3.0 * 55.845 / (2.0 * 31.998)
"""Iron that turns into magnetite, Fe3O4, for each mass of oxygen [-]."""

COPPER_PER_OXYGEN: Final = 4.0 * 63.546 / 31.998
"""Copper that turns into cuprous oxide, Cu2O, for each mass of oxygen [-]."""

SULPHITE_PER_OXYGEN: Final = 2.0 * 126.043 / 31.998
"""Sodium sulphite that takes up each mass of oxygen [-]."""

_BENSON_KRAUSE: Final = (-139.34411, 1.575701e5, -6.642308e7, 1.243800e10, -8.621949e11)
_WATER_CRITICAL_TEMPERATURE: Final = 647.096
_LIQUID_POWERS: Final = (1.0 / 3.0, 2.0 / 3.0, 5.0 / 3.0, 16.0 / 3.0, 43.0 / 3.0, 110.0 / 3.0)
_LIQUID: Final = (1.99274064, 1.09965342, -0.510839303, -1.75493479, -45.5170352, -6.7469445e5)
_OXYGEN: Final = (-0.023767, 2305.0674, -11.3240, 25.3224, -15.6449)


def dissolved_oxygen(
    *, temperature: ArrayLike, air_pressure: ArrayLike = STANDARD_PRESSURE
) -> Array:
    """Oxygen in fresh water that has stood in moist air, by volume of water [kg/m³].

    ``temperature`` [K], 273.15 to 313.15; ``air_pressure`` is absolute [Pa], 5e4 to 1.1e5; any
    shapes that broadcast. 1e-3 kg/m³ is 1 mg/l. The dry part of the air scales with the pressure.
    Raises OutOfRange. Source: American Public Health Association, Standard Methods, method
    4500-O, after B. B. Benson and D. Krause 1984.
    """
    kelvin = require_within("water temperature", temperature, low=273.15, high=313.15, unit="K")
    air = require_within("air pressure", air_pressure, low=5e4, high=1.1e5, unit="Pa")
    reciprocal = 1.0 / kelvin
    logarithm = sum(factor * reciprocal**power for power, factor in enumerate(_BENSON_KRAUSE))
    # The boiling line is read from 275 K on; below, vapour is so thin that it does not matter.
    vapour = saturation_pressure(temperature=np.maximum(kelvin, 275.1))
    dry = (air - vapour) / (STANDARD_PRESSURE - vapour)
    dissolved: Array = 1e-3 * np.exp(logarithm) * dry
    return dissolved


def oxygen_drawn_in(*, void: Numbers, air_pressure: Numbers, air_temperature: Numbers) -> Array:
    """Oxygen drawn in as air, at most, by volume of water delivered [kg/m³], shape broadcast.

    void: empty share of the delivery throat [-], 0 to below 1. air_pressure: in the gap, absolute
    [Pa]. air_temperature: [K], above 0. Raises OutOfRange.
    """
    share = np.asarray(void, dtype=float)
    require((share >= 0.0) & (share < 1.0), quantity="void", given=share, low=0.0, high=1.0)
    warmth = np.asarray(air_temperature)
    require(warmth > 0.0, quantity="air temperature", given=warmth, low=0.0, unit="K")
    density = np.asarray(air_pressure) / (GAS_CONSTANT_AIR * warmth)
    drawn: Array = share / (1.0 - share) * density * OXYGEN_IN_AIR
    return drawn


def oxygen_distribution(*, temperature: ArrayLike) -> Array:
    """Oxygen in steam over that in the water it rises from, by mole fraction [-].

    ``temperature`` [K], 274.15 to 616.52; any shape. It runs to thousands: at equilibrium nearly
    all of it leaves with the steam. Raises OutOfRange.
    Source: IAPWS G7-04, Guideline on the Henry's Constant and Vapor-Liquid Distribution Constant
    for Gases in H2O and D2O at High Temperatures, 2004, equations 5 and 6, table 2.
    """
    kelvin = require_within("water temperature", temperature, low=274.15, high=616.52, unit="K")
    below = 1.0 - kelvin / _WATER_CRITICAL_TEMPERATURE
    liquid = sum(c * below**d for c, d in zip(_LIQUID, _LIQUID_POWERS, strict=True))
    q, e, f, g, h = _OXYGEN
    cold = np.exp((273.15 - kelvin) / 100.0)
    logarithm = q * f + e / kelvin * liquid + (f + g * below ** (2.0 / 3.0) + h * below) * cold
    distribution: Array = np.exp(logarithm)
    return distribution
