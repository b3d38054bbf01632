"""Boiling point and boiling pressure of water: region 4 of IAPWS-IF97.

One quadratic relation between a transformed temperature and the fourth root of the pressure is
solved for either side, so each function is the exact inverse of the other.

Source: IAPWS R7-97(2012), Revised Release on the IAPWS Industrial Formulation 1997 for the
Thermodynamic Properties of Water and Steam, equations 29 to 31 and table 34. The boiling
pressure is known to a few hundredths of a percent (from memory of the release).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from benchproof.physics.errors import Array, require_within

LOWEST_PRESSURE = 700.0
HIGHEST_PRESSURE = 3.0e6

_MEGAPASCAL = 1e6
_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)


def saturation_temperature(*, pressure: ArrayLike) -> Array:
    """Temperature at which water boils [K].

    ``pressure`` is absolute [Pa], any shape, 700 to 3.0e6. Raises OutOfRange.
    Source: IAPWS R7-97(2012), equation 31.
    """
    absolute = require_pressure(pressure)
    beta = np.sqrt(np.sqrt(absolute / _MEGAPASCAL))
    e = (beta + _N[2]) * beta + _N[5]
    f = (_N[0] * beta + _N[3]) * beta + _N[6]
    g = (_N[1] * beta + _N[4]) * beta + _N[7]
    d = 2.0 * g / (-f - np.sqrt(f * f - 4.0 * e * g))
    total = _N[9] + d
    temperature: Array = 0.5 * (total - np.sqrt(total * total - 4.0 * (_N[8] + _N[9] * d)))
    return temperature


def saturation_pressure(*, temperature: ArrayLike) -> Array:
    """Absolute pressure at which water boils [Pa].

    ``temperature`` [K], any shape, 275.0309 to 507.0084 (the boiling points of 700 Pa and
    3.0 MPa). Raises OutOfRange. Source: IAPWS R7-97(2012), equation 30.
    """
    boiling = require_within(
        "boiling temperature",
        temperature,
        low=float(saturation_temperature(pressure=LOWEST_PRESSURE)),
        high=float(saturation_temperature(pressure=HIGHEST_PRESSURE)),
        unit="K",
    )
    theta = boiling + _N[8] / (boiling - _N[9])
    a = (theta + _N[0]) * theta + _N[1]
    b = (_N[2] * theta + _N[3]) * theta + _N[4]
    c = (_N[5] * theta + _N[6]) * theta + _N[7]
    root = 2.0 * c / (-b + np.sqrt(b * b - 4.0 * a * c))
    pressure: Array = _MEGAPASCAL * np.square(np.square(root))
    return pressure


def require_pressure(pressure: ArrayLike) -> Array:
    """Absolute steam pressure [Pa] as an array, once it is known to be 700 to 3.0e6."""
    return require_within(
        "absolute steam pressure",
        pressure,
        low=LOWEST_PRESSURE,
        high=HIGHEST_PRESSURE,
        unit="Pa",
        hint="steam is tabulated from 7 mbar to 30 bar, counted from vacuum and not gauge",
    )
