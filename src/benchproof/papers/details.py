"""Enlarged details: a hole that would be a speck on paper is drawn again, large enough to read."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from benchproof.drawing import (
    Arc,
    Circle,
    Diameter,
    Dimension,
    Hatched,
    Line,
    Linear,
    Point,
    Polyline,
    Shape,
    View,
)
from benchproof.drawing.geometry import arc_points

SMALLEST_HOLE: Final = 2.0  # [mm] on paper; anything smaller gets a detail
READABLE: Final = 6.0  # [mm] on paper, what the detail enlarges it to at least
SCALES: Final = (
    *(100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0),
    *(1 / 2, 1 / 5, 1 / 10, 1 / 20, 1 / 50, 1 / 100),
)
"""Scales of ISO 5455, largest first."""
_LETTERS = "ZYXWVUTSRQ"
_SIDES = 48


@dataclass(frozen=True)
class Circled:
    """Where a detail is taken from: a thin circle [m] and its letter on the parent view."""

    centre: Point
    radius: float
    letter: str


def with_details(view: View, scale: float, used: int = 0) -> tuple[View, list[Circled], list[View]]:
    """The view without what is too small at this scale, where it was, and the details of it.

    ``used``: how many letters other views have taken.
    """
    small = [each for each in view.dimensions if _hole(each) * scale * 1000.0 < SMALLEST_HOLE]
    if view.kind == "detail" or not small:
        return view, [], []
    left = tuple(each for each in view.dimensions if each not in small)
    circled: list[Circled] = []
    details: list[View] = []
    for group in _groups(small):
        letter = _LETTERS[(used + len(details)) % len(_LETTERS)]
        centre = _middle(group[0])
        radius = max(math.dist(centre, _middle(each)) + 1.5 * each.nominal for each in group)
        least = min(each.nominal for each in group)
        enlarged = next(
            s for s in reversed(SCALES) if s * 1000.0 * least >= READABLE or s == SCALES[0]
        )
        circled.append(Circled(centre, radius, letter))
        shapes = clipped(view.shapes, centre, radius)
        shapes = (*shapes, Circle(centre, radius, "thin"))
        details.append(View(f"Detail {letter}", shapes, tuple(group), (), "detail", enlarged))
    return replace(view, dimensions=left), circled, details


def _hole(dimension: Dimension) -> float:
    """Diameter [m] of what the dimension measures across, endless where it is no hole."""
    if isinstance(dimension, Diameter) or (isinstance(dimension, Linear) and dimension.sign):
        return dimension.measured
    return math.inf


def _middle(dimension: Dimension) -> Point:
    if isinstance(dimension, Linear):
        (x0, y0), (x1, y1) = dimension.start, dimension.end
        return (0.5 * (x0 + x1), 0.5 * (y0 + y1))
    if isinstance(dimension, Diameter):
        return dimension.centre
    raise TypeError(f"{type(dimension).__name__} is no hole")


def _groups(small: Sequence[Dimension]) -> list[list[Dimension]]:
    """Holes so close together that one detail shows them all."""
    groups: list[list[Dimension]] = []
    for each in small:
        for group in groups:
            reach = 3.0 * max(each.nominal, *(other.nominal for other in group))
            if any(math.dist(_middle(each), _middle(other)) < reach for other in group):
                group.append(each)
                break
        else:
            groups.append([each])
    return groups


def clipped(shapes: Sequence[Shape], centre: Point, radius: float) -> tuple[Shape, ...]:
    """What of the shapes lies in a circle."""
    found: list[Shape] = []
    for shape in shapes:
        match shape:
            case Line():
                found += _chords((shape.start, shape.end), shape.kind, centre, radius)
            case Polyline():
                points = (*shape.points, shape.points[0]) if shape.closed else shape.points
                found += _chords(points, shape.kind, centre, radius)
            case Circle() if math.dist(shape.centre, centre) + shape.radius <= radius:
                found.append(shape)
            case Circle():
                whole = Arc(shape.centre, shape.radius, 0.0, 2.0 * math.pi)
                points = arc_points(whole, math.pi / 90)
                found += _chords(points, shape.kind, centre, radius)
            case Arc():
                found += _chords(arc_points(shape, math.pi / 90), shape.kind, centre, radius)
            case Hatched():
                outline = _inside(shape.outline, centre, radius)
                holes = tuple(_inside(hole, centre, radius) for hole in shape.holes)
                if len(outline) > 2:
                    found.append(replace(shape, outline=outline, holes=tuple(filter(None, holes))))
    return tuple(found)


def _chords(points: Sequence[Point], kind: str, centre: Point, radius: float) -> list[Shape]:
    found: list[Shape] = []
    for start, end in pairwise(points):
        across = (end[0] - start[0], end[1] - start[1])
        off = (start[0] - centre[0], start[1] - centre[1])
        a = across[0] ** 2 + across[1] ** 2
        b = off[0] * across[0] + off[1] * across[1]
        c = off[0] ** 2 + off[1] ** 2 - radius**2
        root = b * b - a * c
        if a == 0.0 or root <= 0.0:
            continue
        enter = max(0.0, (-b - math.sqrt(root)) / a)
        leave = min(1.0, (-b + math.sqrt(root)) / a)
        if enter < leave:
            ends = tuple(
                (start[0] + t * across[0], start[1] + t * across[1]) for t in (enter, leave)
            )
            found.append(Line(ends[0], ends[1], kind))  # type: ignore[arg-type]
    return found


def _inside(outline: Sequence[Point], centre: Point, radius: float) -> tuple[Point, ...]:
    """Outline cut by a circle, side by side of a fine polygon (Sutherland and Hodgman)."""
    points = list(outline)
    for side in range(_SIDES):
        angle = 2.0 * math.pi * side / _SIDES
        nx, ny = math.cos(angle), math.sin(angle)
        kept: list[Point] = []
        depths = [radius - (p[0] - centre[0]) * nx - (p[1] - centre[1]) * ny for p in points]
        for place, (point, depth) in enumerate(zip(points, depths, strict=True)):
            before, above = points[place - 1], depths[place - 1]
            if (depth >= 0.0) != (above >= 0.0):
                t = above / (above - depth)
                kept.append(
                    (
                        before[0] + t * (point[0] - before[0]),
                        before[1] + t * (point[1] - before[1]),
                    )
                )
            if depth >= 0.0:
                kept.append(point)
        points = kept
        if not points:
            return ()
    return tuple(points)
