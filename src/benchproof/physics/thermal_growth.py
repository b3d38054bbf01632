"""How sizes and clearances change when metal warms up."""

from __future__ import annotations

from typing import Final

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require, require_positive

REFERENCE_TEMPERATURE: Final = 293.15
"""Temperature at which sizes are stated [K] (ISO 1:2022, 20 °C)."""


def grown(
    *,
    size: Numbers,
    expansion: Numbers,
    temperature: Numbers,
    reference: Numbers = REFERENCE_TEMPERATURE,
) -> Array:
    """Size of a part at temperature [m], shape broadcast.

    size: at the reference temperature [m], 0 or more. expansion: mean linear coefficient over
    the range [1/K]. temperature, reference: [K], above 0. Raises OutOfRange.
    """
    require_positive(temperature=temperature, reference=reference)
    require(np.asarray(size) >= 0.0, quantity="size", given=size, low=0.0, unit="m")
    hot: Array = size * (1.0 + np.multiply(expansion, np.subtract(temperature, reference)))
    return hot


def clearance_change(
    *,
    diameter: Numbers,
    outer_expansion: Numbers,
    outer_temperature: Numbers,
    inner_expansion: Numbers,
    inner_temperature: Numbers,
    reference: Numbers = REFERENCE_TEMPERATURE,
) -> Array:
    """Change of the diametral clearance of a bore and its piston from cold to hot [m].

    diameter: nominal, of both [m]. outer_expansion, inner_expansion: linear coefficients of the
    cylinder and the piston [1/K]. outer_temperature, inner_temperature: [K]. reference: at
    which sizes are stated [K]. Below 0 it closes. Shape broadcast. Raises OutOfRange.
    """
    require_positive(diameter=diameter)
    outer = grown(
        size=diameter, expansion=outer_expansion, temperature=outer_temperature, reference=reference
    )
    inner = grown(
        size=diameter, expansion=inner_expansion, temperature=inner_temperature, reference=reference
    )
    change: Array = outer - inner
    return change
