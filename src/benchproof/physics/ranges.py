"""The checks that every gap-flow function makes on what it is given."""

from __future__ import annotations

from typing import Final, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from benchproof.physics.errors import Array, OutOfRange

Numbers: TypeAlias = float | Array

_NAMES_BY_UNIT: Final = {
    "m": "width gap length diameter radial_gap face_gap travel stroke size",
    "m²": "area piston_area",
    "m³": "volume",
    "Pa": "low_pressure back_pressure air_pressure ambient_pressure inlet_pressure outlet_pressure",
    "Pa s": "viscosity",
    "K": "temperature reference",
    "J/(kg K)": "gas_constant",
    "kg": "mass",
    "kg/m³": "density inlet_density density_supply density_exhaust",
    "N": "wall_friction",
    "s": "time",
    "1/s": "revolutions_per_second",
    "-": "flow_factor slip slenderness entries friction_coefficient cutoff compression "
    "clearance_volume",
}
UNITS: Final = {name: unit for unit, names in _NAMES_BY_UNIT.items() for name in names.split()}
"""Unit of each quantity that is checked by name."""


def require(
    holds: ArrayLike,
    *,
    quantity: str,
    given: Numbers,
    low: Numbers = -np.inf,
    high: Numbers = np.inf,
    unit: str = "-",
    hint: str = "",
) -> None:
    """Raise OutOfRange unless ``holds`` [true or false] is true everywhere.

    quantity: its name. given: its values [unit]. low, high: the range, which may differ from
    sample to sample [unit]; the error names the first value that breaks it and its own range.
    """
    broken = ~np.asarray(holds, dtype=bool)
    if broken.any():
        value, lower, upper = (
            float(np.broadcast_to(np.asarray(each, dtype=float), broken.shape)[broken][0])
            for each in (given, low, high)
        )
        raise OutOfRange(quantity, value, (lower, upper), unit, hint)


def require_positive(**quantities: Numbers) -> None:
    """Raise OutOfRange unless every quantity is finite and above zero."""
    for name, value in quantities.items():
        require(
            np.isfinite(value) & (np.asarray(value) > 0.0),
            quantity=name.replace("_", " "),
            given=value,
            low=0.0,
            unit=UNITS[name],
            hint="it must be finite and more than zero",
        )


def require_not_negative(**quantities: Numbers) -> None:
    """Raise OutOfRange unless every quantity is finite and zero or more."""
    for name, value in quantities.items():
        require(
            np.isfinite(value) & (np.asarray(value) >= 0.0),
            quantity=name.replace("_", " "),
            given=value,
            low=0.0,
            unit=UNITS[name],
            hint="it must be finite",
        )


def require_downhill(*, high_pressure: Numbers, low_pressure: Numbers) -> None:
    """Raise OutOfRange unless the high pressure is finite and at least the low pressure [Pa]."""
    require(
        np.isfinite(high_pressure) & np.greater_equal(high_pressure, low_pressure),
        quantity="high pressure",
        given=high_pressure,
        low=low_pressure,
        unit="Pa",
        hint="gas flows from the high pressure to the low one",
    )
