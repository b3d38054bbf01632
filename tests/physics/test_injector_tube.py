from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.physics.errors import OutOfRange
from benchproof.physics.injector_tube import (
    clock_travel,
    cone_length,
    included_angle,
    largest_feed,
    starting_room,
    tube_needed,
    widest_draft_bore,
)


@given(narrow=st.floats(0.2e-3, 2e-3), wider=st.floats(1.01, 4.0), degrees=st.floats(1.0, 60.0))
def test_length_and_angle_are_each_other_s_inverse(
    narrow: float, wider: float, degrees: float
) -> None:
    angle = np.radians(degrees)
    length = cone_length(narrow=narrow, wide=narrow * wider, included_angle=angle)
    found = included_angle(narrow=narrow, wide=narrow * wider, length=length)
    np.testing.assert_allclose(found, angle, rtol=1e-9)


def test_a_delivery_cone_is_ten_to_sixteen_throats_long_at_about_five_degrees_or_more() -> None:
    # Opening 3.6 times at 5 degrees would take 30 throats: makers end it sooner or open faster.
    length = cone_length(narrow=1.0, wide=3.6, included_angle=np.radians(5.0))
    np.testing.assert_allclose(length, 29.8, rtol=0.0, atol=0.1)


def test_the_clock_shows_the_sine_of_half_the_angle() -> None:
    shown = clock_travel(included_angle=np.radians(13.0), travel=25e-3)
    np.testing.assert_allclose(shown, 25e-3 * np.sin(np.radians(6.5)), rtol=1e-12)


def test_the_draft_cone_is_wider_at_its_end_than_at_the_nose() -> None:
    angle = float(np.radians(6.5))
    widest = widest_draft_bore(draft_bore=2e-3, half_angle=angle, nose_depth=0.25)
    np.testing.assert_allclose(widest, 2e-3 + 2.0 * 0.5e-3 * np.tan(angle), rtol=1e-12)


@given(feed=st.floats(1e-3, 0.1), bore=st.floats(1e-3, 6e-3), wall=st.floats(0.2e-3, 1e-3))
def test_the_largest_feed_just_fills_the_tube(feed: float, bore: float, wall: float) -> None:
    tube = 5e-3
    largest = largest_feed(feed=feed, widest_bore=bore, tube_bore=tube, wall=wall)
    grown = bore * np.sqrt(largest / feed)
    np.testing.assert_allclose(tube_needed(widest_bore=grown, wall=wall), tube, rtol=1e-12)


def test_room_to_start_is_what_the_first_steam_finds() -> None:
    area = 0.25 * np.pi * 1.3e-3**2
    room = starting_room(mouth=1.3e-3, draft_exit=1.3e-3, gap_area=0.5 * area)
    np.testing.assert_allclose(room, 1.5, rtol=1e-12)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"wide": 0.5e-3}, "wide bore"),
        ({"narrow": 0.0}, "wide bore"),
        ({"included_angle": 0.0}, "included angle"),
        ({"included_angle": 3.2}, "included angle"),
    ],
)
def test_what_is_no_cone_is_refused(change: dict[str, float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        cone_length(**{"narrow": 1e-3, "wide": 2e-3, "included_angle": 0.1} | change)


def test_a_cone_of_no_length_is_refused() -> None:
    with pytest.raises(OutOfRange, match="length"):
        included_angle(narrow=1e-3, wide=2e-3, length=0.0)


def test_a_tube_filled_by_walls_is_refused() -> None:
    with pytest.raises(OutOfRange, match="tube bore"):
        largest_feed(feed=1.0, widest_bore=1e-3, tube_bore=0.8e-3)
