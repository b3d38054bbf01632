"""The drawing model: a dimension measures what it says, a size is whole or it is refused."""

from __future__ import annotations

import math

import pytest

from benchproof.drawing import (
    Angular,
    Circle,
    Diameter,
    Drawing,
    Finish,
    Line,
    Linear,
    Sized,
    TaperOf,
    Tolerance,
    View,
    hole,
    pitch_circle,
    size_of,
)
from benchproof.drawing.geometry import Arc, Hatched, Polyline, mirrored, moved, points_of

SQUARE = ((0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0))


def test_a_dimension_takes_its_nominal_from_its_points() -> None:
    across = Linear(start=(1e-3, 0.0), end=(13e-3, 5e-3))
    assert across.nominal == pytest.approx(12e-3, rel=1e-12)
    slanting = Linear(start=(0.0, 0.0), end=(3e-3, 4e-3), direction="aligned")
    assert slanting.nominal == pytest.approx(5e-3, rel=1e-12)
    upright = Linear(start=(0.0, 0.0), end=(3e-3, 4e-3), direction="vertical")
    assert upright.nominal == pytest.approx(4e-3, rel=1e-12)
    cone = TaperOf(at=(0.0, 0.0), large=12e-3, small=10e-3, length=20e-3)
    assert cone.nominal == pytest.approx(0.1, rel=1e-12)


def test_a_nominal_that_disagrees_with_its_points_is_refused_unless_it_says_so() -> None:
    with pytest.raises(ValueError, match="draw it to size"):
        Linear(start=(0.0, 0.0), end=(10e-3, 0.0), nominal=11e-3)
    said = Linear(start=(0.0, 0.0), end=(10e-3, 0.0), nominal=11e-3, off_scale=True)
    assert said.nominal == 11e-3


def test_a_size_brings_its_limits_and_its_doubt() -> None:
    size = Sized(10e-3, 5e-6, -3e-6, doubtful=True)
    across = Linear(start=(0.0, 0.0), end=(10e-3, 0.0), size=size, feature="journal")
    assert across.tolerance == Tolerance(5e-6, -3e-6)
    assert across.doubtful
    view = View("Journal", (Line((0.0, 0.0), (10e-3, 0.0)),), (across,))
    drawing = Drawing("Pin", (view,))
    assert drawing.doubtful
    assert drawing.of_feature("journal") == (across,)
    assert drawing.of_feature("bore") == ()


def test_a_feature_the_answer_lacks_has_no_limits() -> None:
    assert size_of({}, "bore", 30e-3) == Sized(30e-3)
    assert Sized(30e-3).tolerance is None


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Sized(1.0, upper=1e-6),
        lambda: Sized(math.nan),
        lambda: Tolerance(-1e-6, 1e-6),
        lambda: Tolerance(math.inf, 0.0),
        lambda: View("empty", ()),
        lambda: View("no scale", (Line((0, 0), (1, 0)),), scale=0.0),
        lambda: Drawing("no view", ()),
        lambda: Linear(start=(0, 0), end=(1, 0), reference=True, tolerance=Tolerance(1e-6, -1e-6)),
    ],
)
def test_half_a_size_and_an_empty_drawing_are_refused(wrong: object) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        wrong()  # type: ignore[operator]


@pytest.mark.parametrize(
    "shape",
    [
        Line((0.0, 1.0), (2.0, 3.0)),
        Arc((1.0, 1.0), 0.5, 0.3, 1.9),
        Circle((1.0, 2.0), 0.5),
        Polyline(SQUARE, closed=True),
        Hatched(SQUARE, (((0.5, 0.2), (1.0, 0.2), (1.0, 0.8)),)),
    ],
)
def test_moving_and_turning_over_move_every_point(shape: Line) -> None:
    before = points_of(shape)
    shifted = points_of(moved(shape, 3.0, -1.0))
    for old, new in zip(before, shifted, strict=True):
        assert new == pytest.approx((old[0] + 3.0, old[1] - 1.0), abs=1e-12)
    over = points_of(mirrored(shape))
    assert sorted(x for x, _ in over) == pytest.approx(sorted(x for x, _ in before), abs=1e-12)
    assert sorted(y for _, y in over) == pytest.approx(sorted(-y for _, y in before), abs=1e-12)


def test_things_find_their_place_on_a_view() -> None:
    view = View("End", (Circle((0.0, 0.0), 20e-3),)).adding(
        *hole((5e-3, 0.0), Sized(3e-3, 10e-6, 0.0), feature="port"),
        Finish(at=(0.0, 20e-3), roughness=0.8e-6),
    )
    assert [type(each) for each in view.dimensions] == [Diameter]
    assert view.dimensions[0].feature == "port"
    assert len(view.marks) == 1
    assert view.box == pytest.approx((-20e-3, -20e-3, 20e-3, 20e-3), abs=1e-12)


def test_holes_on_a_pitch_circle_are_evenly_spaced_and_dimensioned_once() -> None:
    things = pitch_circle(6, 40e-3, 4e-3)
    centres = [t.centre for t in things if isinstance(t, Circle) and t.radius == 2e-3]
    assert len(centres) == 6
    for one, other in zip(centres, [*centres[1:], centres[0]], strict=True):
        # In a hexagon the side is the radius of its circle.
        assert math.dist(one, other) == pytest.approx(20e-3, rel=1e-9)
    sizes = [t for t in things if isinstance(t, Diameter)]
    assert [(each.count, round(each.nominal, 6)) for each in sizes] == [(6, 4e-3), (1, 40e-3)]


def test_an_angle_is_measured_between_its_legs() -> None:
    angle = Angular(vertex=(0.0, 0.0), start_angle=0.2, end_angle=0.9, radius=5e-3)
    assert angle.nominal == pytest.approx(0.7, rel=1e-12)
