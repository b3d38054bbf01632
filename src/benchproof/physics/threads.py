"""Strength of screw threads: stress area, shear areas, and what torque makes of them.

A thread strips on one of two cylinders. Which one depends on the metals and on the true
diameters: the screw's threads shear where the nut's bore lies, the nut's where the screw's
outside lies, and the looser the pitch diameters the less metal stands in either.
"""

from __future__ import annotations

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require


def tensile_stress_area(*, pitch_diameter: Numbers, core_diameter: Numbers) -> Array:
    """Area a screw breaks as if it had [m²], shape broadcast.

    pitch_diameter, core_diameter: of the screw [m], 0 < core < pitch. Raises OutOfRange.
    Source: ISO 898-1, nominal stress area (pi/4)((d2 + d3)/2)².
    """
    _require_inside("core diameter", core_diameter, pitch_diameter)
    mean = 0.5 * np.add(pitch_diameter, core_diameter)
    area: Array = 0.25 * np.pi * mean * mean
    return area


def screw_shear_area(
    *,
    nut_minor: Numbers,
    screw_pitch_diameter: Numbers,
    pitch: Numbers,
    half_angle: float,
    length: Numbers,
) -> Array:
    """Area on which the screw's threads shear off [m²], shape broadcast; none below zero.

    nut_minor: bore of the nut [m]. screw_pitch_diameter: [m]. pitch: [m], above 0. half_angle:
    of the flanks [rad], above 0 and below 45 degrees. length: engaged [m]. Raises OutOfRange.
    Source: FED-STD-H28/2B in Machinery's Handbook, 24th ed.: pi n L Kn [1/(2n) + tan a (Es - Kn)].
    """
    tooth = _tooth(pitch, half_angle, np.subtract(screw_pitch_diameter, nut_minor))
    area: Array = np.pi * np.asarray(length) / pitch * nut_minor * tooth
    return area


def nut_shear_area(
    *,
    screw_major: Numbers,
    nut_pitch_diameter: Numbers,
    pitch: Numbers,
    half_angle: float,
    length: Numbers,
) -> Array:
    """Area on which the nut's threads shear off [m²], shape broadcast; none below zero.

    screw_major: outside of the screw [m]. nut_pitch_diameter: [m]. pitch, half_angle, length
    as in ``screw_shear_area``: [m], [rad], [m]. Raises OutOfRange. Source: the same.
    """
    tooth = _tooth(pitch, half_angle, np.subtract(screw_major, nut_pitch_diameter))
    area: Array = np.pi * np.asarray(length) / pitch * screw_major * tooth
    return area


def preload(
    *,
    torque: Numbers,
    pitch: Numbers,
    pitch_diameter: Numbers,
    half_angle: float,
    thread_friction: Numbers,
    collar_radius: Numbers,
    collar_friction: Numbers,
) -> Array:
    """Axial force a torque makes in a nut [N], shape broadcast.

    torque: [N m], 0 or more. pitch, pitch_diameter: of the thread [m]. half_angle: of its flanks
    [rad]. thread_friction, collar_friction: coefficients [-], 0 or more. collar_radius: at which
    the nut rubs on what it pushes [m]. Raises OutOfRange, also for a thread that would not turn.
    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 8th ed., eq. 8-26 (from
    memory).
    """
    require(np.asarray(torque) >= 0.0, quantity="torque", given=torque, low=0.0, unit="N m")
    for name, value in (("thread friction", thread_friction), ("collar friction", collar_friction)):
        require(np.asarray(value) >= 0.0, quantity=name, given=value, low=0.0)
    lead = np.divide(pitch, np.pi * np.asarray(pitch_diameter))
    rubbing = np.asarray(thread_friction) / np.cos(half_angle)
    against = 1.0 - lead * rubbing
    require(against > 0.0, quantity="thread friction", given=thread_friction, low=0.0)
    arm = 0.5 * np.asarray(pitch_diameter) * (lead + rubbing) / against
    force: Array = np.asarray(torque) / (arm + np.multiply(collar_friction, collar_radius))
    return force


def lead_error_play(*, lead_error: Numbers, half_angle: float) -> Array:
    """Pitch clearance that an error of lead over the engaged length takes up [m], as its shape.

    lead_error: difference between screw and nut over the engaged length, either way [m].
    half_angle: of the flanks [rad], above 0 and below 45 degrees. Raises OutOfRange.
    Source: geometry; 1.732 times for 60 degree threads, 1.921 for 55, 2.273 for 47.5.
    """
    _require_angle(half_angle)
    play: Array = np.abs(lead_error) / np.tan(half_angle)
    return play


def _tooth(pitch: Numbers, half_angle: float, overlap: Array) -> Array:
    """Thickness of one thread where it shears [m], never less than none."""
    require(np.asarray(pitch) > 0.0, quantity="pitch", given=pitch, low=0.0, unit="m")
    _require_angle(half_angle)
    tooth: Array = np.maximum(0.5 * np.asarray(pitch) + np.tan(half_angle) * overlap, 0.0)
    return tooth


def _require_angle(half_angle: float) -> None:
    high = 0.25 * np.pi
    require(0.0 < half_angle < high, quantity="half angle", given=half_angle, low=0.0, high=high)


def _require_inside(quantity: str, inner: Numbers, outer: Numbers) -> None:
    require(
        (np.asarray(inner) > 0.0) & np.less(inner, outer),
        quantity=quantity,
        given=inner,
        low=0.0,
        high=outer,
        unit="m",
    )
