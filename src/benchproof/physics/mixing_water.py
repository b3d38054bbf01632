"""The water an injector makes of its steam and its feed, read off tables.

Enthalpy fixes temperature and density of the mixture; a temperature fixes the pressure at which
vapour stands over it. All at 3 bar absolute: water hardly feels the pressure, and to 15 bar the
density is within 0.1 % and the temperature within 0.4 K of the true one.

What is tabulated, once: temperature and density over enthalpy, boiling pressure and enthalpy and
density over temperature, linear between 8192 knots from 275.1 K to 405 K. Linear, because a
straight line between points of a hollow curve is hollow too, and a balance that is concave in
the enthalpy stays concave.

Source: IAPWS R7-97(2012), regions 1 and 4.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.liquid_water import liquid_density, liquid_enthalpy, liquid_temperature
from benchproof.physics.ranges import Numbers
from benchproof.physics.saturation_line import saturation_pressure

REFERENCE_PRESSURE: Final = 3.0e5
"""Pressure at which the water's properties are taken, absolute [Pa]."""

COLDEST, HOTTEST = 275.1, 405.0
"""Range of temperature [K]."""

_CELLS: Final = 8192


class _Column(NamedTuple):
    """A quantity at evenly spaced places: the first place, places for each cell, value, rise."""

    start: float
    per_place: float
    value: Array
    rise: Array

    def at(self, place: Numbers) -> tuple[Array, Array]:
        """Value and slope, held at the ends of the table."""
        along = (np.asarray(place) - self.start) * self.per_place
        along = np.clip(along, 0.0, len(self.rise) - 1e-6)
        cell = along.astype(np.intp)
        rise = self.rise[cell]
        value: Array = self.value[cell] + (along - cell) * rise
        return value, rise * self.per_place

    def value_at(self, place: Numbers) -> Array:
        """Value alone."""
        return self.at(place)[0]


class MixingWater:
    """Water of 275.1 to 405 K at 3 bar absolute; places outside are held at the nearest end."""

    def __init__(self) -> None:
        warmth = np.linspace(COLDEST, HOTTEST, _CELLS + 1)
        at = {"pressure": REFERENCE_PRESSURE}
        enthalpy = liquid_enthalpy(temperature=warmth, **at)
        self._boiling = _column(warmth, saturation_pressure(temperature=warmth))
        self._enthalpy = _column(warmth, enthalpy)
        even = np.linspace(enthalpy[0], enthalpy[-1], _CELLS + 1)
        temperature = liquid_temperature(enthalpy=even, **at)
        self._temperature = _column(even, temperature)
        self._density = _column(even, liquid_density(temperature=temperature, **at))

    def enthalpy(self, temperature: Numbers) -> Array:
        """Specific enthalpy [J/kg] at a ``temperature`` [K]."""
        return self._enthalpy.value_at(temperature)

    def temperature(self, enthalpy: Numbers) -> Array:
        """Temperature [K] at a specific ``enthalpy`` [J/kg]."""
        return self._temperature.value_at(enthalpy)

    def density(self, enthalpy: Numbers) -> Array:
        """Density [kg/m³] at a specific ``enthalpy`` [J/kg]."""
        return self._density.value_at(enthalpy)

    def boiling_pressure(self, temperature: Numbers) -> Array:
        """Pressure of the vapour over water, absolute [Pa], at a ``temperature`` [K]."""
        return self._boiling.value_at(temperature)

    def chamber_pressure(
        self, enthalpy: Array, feed_temperature: Numbers, mixing: Numbers
    ) -> tuple[Array, Array]:
        """Pressure in the combining chamber [Pa], and its slope with the enthalpy [Pa kg/J].

        It is that of vapour over water between the feed, of ``feed_temperature`` [K], and the
        mixture, of ``enthalpy`` [J/kg]: ``mixing`` [-] of the way from one to the other.
        """
        warmth, warming = self._temperature.at(enthalpy)
        between = feed_temperature + mixing * (warmth - feed_temperature)
        pressure, steepness = self._boiling.at(between)
        return pressure, steepness * warming * mixing


@lru_cache(maxsize=1)
def mixing_water() -> MixingWater:
    """Make the tables, or hand out those made before."""
    return MixingWater()


def _column(place: Array, value: Array) -> _Column:
    spacing = float(place[-1] - place[0]) / (len(place) - 1)
    return _Column(float(place[0]), 1.0 / spacing, value, np.diff(value))
