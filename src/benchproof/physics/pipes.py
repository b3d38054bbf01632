"""Small pipes: the pressure they may hold, how fast the fluid runs in them, and what that costs.

Annealed copper is weak and weakens with heat. Two published tables of allowed stress are kept,
each with the formula it belongs to, and the lower of both answers counts. Brazing anneals.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require

_FAHRENHEIT = np.array([100.0, 150.0, 200.0, 250.0, 300.0, 350.0, 400.0])
_PSI = 6894.757293168361
_CDA_KELVIN: Final = (_FAHRENHEIT - 32.0) / 1.8 + 273.15
_CDA_STRESS: Final = np.array([6000.0, 5100.0, 4900.0, 4800.0, 4700.0, 4000.0, 3000.0]) * _PSI
_UK_KELVIN: Final = np.array([65.0, 110.0, 150.0, 175.0, 200.0]) + 273.15
_UK_STRESS: Final = np.array([46e6, 40e6, 34e6, 26e6, 18e6])
COLDEST, HOTTEST = 250.0, 200.0 + 273.15
"""Range of metal temperature [K] in which annealed copper is rated here."""

LAMINAR_ENDS = 2300.0
"""Reynolds number above which flow is taken as turbulent, which is the dearer [-]."""

BLASIUS_ENDS = 1e5
"""Reynolds number up to which Blasius holds in smooth pipes [-]."""


def copper_stress_uk(*, temperature: Numbers) -> Array:
    """Stress allowed in annealed copper pipe [Pa], shape of the temperature.

    temperature: of the metal [K], 250 to 473.15 (200 degrees Celsius). Flat below 65 degrees
    Celsius. Raises OutOfRange.
    Source: UK Copper Board, maximum working pressures for copper tubing, condition R220.
    """
    return _allowed(temperature, _UK_KELVIN, _UK_STRESS)


def copper_stress_us(*, temperature: Numbers) -> Array:
    """Stress allowed in annealed copper pipe [Pa], shape of the temperature.

    temperature: of the metal [K], 250 to 473.15. Flat below 100 degrees Fahrenheit. Raises
    OutOfRange. Source: Copper Development Association, Copper Tube Handbook, table 3.
    """
    return _allowed(temperature, _CDA_KELVIN, _CDA_STRESS)


def pressure_uk(*, stress: Numbers, diameter: Numbers, wall: Numbers) -> Array:
    """Pressure a pipe may hold [Pa], P = 2 f t/(D - t), shape broadcast.

    stress: allowed [Pa]. diameter: largest outside [m]. wall: [m], above 0, below half the
    diameter. Raises OutOfRange. Source: UK Copper Board, as printed P = 20 f t/(D - t) in bar.
    """
    _require_wall(diameter, wall)
    pressure: Array = 2.0 * np.multiply(stress, wall) / np.subtract(diameter, wall)
    return pressure


def pressure_us(*, stress: Numbers, diameter: Numbers, wall: Numbers) -> Array:
    """Pressure a pipe may hold [Pa], P = 2 S t/(D - 0.8 t), shape broadcast.

    stress: allowed [Pa]. diameter: largest outside [m]. wall: smallest [m], above 0, below half
    the diameter. Raises OutOfRange.
    Source: Copper Development Association, Copper Tube Handbook (ASME B31 form).
    """
    _require_wall(diameter, wall)
    room = np.subtract(diameter, 0.8 * np.asarray(wall))
    pressure: Array = 2.0 * np.multiply(stress, wall) / room
    return pressure


def pressure_thick(*, stress: Numbers, diameter: Numbers, wall: Numbers) -> Array:
    """Pressure at which the hoop stress at the bore reaches a stress [Pa], shape broadcast.

    stress: [Pa]. diameter: outside [m]. wall: [m], above 0, below half the diameter. Raises
    OutOfRange. Source: Lamé's thick cylinder, S (k² - 1)/(k² + 1) with k outside over inside.
    """
    _require_wall(diameter, wall)
    inside = np.subtract(diameter, 2.0 * np.asarray(wall))
    square = np.square(np.divide(diameter, inside))
    pressure: Array = np.multiply(stress, (square - 1.0) / (square + 1.0))
    return pressure


def flow_velocity(*, mass_flow: Numbers, density: Numbers, bore: Numbers) -> Array:
    """Mean velocity in a round pipe [m/s], shape broadcast.

    mass_flow: [kg/s], 0 or more. density: [kg/m³], above 0. bore: [m], above 0. Raises OutOfRange.
    """
    for name, value, unit in (("density", density, "kg/m³"), ("bore", bore, "m")):
        require(np.asarray(value) > 0.0, quantity=name, given=value, low=0.0, unit=unit)
    area = 0.25 * np.pi * np.square(bore)
    velocity: Array = np.asarray(mass_flow) / (np.asarray(density) * area)
    return velocity


def friction_factor(*, reynolds: Numbers, laminar_ends: float = LAMINAR_ENDS) -> Array:
    """Darcy's friction factor of a smooth round pipe [-], shape of the Reynolds number.

    reynolds: [-], above 0, at most 1e5. laminar_ends: 64/Re holds up to here [-], 2300 unless
    said otherwise; above it Blasius, 0.3164 Re^-0.25. Between 2300 and 4000 neither is sure, and
    the dearer is taken. Raises OutOfRange.
    Source: Darcy and Weisbach; Blasius 1913 (from memory).
    """
    number = np.asarray(reynolds, dtype=float)
    require(
        (number > 0.0) & (number <= BLASIUS_ENDS),
        quantity="Reynolds number",
        given=number,
        low=0.0,
        high=BLASIUS_ENDS,
    )
    factor: Array = np.where(
        number <= laminar_ends, 64.0 / number, 0.3164 / np.sqrt(np.sqrt(number))
    )
    return factor


def pressure_drop(
    *,
    mass_flow: Numbers,
    density: Numbers,
    viscosity: Numbers,
    bore: Numbers,
    length: Numbers,
    losses: Numbers,
    laminar_ends: float = LAMINAR_ENDS,
) -> Array:
    """Pressure lost along a smooth round pipe [Pa], shape broadcast.

    mass_flow: [kg/s], above 0. density: [kg/m³]. viscosity: [Pa s], above 0. bore, length: [m].
    losses: velocity heads lost at entry, exit, bends and fittings [-]. laminar_ends: as in
    ``friction_factor`` [-]. Raises OutOfRange.
    Density is taken as constant: for steam keep the drop under a tenth of the pressure.
    Source: Darcy and Weisbach, (f L/D + K) rho v²/2.
    """
    velocity = flow_velocity(mass_flow=mass_flow, density=density, bore=bore)
    reynolds = np.asarray(density) * velocity * bore / np.asarray(viscosity)
    factor = friction_factor(reynolds=reynolds, laminar_ends=laminar_ends)
    heads = factor * np.divide(length, bore) + losses
    drop: Array = 0.5 * np.asarray(density) * np.square(velocity) * heads
    return drop


def _allowed(temperature: Numbers, kelvin: Array, stress: Array) -> Array:
    metal = np.asarray(temperature, dtype=float)
    require(
        (metal >= COLDEST) & (metal <= HOTTEST),
        quantity="metal temperature",
        given=metal,
        low=COLDEST,
        high=HOTTEST,
        unit="K",
        hint="above 200 °C the tables of copper end: use steel for superheated steam",
    )
    allowed: Array = np.interp(metal, kelvin, stress)
    return allowed


def _require_wall(diameter: Numbers, wall: Numbers) -> None:
    thickness = np.asarray(wall)
    require(
        (thickness > 0.0) & (2.0 * thickness < np.asarray(diameter)),
        quantity="wall",
        given=wall,
        low=0.0,
        high=0.5 * np.asarray(diameter),
        unit="m",
    )
