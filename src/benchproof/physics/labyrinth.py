"""Two old formulas for steam through narrow places: a row of teeth, and a free orifice.

They are kept as published, as yardsticks beside the gap law of ``compressible_gap``: Martin for
turbulent flow over many thin teeth, Napier for the most an orifice passes when it is choked.
"""

from __future__ import annotations

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require, require_positive

POUND_PER_SECOND_AND_SQUARE_INCH = 0.45359237 / 0.0254**2
"""One lb/(s in²) [kg/(m² s)], exact."""

POUND_FORCE_PER_SQUARE_INCH = 0.45359237 * 9.80665 / 0.0254**2
"""One lbf/in² [Pa], exact."""


def martin_mass_flow(
    *,
    area: Numbers,
    inlet_pressure: Numbers,
    outlet_pressure: Numbers,
    inlet_density: Numbers,
    teeth: Numbers,
) -> Array:
    """Steam through a labyrinth of equal teeth, turbulent, not choked [kg/s], shape broadcast.

    area: of one constriction [m²]. inlet_pressure, outlet_pressure: absolute [Pa], inlet ≥
    outlet > 0. inlet_density: [kg/m³]. teeth: number of constrictions [-], 1 or more.
    No flow coefficient and no carry-over between teeth. Raises OutOfRange.
    Source: H. M. Martin, Labyrinth packings, Engineering 85, 1908, p. 35 (from memory).
    """
    require_positive(area=area, outlet_pressure=outlet_pressure, inlet_density=inlet_density)
    require(np.asarray(teeth) >= 1.0, quantity="teeth", given=teeth, low=1.0)
    ratio = np.divide(outlet_pressure, inlet_pressure)
    require(
        (ratio > 0.0) & (ratio <= 1.0),
        quantity="inlet pressure",
        given=inlet_pressure,
        low=outlet_pressure,
        unit="Pa",
    )
    driving = np.multiply(inlet_pressure, inlet_density) * (1.0 - ratio * ratio)
    flow: Array = area * np.sqrt(driving / (teeth - np.log(ratio)))
    return flow


def napier_mass_flux(*, inlet_pressure: Numbers, outlet_pressure: Numbers) -> Array:
    """Dry saturated steam through a choked orifice [kg/(m² s)]: lb/(s in²) = psia/70.

    inlet_pressure, outlet_pressure: absolute [Pa], outlet at most 0.58 of the inlet, else it is
    not choked. Shape broadcast. Raises OutOfRange.
    Source: R. D. Napier's rule of 1866 (from memory).
    """
    require_positive(inlet_pressure=inlet_pressure, outlet_pressure=outlet_pressure)
    require(
        np.divide(outlet_pressure, inlet_pressure) <= 0.58,
        quantity="outlet pressure",
        given=outlet_pressure,
        high=0.58 * np.asarray(inlet_pressure),
        unit="Pa",
        hint="beyond that the orifice is not choked",
    )
    psia = np.divide(inlet_pressure, POUND_FORCE_PER_SQUARE_INCH)
    flux: Array = psia / 70.0 * POUND_PER_SECOND_AND_SQUARE_INCH
    return np.broadcast_to(flux, np.broadcast_shapes(np.shape(flux), np.shape(outlet_pressure)))[()]
