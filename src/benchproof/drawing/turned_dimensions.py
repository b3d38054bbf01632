"""Where the dimensions of a turned part go, so that no line crosses what it need not."""

from __future__ import annotations

import math
from collections.abc import Sequence

from benchproof.drawing.dimensions import (
    Chamfer,
    Dimension,
    Linear,
    Radius,
    Side,
    TaperOf,
    Thread,
)
from benchproof.drawing.geometry import Arc, Point
from benchproof.drawing.marks import Datum, Finish, Mark
from benchproof.drawing.profile import Corner, Placed, path
from benchproof.drawing.sizes import Sized, as_sized

_CLOSE = 1e-9
# Where a taper and a thread are pointed at: clear of the finish mark at the middle.
_TAPER_SHARE, _THREAD_SHARE = 0.8, 0.3


def dimensions_of(
    outside: Sequence[Placed],
    left_hole: Sequence[Placed],
    right_hole: Sequence[Placed],
    through: bool,
) -> tuple[Dimension, ...]:
    """Every dimension of a turned part that its steps ask for, none of them twice."""
    found: list[Dimension] = []
    for row in (outside, left_hole, right_hole):
        given: set[float] = set()
        for place, each in enumerate(row):
            found += _across(row, place, given)
            found += _broken_edges(each)
    found += _lengths(outside)
    found += _depths(left_hole, through)
    found += _depths(right_hole, through=False)
    return tuple(found)


def marks_of(*rows: Sequence[Placed]) -> tuple[Mark, ...]:
    """Finish marks and datum letters of the steps."""
    found: list[Mark] = []
    for each in (step for row in rows for step in row):
        step = each.step
        at = (0.5 * (each.left + each.right), 0.5 * (each.left_radius + each.right_radius))
        if step.finish is not None:
            found.append(Finish(at=at, roughness=step.finish, process=step.process))
        if step.datum:
            found.append(Datum(at=(at[0], -at[1]), letter=step.datum))
    return tuple(found)


def _across(row: Sequence[Placed], place: int, given: set[float]) -> list[Dimension]:
    """Diameters of one step, its taper, its thread or its curve."""
    each = row[place]
    step = each.step
    if step.show not in {"both", "diameter"}:
        return []
    if step.thread:
        return [
            Thread(
                at=_along(each, _THREAD_SHARE),
                major=step.first,
                designation=step.thread,
                feature=step.feature,
            )
        ]
    ends = [
        (step.diameter, each.right if each.turned else each.left, step.feature),
        (
            Sized(step.last) if step.end_diameter is None else step.end_diameter,
            each.left if each.turned else each.right,
            step.end_feature,
        ),
    ]
    if step.first == step.last:
        ends = [(step.diameter, 0.0, step.feature)]
    elif step.tapered:
        # Large end and taper say all; the small end only where it was asked for by name.
        large = 0 if step.first > step.last else 1
        ends = [
            end
            for number, end in enumerate(ends)
            if number == large or end[2] or (isinstance(end[0], Sized) and step.taper is None)
        ]
    found: list[Dimension] = [
        _diameter(row, place, as_sized(size), x, feature)
        for size, x, feature in ends
        if _first_time(as_sized(size), feature, given)
    ]
    if step.tapered:
        found.append(
            TaperOf(
                at=_along(each, _TAPER_SHARE),
                large=max(step.first, step.last),
                small=min(step.first, step.last),
                length=step.span,
                size=step.taper_size,
                feature=step.taper_feature,
            )
        )
    if step.arc is not None:
        curve = next(
            edge
            for edge in path((each,))
            if isinstance(edge, Arc) and math.isclose(edge.radius, abs(step.arc))
        )
        angle = 0.5 * (curve.start_angle + curve.end_angle)
        found.append(Radius(centre=curve.centre, radius=curve.radius, angle=angle))
    return found


def _along(each: Placed, share: float) -> Point:
    """Point on the surface at a share of its length."""
    return (
        each.left + share * (each.right - each.left),
        each.left_radius + share * (each.right_radius - each.left_radius),
    )


