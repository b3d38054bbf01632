"""The profile of a turned part: steps along the axis, outside or inside, and the path they make.

The axis is the x axis, the left face at x = 0. A path is the half profile above the axis, as
straight edges and arcs from left to right.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from benchproof.drawing.geometry import Arc, Line, Point, arc_points
from benchproof.drawing.sizes import Sized, Tolerance, as_sized

Edge: TypeAlias = Line | Arc
ROOT_DRAWN = 0.85  # ISO 6410-1 draws the thread's root line freely; about this share of the major
_CLOSE = 1e-9
HALF_DRILL_POINT = math.radians(59.0)


@dataclass(frozen=True)
class Corner:
    """A broken edge: a 45° chamfer or a rounding of ``size`` [m]."""

    kind: Literal["chamfer", "round"]
    size: float


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step of a turned profile, from left to right.

    ``diameter`` and ``length`` [m] are plain numbers or sizes with limits. A cone has either an
    ``end_diameter`` [m] or a ``taper`` (change of diameter per length [-], growing to the right
    where positive). ``arc`` [m] makes the surface between the two ends part of a circle of that
    radius, swelling from the axis where positive and hollow where negative. ``thread`` is a
    trade designation; ``diameter`` is then the major one. ``start`` and ``end`` break its free
    edges. ``feature``, ``length_feature``, ``taper_feature`` name the duty's features.
    ``finish`` is Ra [m] with ``process`` a word beside it, ``datum`` a letter. ``show`` says
    which dimensions to give.
    """

    diameter: float | Sized
    length: float | Sized
    end_diameter: float | Sized | None = None
    taper: float | Sized | None = None
    arc: float | None = None
    thread: str = ""
    start: Corner | None = None
    end: Corner | None = None
    feature: str = ""
    length_feature: str = ""
    end_feature: str = ""
    taper_feature: str = ""
    finish: float | None = None
    process: str = ""
    datum: str = ""
    show: Literal["both", "diameter", "length", "none"] = "both"

    def __post_init__(self) -> None:
        if self.end_diameter is not None and self.taper is not None:
            raise ValueError("a cone has an end diameter or a taper, not both")
        if self.span <= 0.0 or self.first < 0.0 or self.last < 0.0:
            raise ValueError(f"a step has a length and no negative diameter: {self}")
        if self.arc is not None and abs(self.arc) < 0.5 * math.hypot(
            self.span, 0.5 * (self.last - self.first)
        ):
            raise ValueError(f"no arc of radius {self.arc} m reaches from end to end")

    @property
    def span(self) -> float:
        """Length [m]."""
        return as_sized(self.length).aim

    @property
    def first(self) -> float:
        """Diameter [m] at its left end."""
        return as_sized(self.diameter).aim

    @property
    def last(self) -> float:
        """Diameter [m] at its right end."""
        if self.end_diameter is not None:
            return as_sized(self.end_diameter).aim
        if self.taper is not None:
            return self.first + as_sized(self.taper).aim * self.span
        return self.first

    @property
    def tapered(self) -> bool:
        """Whether its two ends differ and the surface between them is straight."""
        return self.arc is None and self.last != self.first

    @property
    def taper_size(self) -> Sized:
        """Taper without its sign, with limits where they are stated."""
        if self.taper is None:
            return Sized(abs(self.last - self.first) / self.span)
        size = as_sized(self.taper)
        if size.aim >= 0.0:
            return size
        limits = size.tolerance or Tolerance(0.0, 0.0)
        if size.tolerance is None:
            return Sized(-size.aim, doubtful=size.doubtful)
        return Sized(-size.aim, -limits.lower, -limits.upper, size.doubtful)


@dataclass(frozen=True)
class Placed:
    """A step with where it stands: from ``left`` to ``right`` on the axis [m].

    A ``turned`` step was listed from the right face inwards, so its first end is its right one.
    """

    step: Step
    left: float
    right: float
    inside: bool = False
    turned: bool = False

    @property
    def left_radius(self) -> float:
        """Radius [m] drawn at the left end."""
        return self._drawn(self.step.last if self.turned else self.step.first)

    @property
    def right_radius(self) -> float:
        """Radius [m] drawn at the right end."""
        return self._drawn(self.step.first if self.turned else self.step.last)

    @property
    def corners(self) -> tuple[Corner | None, Corner | None]:
        """How the left and the right edge are broken."""
        ends = (self.step.start, self.step.end)
        return (ends[1], ends[0]) if self.turned else ends

    @property
    def largest(self) -> float:
        """Larger radius [m] of its two ends."""
        return max(self.left_radius, self.right_radius)

    def _drawn(self, diameter: float) -> float:
        # An inside thread shows its core as the edge of the hole.
        return 0.5 * diameter * (ROOT_DRAWN if self.inside and self.step.thread else 1.0)


