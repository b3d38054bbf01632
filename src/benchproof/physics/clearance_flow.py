"""Laminar leakage through a narrow gap: liquids, and gases with slip at the walls.

The gap between a piston and its bore is so narrow against the diameter that it flows like the
slit between two plates, unrolled: leakage goes with the cube of the gap. How the piston lies in
its bore multiplies that by a flow factor (see ``posture``). In a gas the wall does not quite
hold the layer next to it, which adds a term with the square of the gap; at 10 µm and one
atmosphere it is worth 4 %.

Sources: M. G. Rabie, Fluid Power Engineering, 2009, eq. 2.19 (concentric annulus; its c is the
radial clearance). Slip coefficient for walls that scatter diffusely: F. Sharipov, J. Phys. Chem.
Ref. Data 40, 2011, 023101 (from memory); metal walls may slip up to 1.3 times as much.
"""

from __future__ import annotations

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import (
    Numbers,
    require_downhill,
    require_not_negative,
    require_positive,
)

SLIP = 1.016
"""Viscous slip coefficient of diffusely scattering walls [-]."""


def slit_flow(
    *, width: Numbers, gap: Numbers, length: Numbers, pressure_drop: Numbers, viscosity: Numbers
) -> Array:
    """Volume flow of a liquid between parallel plates [m³/s], shape of the inputs broadcast.

    width: across the flow [m]. gap: between the plates [m], 0 or more. length: along the flow
    [m]. pressure_drop: [Pa], either sign. viscosity: dynamic [Pa s]. Laminar, width ≫ gap.
    Raises OutOfRange. Source: plane Poiseuille flow.
    """
    require_positive(width=width, length=length, viscosity=viscosity)
    require_not_negative(gap=gap)
    flow: Array = np.multiply(width, np.power(gap, 3)) * pressure_drop / (12.0 * viscosity * length)
    return flow


def annulus_flow(
    *,
    diameter: Numbers,
    radial_gap: Numbers,
    length: Numbers,
    pressure_drop: Numbers,
    viscosity: Numbers,
    flow_factor: Numbers = 1.0,
) -> Array:
    """Volume flow of a liquid through a narrow annulus [m³/s], shape of the inputs broadcast.

    diameter: mean of bore and piston [m]. radial_gap: mean [m], 0 or more. length: of the land
    [m]. pressure_drop: [Pa], either sign. viscosity: dynamic [Pa s]. flow_factor: what the
    posture multiplies the concentric flow by [-], above 0. Laminar; gap below a tenth of the
    diameter for 0.2 %. Raises OutOfRange.
    Source: M. G. Rabie, Fluid Power Engineering, 2009, eq. 2.19.
    """
    require_positive(diameter=diameter, flow_factor=flow_factor)
    circumference = np.pi * np.asarray(diameter)
    return flow_factor * slit_flow(
        width=circumference,
        gap=radial_gap,
        length=length,
        pressure_drop=pressure_drop,
        viscosity=viscosity,
    )


def slip_length(*, viscosity: Numbers, gas_constant: Numbers, temperature: Numbers) -> Array:
    """Product of pressure and equivalent free path l* = µ √(2 R T) [Pa m].

    viscosity: dynamic [Pa s]. gas_constant: of this gas [J/(kg K)]. temperature: [K].
    Divided by the pressure it is the equivalent free path; times √π/2 and divided by the
    pressure it is the mean free path. Raises OutOfRange.
    """
    require_positive(viscosity=viscosity, gas_constant=gas_constant, temperature=temperature)
    product: Array = viscosity * np.sqrt(2.0 * np.multiply(gas_constant, temperature))
    return product


def slip_flow_factor(flow_factor: Numbers) -> Array:
    """What posture multiplies the slip term by [-], given the flow factor of the cubic term [-].

    Exact for a parallel offset, where the cube gives 1 + 3e²/2 and the square 1 + e²/2.
    """
    factor: Array = 1.0 + (np.asarray(flow_factor) - 1.0) / 3.0
    return factor


def gas_annulus_flow(
    *,
    diameter: Numbers,
    radial_gap: Numbers,
    length: Numbers,
    high_pressure: Numbers,
    low_pressure: Numbers,
    viscosity: Numbers,
    temperature: Numbers,
    gas_constant: Numbers,
    flow_factor: Numbers = 1.0,
    slip: Numbers = SLIP,
) -> Array:
    """Mass flow of a gas through a narrow annulus, isothermal [kg/s], shape broadcast.

    diameter: mean of bore and piston [m]. radial_gap: mean [m], 0 or more. length: of the land
    [m]. high_pressure, low_pressure: absolute [Pa], high ≥ low. viscosity: dynamic [Pa s].
    temperature: [K]. gas_constant: of this gas [J/(kg K)]. flow_factor: of the posture [-].
    slip: viscous slip coefficient [-]; 0 leaves slip out.
    Laminar, slow (no inertia), gap above 1.5 µm in air at one atmosphere. Raises OutOfRange.
    Source: derived from plane Poiseuille flow with first-order slip u = slip·(l*/p)·du/dy.
    """
    require_positive(
        diameter=diameter, length=length, low_pressure=low_pressure, flow_factor=flow_factor
    )
    require_not_negative(radial_gap=radial_gap, slip=slip)
    require_downhill(high_pressure=high_pressure, low_pressure=low_pressure)
    free_path = slip_length(viscosity=viscosity, gas_constant=gas_constant, temperature=temperature)
    pressure_drop = np.subtract(high_pressure, low_pressure)
    mean_pressure = 0.5 * np.add(high_pressure, low_pressure)
    gap = np.asarray(radial_gap)
    cube = gap**3 * flow_factor * mean_pressure
    square = 6.0 * slip * free_path * gap**2 * slip_flow_factor(flow_factor)
    gas = np.multiply(gas_constant, temperature)
    flow: Array = (
        np.pi * np.asarray(diameter) * pressure_drop * (cube + square)
        / (12.0 * viscosity * gas * length)
    )  # fmt: skip
    return flow
