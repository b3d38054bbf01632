"""What people write ("12 mm", "1 7/16 in", "2 thou", "80 psi", "10 ± 3 K") to SI and back."""

from benchproof.quantities.catalogue import KINDS
from benchproof.quantities.errors import QuantityError
from benchproof.quantities.kinds import Kind, System, Unit
from benchproof.quantities.parsing import parse
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
from benchproof.quantities.scales import ATMOSPHERE
from benchproof.quantities.showing import degrees_and_minutes, echo, show, write
from benchproof.quantities.sizes import (
    AREA,
    FORCE,
    GAP_CONDUCTANCE,
    LENGTH,
    MASS,
    TORQUE,
    VOLUME,
)
from benchproof.quantities.spreads import (
    echo_spread,
    parse_spread,
    show_spread,
    write_spread,
)
from benchproof.quantities.temperatures import TEMPERATURE, TEMPERATURE_DIFFERENCE

__all__ = [
    "ABSOLUTE_PRESSURE",
    "ANGLE",
    "AREA",
    "ATMOSPHERE",
    "COUNT",
    "DURATION",
    "FORCE",
    "FRACTION",
    "GAP_CONDUCTANCE",
    "GAUGE_PRESSURE",
    "KINDS",
    "LENGTH",
    "MASS",
    "MASS_FLOW",
    "NUMBER",
    "PRESSURE_DIFFERENCE",
    "SPEED",
    "SPEED_OF_ROTATION",
    "STRESS",
    "TAPER",
    "TEMPERATURE",
    "TEMPERATURE_DIFFERENCE",
    "TORQUE",
    "VISCOSITY",
    "VOLUME",
    "VOLUME_FLOW",
    "Kind",
    "QuantityError",
    "System",
    "Unit",
    "degrees_and_minutes",
    "echo",
    "echo_spread",
    "parse",
    "parse_spread",
    "show",
    "show_spread",
    "write",
    "write_spread",
]
