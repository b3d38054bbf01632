"""Lines of a view after ISO 128: outlines, arcs, circles and hatched regions, in metres.

View co-ordinates: x to the right, y up, true size; where the view stands on paper and at what
scale is not known here. Angles are in radians, counter-clockwise from the x axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

Point: TypeAlias = tuple[float, float]
LineKind = Literal["visible", "hidden", "centre", "thin", "cutting plane", "break", "phantom"]


@dataclass(frozen=True)
class Line:
    """A straight line from ``start`` to ``end`` [m]."""

    start: Point
    end: Point
    kind: LineKind = "visible"


@dataclass(frozen=True)
class Arc:
    """Part of a circle, counter-clockwise from ``start_angle`` to ``end_angle`` [rad]."""

    centre: Point
    radius: float
    start_angle: float
    end_angle: float
    kind: LineKind = "visible"


@dataclass(frozen=True)
class Circle:
    """A whole circle of ``radius`` [m]."""

    centre: Point
    radius: float
    kind: LineKind = "visible"


@dataclass(frozen=True)
class Polyline:
    """Straight lines through ``points`` [m], back to the first where ``closed``."""

    points: tuple[Point, ...]
    kind: LineKind = "visible"
    closed: bool = False


@dataclass(frozen=True)
class Hatched:
    """A cut face: the area inside ``outline`` and outside every one of ``holes`` [m].

    ``angle`` [rad] of the hatching; a neighbouring part in the same section takes another.
    The outline itself is not drawn: its edges are shapes of their own.
    """

    outline: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...] = ()
    angle: float = math.pi / 4


Shape: TypeAlias = Line | Arc | Circle | Polyline | Hatched


def moved(shape: Shape, right: float, up: float) -> Shape:
    """Return the shape shifted by ``right`` and ``up`` [m]."""

    def shift(point: Point) -> Point:
        return (point[0] + right, point[1] + up)

    match shape:
        case Line():
            return replace(shape, start=shift(shape.start), end=shift(shape.end))
        case Arc() | Circle():
            return replace(shape, centre=shift(shape.centre))
        case Polyline():
            return replace(shape, points=tuple(shift(p) for p in shape.points))
        case Hatched():
            return replace(
                shape,
                outline=tuple(shift(p) for p in shape.outline),
                holes=tuple(tuple(shift(p) for p in hole) for hole in shape.holes),
            )


def mirrored(shape: Shape) -> Shape:
    """Return the shape turned over about the x axis."""
    match shape:
        case Line():
            (x0, y0), (x1, y1) = shape.start, shape.end
            return Line((x0, -y0), (x1, -y1), shape.kind)
        case Arc():
            centre = (shape.centre[0], -shape.centre[1])
            return replace(
                shape, centre=centre, start_angle=-shape.end_angle, end_angle=-shape.start_angle
            )
        case Circle():
            return replace(shape, centre=(shape.centre[0], -shape.centre[1]))
        case Polyline():
            return replace(shape, points=tuple((x, -y) for x, y in shape.points))
        case Hatched():
            return replace(
                shape,
                outline=tuple((x, -y) for x, y in shape.outline),
                holes=tuple(tuple((x, -y) for x, y in hole) for hole in shape.holes),
            )


def points_of(shape: Shape) -> tuple[Point, ...]:
    """Points whose bounding box is that of the shape [m]."""
    match shape:
        case Line():
            return (shape.start, shape.end)
        case Polyline():
            return shape.points
        case Hatched():
            return shape.outline
        case Circle():
            (x, y), r = shape.centre, shape.radius
            return ((x - r, y - r), (x + r, y + r))
        case Arc():
            return arc_points(shape)


def arc_points(arc: Arc, step: float = math.pi / 36) -> tuple[Point, ...]:
    """Points along an arc, no further apart than ``step`` [rad], the ends exact."""
    sweep = arc.end_angle - arc.start_angle
    count = max(1, math.ceil(abs(sweep) / step))
    return tuple(
        (arc.centre[0] + arc.radius * math.cos(a), arc.centre[1] + arc.radius * math.sin(a))
        for a in (arc.start_angle + sweep * k / count for k in range(count + 1))
    )
