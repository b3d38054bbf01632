"""How fast a piston sinks in its own bore on the air it must squeeze past itself.

The cylinder stands on plate glass, its lower face sealed; the piston is let in at the top and
its weight holds up a small pressure in the air below. The air leaves through the gap, so the
time of fall measures the leakage of that very gap, to a few per cent, with a stopwatch.

The pressure acts on the piston's face, the shear of the leaking air on its side, and the moving
wall drags some air down with it. Taken together all three are as if every diameter were that of
the middle of the gap; against the exact solution for a cylinder falling in a tube this errs only
by the square of gap over diameter. Own derivation; the same law serves dashpots
(B. S. Massey, Mechanics of Fluids, from memory).
"""

from __future__ import annotations

from typing import Final

import numpy as np

from benchproof.physics.clearance_flow import SLIP, slip_flow_factor, slip_length
from benchproof.physics.errors import Array
from benchproof.physics.ranges import (
    Numbers,
    require,
    require_not_negative,
    require_positive,
)

STANDARD_GRAVITY: Final = 9.80665
"""Standard acceleration of free fall [m/s²] (exact, 3rd CGPM 1901)."""


def sinking_pressure(
    *,
    diameter: Numbers,
    radial_gap: Numbers,
    mass: Numbers,
    tilt: Numbers = 0.0,
    friction_coefficient: Numbers = 0.0,
    wall_friction: Numbers = 0.0,
) -> Array:
    """Pressure the sinking piston holds up below itself, above ambient [Pa], shape broadcast.

    diameter: of the piston [m]. radial_gap: mean [m]. mass: of the piston and what stands on it
    [kg]. tilt: of the bore from upright [rad], 0 to below π/2. friction_coefficient: of the
    piston lying on its wall when tilted [-]. wall_friction: other friction [N].
    Zero where friction holds the piston. Raises OutOfRange.
    """
    require_positive(diameter=diameter, mass=mass)
    require_not_negative(
        radial_gap=radial_gap,
        friction_coefficient=friction_coefficient,
        wall_friction=wall_friction,
    )
    lean = np.asarray(tilt, dtype=float)
    holds = (lean >= 0.0) & (lean < 0.5 * np.pi)
    require(holds, quantity="tilt", given=lean, low=0.0, high=0.5 * np.pi, unit="rad")
    along = np.cos(lean) - friction_coefficient * np.sin(lean)
    force = np.multiply(mass, STANDARD_GRAVITY) * along - wall_friction
    area = 0.25 * np.pi * np.add(diameter, radial_gap) ** 2
    pressure: Array = np.maximum(force, 0.0) / area
    return pressure


def sink_speed(
    *,
    diameter: Numbers,
    radial_gap: Numbers,
    length: Numbers,
    mass: Numbers,
    air_pressure: Numbers,
    air_temperature: Numbers,
    air_viscosity: Numbers,
    gas_constant: Numbers,
    flow_factor: Numbers,
    tilt: Numbers = 0.0,
    friction_coefficient: Numbers = 0.0,
    wall_friction: Numbers = 0.0,
    face_gap: Numbers = 0.0,
    face_outer_radius: Numbers | None = None,
    slip: Numbers = SLIP,
) -> Array:
    """Steady speed of a piston sinking in its bore on air [m/s], shape broadcast.

    diameter: of the piston [m]. radial_gap: mean [m], 0 or more. length: of the lands [m].
    mass: [kg]. air_pressure: ambient, absolute [Pa]. air_temperature: [K]. air_viscosity:
    [Pa s]. gas_constant: of the air [J/(kg K)]. flow_factor: of the posture [-], above 0.
    tilt: [rad]. friction_coefficient: [-]. wall_friction: [N], see ``sinking_pressure``.
    face_gap: left under the cylinder's end face [m], where it is not sealed;
    face_outer_radius: of that face [m], needed with a face gap. slip: slip coefficient [-].
    Laminar; gap 1.5 to 100 µm. Zero where friction holds the piston. Raises OutOfRange.
    """
    require_positive(length=length, air_pressure=air_pressure, flow_factor=flow_factor)
    require_not_negative(face_gap=face_gap, slip=slip)
    free_path = slip_length(
        viscosity=air_viscosity, gas_constant=gas_constant, temperature=air_temperature
    )
    drop = sinking_pressure(
        diameter=diameter,
        radial_gap=radial_gap,
        mass=mass,
        tilt=tilt,
        friction_coefficient=friction_coefficient,
        wall_friction=wall_friction,
    )
    gap = np.asarray(radial_gap, dtype=float)
    below = air_pressure + drop
    mean_pressure = air_pressure + 0.5 * drop
    slipping = 6.0 * slip * free_path
    middle = diameter + gap
    round_piston = (
        np.pi * middle / length
        * gap * gap * (gap * flow_factor * mean_pressure
                       + slipping * slip_flow_factor(flow_factor))
    )  # fmt: skip
    under_face: Array = np.zeros(())
    if np.any(np.asarray(face_gap) > 0.0):
        bore_radius = 0.5 * np.asarray(diameter) + gap
        outer = np.asarray(np.nan if face_outer_radius is None else face_outer_radius)
        require(
            outer > bore_radius,
            quantity="face outer radius",
            given=outer,
            low=bore_radius,
            unit="m",
            hint="state it wherever there is a face gap; it lies outside the bore",
        )
        face = np.asarray(face_gap, dtype=float)
        under_face = (
            2.0 * np.pi / np.log(outer / bore_radius)
            * face * face * (face * mean_pressure + slipping)
        )  # fmt: skip
    conductance = (round_piston + under_face) / (12.0 * np.asarray(air_viscosity) * below)
    speed: Array = drop * conductance / (0.25 * np.pi * middle * middle)
    return speed


