"""Strength of threads: limits, monotony, and a case worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics.errors import OutOfRange
from benchproof.physics.threads import (
    lead_error_play,
    nut_shear_area,
    preload,
    screw_shear_area,
    tensile_stress_area,
)

HALF = np.radians(30.0)


def test_a_rod_without_thread_breaks_on_its_own_section() -> None:
    area = tensile_stress_area(pitch_diameter=5.0001e-3, core_diameter=5.0e-3)
    np.testing.assert_allclose(area, 0.25 * np.pi * 25e-6, rtol=1e-4, atol=0)


def test_a_core_outside_the_pitch_diameter_is_refused() -> None:
    with pytest.raises(OutOfRange, match="core diameter"):
        tensile_stress_area(pitch_diameter=4e-3, core_diameter=5e-3)


def test_threads_that_only_meet_at_the_pitch_line_shear_through_half_a_pitch() -> None:
    area = screw_shear_area(
        nut_minor=5e-3, screw_pitch_diameter=5e-3, pitch=1e-3, half_angle=HALF, length=4e-3
    )
    np.testing.assert_allclose(area, np.pi * 5e-3 * 4e-3 / 2.0, rtol=1e-12, atol=0)
    area = nut_shear_area(
        screw_major=5e-3, nut_pitch_diameter=5e-3, pitch=1e-3, half_angle=HALF, length=4e-3
    )
    np.testing.assert_allclose(area, np.pi * 5e-3 * 4e-3 / 2.0, rtol=1e-12, atol=0)


def test_a_looser_thread_has_less_to_shear_until_nothing_is_left() -> None:
    loose = np.linspace(5.4e-3, 3e-3, 7)
    area = screw_shear_area(
        nut_minor=4.9e-3, screw_pitch_diameter=loose, pitch=1e-3, half_angle=HALF, length=4e-3
    )
    assert (np.diff(area) <= 0.0).all()
    assert area[0] > 0.0
    assert area[-1] == 0.0


@pytest.mark.parametrize(("pitch", "half"), [(0.0, HALF), (1e-3, 0.0), (1e-3, 1.0)])
def test_what_is_no_thread_is_refused(pitch: float, half: float) -> None:
    with pytest.raises(OutOfRange):
        screw_shear_area(
            nut_minor=5e-3, screw_pitch_diameter=5e-3, pitch=pitch, half_angle=half, length=4e-3
        )


def a_preload(**changed: float) -> float:
    values = {
        "torque": 1.0,
        "pitch": 1e-3,
        "pitch_diameter": 5.35e-3,
        "half_angle": HALF,
        "thread_friction": 0.15,
        "collar_radius": 4e-3,
        "collar_friction": 0.15,
    }
    return float(preload(**(values | changed)))


def test_without_friction_work_in_is_work_out() -> None:
    force = a_preload(thread_friction=0.0, collar_friction=0.0)
    np.testing.assert_allclose(force * 1e-3, 2.0 * np.pi * 1.0, rtol=1e-12, atol=0)


def test_friction_takes_most_of_the_torque() -> None:
    assert a_preload() < 0.25 * a_preload(thread_friction=0.0, collar_friction=0.0)
    assert a_preload(torque=0.0) == 0.0


@pytest.mark.parametrize(
    "changed",
    [
        {"torque": -1.0},
        {"thread_friction": -0.1},
        {"collar_friction": -0.1},
        {"thread_friction": 20.0},
    ],
)
def test_what_cannot_turn_is_refused(changed: dict[str, float]) -> None:
    with pytest.raises(OutOfRange):
        a_preload(**changed)


def test_an_error_of_lead_takes_play_either_way() -> None:
    play = lead_error_play(lead_error=np.array([-5e-6, 0.0, 5e-6]), half_angle=HALF)
    np.testing.assert_allclose(play, np.sqrt(3.0) * np.array([5e-6, 0.0, 5e-6]), rtol=1e-12, atol=0)
    with pytest.raises(OutOfRange):
        lead_error_play(lead_error=1e-6, half_angle=0.0)
