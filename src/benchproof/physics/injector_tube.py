"""The cones in their tube: what fits, how long each cone is, and what leaves room to start.

All cones go into one bored tube. The draft cone is the widest: outside it must fit the bore,
inside it opens from the nose plane towards the water ports, and between the two a least wall must
stand. All sizes grow as the root of the feed, so the largest that fits follows at once.

Published lengths are for full-size injectors; those of ours are choices within them.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require

LEAST_WALL: Final = 0.4e-3
"""Wall left at the widest bore of the draft cone unless said otherwise [m]: a choice."""

NOSE_DEPTH: Final = 0.25
"""Depth of the nose plane in the draft cone over the bore there [-]: a choice."""

DRAFT_HALF_ANGLE: Final = float(np.radians(6.5))
"""Half angle of the draft cone [rad]: a choice, 13 degrees included."""

STEAM_CONE_ANGLE: Final = (float(np.radians(5.0)), float(np.radians(15.0)))
"""Included angle of a steam cone behind its throat [rad]; eddies begin above 6 degrees.
V. A. B. Hughes, The Steam Injector, 1912, pages 9 and 12."""

COMBINING_LENGTH: Final = (15.0, 24.0)
"""From steam mouth to delivery throat over the delivery throat [-]; 9 to 24 over all makers.
V. A. B. Hughes, The Steam Injector, 1912, pages 29 and 30."""

COMBINING_ANGLE: Final = (float(np.radians(15.0)), float(np.radians(5.0)))
"""Included angle of a combining cone at its inlet and at its outlet [rad], or straight.
V. A. B. Hughes, The Steam Injector, 1912, page 31."""

DELIVERY_LENGTH: Final = (10.0, 16.0)
"""Length of a delivery cone over its throat [-]; its mouth rounded.
V. A. B. Hughes, The Steam Injector, 1912, page 38."""

DELIVERY_ANGLE: Final = float(np.radians(5.0))
"""Included angle of a delivery cone [rad]. V. A. B. Hughes, The Steam Injector, 1912, page 38."""

GAP_LENGTH: Final = (1.0, 2.0)
"""Length of the overflow gap over the delivery throat [-]: common practice, no source."""


def cone_length(*, narrow: Numbers, wide: Numbers, included_angle: Numbers) -> Array:
    """Length of a straight cone between two bores [m], shape broadcast.

    narrow, wide: diameters, wide at least as large [m]. included_angle: twice the half angle
    [rad], above 0 and below half a turn. Raises OutOfRange.
    """
    _require_cone(narrow, wide)
    angle = np.asarray(included_angle, dtype=float)
    require(
        (angle > 0.0) & (angle < np.pi),
        quantity="included angle",
        given=angle,
        low=0.0,
        high=np.pi,
        unit="rad",
    )
    length: Array = np.subtract(wide, narrow) / (2.0 * np.tan(0.5 * angle))
    return length


def included_angle(*, narrow: Numbers, wide: Numbers, length: Numbers) -> Array:
    """Included angle of a straight cone between two bores [rad], shape broadcast.

    narrow, wide: diameters, wide at least as large [m]. length: above 0 [m]. Raises OutOfRange.
    """
    _require_cone(narrow, wide)
    require(np.asarray(length) > 0.0, quantity="length", given=length, low=0.0, unit="m")
    angle: Array = 2.0 * np.arctan(np.subtract(wide, narrow) / (2.0 * np.asarray(length)))
    return angle


def clock_travel(*, included_angle: Numbers, travel: Numbers) -> Array:
    """What a clock on the cross-slide shows while the top-slide moves [m], shape broadcast.

    included_angle: of the cone to be turned [rad]. travel: of the top-slide along the cone's
    side [m]. The clock reads a change of radius.
    """
    shown: Array = np.asarray(travel) * np.sin(0.5 * np.asarray(included_angle))
    return shown


def widest_draft_bore(
    *, draft_bore: Numbers, half_angle: float = DRAFT_HALF_ANGLE, nose_depth: float = NOSE_DEPTH
) -> Array:
    """Bore of the draft cone at its wide end [m], shape of the bore.

    draft_bore: in the plane of the nose [m]. half_angle: of the draft cone [rad]. nose_depth: of
    the nose plane behind the wide end, over the bore in that plane [-].
    """
    bore: Array = np.asarray(draft_bore) * (1.0 + 2.0 * nose_depth * np.tan(half_angle))
    return bore


def tube_needed(*, widest_bore: Numbers, wall: Numbers = LEAST_WALL) -> Array:
    """Least bore of the tube [m], shape broadcast.

    widest_bore: of the draft cone [m]. wall: least, of the draft cone there [m].
    """
    bore: Array = np.asarray(widest_bore) + 2.0 * np.asarray(wall)
    return bore


def largest_feed(
    *, feed: Numbers, widest_bore: Numbers, tube_bore: Numbers, wall: Numbers = LEAST_WALL
) -> Array:
    """Largest feed whose cones fit a tube [unit of the feed, kg/s], shape broadcast.

    feed: of an injector set out [kg/s]. widest_bore: of its draft cone [m]. tube_bore: [m].
    wall: least, of the draft cone [m]. All sizes grow as the root of the feed but the wall stays.
    Raises OutOfRange where the walls alone fill the tube.
    """
    room = np.subtract(tube_bore, 2.0 * np.asarray(wall))
    require(
        room > 0.0,
        quantity="tube bore",
        given=tube_bore,
        low=2.0 * np.asarray(wall),
        unit="m",
        hint="the least walls alone fill it",
    )
    largest: Array = feed * np.square(room / widest_bore)
    return largest


def starting_room(*, mouth: Numbers, draft_exit: Numbers, gap_area: Numbers) -> Array:
    """Area through which the first steam can leave over that of the mouth [-], shape broadcast.

    mouth: of the steam cone, a diameter [m]. draft_exit: small end of the draft cone, a diameter
    [m]. gap_area: of the first gap [m²]. Below 1 expect trouble. A heuristic without a source:
    before water comes, all steam must leave somewhere. It is no chance of starting.
    """
    out = 0.25 * np.pi * np.square(draft_exit) + gap_area
    share: Array = out / (0.25 * np.pi * np.square(mouth))
    return share


def _require_cone(narrow: Numbers, wide: Numbers) -> None:
    require(
        np.greater_equal(wide, narrow) & (np.asarray(narrow) > 0.0),
        quantity="wide bore",
        given=wide,
        low=narrow,
        unit="m",
        hint="a cone opens from its narrow bore, which is above zero, to its wide one",
    )