def placed(steps: Sequence[Step], *, inside: bool = False) -> tuple[Placed, ...]:
    """Steps in a row from the left face on."""
    found, at = [], 0.0
    for step in steps:
        found.append(Placed(step, at, at + step.span, inside))
        at += step.span
    return tuple(found)


def placed_from_right(steps: Sequence[Step], length: float) -> tuple[Placed, ...]:
    """Inside steps listed from the right face of a part of ``length`` [m] inwards."""
    return tuple(
        Placed(each.step, length - each.right, length - each.left, inside=True, turned=True)
        for each in reversed(placed(steps))
    )


def path(steps: Sequence[Placed]) -> list[Edge]:
    """Edges of the half profile, shoulders included, from left to right."""
    edges: list[Edge] = []
    for each in steps:
        for edge in _edges(each):
            if edges and math.dist(edge_end(edges[-1]), edge_start(edge)) > _CLOSE:
                edges.append(Line(edge_end(edges[-1]), edge_start(edge)))
            edges.append(edge)
    return edges


def edge_start(edge: Edge) -> Point:
    """Left end of an edge."""
    return edge.start if isinstance(edge, Line) else _on(edge, _left_first(edge)[0])


def edge_end(edge: Edge) -> Point:
    """Right end of an edge."""
    return edge.end if isinstance(edge, Line) else _on(edge, _left_first(edge)[1])


def edge_points(edge: Edge) -> tuple[Point, ...]:
    """Points along an edge from left to right."""
    if isinstance(edge, Line):
        return (edge.start, edge.end)
    points = arc_points(edge)
    return points if points[0][0] <= points[-1][0] else points[::-1]


def _left_first(arc: Arc) -> tuple[float, float]:
    ends = (arc.start_angle, arc.end_angle)
    return ends if math.cos(ends[0]) <= math.cos(ends[1]) else (ends[1], ends[0])


def _on(arc: Arc, angle: float) -> Point:
    return (
        arc.centre[0] + arc.radius * math.cos(angle),
        arc.centre[1] + arc.radius * math.sin(angle),
    )


def _edges(each: Placed) -> list[Edge]:
    """Surface of one step with its broken edges."""
    first, last = (each.left, each.left_radius), (each.right, each.right_radius)
    away = 1.0 if each.inside else -1.0  # a broken edge opens a hole and rounds off a bar
    edges: list[Edge] = []
    start, end = each.corners
    if start is not None:
        inner = (first[0] + start.size, first[1])
        edges.append(_corner((first[0], first[1] + away * start.size), inner, start, away, "start"))
        first = inner
    closing: Edge | None = None
    if end is not None:
        inner = (last[0] - end.size, last[1])
        closing = _corner(inner, (last[0], last[1] + away * end.size), end, away, "end")
        last = inner
    edges.append(_surface(first, last, each))
    if closing is not None:
        edges.append(closing)
    return edges


def _corner(
    left: Point, right: Point, corner: Corner, away: float, which: Literal["start", "end"]
) -> Edge:
    if corner.kind == "chamfer":
        return Line(left, right)
    inner = right if which == "start" else left
    centre = (inner[0], inner[1] + away * corner.size)
    quarter = {("start", -1.0): 1, ("end", -1.0): 0, ("start", 1.0): 2, ("end", 1.0): 3}
    begin = quarter[which, away] * math.pi / 2
    return Arc(centre, corner.size, begin, begin + math.pi / 2)


def _surface(first: Point, last: Point, each: Placed) -> Edge:
    arc = each.step.arc
    if arc is None:
        return Line(first, last)
    chord = math.hypot(last[0] - first[0], last[1] - first[1])
    rise = math.sqrt(max(arc * arc - 0.25 * chord * chord, 0.0))
    toward = -1.0 if arc > 0.0 else 1.0  # a swelling arc has its centre on the axis's side
    normal = (-(last[1] - first[1]) / chord, (last[0] - first[0]) / chord)
    centre = (
        0.5 * (first[0] + last[0]) + toward * rise * normal[0],
        0.5 * (first[1] + last[1]) + toward * rise * normal[1],
    )
    angles = [math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (first, last)]
    begin, finish = (angles[1], angles[0]) if arc > 0.0 else (angles[0], angles[1])
    if finish < begin:
        finish += 2.0 * math.pi
    return Arc(centre, abs(arc), begin, finish)
