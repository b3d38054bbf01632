"""Co-ordinates for the dials: they follow the profile, and stairs never cut below it."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.drawing import Corner, Step, TurnedPart
from benchproof.papers.coordinates import Coordinate, coordinates

PIN = TurnedPart(
    outside=(
        Step(diameter=16e-3, length=4e-3),
        Step(diameter=10e-3, length=20e-3),
        Step(diameter=6e-3, length=8e-3),
    )
)


def test_a_stepped_pin_is_cut_from_its_right_face() -> None:
    rows = coordinates(PIN).rows
    assert [(round(1e3 * r.along, 6), round(1e3 * r.across, 6), r.move) for r in rows] == [
        (0.0, 6.0, "start"),
        (8.0, 6.0, "turn"),
        (8.0, 10.0, "face"),
        (28.0, 10.0, "turn"),
        (28.0, 16.0, "face"),
        (32.0, 16.0, "turn"),
    ]


def test_a_radius_dial_reads_half() -> None:
    whole, half = coordinates(PIN).rows, coordinates(PIN, reads="radius").rows
    for one, other in zip(whole, half, strict=True):
        assert other.across == pytest.approx(0.5 * one.across, rel=1e-12)


def test_a_hole_is_bored_from_the_right_face_where_it_opens() -> None:
    bush = TurnedPart(
        outside=(Step(diameter=20e-3, length=30e-3),),
        inside_right=(Step(diameter=12e-3, length=5e-3), Step(diameter=8e-3, length=7e-3)),
    )
    rows = coordinates(bush, inside=True).rows
    assert [(round(1e3 * r.along, 6), round(1e3 * r.across, 6)) for r in rows] == [
        (0.0, 12.0),
        (5.0, 12.0),
        (5.0, 8.0),
        (12.0, 8.0),
    ]
    with pytest.raises(ValueError, match="no hole"):
        coordinates(PIN, inside=True)


def test_stairs_without_height_are_refused() -> None:
    with pytest.raises(ValueError, match="above zero"):
        coordinates(PIN, left_to_blend=0.0)


def stairs(rows: tuple[Coordinate, ...]) -> list[tuple[Coordinate, Coordinate]]:
    """Each move along the bed, as where it starts and ends."""
    pairs = pairwise(rows)
    return [(one, other) for one, other in pairs if other.move in {"step along", "turn"}]


@given(
    st.floats(6e-3, 20e-3),
    st.floats(6e-3, 20e-3),
    st.floats(3e-3, 30e-3),
    st.floats(0.02e-3, 0.3e-3),
)
def test_stairs_down_a_cone_leave_metal_but_no_more_than_allowed(
    left: float, right: float, length: float, height: float
) -> None:
    cone = TurnedPart(outside=(Step(diameter=left, length=length, end_diameter=right),))
    rows = coordinates(cone, reads="radius", left_to_blend=height).rows
    slope = 0.5 * (left - right) / length  # radius gained per length from the right face
    square = math.hypot(1.0, slope)
    for one, other in stairs(rows):
        for along in (one.along, other.along):
            over = other.across - (0.5 * right + slope * along)
            assert over >= -1e-9
            assert over / square <= height * (1.0 + 1e-6) + 1e-9
    assert rows[-1].along == pytest.approx(length, rel=1e-9)
    assert rows[-1].across == pytest.approx(0.5 * left, rel=1e-9)


@given(st.floats(0.5e-3, 3e-3), st.floats(0.02e-3, 0.2e-3))
@settings(max_examples=40)
def test_stairs_round_a_corner_leave_metal_but_no_more_than_allowed(
    radius: float, height: float
) -> None:
    ball = TurnedPart(outside=(Step(diameter=12e-3, length=10e-3, end=Corner("round", radius)),))
    rows = coordinates(ball, reads="radius", left_to_blend=height).rows
    centre = (radius, 6e-3 - radius)
    corners = [row for row in rows if row.along < radius and row.move.startswith("step")]
    assert corners
    for row in corners:
        over = math.hypot(row.along - centre[0], row.across - centre[1]) - radius
        assert -1e-9 <= over <= height * (1.0 + 1e-6) + 1e-9


def test_stairs_in_a_tapered_hole_leave_metal_towards_the_axis() -> None:
    socket = TurnedPart(
        outside=(Step(diameter=30e-3, length=40e-3),),
        inside_right=(Step(diameter=20e-3, length=20e-3, end_diameter=14e-3),),
    )
    rows = coordinates(socket, inside=True, reads="radius", left_to_blend=0.1e-3).rows
    for one, other in stairs(rows):
        for along in (one.along, other.along):
            assert other.across <= 10e-3 - 3e-3 / 20e-3 * along + 1e-9
