"""The delivery cone: a jet that must get through a smaller throat and there turn into pressure.

What the throat can pass is its area times the jet's velocity. More than that spills through the
overflow; less leaves part of the throat empty, and an open overflow fills it with air. The jet's
dynamic pressure comes back as pressure, less what a diffuser loses.

Sources: own derivation; V. A. B. Hughes, The Steam Injector, London 1912, pages 41 and 98, has
the loss as a velocity 25 % above that of a jet from the boiler. Overlap of circles: geometry.
"""

from __future__ import annotations

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require


def circle(diameter: Numbers) -> Array:
    """Area of a circle [m²], shape of the ``diameter`` [m]."""
    area: Array = 0.25 * np.pi * np.square(diameter)
    return area


def throat_capacity(*, throat: Numbers, velocity: Numbers, density: Numbers) -> Array:
    """What a delivery throat can pass [kg/s], shape broadcast.

    throat: diameter [m]. velocity: of the jet [m/s]. density: of the jet [kg/m³].
    """
    capacity: Array = circle(throat) * velocity * density
    return capacity


def spill_share(*, capacity: Numbers, arriving: Numbers) -> Array:
    """Share of the jet that spills [-], 0 where all of it gets through, shape broadcast.

    capacity: of the delivery throat [kg/s]. arriving: what the jet brings [kg/s], above 0.
    """
    share: Array = np.maximum(1.0 - np.divide(capacity, arriving), 0.0)
    return share


def void_share(*, capacity: Numbers, arriving: Numbers) -> Array:
    """Share of the delivery throat that the jet leaves empty [-], shape broadcast.

    capacity: of the delivery throat [kg/s]; where it is 0 there is no jet and no void. arriving:
    what the jet brings [kg/s].
    """
    able = np.asarray(capacity, dtype=float)
    share: Array = np.maximum(1.0 - arriving / np.where(able > 0.0, able, np.inf), 0.0)
    return np.where(able > 0.0, share, 0.0)[()]


def delivery_pressure(
    *,
    overflow_pressure: Numbers,
    velocity: Numbers,
    density: Numbers,
    recovery: Numbers,
    throat: Numbers,
    exit_bore: Numbers,
) -> Array:
    """Highest pressure the jet can deliver against, absolute [Pa], shape broadcast.

    overflow_pressure: absolute [Pa]. velocity: of the jet [m/s]. density: [kg/m³]. recovery: of
    the pressure an ideal diffuser would give [-]. throat, exit_bore: of the delivery cone [m].
    """
    dynamic = 0.5 * np.asarray(density) * np.square(velocity)
    ideal = dynamic * (1.0 - np.square(np.square(np.divide(throat, exit_bore))))
    pressure: Array = overflow_pressure + recovery * ideal
    return pressure


def overlap_share(*, jet: Numbers, throat: Numbers, offset: Numbers) -> Array:
    """Share of the throat that a jet out of line still covers, over that in line [-].

    jet, throat: diameters [m], above 0. offset: of the axes [m], 0 or more. Shape broadcast.
    Raises OutOfRange. Geometry alone, of two circles: a rounded entry may catch more, a jet that
    scatters loses more, and neither has been published.
    """
    for name, value in (("jet", jet), ("throat", throat)):
        require(np.asarray(value) > 0.0, quantity=name, given=value, low=0.0, unit="m")
    require(np.asarray(offset) >= 0.0, quantity="offset", given=offset, low=0.0, unit="m")
    rows = np.broadcast_arrays(*(0.5 * np.asarray(each, dtype=float) for each in (jet, throat)))
    large, small = np.maximum(*rows), np.minimum(*rows)
    apart = np.asarray(offset, dtype=float)
    inside, outside = apart <= large - small, apart >= large + small
    # Where the circles cross; elsewhere any crossing stands in and is not used.
    cross = np.where(inside | outside, large, apart)
    along_small = (cross**2 + small**2 - large**2) / (2.0 * cross * small)
    along_large = (cross**2 + large**2 - small**2) / (2.0 * cross * large)
    angles = (np.arccos(np.clip(each, -1.0, 1.0)) for each in (along_small, along_large))
    lens = sum(
        radius**2 * (angle - 0.5 * np.sin(2.0 * angle))
        for radius, angle in zip((small, large), angles, strict=True)
    )
    share: Array = np.where(inside, 1.0, np.where(outside, 0.0, lens / (np.pi * small**2)))
    return share[()]