def sink_time(
    *,
    travel: Numbers,
    diameter: Numbers,
    radial_gap: Numbers,
    length: Numbers,
    mass: Numbers,
    air_pressure: Numbers,
    air_temperature: Numbers,
    air_viscosity: Numbers,
    gas_constant: Numbers,
    flow_factor: Numbers,
    tilt: Numbers = 0.0,
    friction_coefficient: Numbers = 0.0,
    wall_friction: Numbers = 0.0,
    face_gap: Numbers = 0.0,
    face_outer_radius: Numbers | None = None,
    slip: Numbers = SLIP,
) -> Array:
    """Time to sink through ``travel`` [m] at the steady speed [s], shape broadcast.

    The rest as in ``sink_speed``. Infinite where friction holds the piston or the gap is closed.
    Raises OutOfRange.
    """
    require_positive(travel=travel)
    speed = sink_speed(
        diameter=diameter,
        radial_gap=radial_gap,
        length=length,
        mass=mass,
        air_pressure=air_pressure,
        air_temperature=air_temperature,
        air_viscosity=air_viscosity,
        gas_constant=gas_constant,
        flow_factor=flow_factor,
        tilt=tilt,
        friction_coefficient=friction_coefficient,
        wall_friction=wall_friction,
        face_gap=face_gap,
        face_outer_radius=face_outer_radius,
        slip=slip,
    )
    stuck = speed <= 0.0
    time: Array = np.where(stuck, np.inf, np.divide(travel, np.where(stuck, 1.0, speed)))[()]
    return time


def dashpot_time(
    *,
    travel: Numbers,
    diameter: Numbers,
    radial_gap: Numbers,
    length: Numbers,
    mass: Numbers,
    viscosity: Numbers,
    flow_factor: Numbers = 1.0,
) -> Array:
    """Time to sink in the limit of small pressure and no slip [s]: 6π µ L D³ H/(c³ m g F).

    travel: [m]. diameter: [m]. radial_gap: mean [m], above 0. length: of the lands [m]. mass:
    [kg]. viscosity: [Pa s]. flow_factor: [-]. With this t·c³ is a constant of the piston, which
    tells at the bench what a second of time is worth in clearance. Raises OutOfRange.
    Source: the dashpot law, B. S. Massey, Mechanics of Fluids (from memory).
    """
    require_positive(travel=travel, diameter=diameter, radial_gap=radial_gap, length=length)
    require_positive(mass=mass, viscosity=viscosity, flow_factor=flow_factor)
    clearance = 2.0 * np.asarray(radial_gap)
    weight = np.multiply(mass, STANDARD_GRAVITY)
    time: Array = (
        6.0 * np.pi * np.asarray(viscosity) * length * np.power(diameter, 3) * travel
        / (clearance**3 * weight * flow_factor)
    )  # fmt: skip
    return time
