"""How thick an oil is at a temperature, from what its maker states at 40 and at 100 °C.

The double logarithm of the kinematic viscosity falls on a straight line against the logarithm of
absolute temperature, so two points fix an oil. The line is that of ASTM D341 above 2 mm²/s.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from benchproof.physics.errors import Array, require_within
from benchproof.physics.ranges import Numbers, require

_SQUARE_MILLIMETRE: Final = 1e-6
_SHIFT: Final = 0.7  # mm²/s, of the standard's formula
_WARM, _HOT = 313.15, 373.15
_THINNEST, _THICKEST = 2.0e-6, 5.0e-3
_AT_15: Final = 288.15
_EXPANSION_OF_OIL: Final = 7.0e-4  # 1/K, of mineral oil


def kinematic_viscosity(
    *, viscosity_warm: Numbers, viscosity_hot: Numbers, temperature: Numbers
) -> Array:
    """Kinematic viscosity of an oil at a temperature [m²/s], shape broadcast.

    viscosity_warm, viscosity_hot: the oil's own at 40 and at 100 °C [m²/s], 2e-6 to 5e-3, the
    second less than the first. temperature: [K], 253.15 to 523.15; where the line falls under
    2 mm²/s it is taken no further than that. Raises OutOfRange. Source: ASTM D341-09, log10 log10
    (v + 0.7) = A - B log10 T, v in mm²/s, T in K.
    """
    warm = require_within(
        "viscosity at 40 °C", viscosity_warm, low=_THINNEST, high=_THICKEST, unit="m²/s"
    )
    hot = require_within(
        "viscosity at 100 °C", viscosity_hot, low=_THINNEST, high=_THICKEST, unit="m²/s"
    )
    kelvin = require_within("temperature", temperature, low=253.15, high=523.15, unit="K")
    require(
        hot < warm,
        quantity="viscosity at 100 °C",
        given=hot,
        high=warm,
        unit="m²/s",
        hint="an oil is thinner at 100 °C than at 40 °C",
    )
    doubled_warm, doubled_hot = (
        np.log(np.log10(each / _SQUARE_MILLIMETRE + _SHIFT)) for each in (warm, hot)
    )
    slope = (doubled_hot - doubled_warm) / np.log(_HOT / _WARM)
    doubled = doubled_warm + slope * np.log(kelvin / _WARM)
    thick: Array = _SQUARE_MILLIMETRE * (10.0 ** np.exp(doubled) - _SHIFT)
    return np.maximum(thick, _THINNEST)


def oil_density(*, density_cool: Numbers, temperature: Numbers) -> Array:
    """Density of a mineral oil at a temperature [kg/m³], shape broadcast.

    density_cool: its own at 15 °C [kg/m³], 700 to 1100. temperature: [K], 253.15 to 523.15. Raises
    OutOfRange. The expansion, 0.0007 per kelvin, is a handbook figure from memory.
    """
    cool = require_within("density at 15 °C", density_cool, low=700.0, high=1100.0, unit="kg/m³")
    kelvin = require_within("temperature", temperature, low=253.15, high=523.15, unit="K")
    warm: Array = cool / (1.0 + _EXPANSION_OF_OIL * (kelvin - _AT_15))
    return warm


def oil_viscosity(
    *, viscosity_warm: Numbers, viscosity_hot: Numbers, density_cool: Numbers, temperature: Numbers
) -> Array:
    """Dynamic viscosity of an oil at a temperature [Pa s], shape broadcast.

    viscosity_warm, viscosity_hot: kinematic, at 40 and at 100 °C [m²/s]. density_cool: at 15 °C
    [kg/m³]. temperature: [K]. The product of :func:`kinematic_viscosity` and :func:`oil_density`,
    with their ranges. Raises OutOfRange.
    """
    thick: Array = kinematic_viscosity(
        viscosity_warm=viscosity_warm, viscosity_hot=viscosity_hot, temperature=temperature
    ) * oil_density(density_cool=density_cool, temperature=temperature)
    return thick