def _first_time(size: Sized, feature: str, given: set[float]) -> bool:
    """Whether a diameter has not been given already on a step before."""
    if size.aim <= 0.0:
        return False
    known = round(size.aim, 9) in given
    given.add(round(size.aim, 9))
    return bool(feature) or size.tolerance is not None or not known


def _diameter(row: Sequence[Placed], place: int, size: Sized, x: float, feature: str) -> Linear:
    """A diameter set out to the end of the part that nothing larger hides."""
    each = row[place]
    radius = 0.5 * size.aim
    side = _open_side(row, place, radius)
    if each.step.first == each.step.last:
        left, right = (c.size if c else 0.0 for c in each.corners)
        x = {"left": each.left + left, "right": each.right - right}.get(
            side, 0.5 * (each.left + each.right)
        )
    return Linear(
        start=(x, radius),
        end=(x, -radius),
        direction="vertical",
        side=side,
        sign="Ø",
        size=size,
        feature=feature,
    )


def _open_side(row: Sequence[Placed], place: int, radius: float) -> Side:
    """Outside: past smaller steps only. In a hole: past wider ones only, to its mouth."""
    each = row[place]
    before = [other.largest for other in row[:place]]
    after = [other.largest for other in row[place + 1 :]]
    if each.inside:
        smallest = min((min(o.left_radius, o.right_radius) for o in row[:place]), default=math.inf)
        opens_left = row[0].left < _CLOSE and smallest > radius - _CLOSE
        if opens_left:
            return "left"
        beyond = min(
            (min(o.left_radius, o.right_radius) for o in row[place + 1 :]), default=math.inf
        )
        opens_right = row[0].left > _CLOSE or each.turned
        return "right" if opens_right and beyond > radius - _CLOSE else "leader"
    if all(other < radius + _CLOSE for other in after):
        return "right"
    return "left" if all(other < radius + _CLOSE for other in before) else "leader"


def _broken_edges(each: Placed) -> list[Dimension]:
    """Chamfers and roundings of one step."""
    found: list[Dimension] = []
    for corner, end in zip(each.corners, ("left", "right"), strict=True):
        if corner is not None:
            found.append(_broken_edge(each, corner, end == "left"))
    return found


def _broken_edge(each: Placed, corner: Corner, at_left: bool) -> Dimension:
    half = 0.5 * corner.size
    x = each.left + half if at_left else each.right - half
    radius = each.left_radius if at_left else each.right_radius
    if corner.kind == "chamfer":
        return Chamfer(at=(x, radius + (half if each.inside else -half)), width=corner.size)
    arcs = [edge for edge in path((each,)) if isinstance(edge, Arc)]
    arc = arcs[0] if at_left else arcs[-1]
    angle = 0.5 * (arc.start_angle + arc.end_angle)
    return Radius(centre=arc.centre, radius=arc.radius, angle=angle)


def _lengths(outside: Sequence[Placed]) -> list[Dimension]:
    """Lengths of the steps in a row, and over all: in brackets where the steps say it too."""
    asked = [each for each in outside if each.step.show in {"both", "length"}]
    found: list[Dimension] = [
        Linear(
            start=(each.left, -each.left_radius),
            end=(each.right, -each.right_radius),
            side="below",
            size=as_sized(each.step.length),
            feature=each.step.length_feature,
        )
        for each in asked
    ]
    if len(outside) > 1 and asked:
        first, last = outside[0], outside[-1]
        found.append(
            Linear(
                start=(first.left, -first.left_radius),
                end=(last.right, -last.right_radius),
                side="below",
                reference=len(asked) == len(outside),
            )
        )
    return found


def _depths(hole: Sequence[Placed], through: bool) -> list[Dimension]:
    """Depths of the steps of a hole; what is left of a through hole goes without saying."""
    asked = [each for each in hole if each.step.show in {"both", "length"}]
    if through and len(asked) == len(hole):
        free = [
            e
            for e in asked
            if not e.step.length_feature and as_sized(e.step.length).tolerance is None
        ]
        if free:
            asked.remove(max(free, key=lambda each: each.right - each.left))
    return [
        Linear(
            start=(each.left, each.left_radius),
            end=(each.right, each.right_radius),
            side="above",
            size=as_sized(each.step.length),
            feature=each.step.length_feature,
        )
        for each in asked
    ]
