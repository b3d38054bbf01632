"""Water and steam on the boiling line, fast enough for Monte Carlo.

Densities, enthalpies and viscosities of saturated water and steam are cubic splines in the
logarithm of the absolute pressure from 700 Pa to 3.0 MPa. The knots are spaced evenly, so that a
state costs one index and one cubic. The spline differs from the formulation it stands for by
less than 5e-9 of the value (of the latent heat for enthalpies, whose zero is arbitrary).
Boiling point, boiling pressure and superheated steam are the formulation itself.

Pressures are absolute. Enthalpies count from liquid water at its triple point.

Sources: IAPWS R7-97(2012) (IF97), regions 1, 2 and 4; IAPWS R12-08 for viscosity. The table is
written by ``scripts/make_steam_table.py``. Real steam is known to about 0.1 % in density and
0.2 % in enthalpy here, 2 % in viscosity (from memory of the releases).
"""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike

from benchproof.physics.errors import Array
from benchproof.physics.saturation_line import (
    HIGHEST_PRESSURE,
    LOWEST_PRESSURE,
    require_pressure,
    saturation_pressure,
    saturation_temperature,
)
from benchproof.physics.superheated import (
    GAS_CONSTANT_STEAM,
    superheated_density,
    superheated_enthalpy,
    superheated_viscosity,
)

__all__ = [
    "GAS_CONSTANT_STEAM",
    "HIGHEST_PRESSURE",
    "LOWEST_PRESSURE",
    "latent_heat",
    "saturated_liquid_density",
    "saturated_liquid_enthalpy",
    "saturated_liquid_viscosity",
    "saturated_vapour_density",
    "saturated_vapour_enthalpy",
    "saturated_vapour_viscosity",
    "saturation_pressure",
    "saturation_temperature",
    "superheated_density",
    "superheated_enthalpy",
    "superheated_viscosity",
]


def saturated_vapour_density(*, pressure: ArrayLike) -> Array:
    """Density of dry saturated steam [kg/m3].

    ``pressure`` is absolute [Pa], any shape, 700 to 3.0e6. Raises OutOfRange.
    Source: IAPWS R7-97(2012), region 2.
    """
    return np.exp(_spline("log_vapour_density", pressure))


def saturated_liquid_density(*, pressure: ArrayLike) -> Array:
    """Density of boiling water [kg/m3].

    ``pressure`` is absolute [Pa], any shape, 700 to 3.0e6. Raises OutOfRange.
    Source: IAPWS R7-97(2012), region 1.
    """
    return _spline("liquid_density", pressure)


def saturated_vapour_enthalpy(*, pressure: ArrayLike) -> Array:
    """Specific enthalpy of dry saturated steam [J/kg].

    ``pressure`` is absolute [Pa], any shape, 700 to 3.0e6. Raises OutOfRange.
    Source: IAPWS R7-97(2012), region 2.
    """
    return _spline("vapour_enthalpy", pressure)


def saturated_liquid_enthalpy(*, pressure: ArrayLike) -> Array:
    """Specific enthalpy of boiling water [J/kg].

    ``pressure`` is absolute [Pa], any shape, 700 to 3.0e6. Raises OutOfRange.
    Source: IAPWS R7-97(2012), region 1.
    """
    return _spline("liquid_enthalpy", pressure)


def latent_heat(*, pressure: ArrayLike) -> Array:
    """Heat that turns boiling water into dry steam at constant pressure [J/kg].

    ``pressure`` is absolute [Pa], any shape, 700 to 3.0e6. Raises OutOfRange.
    Source: IAPWS R7-97(2012), difference of the enthalpies of regions 2 and 1.
    """
    return _spline("vapour_enthalpy", pressure) - _spline("liquid_enthalpy", pressure)


def saturated_vapour_viscosity(*, pressure: ArrayLike) -> Array:
    """Viscosity of dry saturated steam [Pa s].

    ``pressure`` is absolute [Pa], any shape, 700 to 3.0e6. Raises OutOfRange.
    Source: IAPWS R12-08 at the density of IAPWS R7-97(2012).
    """
    return _spline("vapour_viscosity", pressure)


def saturated_liquid_viscosity(*, pressure: ArrayLike) -> Array:
    """Viscosity of boiling water [Pa s].

    ``pressure`` is absolute [Pa], any shape, 700 to 3.0e6. Raises OutOfRange.
    Source: IAPWS R12-08 at the density of IAPWS R7-97(2012).
    """
    return _spline("liquid_viscosity", pressure)


def _spline(name: str, pressure: ArrayLike) -> Array:
    absolute = require_pressure(pressure)
    start, spacing, columns = _table()
    constant, linear, square, cubic = columns[name]
    along = (np.log(absolute) - start) / spacing
    # The last knot ends the last cubic and starts none.
    cell = np.clip(along.astype(np.intp), 0, len(constant) - 1)
    part = along - cell
    value: Array = constant[cell] + part * (
        linear[cell] + part * (square[cell] + part * cubic[cell])
    )
    return value


_Cubics = tuple[Array, Array, Array, Array]


@lru_cache(maxsize=1)
def _table() -> tuple[float, float, dict[str, _Cubics]]:
    """Logarithm of the first pressure, spacing of the knots, and the cubics of each quantity."""
    shipped = files("benchproof.physics").joinpath("data", "saturated_steam.csv")
    with shipped.open(encoding="utf-8") as opened:
        names = opened.readline().strip().split(",")
        knots = np.loadtxt(opened, delimiter=",", unpack=True)
    by_name = dict(zip(names, knots, strict=True))
    log_pressure = by_name["log_pressure"]
    spacing = float(log_pressure[-1] - log_pressure[0]) / (len(log_pressure) - 1)
    quantities = [name for name in names if f"{name}_slope" in by_name]
    return (
        float(log_pressure[0]),
        spacing,
        {name: _cubics(by_name[name], spacing * by_name[f"{name}_slope"]) for name in quantities},
    )


def _cubics(value: Array, rise: Array) -> _Cubics:
    """Power coefficients of the cubics through values and slopes at knots one apart."""
    step = np.diff(value)
    return (
        value[:-1],
        rise[:-1],
        3.0 * step - 2.0 * rise[:-1] - rise[1:],
        rise[:-1] + rise[1:] - 2.0 * step,
    )
