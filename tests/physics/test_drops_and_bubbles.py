"""Drops, bubbles, and gaps that water keeps shut."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics.drops_and_bubbles import blocked_gap, surface_tension, tate_volume
from benchproof.physics.errors import OutOfRange
from sources import source


@source("IAPWS R1-76(2014), table 1", kind="from memory")
@pytest.mark.parametrize(("celsius", "tension"), [(20.0, 72.74), (25.0, 71.97), (100.0, 58.91)])
def test_surface_tension_of_water(celsius: float, tension: float) -> None:
    assert surface_tension(temperature=273.15 + celsius) * 1e3 == pytest.approx(tension, abs=0.02)


def test_a_bubble_weighs_what_its_rim_can_hold() -> None:
    volume = tate_volume(diameter=2e-3, tension=0.0728, density=998.0)
    assert volume * 998.0 * 9.80665 == pytest.approx(np.pi * 2e-3 * 0.0728, rel=1e-12)
    assert 0.04e-6 < volume < 0.05e-6


def test_a_wetted_gap_holds_against_a_bar_up_to_a_micron_and_a_half() -> None:
    gap = blocked_gap(tension=0.0728, pressure_difference=1e5)
    assert gap == pytest.approx(1.456e-6, rel=1e-12)
    assert blocked_gap(tension=0.0728, pressure_difference=2e5, wetting=0.5) == pytest.approx(
        0.25 * gap, rel=1e-12
    )


@pytest.mark.parametrize(
    "call",
    [
        lambda: surface_tension(temperature=400.0),
        lambda: tate_volume(diameter=0.0, tension=0.07, density=998.0),
        lambda: tate_volume(diameter=1e-3, tension=0.2, density=998.0),
        lambda: blocked_gap(tension=0.07, pressure_difference=0.0),
        lambda: blocked_gap(tension=0.07, pressure_difference=1e5, wetting=1.5),
    ],
)
def test_what_water_cannot_do_is_refused(call: object) -> None:
    with pytest.raises(OutOfRange):
        call()  # type: ignore[operator]
