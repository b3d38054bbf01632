"""Every kind of quantity the project knows."""

from __future__ import annotations

from typing import Final

from benchproof.quantities.pressures import (
    ABSOLUTE_PRESSURE,
    GAUGE_PRESSURE,
    PRESSURE_DIFFERENCE,
    STRESS,
)
from benchproof.quantities.rates import (
    DURATION,
    MASS_FLOW,
    SPEED,
    SPEED_OF_ROTATION,
    VISCOSITY,
    VOLUME_FLOW,
)
from benchproof.quantities.ratios import ANGLE, COUNT, FRACTION, NUMBER, TAPER
from benchproof.quantities.sizes import (
    AREA,
    FORCE,
    GAP_CONDUCTANCE,
    LENGTH,
    MASS,
    TORQUE,
    VOLUME,
)
from benchproof.quantities.temperatures import TEMPERATURE, TEMPERATURE_DIFFERENCE

KINDS: Final = (
    LENGTH,
    AREA,
    MASS,
    DURATION,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    GAUGE_PRESSURE,
    ABSOLUTE_PRESSURE,
    PRESSURE_DIFFERENCE,
    STRESS,
    SPEED_OF_ROTATION,
    FRACTION,
    ANGLE,
    TAPER,
    MASS_FLOW,
    VOLUME_FLOW,
    SPEED,
    VISCOSITY,
    FORCE,
    TORQUE,
    VOLUME,
    GAP_CONDUCTANCE,
    NUMBER,
    COUNT,
)
"""Every kind; a unit of the wrong dimension is named by the first kind that knows it."""
