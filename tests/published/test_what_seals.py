"""What presses metal faces tight, by what has been published."""

from __future__ import annotations

import numpy as np

from benchproof.physics.cone_seat import CONSTRAINT, sealing_ratio
from benchproof.physics.threads import preload
from sources import source


@source(
    "Persson and Yang, Theory of the leak-rate of seals, J. Phys.: Condens. Matter 20, 2008: "
    "a way through ends when about 0.4 of the face is in contact"
)
def test_rough_faces_seal_when_four_tenths_of_them_touch() -> None:
    np.testing.assert_allclose(sealing_ratio() / CONSTRAINT, 0.4, rtol=0, atol=0.05)


@source(
    "SAE paper 650312, Metal-to-metal and metal gasketed seals, 1965, abstract: about 2.75 "
    "times the yield of the weaker seals whatever the finish"
)
def test_what_seals_lies_below_what_seals_any_finish() -> None:
    assert 1.0 < float(sealing_ratio()) < 2.75
    np.testing.assert_allclose(CONSTRAINT, 2.75, rtol=0.03, atol=0)


@source(
    "Shigley's Mechanical Engineering Design, 8th ed., section 8-8: with both coefficients "
    "0.15 the torque is about 0.20 F d whatever the size (from memory)",
    kind="from memory",
)
def test_torque_is_a_fifth_of_force_times_diameter() -> None:
    major = np.array([6e-3, 10e-3, 16e-3])
    pitch = np.array([1.0e-3, 1.5e-3, 2.0e-3])
    force = preload(
        torque=1.0,
        pitch=pitch,
        pitch_diameter=major - 0.6495 * pitch,
        half_angle=np.radians(30.0),
        thread_friction=0.15,
        collar_radius=0.625 * major,
        collar_friction=0.15,
    )
    np.testing.assert_allclose(1.0 / (force * major), 0.20, rtol=0, atol=0.0075)
