"""Liquid water, compressed or boiling: region 1 of IAPWS-IF97, for all samples at once.

The dimensionless Gibbs energy is a function of reduced pressure and reciprocal temperature. Its
slope with pressure gives the density, its slope with temperature the enthalpy and the entropy,
and its curvature the heat capacity and the speed of sound. Water is refused where it would have
boiled; on the boiling line itself the boiling values come out.

Enthalpy and entropy count from liquid water at its triple point.

Source: IAPWS R7-97(2012), Revised Release on the IAPWS Industrial Formulation 1997 for the
Thermodynamic Properties of Water and Steam, equation 7, tables 2 and 3.
"""

from __future__ import annotations

import csv
from functools import lru_cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike

from benchproof.physics.errors import Array, OutOfRange, require_within
from benchproof.physics.saturation_line import (
    HIGHEST_PRESSURE as BOILING_LINE_ENDS,
)
from benchproof.physics.saturation_line import (
    LOWEST_PRESSURE,
    saturation_temperature,
)
from benchproof.physics.superheated import GAS_CONSTANT_STEAM

LOWEST_TEMPERATURE = 273.15
HIGHEST_TEMPERATURE = 507.0
HIGHEST_PRESSURE = 100e6

_REDUCING_PRESSURE = 16.53e6
_REDUCING_TEMPERATURE = 1386.0
_PRESSURE_SHIFT = 7.1
_TEMPERATURE_SHIFT = 1.222
# A boiling point worked out elsewhere may differ from ours by rounding alone.
_ROUNDING = 1e-9
_NEWTON_STEPS = 6
_COOLEST_HEAT_CAPACITY = 4.2e3


