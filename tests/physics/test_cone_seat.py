"""A cone in its seat: limits, monotony, and the tilted punch by a second way."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics.cone_seat import (
    CONSTRAINT,
    contact_pressure,
    line_force,
    plane_strain_modulus,
    seat_leak,
)
from benchproof.physics.errors import OutOfRange
from sources import source

MODULUS, YIELD = 55e9, 200e6


def pressure(force: float, mismatch: float, **changed: float) -> float:
    values = {
        "modulus": MODULUS,
        "yield_strength": YIELD,
        "face_width": 1e-3,
        "least_width": 0.02e-3,
    }
    return float(contact_pressure(line_force=force, mismatch=mismatch, **(values | changed)))


def test_two_alike_are_half_as_stiff_as_one_against_a_rigid_face() -> None:
    both = plane_strain_modulus(youngs_modulus=(100e9, 100e9), poisson_ratio=(0.3, 0.3))
    np.testing.assert_allclose(both, 50e9 / 0.91, rtol=1e-12, atol=0)


def test_a_flat_face_without_friction_carries_the_force_as_it_is() -> None:
    force = line_force(axial_force=100.0, half_angle=0.5 * np.pi, friction=0.0, diameter=5e-3)
    np.testing.assert_allclose(force, 100.0 / (np.pi * 5e-3), rtol=1e-12, atol=0)


def test_a_sharper_cone_presses_harder() -> None:
    sharp, blunt = (
        float(line_force(axial_force=100.0, half_angle=half, friction=0.15, diameter=5e-3))
        for half in (np.radians(15.0), np.radians(45.0))
    )
    assert sharp > 1.5 * blunt


def test_cones_alike_share_the_force_over_the_face() -> None:
    np.testing.assert_allclose(pressure(1e5, 0.0), 1e5 / 1e-3, rtol=1e-12, atol=0)


def test_a_mismatch_presses_harder_until_the_softer_face_yields() -> None:
    mismatches = np.radians([0.0, 0.2, 0.4, 2.0, 10.0])
    found = np.array([pressure(1e5, each) for each in mismatches])
    assert (np.diff(found) >= 0.0).all()
    np.testing.assert_allclose(found[-2:], CONSTRAINT * YIELD, rtol=1e-12, atol=0)
    assert pressure(1e5, -0.005) == pressure(1e5, 0.005)


@source("own calculation: the pressure under a tilted punch, integrated", kind="own calculation")
def test_the_band_of_a_small_mismatch_is_that_of_a_tilted_punch() -> None:
    # p = (E' m/2) sqrt((a - x)/(a + x)) over -a..a: it slopes the face by m and ends at nothing.
    mismatch, half_width = 2e-3, 0.1e-3
    angle = (np.arange(20_000) + 0.5) * np.pi / 20_000
    along = half_width * np.cos(angle)
    profile = 0.5 * MODULUS * mismatch * np.sqrt((half_width - along) / (half_width + along))
    force = float(np.sum(profile * half_width * np.sin(angle)) * np.pi / 20_000)
    np.testing.assert_allclose(
        pressure(force, mismatch), force / (2.0 * half_width), rtol=1e-6, atol=0
    )
    # Slope of the surface anywhere on the band, by the singular integral: points lie evenly on
    # both sides of a boundary between two of them, and what is infinite there cancels.
    s = half_width * np.cos(6_000 * np.pi / 20_000)
    gap = 0.5 * MODULUS * mismatch * (half_width - along) / (along - s) * (np.pi / 20_000)
    slope = 2.0 / (np.pi * MODULUS) * float(np.sum(gap))
    np.testing.assert_allclose(abs(slope), mismatch, rtol=1e-3, atol=0)


def test_a_force_that_only_touches_seals_nothing() -> None:
    assert pressure(0.0, 0.01) == 0.0
    assert pressure(-50.0, 0.01) == 0.0
    assert pressure(1.0, 0.01) == pytest.approx(1.0 / 0.02e-3, rel=1e-12)


@pytest.mark.parametrize(
    "changed",
    [{"yield_strength": 0.0}, {"modulus": 0.0}, {"least_width": 0.0}, {"least_width": 2e-3}],
)
def test_what_is_no_seat_is_refused(changed: dict[str, float]) -> None:
    with pytest.raises(OutOfRange):
        pressure(1e5, 0.0, **changed)


@pytest.mark.parametrize(("half", "diameter"), [(0.0, 5e-3), (2.0, 5e-3), (0.5, 0.0)])
def test_what_is_no_cone_is_refused(half: float, diameter: float) -> None:
    with pytest.raises(OutOfRange):
        line_force(axial_force=1.0, half_angle=half, friction=0.1, diameter=diameter)


def leak(margin: float, *, width: float = 0.05e-3, sealed: float = 1e-11) -> float:
    return float(
        seat_leak(
            seal_margin=margin,
            open_gap=5e-6,
            width=width,
            diameter=4e-3,
            pressure=12e5,
            viscosity=1e-3,
            sealed_flow=sealed,
        )
    )


def test_touching_faces_leak_like_a_slit_and_sealed_ones_as_was_said() -> None:
    slit = np.pi * 4e-3 * 125e-18 * 12e5 / (12.0 * 1e-3 * 0.05e-3)
    np.testing.assert_allclose(leak(0.0), slit, rtol=1e-12, atol=0)
    np.testing.assert_allclose(leak(1.0), 1e-11, rtol=1e-9, atol=0)
    np.testing.assert_allclose(leak(0.5) ** 2, leak(0.0) * leak(1.0), rtol=1e-9, atol=0)
    assert leak(-1.0) == leak(0.0)


def test_a_leak_through_nothing_is_refused() -> None:
    with pytest.raises(OutOfRange):
        leak(0.5, width=0.0)
    with pytest.raises(OutOfRange):
        leak(0.5, sealed=0.0)
