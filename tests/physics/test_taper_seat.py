"""Statics of a cone: sink, port, torque, sticking and lift, each by a second way."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from benchproof.physics.errors import OutOfRange
from benchproof.physics.taper_seat import (
    axial_travel,
    contact_pressure,
    freeing_force,
    half_angle,
    lapping_sink,
    lift_force,
    port_overlap,
    self_holding,
    turning_torque,
)
from sources import source

ARCMIN = np.radians(1.0 / 60.0)


@source("an independent calculation", kind="own calculation")
def test_one_in_ten_is_five_degrees_forty_three_minutes() -> None:
    assert 2.0 * half_angle(taper=0.1) / ARCMIN == pytest.approx(5 * 60 + 43.5, abs=0.05)


@source("M L over the taper", kind="own calculation")
def test_ten_arcminutes_lapped_out_sink_a_plug_a_sixth_of_a_millimetre() -> None:
    sink = lapping_sink(taper=0.1, mismatch=10.0 * ARCMIN, length=6e-3)
    assert sink == pytest.approx(0.17e-3, abs=0.006e-3)
    assert sink == axial_travel(taper=0.1, removed=10.0 * ARCMIN * 6e-3)


@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
def test_how_the_wear_is_shared_makes_no_difference_to_the_sink(share: float) -> None:
    """Two straight generators, the plug's worn by one share of what overlaps, the body's by one."""
    along = np.linspace(0.0, 6e-3, 601)
    mismatch, taper = 10.0 * ARCMIN, 0.1
    body = 1.5e-3 + 0.5 * taper * along
    plug = body - 0.5 * mismatch * along  # touches where along is 0, open at the far end

    def overlap(sink: float) -> np.ndarray:
        # Sunk towards the small end, a place on the plug meets a smaller part of the body.
        return np.asarray(plug + 0.5 * taper * sink - body)

    sink = float(lapping_sink(taper=taper, mismatch=mismatch, length=6e-3))
    worn = np.maximum(overlap(sink), 0.0)
    gap = (body + (1.0 - share) * worn) - (plug + 0.5 * taper * sink - share * worn)
    assert np.max(np.abs(gap)) < 1e-12  # bears from end to end, and not before:
    assert overlap(0.99 * sink)[-1] < -1e-8


def test_an_open_port_is_the_area_two_circles_share() -> None:
    port = 1.2
    for offset in (0.1, 0.5, 1.0):
        half = 0.5 * port

        def chord(x: float, half: float = half) -> float:
            return 2.0 * float(np.sqrt(half**2 - x**2))

        lens = 2.0 * quad(chord, 0.5 * offset, half)[0]
        assert port_overlap(offset=offset, port_diameter=port) == pytest.approx(
            lens / (np.pi * half**2), rel=1e-6
        )
    assert port_overlap(offset=0.0, port_diameter=port) == 1.0
    assert port_overlap(offset=-2.0 * port, port_diameter=port) == 0.0


@source("an independent calculation", kind="own calculation")
def test_torque_of_a_three_millimetre_plug_per_newton_of_spring() -> None:
    torque = turning_torque(axial_force=1.0, diameter=3e-3, taper=0.1, friction=0.15)
    assert torque == pytest.approx(4.5e-3, rel=0.01)


def test_the_normal_force_of_a_turned_cone_carries_the_whole_pull() -> None:
    pressure = contact_pressure(axial_force=5.0, diameter=3e-3, length=6e-3, taper=0.1)
    angle = float(half_angle(taper=0.1))
    slant_area = np.pi * 3e-3 * 6e-3 / np.cos(angle)
    normal = pressure * slant_area
    assert normal * np.sin(angle) == pytest.approx(5.0, rel=1e-9)
    torque = turning_torque(axial_force=5.0, diameter=3e-3, taper=0.1, friction=0.15)
    assert torque == pytest.approx(0.15 * normal * 1.5e-3, rel=1e-9)


def test_a_plug_pushed_home_is_in_balance_when_it_is_pushed_out() -> None:
    taper, friction, home = 0.1, 0.15, 10.0
    angle = float(half_angle(taper=taper))
    normal = home / (np.sin(angle) + friction * np.cos(angle))
    out = normal * (friction * np.cos(angle) - np.sin(angle))
    assert freeing_force(seating_force=home, taper=taper, friction=friction) == pytest.approx(
        out, rel=1e-12
    )
    assert out / home == pytest.approx(0.5, abs=1e-9)


def test_what_does_not_hold_itself_wants_no_push() -> None:
    for taper, friction in ((0.2, 0.08), (1.0 / 6.0, 0.08), (0.1, 0.08)):
        sticks = bool(self_holding(taper=taper, friction=friction))
        force = float(freeing_force(seating_force=10.0, taper=taper, friction=friction))
        assert sticks == (force > 0.0)
    assert not self_holding(taper=0.2, friction=0.08)
    assert self_holding(taper=0.1, friction=0.08)


def test_pressure_lifts_by_the_difference_of_the_ends() -> None:
    force = lift_force(pressure_difference=8e5, diameter=3e-3, length=6e-3, taper=0.1)
    ends = 0.25 * np.pi * (3.3e-3**2 - 2.7e-3**2)
    assert force == pytest.approx(8e5 * ends, rel=1e-12)
    # A pull that just meets it bears on the cone with the pressure itself.
    pressure = contact_pressure(axial_force=float(force), diameter=3e-3, length=6e-3, taper=0.1)
    assert pressure == pytest.approx(8e5, rel=1e-12)


@pytest.mark.parametrize(
    "call",
    [
        lambda: half_angle(taper=0.0),
        lambda: half_angle(taper=2.5),
        lambda: turning_torque(axial_force=-1.0, diameter=3e-3, taper=0.1, friction=0.1),
        lambda: self_holding(taper=0.1, friction=0.0),
        lambda: lift_force(pressure_difference=1e5, diameter=1e-3, length=20e-3, taper=0.1),
        lambda: port_overlap(offset=0.0, port_diameter=0.0),
    ],
)
def test_what_cannot_be_is_refused(call: object) -> None:
    with pytest.raises(OutOfRange):
        call()  # type: ignore[operator]