def liquid_density(*, pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Density of liquid water [kg/m3].

    ``pressure`` is absolute [Pa], 700 to 1e8; ``temperature`` [K], 273.15 to 507 and at most the
    boiling point; any shapes that broadcast. Raises OutOfRange.
    Source: IAPWS R7-97(2012), equation 7 and table 3.
    """
    absolute, kelvin = _require_liquid(pressure, temperature)
    slope = _gibbs(absolute, kelvin, by_pressure=1)
    density: Array = _REDUCING_PRESSURE / (GAS_CONSTANT_STEAM * kelvin * slope)
    return density


def liquid_enthalpy(*, pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Specific enthalpy of liquid water [J/kg].

    ``pressure`` is absolute [Pa], 700 to 1e8; ``temperature`` [K], 273.15 to 507 and at most the
    boiling point; any shapes that broadcast. Raises OutOfRange.
    Source: IAPWS R7-97(2012), equation 7 and table 3.
    """
    return _enthalpy(*_require_liquid(pressure, temperature))


def liquid_entropy(*, pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Specific entropy of liquid water [J/(kg K)].

    ``pressure`` is absolute [Pa], 700 to 1e8; ``temperature`` [K], 273.15 to 507 and at most the
    boiling point; any shapes that broadcast. Raises OutOfRange.
    Source: IAPWS R7-97(2012), equation 7 and table 3.
    """
    absolute, kelvin = _require_liquid(pressure, temperature)
    slope = _gibbs(absolute, kelvin, by_temperature=1)
    entropy: Array = _REDUCING_TEMPERATURE / kelvin * slope - _gibbs(absolute, kelvin)
    return GAS_CONSTANT_STEAM * entropy


def liquid_heat_capacity(*, pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Specific heat capacity of liquid water at constant pressure [J/(kg K)].

    ``pressure`` is absolute [Pa], 700 to 1e8; ``temperature`` [K], 273.15 to 507 and at most the
    boiling point; any shapes that broadcast. Raises OutOfRange.
    Source: IAPWS R7-97(2012), equation 7 and table 3.
    """
    return _heat_capacity(*_require_liquid(pressure, temperature))


def liquid_sound_speed(*, pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Speed of sound in liquid water [m/s].

    ``pressure`` is absolute [Pa], 700 to 1e8; ``temperature`` [K], 273.15 to 507 and at most the
    boiling point; any shapes that broadcast. Raises OutOfRange.
    Source: IAPWS R7-97(2012), equation 7 and table 3.
    """
    absolute, kelvin = _require_liquid(pressure, temperature)
    reciprocal = _REDUCING_TEMPERATURE / kelvin
    slope = _gibbs(absolute, kelvin, by_pressure=1)
    mixed = slope - reciprocal * _gibbs(absolute, kelvin, by_pressure=1, by_temperature=1)
    bend = reciprocal**2 * _gibbs(absolute, kelvin, by_temperature=2)
    stiffness = mixed**2 / bend - _gibbs(absolute, kelvin, by_pressure=2)
    speed: Array = slope * np.sqrt(GAS_CONSTANT_STEAM * kelvin / stiffness)
    return speed


def liquid_temperature(*, pressure: ArrayLike, enthalpy: ArrayLike) -> Array:
    """Temperature of liquid water of a known specific enthalpy [K].

    ``pressure`` is absolute [Pa], 700 to 1e8; ``enthalpy`` [J/kg], from that at 273.15 K to that
    at 507 K or of boiling water; any shapes that broadcast. Raises OutOfRange. The inverse of
    ``liquid_enthalpy``, by Newton's rule: exact to rounding, where the release's own backward
    equation (equation 11) is within 25 mK. Source: IAPWS R7-97(2012), equation 7.
    """
    absolute, wanted = np.broadcast_arrays(
        require_within(
            "absolute water pressure",
            pressure,
            low=LOWEST_PRESSURE,
            high=HIGHEST_PRESSURE,
            unit="Pa",
        ),
        np.asarray(enthalpy, dtype=np.float64),
    )
    coldest = _enthalpy(absolute, np.full_like(absolute, LOWEST_TEMPERATURE))
    kelvin = LOWEST_TEMPERATURE + (wanted - coldest) / _COOLEST_HEAT_CAPACITY
    for _ in range(_NEWTON_STEPS):
        # Far off, the formula means nothing: keep to where it holds.
        kelvin = np.clip(kelvin, LOWEST_TEMPERATURE - 1.0, HIGHEST_TEMPERATURE + 1.0)
        kelvin = kelvin + (wanted - _enthalpy(absolute, kelvin)) / _heat_capacity(absolute, kelvin)
    # What rounding leaves at the cold end belongs to the range.
    near = np.abs(kelvin - LOWEST_TEMPERATURE) < _ROUNDING * LOWEST_TEMPERATURE
    _, checked = _require_liquid(absolute, np.where(near, LOWEST_TEMPERATURE, kelvin))
    return checked[()]


def _enthalpy(absolute: Array, kelvin: Array) -> Array:
    scale = GAS_CONSTANT_STEAM * _REDUCING_TEMPERATURE
    return scale * _gibbs(absolute, kelvin, by_temperature=1)


def _heat_capacity(absolute: Array, kelvin: Array) -> Array:
    bend = _gibbs(absolute, kelvin, by_temperature=2)
    capacity: Array = -GAS_CONSTANT_STEAM * (_REDUCING_TEMPERATURE / kelvin) ** 2 * bend
    return capacity


def _gibbs(
    absolute: Array, kelvin: Array, *, by_pressure: int = 0, by_temperature: int = 0
) -> Array:
    """Dimensionless Gibbs energy, or its derivative by the reduced variables so many times."""
    pressed = _powers(_PRESSURE_SHIFT - absolute / _REDUCING_PRESSURE, 0, 32)
    heated = _powers(_REDUCING_TEMPERATURE / kelvin - _TEMPERATURE_SHIFT, -43, 17)
    total = np.zeros(np.broadcast_shapes(absolute.shape, kelvin.shape))
    for i, j, n in _terms():
        factor, first, second = n, i, j
        for _ in range(by_pressure):
            factor, first = -factor * first, first - 1
        for _ in range(by_temperature):
            factor, second = factor * second, second - 1
        if factor:
            total += factor * pressed[first] * heated[second]
    return total[()]


def _powers(base: Array, lowest: int, highest: int) -> dict[int, Array]:
    """Whole powers of a number, each made from its neighbour: much quicker than one by one."""
    powers = {0: np.ones_like(base)}
    for exponent in range(1, highest + 1):
        powers[exponent] = powers[exponent - 1] * base
    for exponent in range(-1, lowest - 1, -1):
        powers[exponent] = powers[exponent + 1] / base
    return powers


def _require_liquid(pressure: ArrayLike, temperature: ArrayLike) -> tuple[Array, Array]:
    absolute = require_within(
        "absolute water pressure", pressure, low=LOWEST_PRESSURE, high=HIGHEST_PRESSURE, unit="Pa"
    )
    kelvin = require_within(
        "water temperature",
        temperature,
        low=LOWEST_TEMPERATURE,
        high=HIGHEST_TEMPERATURE,
        unit="K",
    )
    boiling = saturation_temperature(pressure=np.minimum(absolute, BOILING_LINE_ENDS))
    over = np.atleast_1d(kelvin - boiling * (1.0 + _ROUNDING))
    # Above the end of the boiling line no water of the range boils.
    over = np.where(np.atleast_1d(absolute) < BOILING_LINE_ENDS, over, 0.0)
    if (over > 0.0).any():
        worst = np.unravel_index(np.argmax(over), over.shape)
        given = float(np.broadcast_to(kelvin, over.shape)[worst])
        high = float(np.broadcast_to(boiling, over.shape)[worst])
        raise OutOfRange(
            "water temperature",
            given,
            (LOWEST_TEMPERATURE, high),
            "K",
            "hotter than this it boils; use the values of steam",
        )
    return absolute, kelvin


@lru_cache(maxsize=1)
def _terms() -> tuple[tuple[int, int, float], ...]:
    """Exponents i of pressure and j of reciprocal temperature, and coefficient, of each term."""
    table = files("benchproof.physics").joinpath("data", "liquid_water_if97.csv")
    return tuple(
        (int(row["i"]), int(row["j"]), float(row["n"]))
        for row in csv.DictReader(table.read_text(encoding="utf-8").splitlines())
    )
