"""Superheated steam: region 2 of IAPWS-IF97, for all samples at once.

The dimensionless Gibbs energy is a function of reduced pressure and reciprocal temperature:
its slope with pressure gives the density, its slope with temperature the enthalpy. Steam is
refused where it would be wet; on the boiling line itself the saturated values come out.

Source: IAPWS R7-97(2012), Revised Release on the IAPWS Industrial Formulation 1997 for the
Thermodynamic Properties of Water and Steam, equations 15 to 17, tables 10 and 11.
"""

from __future__ import annotations

import csv
from functools import lru_cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike

from benchproof.physics.errors import Array, OutOfRange, require_within
from benchproof.physics.saturation_line import require_pressure, saturation_temperature
from benchproof.physics.steam_viscosity import viscosity_of_water

GAS_CONSTANT_STEAM = 461.526
HIGHEST_TEMPERATURE = 1073.15

_REDUCING_PRESSURE = 1e6
_REDUCING_TEMPERATURE = 540.0
_SHIFT = 0.5
# A boiling point worked out elsewhere may differ from ours by rounding alone.
_ROUNDING = 1e-9

_Terms = tuple[tuple[int, int, float], ...]


def superheated_density(*, pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Density of dry or superheated steam [kg/m3].

    ``pressure`` is absolute [Pa], 700 to 3.0e6; ``temperature`` [K] from the boiling point at
    that pressure to 1073.15; any shapes that broadcast. Raises OutOfRange.
    Source: IAPWS R7-97(2012), equations 15 to 17.
    """
    absolute, kelvin = _require_dry(pressure, temperature)
    reduced = absolute / _REDUCING_PRESSURE
    shifted = _REDUCING_TEMPERATURE / kelvin - _SHIFT
    slope = sum(n * i * reduced**i * shifted**j for i, j, n in _terms("residual"))
    ideal: Array = absolute / (GAS_CONSTANT_STEAM * kelvin)
    return ideal / (1.0 + slope)


def superheated_enthalpy(*, pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Specific enthalpy of dry or superheated steam [J/kg], from water at its triple point.

    ``pressure`` is absolute [Pa], 700 to 3.0e6; ``temperature`` [K] from the boiling point at
    that pressure to 1073.15; any shapes that broadcast. Raises OutOfRange.
    Source: IAPWS R7-97(2012), equations 15 to 17.
    """
    absolute, kelvin = _require_dry(pressure, temperature)
    reduced = absolute / _REDUCING_PRESSURE
    reciprocal = _REDUCING_TEMPERATURE / kelvin
    shifted = reciprocal - _SHIFT
    ideal = sum(n * j * reciprocal ** (j - 1) for _, j, n in _terms("ideal") if j)
    real = sum(n * j * reduced**i * shifted ** (j - 1) for i, j, n in _terms("residual") if j)
    return GAS_CONSTANT_STEAM * _REDUCING_TEMPERATURE * np.asarray(ideal + real)[()]


def superheated_viscosity(*, pressure: ArrayLike, temperature: ArrayLike) -> Array:
    """Viscosity of dry or superheated steam [Pa s].

    ``pressure`` is absolute [Pa], 700 to 3.0e6; ``temperature`` [K] from the boiling point at
    that pressure to 1073.15; any shapes that broadcast. Raises OutOfRange.
    Source: IAPWS R12-08, with the density of IAPWS R7-97(2012).
    """
    density = superheated_density(pressure=pressure, temperature=temperature)
    return viscosity_of_water(temperature=temperature, density=density)


def _require_dry(pressure: ArrayLike, temperature: ArrayLike) -> tuple[Array, Array]:
    absolute = require_pressure(pressure)
    kelvin = require_within(
        "steam temperature", temperature, low=0.0, high=HIGHEST_TEMPERATURE, unit="K"
    )
    boiling = saturation_temperature(pressure=absolute)
    short = np.atleast_1d(boiling * (1.0 - _ROUNDING) - kelvin)
    if (short > 0.0).any():
        worst = np.unravel_index(np.argmax(short), short.shape)
        given = float(np.broadcast_to(kelvin, short.shape)[worst])
        low = float(np.broadcast_to(boiling, short.shape)[worst])
        raise OutOfRange(
            "steam temperature",
            given,
            (low, HIGHEST_TEMPERATURE),
            "K",
            "colder than this the steam is wet; use the saturated values",
        )
    return absolute, kelvin


@lru_cache(maxsize=2)
def _terms(part: str) -> _Terms:
    """Exponents i of pressure and j of reciprocal temperature, and coefficient, of each term."""
    table = files("benchproof.physics").joinpath("data", "superheated_steam_if97.csv")
    return tuple(
        (int(row["i"]), int(row["j"]), float(row["n"]))
        for row in csv.DictReader(table.read_text(encoding="utf-8").splitlines())
        if row["part"] == part
    )
