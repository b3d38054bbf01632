"""The ring between the nose of the steam cone and the draft cone, where the feed comes in.

The bore that counts is that of the draft cone in the plane of the nose. Everything that moves
this plane, or the cone's wall in it, acts through it: the axial place of the steam cone, and the
taper of the reamer over the distance from where the cone was gauged.
"""

from __future__ import annotations

import numpy as np

from benchproof.physics.air import STANDARD_GRAVITY
from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require


def draft_bore_at_nose(
    *,
    draft_bore: Numbers,
    half_angle: float,
    axial_place: Numbers = 0.0,
    angle_error: Numbers = 0.0,
    gauge_distance: float = 0.0,
) -> Array:
    """Bore of the draft cone in the plane of the nose as it came out [m], shape broadcast.

    draft_bore: where it was meant to be gauged [m]. half_angle: of the draft cone [rad], above 0
    and below a right angle. axial_place: of the steam cone, outwards to the wide end [m].
    angle_error: half angle cut less half angle meant [rad], small. gauge_distance: from where the
    bore was gauged to the nose plane, towards the wide end [m]. Raises OutOfRange.

        D = D_l + 2 z tan a + 2 x (tan(a + da) - tan a)
    """
    right = 0.5 * np.pi
    require(0.0 < half_angle < right, quantity="half angle", given=half_angle, low=0.0, high=right)
    meant, cut = np.tan(half_angle), np.tan(half_angle + np.asarray(angle_error))
    bore: Array = draft_bore + 2.0 * np.asarray(axial_place) * cut
    bore = bore + 2.0 * gauge_distance * (cut - meant)
    return np.asarray(bore)


def annulus_area(*, draft_bore: Numbers, nose: Numbers) -> Array:
    """Area of the ring [m²], nothing where the nose fills the bore, shape broadcast.

    draft_bore: in the plane of the nose [m]. nose: its outside diameter [m]. An eccentric nose
    leaves the same area; what it does to the flow nobody has published.
    """
    area: Array = 0.25 * np.pi * np.maximum(np.square(draft_bore) - np.square(nose), 0.0)
    return area


def suction_pressure(*, air_pressure: Numbers, head: Numbers, density: Numbers) -> Array:
    """Pressure of the feed at the injector, standing still, absolute [Pa], shape broadcast.

    air_pressure: absolute [Pa]. head: of the water in the tank above the injector [m], negative
    for a lift. density: of the feed [kg/m³].
    """
    pressure: Array = air_pressure + np.multiply(density, head) * STANDARD_GRAVITY
    return pressure


def inflow_velocity(*, suction: Numbers, chamber_pressure: Numbers, density: Numbers) -> Array:
    """Velocity of water that falls from one pressure to another without loss [m/s].

    suction: pressure of the feed, absolute [Pa]. chamber_pressure: absolute [Pa]; where it is the
    higher, nothing flows. density: [kg/m³]. Shape broadcast.
    Source: Torricelli and Bernoulli; V. A. B. Hughes, The Steam Injector, 1912, page 91.
    """
    fall = np.maximum(np.subtract(suction, chamber_pressure), 0.0)
    velocity: Array = np.sqrt(2.0 * fall / density)
    return velocity
