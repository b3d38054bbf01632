"""A pressed bush: where the interference goes, and the limits of the closing."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.physics.bush_closing import pressed_bush
from benchproof.physics.errors import OutOfRange
from sources import source

BRONZE = {"bush_modulus": 105e9, "bush_poisson": 0.34}
IRON = {"housing_modulus": 100e9, "housing_poisson": 0.21}
SIZES = {"bore": 12e-3, "seat": 16e-3, "housing_outside": 30e-3}


@settings(max_examples=60, deadline=None)
@given(st.floats(0.3, 0.97), st.floats(1.05, 5.0), st.floats(30e9, 210e9), st.floats(30e9, 210e9))
def test_a_bush_closes_by_hardly_more_than_its_interference(
    hollow: float, round_it: float, bush: float, housing: float
) -> None:
    found = pressed_bush(
        bore=hollow * 20e-3,
        seat=20e-3,
        housing_outside=round_it * 20e-3,
        bush_modulus=bush,
        bush_poisson=0.33,
        housing_modulus=housing,
        housing_poisson=0.3,
    )
    # Squeezed, its wall also thickens: that is why a soft bush can close by a little more.
    assert 0.0 < found.closing < 1.0 / np.sqrt(1.0 - 0.33**2)
    assert found.bore_stress > 2.0 * found.pressure


@source("thick-ring displacements worked by hand", kind="own calculation")
def test_bush_and_housing_share_the_interference() -> None:
    found = pressed_bush(**SIZES, **BRONZE, **IRON)
    pressure = found.pressure  # for one metre of interference
    inward = pressure * 16e-3 / 105e9 * ((16**2 + 12**2) / (16**2 - 12**2) - 0.34)
    outward = pressure * 16e-3 / 100e9 * ((30**2 + 16**2) / (30**2 - 16**2) + 0.21)
    np.testing.assert_allclose(inward + outward, 1.0, rtol=1e-12, atol=0.0)
    # No pressure at the bore, so its strain is hoop stress over the modulus alone.
    np.testing.assert_allclose(
        found.closing, 12e-3 * found.bore_stress / 105e9, rtol=1e-12, atol=0.0
    )
    assert found.closing == pytest.approx(0.642, rel=0.001)


def test_a_thin_bush_in_a_stiff_housing_closes_by_all_of_it() -> None:
    thin = pressed_bush(
        bore=15.9e-3,
        seat=16e-3,
        housing_outside=160e-3,
        **BRONZE,
        housing_modulus=1e15,
        housing_poisson=0.3,
    )
    assert thin.closing == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize(
    "change",
    [
        {"bore": 0.0},
        {"seat": 11e-3},
        {"housing_outside": 16e-3},
        {"bush_modulus": 0.0},
        {"housing_poisson": 0.6},
        {"bore": float("nan")},
    ],
)
def test_what_is_no_ring_is_refused(change: dict[str, float]) -> None:
    with pytest.raises(OutOfRange):
        pressed_bush(**(SIZES | BRONZE | IRON | change))
