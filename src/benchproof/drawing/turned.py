"""A turned part from a plain list of its steps: the view, cut open or not, with dimensions.

Outside steps run from the left face to the right one. Holes are listed from the face they are
cut from, inwards. Diameters of the outside stand on the right, those of holes on the left;
lengths of the outside below, depths of holes above.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from benchproof.drawing.geometry import Circle, Hatched, Line, Point, Shape, mirrored
from benchproof.drawing.profile import (
    HALF_DRILL_POINT,
    ROOT_DRAWN,
    Edge,
    Placed,
    Step,
    edge_end,
    edge_points,
    edge_start,
    path,
    placed,
    placed_from_right,
)
from benchproof.drawing.turned_dimensions import dimensions_of, marks_of
from benchproof.drawing.views import View, ViewKind

Section = Literal["full", "half", "none"]
_KINDS: dict[str, ViewKind] = {"full": "section", "half": "half section", "none": "view"}
_CLOSE = 1e-9
_OVERHANG = 0.06  # the centre line stands out by this share of the part


@dataclass(frozen=True)
class TurnedPart:
    """A part turned about the x axis, its left face at x = 0.

    ``outside`` from left to right; ``inside`` from the left face inwards, ``inside_right`` from
    the right face inwards. A hole as long as the part goes through. A blind hole ends in a
    drill point unless ``flat_bottom``. ``hatching`` [rad]: give a neighbour another angle.
    """

    outside: tuple[Step, ...]
    inside: tuple[Step, ...] = ()
    inside_right: tuple[Step, ...] = ()
    flat_bottom: bool = False
    hatching: float = math.pi / 4

    def __post_init__(self) -> None:
        if not self.outside:
            raise ValueError("a turned part has at least one outside step")
        if self._depth_left + self._depth_right > self.length + _CLOSE:
            raise ValueError("the holes are deeper than the part is long")

    @property
    def length(self) -> float:
        """Length over all [m]."""
        return math.fsum(step.span for step in self.outside)

    @property
    def outside_placed(self) -> tuple[Placed, ...]:
        """Outside steps with where they stand."""
        return placed(self.outside)

    @property
    def left_hole(self) -> tuple[Placed, ...]:
        """Inside steps from the left face, or the whole of a through hole."""
        own = placed(self.inside, inside=True)
        return own + self._from_right if self.through else own

    @property
    def right_hole(self) -> tuple[Placed, ...]:
        """Inside steps of a blind hole from the right face."""
        return () if self.through else self._from_right

    @property
    def through(self) -> bool:
        """Whether the holes meet."""
        return self._depth_left + self._depth_right >= self.length - _CLOSE

    @property
    def _from_right(self) -> tuple[Placed, ...]:
        return placed_from_right(self.inside_right, self.length)

    @property
    def _depth_left(self) -> float:
        return math.fsum(step.span for step in self.inside)

    @property
    def _depth_right(self) -> float:
        return math.fsum(step.span for step in self.inside_right)

    def view(self, title: str, *, section: Section | None = None, dimensions: bool = True) -> View:
        """Side view of the part, by default cut open where it has a hole.

        ``half`` cuts the upper half away. ``dimensions`` False leaves the picture bare.
        """
        cut: Section = section or ("full" if self.left_hole or self.right_hole else "none")
        shapes = [*self._outline(cut), *self._hole(cut), *self._cut_faces(cut)]
        shapes += self._threads(cut)
        overhang = _OVERHANG * max(self.length, 2.0 * max(e.largest for e in self.outside_placed))
        shapes.append(Line((-overhang, 0.0), (self.length + overhang, 0.0), "centre"))
        kind = _KINDS[cut]
        if not dimensions:
            return View(title, tuple(shapes), kind=kind)
        return View(
            title,
            tuple(shapes),
            dimensions_of(self.outside_placed, self.left_hole, self.right_hole, self.through),
            marks_of(self.outside_placed, self.left_hole, self.right_hole),
            kind,
        )

    def end_view(self, title: str, *, seen_from: Literal["left", "right"] = "left") -> View:
        """The part seen along its axis: every edge that faces the eye, and centre lines."""
        edges = path(self.outside_placed)
        holes = path(self.left_hole if seen_from == "left" else self.right_hole)
        if self.through and seen_from == "right":
            holes = path(self.left_hole)
        radii = _silhouettes(edges, outside=True, from_left=seen_from == "left")
        radii |= _silhouettes(holes, outside=False, from_left=seen_from == "left")
        reach = (1.0 + 2.0 * _OVERHANG) * max(radii)
        shapes: list[Shape] = [Circle((0.0, 0.0), radius) for radius in sorted(radii)]
        shapes += [
            Line((-reach, 0.0), (reach, 0.0), "centre"),
            Line((0.0, -reach), (0.0, reach), "centre"),
        ]
        return View(title, tuple(shapes), kind="end view", seen_from=seen_from)

    def _outline(self, cut: Section) -> list[Shape]:
        """Outside edges above and below, end faces, and shoulders where the outside is seen."""
        edges = path(self.outside_placed)
        shapes: list[Shape] = [*edges, *(mirrored(edge) for edge in edges)]
        faces = {0.0: edge_start(edges[0])[1], self.length: edge_end(edges[-1])[1]}
        for at, radius in faces.items():
            shapes.append(Line((at, -radius), (at, radius)))
        if cut != "full":
            top = 0.0 if cut == "half" else 1.0
            for x, radius in _vertices(edges):
                shapes.append(Line((x, -radius), (x, top * radius)))
        return shapes

    def _hole(self, cut: Section) -> list[Shape]:
        """Edges of the holes: seen in the cut halves, hidden where nothing is cut."""
        shapes: list[Shape] = []
        for hole, bottom in ((self.left_hole, 1.0), (self.right_hole, -1.0)):
            if not hole:
                continue
            edges = path(hole)
            ends = [] if self.through else self._bottom(edges, bottom)
            upper: list[Shape] = [*edges, *ends]
            across = [(x, r) for x, r in _vertices(edges)]
            if not self.through:
                across.append(edge_end(edges[-1]) if bottom > 0.0 else edge_start(edges[0]))
            upper += [Line((x, 0.0), (x, r)) for x, r in across]
            if cut == "none":
                upper = [_hidden(shape) for shape in upper]
            shapes += upper
            if cut != "half":
                shapes += [mirrored(shape) for shape in upper]
        return shapes

    def _bottom(self, edges: Sequence[Edge], direction: float) -> list[Edge]:
        """How a blind hole ends, from its last edge to the axis."""
        x, radius = edge_end(edges[-1]) if direction > 0.0 else edge_start(edges[0])
        apex = x if self.flat_bottom else x + direction * radius / math.tan(HALF_DRILL_POINT)
        return [Line((x, radius), (apex, 0.0))]

    def _cut_faces(self, cut: Section) -> list[Shape]:
        """Hatched faces of the halves cut."""
        if cut == "none":
            return []
        upper: list[Point] = [p for edge in path(self.outside_placed) for p in edge_points(edge)]
        if self.right_hole:
            edges = path(self.right_hole)
            upper += [p for edge in reversed(edges) for p in reversed(edge_points(edge))]
            upper.append(self._bottom(edges, -1.0)[0].end)  # type: ignore[union-attr]
        elif not self.through:
            upper.append((self.length, 0.0))
        if self.left_hole:
            edges = path(self.left_hole)
            if not self.through:
                upper.append(self._bottom(edges, 1.0)[0].end)  # type: ignore[union-attr]
            upper += [p for edge in reversed(edges) for p in reversed(edge_points(edge))]
        else:
            upper.append((0.0, 0.0))
        faces: list[Shape] = [Hatched(tuple(upper), angle=self.hatching)]
        if cut == "full":
            lower = tuple((x, -y) for x, y in upper)
            faces.append(Hatched(lower, angle=self.hatching))
        return faces

    def _threads(self, cut: Section) -> list[Shape]:
        """The second line of a thread: its root outside, its major diameter inside."""
        shapes: list[Shape] = []
        for each in (*self.outside_placed, *self.left_hole, *self.right_hole):
            if not each.step.thread:
                continue
            radius = each.largest * (1.0 / ROOT_DRAWN if each.inside else ROOT_DRAWN)
            line = Line((each.left, radius), (each.right, radius), "thin")
            if each.inside and cut == "none":
                line = Line(line.start, line.end, "hidden")
            shapes.append(line)
            if not (each.inside and cut == "half"):
                shapes.append(mirrored(line))
        return shapes


def _hidden(shape: Shape) -> Shape:
    return shape if isinstance(shape, Hatched) else replace(shape, kind="hidden")


def _vertices(edges: Sequence[Edge]) -> list[Point]:
    """Where the profile has an edge the eye sees: at each, its larger radius."""
    found: dict[float, float] = {}
    for edge in edges[:-1]:
        x, radius = edge_end(edge)
        found[x] = max(radius, found.get(x, 0.0))
    ends = (edge_start(edges[0])[0], edge_end(edges[-1])[0])
    return [(x, r) for x, r in found.items() if min(abs(x - e) for e in ends) > _CLOSE]


def _silhouettes(edges: Sequence[Edge], *, outside: bool, from_left: bool) -> set[float]:
    """Radii of the edges that are not hidden behind what stands nearer the eye."""
    points = [p for edge in edges for p in (edge_start(edge), edge_end(edge))]
    if not from_left:
        points.reverse()
    found: set[float] = set()
    seen = 0.0 if outside else math.inf
    for _, radius in points:
        if (radius > seen + _CLOSE) if outside else (radius < seen - _CLOSE):
            seen = radius
            found.add(round(radius, 12))
    return found
