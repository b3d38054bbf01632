from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.physics.delivery_cone import (
    circle,
    delivery_pressure,
    overlap_share,
    spill_share,
    throat_capacity,
    void_share,
)
from benchproof.physics.errors import OutOfRange
from sources import source

flows = st.floats(1e-4, 1.0)


@given(capacity=flows, arriving=flows)
def test_what_arrives_goes_through_or_spills(capacity: float, arriving: float) -> None:
    spill = spill_share(capacity=capacity, arriving=arriving)
    void = void_share(capacity=capacity, arriving=arriving)

    through = min(capacity, arriving)
    np.testing.assert_allclose(through + spill * arriving, arriving)
    np.testing.assert_allclose((1.0 - void) * capacity, through)
    assert min(spill, void) == 0.0


def test_without_a_jet_all_spills_and_nothing_is_void() -> None:
    assert spill_share(capacity=0.0, arriving=1e-3) == 1.0
    assert void_share(capacity=0.0, arriving=1e-3) == 0.0


def test_capacity_is_area_times_velocity_times_density() -> None:
    found = throat_capacity(throat=0.55e-3, velocity=47.0, density=987.0)
    np.testing.assert_allclose(found, circle(0.55e-3) * 47.0 * 987.0)


@given(velocity=st.floats(1.0, 80.0), recovery=st.floats(0.4, 1.0), wide=st.floats(1.5, 5.0))
def test_no_diffuser_gives_back_more_than_the_jet_had(
    velocity: float, recovery: float, wide: float
) -> None:
    pressure = delivery_pressure(
        overflow_pressure=1e5,
        velocity=velocity,
        density=990.0,
        recovery=recovery,
        throat=1e-3,
        exit_bore=wide * 1e-3,
    )
    left = velocity / wide**2
    lossless = 1e5 + 0.5 * 990.0 * (velocity**2 - left**2)
    assert pressure <= lossless * (1.0 + 1e-12)
    np.testing.assert_allclose(pressure - 1e5, recovery * (lossless - 1e5))


@source(
    "overlap of two circles, jet 5 % larger by area than a throat of 0.55 mm",
    kind="own calculation",
)
@pytest.mark.parametrize(("offset", "lost"), [(0.0, 0.0), (20e-6, 0.024), (100e-6, 0.21)])
def test_tubes_out_of_line_lose_so_much(offset: float, lost: float) -> None:
    share = overlap_share(jet=0.55e-3 * np.sqrt(1.05), throat=0.55e-3, offset=offset)
    np.testing.assert_allclose(1.0 - share, lost, rtol=0.0, atol=0.002)


@settings(max_examples=25)
@given(jet=st.floats(0.2e-3, 1e-3), offset=st.floats(0.0, 1.2e-3))
def test_overlap_is_the_area_counted_point_by_point(jet: float, offset: float) -> None:
    throat = 0.6e-3
    found = overlap_share(jet=jet, throat=throat, offset=offset)

    across = np.linspace(-0.5, 0.5, 400) * min(jet, throat)
    away = np.linspace(-0.5, 0.5, 400)[:, np.newaxis] * min(jet, throat)
    small, large = 0.5 * min(jet, throat), 0.5 * max(jet, throat)
    inside = np.hypot(across, away) <= small
    both = inside & (np.hypot(across - offset, away) <= large)
    np.testing.assert_allclose(found, both.sum() / inside.sum(), rtol=0.0, atol=0.006)


def test_circles_apart_do_not_overlap_and_circles_inside_do_wholly() -> None:
    share = overlap_share(jet=1e-3, throat=0.5e-3, offset=np.array([0.0, 0.25e-3, 0.75e-3, 2e-3]))
    np.testing.assert_array_equal(share, [1.0, 1.0, 0.0, 0.0])


@pytest.mark.parametrize(
    ("name", "value"), [("jet", 0.0), ("throat", -1e-3), ("offset", -1e-6), ("offset", np.nan)]
)
def test_what_is_no_circle_is_refused(name: str, value: float) -> None:
    given_sizes = {"jet": 1e-3, "throat": 1e-3, "offset": 0.0} | {name: value}
    with pytest.raises(OutOfRange, match=name):
        overlap_share(**given_sizes)
