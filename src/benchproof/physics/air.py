"""Dry air as a bench test meets it: viscosity, density, mean free path, pressure at altitude.

Air is taken as an ideal gas, which holds its density within 0.1 % up to 3 bar at room
temperature (own calculation from the second virial coefficient). Moisture is left out: air
saturated at 20 C is 0.9 % lighter than dry air.

Source: US Standard Atmosphere 1976, NOAA/NASA/USAF, Washington 1976, part 1 (constants from
memory of it).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from benchproof.physics.errors import Array, require_within

GAS_CONSTANT_AIR = 287.055
STANDARD_GRAVITY = 9.80665
STANDARD_PRESSURE = 101_325.0

# A later reference correlation gives 18.206 uPa s at 20 C where this one gives 18.134.
VISCOSITY_RELATIVE_UNCERTAINTY = 0.004

LOWEST_TEMPERATURE = 200.0
HIGHEST_TEMPERATURE = 600.0
LOWEST_PRESSURE = 1.0e3
HIGHEST_PRESSURE = 1.0e6
HIGHEST_ALTITUDE = 5.0e3

_SUTHERLAND_FACTOR = 1.458e-6
_SUTHERLAND_TEMPERATURE = 110.4
_SEA_LEVEL_TEMPERATURE = 288.15
_LAPSE = 6.5e-3
_EARTH_RADIUS = 6_356_766.0


def viscosity(*, temperature: ArrayLike) -> Array:
    """Viscosity of dry air [Pa s]: 1.458e-6 T^1.5 / (T + 110.4).

    ``temperature`` [K], any shape, 200 to 600. The standard uncertainty is 0.4 %
    (``VISCOSITY_RELATIVE_UNCERTAINTY``). Raises OutOfRange.
    Source: US Standard Atmosphere 1976, equation 51.
    """
    kelvin = _require_temperature(temperature)
    value: Array = _SUTHERLAND_FACTOR * kelvin * np.sqrt(kelvin)
    return value / (kelvin + _SUTHERLAND_TEMPERATURE)


def density(*, pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Density of dry air [kg/m3]: p / (R T).

    ``pressure`` is absolute [Pa], 1e3 to 1e6; ``temperature`` [K], 200 to 600; any shapes that
    broadcast. Raises OutOfRange. Source: ideal gas, R of the US Standard Atmosphere 1976.
    """
    return _require_pressure(pressure) / (GAS_CONSTANT_AIR * _require_temperature(temperature))


def mean_free_path(*, pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Mean free path of air molecules [m]: (sqrt(pi)/2) mu sqrt(2 R T) / p.

    ``pressure`` is absolute [Pa], 1e3 to 1e6; ``temperature`` [K], 200 to 600; any shapes that
    broadcast. It is the path that belongs to the viscosity, which slip formulas want. Raises
    OutOfRange. Source: kinetic theory; S. G. Jennings, J. Aerosol Sci. 19 (1988) 159-166, from
    memory, gives 67.3 nm at 300 K and 1 atm, this formula 67.0 nm.
    """
    kelvin = _require_temperature(temperature)
    speed = np.sqrt(0.5 * np.pi * GAS_CONSTANT_AIR * kelvin)
    path: Array = viscosity(temperature=kelvin) * speed / _require_pressure(pressure)
    return path


def pressure_at_altitude(*, altitude: ArrayLike) -> Array:
    """Absolute air pressure of the standard atmosphere [Pa].

    ``altitude`` above sea level [m], any shape, -500 to 5000. Weather moves the pressure by
    some 2 % either way, so a barometer goes before this. Raises OutOfRange.
    Source: US Standard Atmosphere 1976, equations 18 and 33a.
    """
    metres = require_within("altitude", altitude, low=-500.0, high=HIGHEST_ALTITUDE, unit="m")
    geopotential = _EARTH_RADIUS * metres / (_EARTH_RADIUS + metres)
    exponent = STANDARD_GRAVITY / (GAS_CONSTANT_AIR * _LAPSE)
    pressure: Array = (
        STANDARD_PRESSURE * (1.0 - _LAPSE * geopotential / _SEA_LEVEL_TEMPERATURE) ** exponent
    )
    return pressure


def _require_temperature(temperature: ArrayLike) -> Array:
    return require_within(
        "air temperature", temperature, low=LOWEST_TEMPERATURE, high=HIGHEST_TEMPERATURE, unit="K"
    )


def _require_pressure(pressure: ArrayLike) -> Array:
    return require_within(
        "absolute air pressure", pressure, low=LOWEST_PRESSURE, high=HIGHEST_PRESSURE, unit="Pa"
    )
