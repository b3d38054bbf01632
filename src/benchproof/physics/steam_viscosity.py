"""Viscosity of water and steam from temperature and density.

The dilute-gas part is a series in the reciprocal temperature, the rest an exponential of a
double series in reciprocal temperature and density. The enhancement at the critical point
(647 K, 322 kg/m3) is left out, as the release allows for industrial use: it exceeds 2 % only
between 645.9 and 650.8 K and 245.8 and 405.3 kg/m3, far from any model boiler.

Source: IAPWS R12-08, Release on the IAPWS Formulation 2008 for the Viscosity of Ordinary Water
Substance, equations 10 to 12, tables 1 and 2. It is uncertain by about 1 % for water near 1 bar and
2 % for steam at the pressures of a model boiler (from memory of figure 1 there).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from benchproof.physics.errors import Array, require_within

_CRITICAL_TEMPERATURE = 647.096
_CRITICAL_DENSITY = 322.0
_MICROPASCAL_SECOND = 1e-6

_DILUTE = (1.67752, 2.20462, 0.6366564, -0.241605)
# Row i multiplies (1/T - 1)^i, column j multiplies (density - 1)^j, both reduced.
_FINITE = (
    (5.20094e-1, 2.22531e-1, -2.81378e-1, 1.61913e-1, -3.25372e-2, 0.0, 0.0),
    (8.50895e-2, 9.99115e-1, -9.06851e-1, 2.57399e-1, 0.0, 0.0, 0.0),
    (-1.08374, 1.88797, -7.72479e-1, 0.0, 0.0, 0.0, 0.0),
    (-2.89555e-1, 1.26613, -4.89837e-1, 0.0, 6.98452e-2, 0.0, -4.35673e-3),
    (0.0, 0.0, -2.57040e-1, 0.0, 0.0, 8.72102e-3, 0.0),
    (0.0, 1.20573e-1, 0.0, 0.0, 0.0, 0.0, -5.93264e-4),
)


def viscosity_of_water(*, temperature: ArrayLike, density: ArrayLike) -> Array:
    """Viscosity of liquid water or steam [Pa s].

    ``temperature`` [K], 273.15 to 1173.15; ``density`` [kg/m3], 0 to 1200; any shapes that
    broadcast. Raises OutOfRange. Source: IAPWS R12-08, equations 10 to 12 with the critical
    enhancement set to 1.
    """
    kelvin = require_within("temperature", temperature, low=273.15, high=1173.15, unit="K")
    per_volume = require_within("density", density, low=0.0, high=1200.0, unit="kg/m3")
    reciprocal = _CRITICAL_TEMPERATURE / kelvin
    reduced_density = per_volume / _CRITICAL_DENSITY
    dilute = 100.0 / (np.sqrt(reciprocal) * np.polynomial.polynomial.polyval(reciprocal, _DILUTE))
    hotter, denser = np.broadcast_arrays(reciprocal - 1.0, reduced_density - 1.0)
    series = np.polynomial.polynomial.polyval2d(hotter, denser, np.array(_FINITE))
    viscosity: Array = _MICROPASCAL_SECOND * dilute * np.exp(reduced_density * series)
    return viscosity
