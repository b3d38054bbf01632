"""A turned part as a list of co-ordinates for the dials or the readout of a lathe.

Along the bed from the right face, where the tool starts, towards the headstock; across as a
diameter or a radius, whichever the cross slide reads. A taper or a radius is cut in steps that
leave no more than a stated height of metal to blend away.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from benchproof.drawing import Arc, TurnedPart
from benchproof.drawing.profile import Edge, edge_end, edge_start, path

Reads = Literal["diameter", "radius"]
_ROUND = 1e-9


@dataclass(frozen=True)
class Coordinate:
    """One place of the tool: along from the right face and across, both [m].

    ``move`` says how it is reached from the one before.
    """

    along: float
    across: float
    move: Literal["start", "turn", "face", "step in", "step along"]


@dataclass(frozen=True)
class CoordinateList:
    """Co-ordinates in the order they are cut, what ``across`` reads and what steps leave [m]."""

    rows: tuple[Coordinate, ...]
    reads: Reads
    left_to_blend: float


def coordinates(
    part: TurnedPart,
    *,
    reads: Reads = "diameter",
    left_to_blend: float = 0.05e-3,
    inside: bool = False,
) -> CoordinateList:
    """Places of the tool along the outside of a part, or its hole from the right face.

    ``left_to_blend`` [m] is the most metal a step may leave standing square to a slope. Raises
    ValueError where there is no hole to bore from the right, or no height is left.
    """
    if left_to_blend <= 0.0:
        raise ValueError("steps leave some metal to blend: state a height above zero")
    steps = part.outside_placed
    if inside:
        steps = part.right_hole or (part.left_hole if part.through else ())
        if not steps:
            raise ValueError("the part has no hole from its right face")
    factor = 2.0 if reads == "diameter" else 1.0
    edges = path(steps)
    end = part.length
    places = list(_places(edges, left_to_blend, hole=inside))
    rows = [Coordinate(round(end - x, 12), round(factor * r, 12), move) for x, r, move in places]
    return CoordinateList(tuple(rows), reads, left_to_blend)


def _places(
    edges: Sequence[Edge], height: float, *, hole: bool
) -> Iterator[tuple[float, float, Literal["start", "turn", "face", "step in", "step along"]]]:
    """Ends of straight cuts, and stairs along slopes, from the right face leftwards."""
    x, r = edge_end(edges[-1])
    yield x, r, "start"
    for edge in reversed(edges):
        (x1, r1), (x0, r0) = edge_end(edge), edge_start(edge)
        if isinstance(edge, Arc):
            yield from _stairs(_along_arc(edge, height), hole=hole)
        elif abs(x1 - x0) < _ROUND:
            yield x0, r0, "face"
        elif abs(r1 - r0) < _ROUND:
            yield x0, r0, "turn"
        else:
            yield from _stairs(_along_line((x1, r1), (x0, r0), height), hole=hole)


def _along_line(
    right: tuple[float, float], left: tuple[float, float], height: float
) -> list[tuple[float, float]]:
    """Points down a cone so close that each stair stands no higher than ``height`` above it."""
    across, along = left[1] - right[1], left[0] - right[0]
    slant = math.hypot(across, along)
    # A stair with treads a and b stands a b / sqrt(a² + b²) above the slope.
    count = max(1, math.ceil(abs(across * along) / (slant * height) - 1e-9))
    return [(right[0] + along * n / count, right[1] + across * n / count) for n in range(count + 1)]


def _along_arc(arc: Arc, height: float) -> list[tuple[float, float]]:
    """Points along an arc from its right end, close enough everywhere for the steepest stair."""
    sweep = arc.end_angle - arc.start_angle
    # The worst stair of a chord c lies at 45 degrees and stands c / 2; the bow adds c² / 8 r.
    chord = 2.0 * height / (1.0 + height / (4.0 * arc.radius))
    count = max(2, math.ceil(abs(sweep) * arc.radius / chord))
    points = [
        (
            arc.centre[0] + arc.radius * math.cos(arc.start_angle + sweep * n / count),
            arc.centre[1] + arc.radius * math.sin(arc.start_angle + sweep * n / count),
        )
        for n in range(count + 1)
    ]
    return points if points[0][0] > points[-1][0] else points[::-1]


def _stairs(
    points: Sequence[tuple[float, float]], *, hole: bool
) -> Iterator[tuple[float, float, Literal["step in", "step along"]]]:
    """Square moves from point to point that never cut below the slope.

    Outside, the tool moves out before it moves along where the part grows, and along before in
    where it shrinks; in a hole the other way about.
    """
    for (x1, r1), (x0, r0) in pairwise(points):
        grows = r0 > r1
        if grows != hole:
            yield x1, r0, "step in"
            yield x0, r0, "step along"
        else:
            yield x0, r1, "step along"
            yield x0, r0, "step in"
