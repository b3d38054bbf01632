"""How a taper plug sits: what lapping costs, how hard it turns, whether it sticks or lifts.

``taper`` is always on diameter: 0.1 for 1:10; the half-angle has tan a = taper/2. Whatever comes
off the diameters, of plug or body, lets the plug sink by that over the taper: ten times as much
at 1:10. To take up a mismatch of the included angles M by lapping, M times the length must come
off at the end that touches, between them; how it is shared makes no difference to the sink.

A plug that is turned slides round, not down, so friction does not carry the axial force: the cone
bears Fa/sin a in all, and turning it takes mu Fa (D/2)/sin a. A plug that was pushed home sticks
when friction is more than tan a.

Source: statics of a cone, own derivation; names of tapers after Machinery's Handbook, 28th ed.,
p. 924.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require, require_not_negative, require_positive

Truth: TypeAlias = NDArray[np.bool_]


def half_angle(*, taper: Numbers) -> Array:
    """Half-angle of a cone [rad]. taper: on diameter [-], above 0 to 2. Raises OutOfRange."""
    angle: Array = np.arctan(0.5 * _taper(taper))
    return angle


def axial_travel(*, taper: Numbers, removed: Numbers) -> Array:
    """Travel of a plug into its seat [m] for what comes off the diameters, shape broadcast.

    taper: on diameter [-]. removed: off the diameters of plug and body together [m]. Raises
    OutOfRange.
    """
    travel: Array = np.asarray(removed) / _taper(taper)
    return travel


def lapping_sink(*, taper: Numbers, mismatch: Numbers, length: Numbers) -> Array:
    """Travel of a plug when a mismatch is lapped out wholly [m], shape broadcast.

    taper: on diameter [-]. mismatch: of the included angles [rad], either sign. length: of the
    seat [m]. Raises OutOfRange.
    """
    require_positive(length=length)
    return axial_travel(taper=taper, removed=np.abs(mismatch) * np.asarray(length))


def port_overlap(*, offset: Numbers, port_diameter: Numbers) -> Array:
    """Share of a round port left open by an equal one off its centre [-], shape broadcast.

    offset: of the centres [m], either sign. port_diameter: of both [m]. Raises OutOfRange.
    Source: area common to two equal circles.
    """
    require_positive(diameter=port_diameter)
    apart = np.minimum(np.abs(offset) / np.asarray(port_diameter), 1.0)
    share: Array = (2.0 / np.pi) * (np.arccos(apart) - apart * np.sqrt(1.0 - apart**2))
    return share


def turning_torque(
    *, axial_force: Numbers, diameter: Numbers, taper: Numbers, friction: Numbers
) -> Array:
    """Torque that turns a seated plug [N m], shape broadcast.

    axial_force: into the seat [N], 0 or more. diameter: mean [m]. taper: on diameter [-].
    friction: coefficient of plug on body [-]. Raises OutOfRange.
    """
    require_positive(diameter=diameter)
    _force(axial_force)
    sine = np.sin(half_angle(taper=taper))
    torque: Array = _friction(friction) * np.asarray(axial_force) * 0.5 * diameter / sine
    return torque


def contact_pressure(
    *, axial_force: Numbers, diameter: Numbers, length: Numbers, taper: Numbers
) -> Array:
    """Mean pressure of plug on body while it is turned [Pa], shape broadcast.

    axial_force: into the seat [N]. diameter: mean [m]. length: of the seat [m]. taper: on
    diameter [-]. Raises OutOfRange.
    """
    require_positive(diameter=diameter, length=length)
    _force(axial_force)
    pressure: Array = np.asarray(axial_force) / (
        np.pi * np.asarray(diameter) * length * 0.5 * _taper(taper)
    )
    return pressure


def self_holding(*, taper: Numbers, friction: Numbers) -> Truth:
    """Whether a plug pushed home stays there when let go. taper, friction: [-]. Broadcast."""
    return np.greater(_friction(friction), 0.5 * _taper(taper))


def freeing_force(*, seating_force: Numbers, taper: Numbers, friction: Numbers) -> Array:
    """Force that pushes a plug out again [N], shape broadcast; below zero it frees itself.

    seating_force: that pushed it home, without turning [N], 0 or more. taper: on diameter [-].
    friction: coefficient [-]. Raises OutOfRange.
    """
    _force(seating_force)
    slope, grip = 0.5 * _taper(taper), _friction(friction)
    force: Array = np.asarray(seating_force) * (grip - slope) / (grip + slope)
    return force


def lift_force(
    *, pressure_difference: Numbers, diameter: Numbers, length: Numbers, taper: Numbers
) -> Array:
    """Most that pressure all over the cone lifts a plug with [N], shape broadcast.

    pressure_difference: inside less outside [Pa], 0 or more. diameter: mean [m]. length: of the
    seat [m]. taper: on diameter [-], the cone not coming to a point. It is the pressure on the
    difference of the end areas; both ends stand in the air. Raises OutOfRange.
    """
    require_positive(diameter=diameter, length=length)
    require_not_negative(**{"inlet_pressure": pressure_difference})
    step = _taper(taper) * np.asarray(length)
    require(
        step < 2.0 * np.asarray(diameter),
        quantity="taper times length",
        given=step,
        low=0.0,
        high=2.0 * np.asarray(diameter),
        unit="m",
    )
    # pi/4 (D + s/2)^2 - pi/4 (D - s/2)^2
    force: Array = np.asarray(pressure_difference) * 0.5 * np.pi * diameter * step
    return force


def _taper(taper: Numbers) -> Array:
    value = np.asarray(taper, dtype=float)
    require(
        (value > 0.0) & (value <= 2.0),
        quantity="taper on diameter",
        given=value,
        low=0.0,
        high=2.0,
        hint="1:10 is 0.1",
    )
    return value


def _friction(friction: Numbers) -> Array:
    value = np.asarray(friction, dtype=float)
    require(
        (value > 0.0) & (value <= 2.0),
        quantity="friction",
        given=value,
        low=0.0,
        high=2.0,
    )
    return value


def _force(force: Numbers) -> None:
    value = np.asarray(force, dtype=float)
    require(
        np.isfinite(value) & (value >= 0.0),
        quantity="axial force",
        given=value,
        low=0.0,
        unit="N",
    )
