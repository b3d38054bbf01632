"""Holes seen face on: one, or a ring of them on a pitch circle."""

from __future__ import annotations

import math

from benchproof.drawing.dimensions import Diameter, Dimension
from benchproof.drawing.geometry import Circle, Line, Point, Shape
from benchproof.drawing.sizes import Sized, as_sized


def hole(
    centre: Point, diameter: float | Sized, *, feature: str = "", count: int = 1
) -> tuple[Shape | Dimension, ...]:
    """A hole seen face on: its circle, centre lines and dimension."""
    size = as_sized(diameter)
    return (
        *_circle(centre, size.aim),
        Diameter(centre=centre, radius=0.5 * size.aim, size=size, feature=feature, count=count),
    )


def pitch_circle(
    count: int,
    pitch_diameter: float | Sized,
    diameter: float | Sized,
    *,
    first_angle: float = math.pi / 2,
    feature: str = "",
    pitch_feature: str = "",
) -> tuple[Shape | Dimension, ...]:
    """Equally spaced holes about the origin, dimensioned once, with their pitch circle [m]."""
    pitch, size = as_sized(pitch_diameter), as_sized(diameter)
    found: list[Shape | Dimension] = [Circle((0.0, 0.0), 0.5 * pitch.aim, "centre")]
    angles = [first_angle + 2.0 * math.pi * number / count for number in range(count)]
    centres = [(0.5 * pitch.aim * math.cos(a), 0.5 * pitch.aim * math.sin(a)) for a in angles]
    for centre in centres:
        found += _circle(centre, size.aim)
    found.append(
        Diameter(
            centre=centres[0],
            radius=0.5 * size.aim,
            angle=first_angle,
            size=size,
            feature=feature,
            count=count,
        )
    )
    found.append(
        Diameter(
            centre=(0.0, 0.0),
            radius=0.5 * pitch.aim,
            angle=first_angle + math.pi / max(count, 2),
            size=pitch,
            feature=pitch_feature,
            suffix="pitch circle",
        )
    )
    return tuple(found)


def _circle(centre: Point, diameter: float) -> tuple[Shape, ...]:
    x, y = centre
    reach = 0.7 * diameter
    return (
        Circle(centre, 0.5 * diameter),
        Line((x - reach, y), (x + reach, y), "centre"),
        Line((x, y - reach), (x, y + reach), "centre"),
    )
