"""Turned parts: what the steps say is what is drawn, cut and dimensioned."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings

from benchproof.drawing import (
    Chamfer,
    Circle,
    Corner,
    Hatched,
    Line,
    Linear,
    Point,
    Radius,
    Sized,
    Step,
    TaperOf,
    Thread,
    TurnedPart,
)
from benchproof.drawing.profile import edge_end, edge_start, path, placed
from papers.invented_parts import turned_parts

PIN = TurnedPart(
    outside=(
        Step(diameter=16e-3, length=4e-3),
        Step(diameter=Sized(10e-3, 4e-6, -6e-6), length=20e-3, feature="journal"),
        Step(diameter=6e-3, length=8e-3, thread="M6"),
    ),
    inside=(Step(diameter=4e-3, length=12e-3, feature="oil hole"),),
)


def area(outline: tuple[Point, ...]) -> float:
    """Area of a polygon by the shoelace formula."""
    return 0.5 * abs(
        sum(
            x0 * y1 - x1 * y0
            for (x0, y0), (x1, y1) in zip(outline, (*outline[1:], outline[0]), strict=True)
        )
    )


def test_outside_diameters_stand_right_holes_left_lengths_below_depths_above() -> None:
    given_sizes = {
        (each.side, round(1e3 * each.nominal, 6))
        for each in PIN.view("Pin").dimensions
        if isinstance(each, Linear)
    }
    assert given_sizes == {
        ("right", 16.0),
        ("right", 10.0),
        ("left", 4.0),
        ("below", 4.0),
        ("below", 20.0),
        ("below", 8.0),
        ("below", 32.0),
        ("above", 12.0),
    }


def test_the_length_over_all_is_in_brackets_where_the_steps_say_it_too() -> None:
    sizes = [e for e in PIN.view("Pin").dimensions if isinstance(e, Linear)]
    (whole,) = [each for each in sizes if math.isclose(each.nominal, PIN.length)]
    assert whole.reference
    fewer = TurnedPart(outside=(*PIN.outside[:2], Step(diameter=6e-3, length=8e-3, show="none")))
    sizes = [e for e in fewer.view("Pin").dimensions if isinstance(e, Linear)]
    (whole,) = [each for each in sizes if math.isclose(each.nominal, PIN.length)]
    assert not whole.reference


def test_a_neck_between_two_collars_is_dimensioned_by_a_leader() -> None:
    part = TurnedPart(
        outside=tuple(Step(diameter=d * 1e-3, length=5e-3) for d in (20.0, 8.0, 20.0))
    )
    neck = [e for e in part.view("Part").dimensions if isinstance(e, Linear) and e.sign]
    assert {round(1e3 * each.nominal): each.side for each in neck} == {20: "right", 8: "leader"}


def test_a_through_hole_leaves_one_depth_unsaid() -> None:
    bush = TurnedPart(
        outside=(Step(diameter=20e-3, length=30e-3),),
        inside=(Step(diameter=8e-3, length=20e-3), Step(diameter=12e-3, length=10e-3)),
    )
    assert bush.through
    depths = [e.nominal for e in bush.view("Bush").dimensions if getattr(e, "side", "") == "above"]
    assert depths == [pytest.approx(10e-3, rel=1e-9)]


def test_holes_from_both_faces_meet_in_the_middle_as_they_were_listed() -> None:
    bush = TurnedPart(
        outside=(Step(diameter=20e-3, length=30e-3),),
        inside=(Step(diameter=8e-3, length=10e-3),),
        inside_right=(
            Step(diameter=14e-3, length=5e-3, start=Corner("chamfer", 1e-3)),
            Step(diameter=10e-3, length=5e-3),
        ),
    )
    assert not bush.through
    outer, inner = bush.right_hole[1], bush.right_hole[0]
    assert (outer.left, outer.right) == pytest.approx((25e-3, 30e-3), rel=1e-9)
    assert (inner.left, inner.right) == pytest.approx((20e-3, 25e-3), rel=1e-9)
    # The chamfer is at the mouth, which is the right face.
    assert edge_end(path(bush.right_hole)[-1]) == pytest.approx((30e-3, 8e-3), rel=1e-9)


def test_the_cut_face_is_metal_and_nothing_else() -> None:
    flat = TurnedPart(outside=PIN.outside, inside=PIN.inside, flat_bottom=True)
    upper = next(s for s in flat.view("Pin").shapes if isinstance(s, Hatched))
    metal = 8 * 4 + 5 * 20 + 3 * 8 - 2 * 12
    assert area(upper.outline) == pytest.approx(metal * 1e-6, rel=1e-9)
    drilled = next(s for s in PIN.view("Pin").shapes if isinstance(s, Hatched))
    point = 0.5 * 2.0 * 2.0 / math.tan(math.radians(59.0))
    assert area(drilled.outline) == pytest.approx((metal - point) * 1e-6, rel=1e-9)


def test_a_half_section_cuts_the_upper_half_and_shows_the_lower_from_outside() -> None:
    half = PIN.view("Pin", section="half")
    (face,) = [shape for shape in half.shapes if isinstance(shape, Hatched)]
    assert min(y for _, y in face.outline) >= 0.0
    whole = PIN.view("Pin", section="none")
    assert not [shape for shape in whole.shapes if isinstance(shape, Hatched)]
    assert [s for s in whole.shapes if isinstance(s, Line) and s.kind == "hidden"]


def test_threads_tapers_curves_and_broken_edges_are_called_out() -> None:
    part = TurnedPart(
        outside=(
            Step(diameter=10e-3, length=10e-3, thread="M10 × 1", start=Corner("chamfer", 1e-3)),
            Step(
                diameter=12e-3,
                length=20e-3,
                taper=Sized(-0.1, 2e-4, -1e-4),
                taper_feature="cone",
                feature="large end",
            ),
            Step(diameter=14e-3, length=6e-3, arc=10e-3, end=None),
            Step(diameter=16e-3, length=6e-3, end=Corner("round", 2e-3)),
        )
    )
    found = part.view("Part").dimensions
    (thread,) = [each for each in found if isinstance(each, Thread)]
    assert (thread.designation, thread.major) == ("M10 × 1", 10e-3)
    (cone,) = [each for each in found if isinstance(each, TaperOf)]
    # A taper that shrinks to the right is written without its sign, its limits change places.
    assert cone.nominal == pytest.approx(0.1, rel=1e-9)
    assert cone.tolerance is not None
    assert (cone.tolerance.upper, cone.tolerance.lower) == pytest.approx((1e-4, -2e-4), rel=1e-9)
    radii = sorted(each.nominal for each in found if isinstance(each, Radius))
    assert radii == pytest.approx([2e-3, 10e-3], rel=1e-9)
    (bevel,) = [each for each in found if isinstance(each, Chamfer)]
    assert bevel.nominal == pytest.approx(1e-3, rel=1e-9)


def test_a_curve_swells_or_is_hollow_as_asked() -> None:
    for arc, beyond in ((10e-3, True), (-10e-3, False)):
        (edge,) = path(placed((Step(diameter=14e-3, length=6e-3, arc=arc),)))
        assert edge_start(edge) == pytest.approx((0.0, 7e-3), abs=1e-12)
        assert edge_end(edge) == pytest.approx((6e-3, 7e-3), abs=1e-12)
        middle = edge.centre[1] + (edge.radius if beyond else -edge.radius)  # type: ignore[union-attr]
        rise = 10e-3 - math.sqrt(10e-3**2 - 3e-3**2)
        assert middle == pytest.approx(7e-3 + (rise if beyond else -rise), rel=1e-9)


def test_the_end_view_shows_the_edges_that_face_the_eye() -> None:
    def radii(seen_from: str) -> list[float]:
        view = PIN.end_view("End", seen_from=seen_from)  # type: ignore[arg-type]
        return [round(1e3 * s.radius, 6) for s in view.shapes if isinstance(s, Circle)]

    assert radii("left") == [2.0, 8.0]
    assert radii("right") == [3.0, 5.0, 8.0]


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: TurnedPart(outside=()),
        lambda: TurnedPart(
            (Step(diameter=1e-2, length=1e-2),), (Step(diameter=1e-3, length=2e-2),)
        ),
        lambda: Step(diameter=1e-2, length=0.0),
        lambda: Step(diameter=1e-2, length=1e-2, end_diameter=2e-2, taper=0.1),
        lambda: Step(diameter=1e-2, length=1e-2, arc=1e-3),
    ],
)
def test_what_cannot_be_turned_is_refused(wrong: object) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        wrong()  # type: ignore[operator]


@given(turned_parts())
@settings(max_examples=30, deadline=None)
def test_a_profile_is_one_unbroken_path_and_its_cut_face_the_metal_within(
    part: TurnedPart,
) -> None:
    edges = path(part.outside_placed)
    for before, after in pairwise(edges):
        assert math.dist(edge_end(before), edge_start(after)) < 1e-9
    faces = [s for s in part.view("Part", section="full").shapes if isinstance(s, Hatched)]
    assert area(faces[0].outline) == pytest.approx(area(faces[1].outline), rel=1e-9)
    bars = sum(0.5 * (s.first + s.last) * s.span * 0.5 for s in part.outside)
    assert area(faces[0].outline) <= bars * (1.0 + 1e-9)


@given(turned_parts())
@settings(max_examples=30, deadline=None)
def test_every_feature_and_every_limit_of_the_steps_is_on_the_drawing(part: TurnedPart) -> None:
    found = part.view("Part").dimensions
    for step in (*part.outside, *part.inside):
        if step.thread:
            assert any(isinstance(e, Thread) and e.feature == step.feature for e in found)
        elif isinstance(step.diameter, Sized) and not step.tapered:
            assert any(
                e.nominal == step.diameter.aim and e.tolerance == step.diameter.tolerance
                for e in found
            )
        if isinstance(step.length, Sized):
            assert any(e.tolerance == step.length.tolerance for e in found)
