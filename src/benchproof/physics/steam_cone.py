"""The steam cone of an injector: what its throat passes and how fast steam leaves its mouth.

The throat passes the critical flux times its area times a discharge coefficient. From throat to
mouth the steam goes on expanding, in equilibrium and without loss, to the pressure at which the
flux fits the mouth's area. Where the chamber holds a much higher pressure, the jet leaves the
wall before the mouth: it is taken to do so at 0.4 of the chamber's pressure.

What is tabulated, once for each dryness: flux, enthalpy, mouth pressure and mouth velocity over
the logarithm of the boiler pressure (linear between 65 knots) and over the square root of the
area ratio less one (linear between 701 knots), in which the throat is no singular point; and
Gibbs energy and boiling point over the logarithm of the pressure, for the separated jet.

Sources: own derivation; separation at 0.4 of the chamber's pressure is a rule of thumb for
rocket nozzles (from memory).
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.physics.errors import Array, require_within
from benchproof.physics.ranges import Numbers
from benchproof.physics.saturation_line import saturation_temperature
from benchproof.physics.wet_expansion import (
    boiling_gibbs_energy,
    critical_throat,
    mist_volume,
    steam_at_rest,
)

SEPARATION: Final = 0.4
"""Mouth pressure over chamber pressure below which the jet leaves the wall [-]."""

LOWEST_BOILER, HIGHEST_BOILER = 0.9e5, 2.0e6
"""Range of the boiler pressure, absolute [Pa]."""

WIDEST_RATIO: Final = 25.0
"""Largest mouth area over throat area [-]."""

LOWEST_MOUTH: Final = 1.0e3
"""Lowest pressure of the tables, absolute [Pa]."""

_Cells: TypeAlias = NDArray[np.intp]

_BOILERS: Final = 65
_RATIOS: Final = 701
_PRESSURES: Final = 4096


class SteamCone:
    """Steam cones of every size at one ``dryness`` [-] of the steam, 0.8 to 1.

    Its functions take the ``boiler`` pressure, absolute [Pa], as one number or as an array; one
    number is quicker. Between knots they err by less than 2e-5.
    """

    def __init__(self, dryness: float) -> None:
        self._log_boiler = np.linspace(np.log(LOWEST_BOILER), np.log(HIGHEST_BOILER), _BOILERS)
        boiler = np.exp(self._log_boiler)
        self._rest = steam_at_rest(pressure=boiler, dryness=dryness)
        throat = critical_throat(pressure=boiler, dryness=dryness)
        self._log_flux = np.log(throat.flux)
        self._log_pressure = np.linspace(np.log(LOWEST_MOUTH), np.log(HIGHEST_BOILER), _PRESSURES)
        pressure = np.exp(self._log_pressure)
        self._gibbs = boiling_gibbs_energy(pressure=pressure)
        self._boiling, volume_at_zero, volume_slope = _lines(pressure)
        self._widening = np.linspace(0.0, np.sqrt(WIDEST_RATIO - 1.0), _RATIOS)
        self._log_mouth = np.empty((_BOILERS, _RATIOS))
        self._velocity = np.empty((_BOILERS, _RATIOS))
        for row in range(_BOILERS):
            enthalpy, entropy = self._rest.enthalpy[row], self._rest.entropy[row]
            drop = enthalpy - self._gibbs - self._boiling * entropy
            beyond = pressure < throat.pressure[row]
            flux = np.sqrt(2.0 * drop[beyond])
            flux /= volume_at_zero[beyond] + volume_slope[beyond] * entropy
            opening = np.sqrt(np.maximum(throat.flux[row] / flux - 1.0, 0.0))
            place = np.append(opening, 0.0)[::-1]
            mouth = np.append(self._log_pressure[beyond], np.log(throat.pressure[row]))[::-1]
            self._log_mouth[row] = np.interp(self._widening, place, mouth)
            drop_there = np.interp(self._log_mouth[row], self._log_pressure, drop)
            self._velocity[row] = np.sqrt(2.0 * drop_there)

    def flux(self, boiler: Numbers) -> Array:
        """Critical flux at the throat [kg/(s m²)], shape of ``boiler`` [Pa]."""
        flux: Array = np.exp(self._along(boiler, self._log_flux))
        return flux

    def enthalpy(self, boiler: Numbers) -> Array:
        """Specific enthalpy of the steam at rest [J/kg], shape of ``boiler`` [Pa]."""
        return self._along(boiler, self._rest.enthalpy)

    def mouth(self, boiler: Numbers, area_ratio: Array) -> tuple[Array, Array]:
        """Pressure, absolute [Pa], and velocity [m/s] at a mouth of ``area_ratio`` [-], 1 to 25.

        Shapes broadcast. Ratios outside are held at the end of the range.
        """
        place = np.sqrt(np.maximum(area_ratio - 1.0, 0.0)) * (1.0 / self._widening[1])
        place = np.minimum(place, _RATIOS - 1.000001)
        cell = place.astype(np.intp)
        place = place - cell
        row, part = self._row(boiler)
        if np.ndim(boiler) == 0:
            lines = (
                table[row] + part * (table[row + 1] - table[row])
                for table in (self._log_mouth, self._velocity)
            )
            log_mouth, velocity = (line[cell] + place * np.diff(line)[cell] for line in lines)
        else:
            log_mouth, velocity = (
                _bilinear(table, row, part, cell, place)
                for table in (self._log_mouth, self._velocity)
            )
        return np.exp(log_mouth), velocity

    def velocity_at(self, boiler: Numbers, pressure: Array) -> Array:
        """Velocity of the jet where it has expanded to a ``pressure``, absolute [Pa], [m/s].

        Shapes broadcast. Pressures below 1e3 are held there.
        """
        entropy = self._along(boiler, self._rest.entropy)
        enthalpy = self._along(boiler, self._rest.enthalpy)
        place = np.log(np.maximum(pressure, LOWEST_MOUTH))
        gibbs = np.interp(place, self._log_pressure, self._gibbs)
        boiling = np.interp(place, self._log_pressure, self._boiling)
        velocity: Array = np.sqrt(np.maximum(2.0 * (enthalpy - gibbs - boiling * entropy), 0.0))
        return velocity

    def _along(self, boiler: Numbers, column: Array) -> Array:
        row, part = self._row(boiler)
        value: Array = column[row] + part * (column[row + 1] - column[row])
        return value

    def _row(self, boiler: Numbers) -> tuple[_Cells, Array]:
        spacing = self._log_boiler[1] - self._log_boiler[0]
        place = (np.log(boiler) - self._log_boiler[0]) / spacing
        row = np.clip(np.asarray(place).astype(np.intp), 0, _BOILERS - 2)
        return row, np.asarray(place - row)


@lru_cache(maxsize=8)
def steam_cone(dryness: float) -> SteamCone:
    """Make the table of a dryness [-], 0.8 to 1, or hand out the one made before."""
    return SteamCone(dryness)


def require_boiler(boiler: Numbers) -> Array:
    """Pressure of the boiler [Pa], once it is known to be allowed: ``boiler`` is absolute [Pa].

    Any shape, 0.9e5 to 2.0e6, handed back as an array. Raises OutOfRange.
    """
    return require_within(
        "boiler pressure",
        boiler,
        low=LOWEST_BOILER,
        high=HIGHEST_BOILER,
        unit="Pa",
        hint="counted from vacuum and not gauge; an injector needs steam above the atmosphere",
    )


def _lines(pressure: Array) -> tuple[Array, Array, Array]:
    """Boiling point, and volume of a mist as a straight line in its entropy."""
    at_zero = mist_volume(pressure=pressure, entropy=0.0)
    slope = (mist_volume(pressure=pressure, entropy=1e4) - at_zero) / 1e4
    return saturation_temperature(pressure=pressure), at_zero, slope


def _bilinear(table: Array, row: _Cells, part: Array, cell: _Cells, place: Array) -> Array:
    near = table[row, cell] + place * (table[row, cell + 1] - table[row, cell])
    far = table[row + 1, cell] + place * (table[row + 1, cell + 1] - table[row + 1, cell])
    value: Array = near + part * (far - near)
    return value
