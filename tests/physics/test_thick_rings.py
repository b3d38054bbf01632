"""Thick rings: limits, equilibrium, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.physics.errors import OutOfRange
from benchproof.physics.thick_rings import (
    contact_pressure,
    growth_of_outside,
    interference_lost,
    rise_to_open,
    slip_torque,
    tyre_give,
    tyre_hoop,
    tyre_von_mises,
)
from sources import source

STEEL = {"modulus": 200e9, "poisson": 0.29}
RING = {"seat": 0.1, "outside": 0.116}


@source(
    "equilibrium of half a ring by numerical integration of Lamé's field", kind="own calculation"
)
def test_half_a_ring_balances_the_pressure_within_it() -> None:
    radius = np.linspace(50e-3, 58e-3, 20_001)
    field = 50e-3**2 / (58e-3**2 - 50e-3**2) * (1.0 + 58e-3**2 / radius**2)
    pull = np.trapezoid(field, radius)
    assert pull == pytest.approx(50e-3, rel=1e-7)
    assert float(tyre_hoop(pressure=1.0, **RING)) == pytest.approx(field[0], rel=1e-12)
    grown = growth_of_outside(pressure=1.0, modulus=1.0, **RING)
    assert float(grown) == pytest.approx(field[-1] * 0.116, rel=1e-12)


@source("kettle formula: hoop is pressure times mean radius over thickness", kind="own calculation")
def test_a_thin_ring_is_a_hoop() -> None:
    thin = {"seat": 0.1, "outside": 0.1002}
    mean = 50.05e-3 / 0.1e-3
    assert float(tyre_hoop(pressure=1.0, **thin)) == pytest.approx(mean, rel=2e-3)
    assert float(tyre_give(**thin, **STEEL)) == pytest.approx(mean / 200e9, rel=2e-3)


@source("von Mises of hoop and radial stress, worked from its definition", kind="own calculation")
def test_von_mises_of_hoop_and_pressure() -> None:
    hoop, pressure = float(tyre_hoop(pressure=24e6, **RING)), 24e6
    apart = np.sqrt(hoop**2 + pressure**2 + hoop * pressure)
    assert float(tyre_von_mises(pressure=pressure, **RING)) == pytest.approx(apart, rel=1e-12)
    printed = pressure * np.sqrt(3.0) / (1.0 - (0.1 / 0.116) ** 2)
    assert apart / printed == pytest.approx(1.0882, abs=1e-4)


def test_interference_is_taken_up_by_both_and_none_means_no_pressure() -> None:
    outer, inner = float(tyre_give(**RING, **STEEL)), 0.789 / 100e9
    found = contact_pressure(
        interference=np.array([-1e-5, 0.0, 1e-4]), seat=0.1, outer_give=outer, inner_give=inner
    )
    np.testing.assert_allclose(found[:2], 0.0, rtol=0.0, atol=0.0)
    assert found[2] * 0.1 * (outer + inner) == pytest.approx(1e-4, rel=1e-12)


@settings(max_examples=50, deadline=None)
@given(st.floats(1.02, 4.0), st.floats(1.01, 2.0))
def test_a_thicker_tyre_gives_less_and_is_stressed_less(ratio: float, more: float) -> None:
    thin, thick = ({"seat": 0.1, "outside": 0.1 * r} for r in (ratio, ratio * more))
    assert tyre_give(**thick, **STEEL) < tyre_give(**thin, **STEEL)
    assert tyre_hoop(pressure=1e6, **thick) < tyre_hoop(pressure=1e6, **thin)
    ratio_of = tyre_von_mises(pressure=1.0, **thin) / tyre_hoop(pressure=1.0, **thin)
    assert 1.0 < ratio_of < np.sqrt(3.0)


@source("friction summed over the seat by hand", kind="own calculation")
def test_torque_of_friction() -> None:
    torque = slip_torque(pressure=10e6, seat=0.1, width=0.02, friction=0.12)
    assert float(torque) == pytest.approx(10e6 * np.pi * 0.1 * 0.02 * 0.12 * 0.05, rel=1e-12)


def test_heat_takes_off_and_gives_back() -> None:
    lost = interference_lost(
        seat=0.1, outer_expansion=11.7e-6, outer_rise=50.0, inner_expansion=10.5e-6, inner_rise=0.0
    )
    assert float(lost) == pytest.approx(58.5e-6, rel=1e-12)
    back = rise_to_open(opening=lost, seat=0.1, outer_expansion=11.7e-6)
    assert float(back) == pytest.approx(50.0, rel=1e-12)
    same = {"outer_expansion": 1e-5, "inner_expansion": 1e-5, "outer_rise": 9.0, "inner_rise": 9.0}
    assert float(interference_lost(seat=0.1, **same)) == 0.0


RING_ARGS: dict[str, Any] = {"pressure": 1e6, **RING}


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (tyre_hoop, RING_ARGS | {"outside": 0.1}),
        (tyre_hoop, RING_ARGS | {"outside": np.inf}),
        (tyre_von_mises, RING_ARGS | {"seat": 0.0}),
        (growth_of_outside, RING_ARGS | {"modulus": 0.0}),
        (tyre_give, RING | STEEL | {"poisson": 0.6}),
        (tyre_give, RING | STEEL | {"modulus": -1.0}),
        (contact_pressure, {"interference": 0.0, "seat": 1.0, "outer_give": 0.0, "inner_give": 0}),
        (slip_torque, {"pressure": -1.0, "seat": 0.1, "width": 0.02, "friction": 0.1}),
        (slip_torque, {"pressure": 1.0, "seat": 0.1, "width": 0.0, "friction": 0.1}),
        (slip_torque, {"pressure": 1.0, "seat": 0.1, "width": 0.02, "friction": -0.1}),
        (rise_to_open, {"opening": 1e-4, "seat": 0.1, "outer_expansion": 0.0}),
    ],
)  # fmt: skip
def test_what_is_no_ring_is_refused(
    function: Callable[..., Any], arguments: dict[str, Any]
) -> None:
    with pytest.raises(OutOfRange):
        function(**arguments)
