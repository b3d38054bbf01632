"""The gap that a plug cock leaks by, and what leaks: water, steam or air.

Where the tapers of plug and body differ, the cones touch at one end and a wedge opens towards the
other: half the difference of the included angles times the length. A floor gap is left even
where they touch, since no two surfaces are smooth. The leak is laminar in a narrow gap, with the
cube of it (see ``taper_ports`` for the shape factors); in a wide one the fluid's own inertia at
the port's edge holds it back. The two ends are joined by

    m/m_laminar + (m/m_orifice)² = 1,

which is what pressure drops in series make of a liquid; against the momentum equation of a
straight slit (``compressible_gap``) it reads up to 9 % high for steam while the gap is laminar.

Sources: own derivation; entry loss and choking as in ``compressible_gap``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from benchproof.physics.clearance_flow import SLIP, slip_length
from benchproof.physics.compressible_gap import ENTRY_LOSS, gap_mass_flux
from benchproof.physics.errors import Array
from benchproof.physics.ranges import (
    Numbers,
    require,
    require_downhill,
    require_not_negative,
    require_positive,
)

_NO_LENGTH: Final = 1e-9
_WIDE: Final = 1e-3
_LEAST_ORIFICE: Final = 1e-100  # where nothing drives a flow, nothing is divided by it


def wedge_rise(*, mismatch: Numbers, length: Numbers) -> Array:
    """Radial gap at the open end less that where the cones touch [m], shape broadcast.

    mismatch: difference of the *included* angles of plug and body [rad], either sign. length:
    of the seat [m]. Small angles. Raises OutOfRange.
    """
    require_positive(length=length)
    rise: Array = 0.5 * np.abs(mismatch) * np.asarray(length)
    return rise


def tool_height_error(
    *, tool_height: Numbers, small_diameter: Numbers, large_diameter: Numbers, length: Numbers
) -> Array:
    """Loss of included angle of a cone turned with the tool off centre [rad], shape broadcast.

    tool_height: of the point above or below the lathe's centres [m], less than the small
    radius. small_diameter, large_diameter: of the cone meant [m]. length: along the axis
    between them [m]. A radius x that the slides set comes out as sqrt(x² + y²), more at the
    small end; twice the height, four times the loss. Raises OutOfRange.
    """
    require_positive(length=length)
    small, large = 0.5 * np.asarray(small_diameter), 0.5 * np.asarray(large_diameter)
    require(
        (small > 0.0) & (large >= small),
        quantity="small diameter",
        given=2.0 * small,
        low=0.0,
        high=2.0 * large,
        unit="m",
    )
    height = np.asarray(tool_height, dtype=float)
    require(
        np.abs(height) < small,
        quantity="tool height",
        given=height,
        low=-small,
        high=small,
        unit="m",
    )
    rise = np.hypot(large, height) - np.hypot(small, height)
    loss: Array = 2.0 * (np.arctan((large - small) / length) - np.arctan(rise / length))
    return loss


@dataclass(frozen=True)
class PortLeak:
    """What one fluid does at one pressure: flow from gap and shape factors, fast for samples.

    ``laminar`` [kg/s or m³/s per m³ of shape times cube of gap], ``slip`` [the same per m² of
    shape times square of gap], ``orifice`` [the same per m of gap].
    """

    laminar: float
    slip: float
    orifice: float

    def flow(self, *, gap: Numbers, cube_shape: Numbers, square_shape: Numbers = 0.0) -> Array:
        """Whole leak [kg/s of a gas, m³/s of a liquid], shape broadcast.

        gap: radial, at the port's centre [m], 0 or more. cube_shape, square_shape: shape
        factors of the terms with the cube and the square of the gap [-].
        """
        pace = np.asarray(np.multiply(gap, cube_shape, dtype=float))
        pace *= self.laminar  # laminar flow over gap squared
        if self.slip:
            pace = pace + self.slip * np.asarray(square_shape)
        pace = np.asarray(pace * gap)
        choking = np.asarray(np.square(pace))
        choking *= 4.0 / self.orifice**2
        choking += 1.0
        np.sqrt(choking, out=choking)
        choking += 1.0
        pace *= 2.0
        pace *= gap
        pace /= choking
        return pace


def liquid_leak(
    *, port_diameter: float, pressure_drop: float, viscosity: float, density: float
) -> PortLeak:
    """Leak of a liquid by volume [m³/s].

    port_diameter: [m]. pressure_drop: inlet less outside [Pa], 0 or more. viscosity: dynamic
    [Pa s]. density: [kg/m³]. The orifice end has the entry loss of 1.5 velocity heads.
    Raises OutOfRange.
    """
    require_positive(diameter=port_diameter, viscosity=viscosity, density=density)
    require_not_negative(**{"inlet_pressure": pressure_drop})
    speed = float(np.sqrt(2.0 * pressure_drop / (ENTRY_LOSS * density)))
    edge = np.pi * port_diameter
    return PortLeak(pressure_drop / (12.0 * viscosity), 0.0, max(edge * speed, _LEAST_ORIFICE))


def gas_leak(
    *,
    port_diameter: float,
    high_pressure: float,
    low_pressure: float,
    density: float,
    viscosity: float,
    slip: float = 0.0,
) -> PortLeak:
    """Leak of a gas by mass [kg/s], at constant R T = pressure over density upstream.

    port_diameter: [m]. high_pressure, low_pressure: absolute [Pa], high ≥ low > 0. density,
    viscosity: of the gas upstream [kg/m³], [Pa s]. slip: slip coefficient times equivalent free
    path times pressure, see ``air_slip`` [Pa m]; 0 leaves it out, as for steam, where at 8 bar
    it is worth under 1 %. Raises OutOfRange.
    """
    require_positive(
        diameter=port_diameter, low_pressure=low_pressure, density=density, viscosity=viscosity
    )
    require_downhill(high_pressure=high_pressure, low_pressure=low_pressure)
    gas = high_pressure / density
    drop = high_pressure - low_pressure
    mean = 0.5 * (high_pressure + low_pressure)
    sonic = float(
        gap_mass_flux(
            radial_gap=_WIDE,
            length=_NO_LENGTH,
            high_pressure=high_pressure,
            low_pressure=low_pressure,
            density=density,
            viscosity=viscosity,
        )
    )
    scale = drop / (12.0 * viscosity * gas)
    edge = np.pi * port_diameter
    return PortLeak(scale * mean, scale * 6.0 * slip, max(edge * sonic, _LEAST_ORIFICE))


def air_slip(*, viscosity: float, gas_constant: float, temperature: float) -> float:
    """Slip coefficient times equivalent free path times pressure [Pa m], for ``gas_leak``.

    viscosity: dynamic [Pa s]. gas_constant: [J/(kg K)]. temperature: [K]. Raises OutOfRange.
    """
    return SLIP * float(
        slip_length(viscosity=viscosity, gas_constant=gas_constant, temperature=temperature)
    )
