"""How large a drop or a bubble is when it lets go, and when a wet gap lets no air through.

A drop hangs by surface tension round the rim it wets, a bubble round the mouth it grows from,
until weight or lift is more than that can hold: pi d sigma/(rho g), Tate's law. A drop leaves
part of itself behind; 0.6 to 0.9 of it falls, 0.7 for a tip of 2 to 6 mm. A bubble that grows
slowly leaves hardly anything.

Water creeps into a narrow gap of its own accord and holds it against 2 sigma/h. Air of one bar
cannot clear a wetted gap of 1.4 µm: a seat tested under water is then dry in name only.

Sources: T. Tate, Phil. Mag. 27, 1864 (from memory); share that falls: W. D. Harkins and
F. E. Brown, J. Am. Chem. Soc. 41, 1919 (from memory), and weights of drops by F. Eschbaum, Bulletin
of Pharmacy 9, no. 10, October 1895, p. 461; surface tension of water: IAPWS R1-76(2014).
"""

from __future__ import annotations

from typing import Final

import numpy as np

from benchproof.physics.errors import Array, require_within
from benchproof.physics.ranges import Numbers, require, require_positive

DROP_SHARE: Final = 0.7
"""Share of a hanging drop that falls [-], tips of 2 to 6 mm; 0.6 to 0.9 for all others."""

_GRAVITY: Final = 9.80665
_CRITICAL: Final = 647.096


def surface_tension(*, temperature: Numbers) -> Array:
    """Surface tension of clean water against air [N/m].

    temperature: [K], 273.15 to 373.15; any shape. A trace of grease or soap takes off a third.
    Raises OutOfRange. Source: IAPWS R1-76(2014), equation 1.
    """
    kelvin = require_within("water temperature", temperature, low=273.15, high=373.15, unit="K")
    below = 1.0 - kelvin / _CRITICAL
    tension: Array = 235.8e-3 * np.power(below, 1.256) * (1.0 - 0.625 * below)
    return tension


def tate_volume(*, diameter: Numbers, tension: Numbers, density: Numbers) -> Array:
    """Volume that surface tension can hold on a round rim or mouth [m³], shape broadcast.

    diameter: of the rim a drop wets, or of the mouth a bubble grows from [m]. tension: surface
    tension [N/m]. density: of the water, the air's left out [kg/m³]. For rims up to three times
    the capillary length of 2.7 mm. Raises OutOfRange. Source: Tate's law.
    """
    require_positive(diameter=diameter, density=density)
    require_tension(tension)
    volume: Array = np.pi * np.multiply(diameter, tension) / (np.asarray(density) * _GRAVITY)
    return volume


def blocked_gap(*, tension: Numbers, pressure_difference: Numbers, wetting: Numbers = 1.0) -> Array:
    """Widest gap that water keeps shut against air [m]: 2 sigma cos(theta)/dp, shape broadcast.

    tension: surface tension [N/m]. pressure_difference: of the air over the water [Pa], above
    0. wetting: cosine of the contact angle [-], 0 to 1; 1 wets wholly. Raises OutOfRange.
    Source: Young and Laplace, between parallel walls.
    """
    require_tension(tension)
    drop = np.asarray(pressure_difference, dtype=float)
    require(
        np.isfinite(drop) & (drop > 0.0),
        quantity="pressure difference",
        given=drop,
        low=0.0,
        unit="Pa",
    )
    cosine = np.asarray(wetting, dtype=float)
    require((cosine >= 0.0) & (cosine <= 1.0), quantity="wetting", given=cosine, low=0.0, high=1.0)
    gap: Array = 2.0 * np.multiply(tension, cosine) / drop
    return gap


def require_tension(tension: Numbers) -> None:
    """Raise OutOfRange unless a surface tension is one that water can have [N/m]."""
    value = np.asarray(tension, dtype=float)
    require(
        (value > 0.0) & (value < 0.1),
        quantity="surface tension",
        given=value,
        low=0.0,
        high=0.1,
        unit="N/m",
    )
