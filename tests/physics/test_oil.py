"""Oil against temperature: the line through two points, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.physics.errors import OutOfRange
from benchproof.physics.oil import kinematic_viscosity, oil_density, oil_viscosity

MM2 = 1e-6


def test_the_line_runs_through_its_two_points() -> None:
    found = kinematic_viscosity(
        viscosity_warm=68 * MM2, viscosity_hot=8.7 * MM2, temperature=np.array([313.15, 373.15])
    )
    np.testing.assert_allclose(found, [68 * MM2, 8.7 * MM2], rtol=1e-9, atol=0.0)


@settings(max_examples=50, deadline=None)
@given(st.floats(20.0, 1000.0), st.floats(0.03, 0.3), st.floats(255.0, 500.0))
def test_an_oil_never_thickens_when_warmed(thick: float, share: float, kelvin: float) -> None:
    at_40, at_100 = thick * MM2, max(thick * share, 2.1) * MM2
    cool, warm = kinematic_viscosity(
        viscosity_warm=at_40, viscosity_hot=at_100, temperature=np.array([kelvin, kelvin + 10.0])
    )
    assert warm <= cool
    assert warm >= 2.0 * MM2


def test_density_falls_by_its_expansion() -> None:
    found = oil_density(density_cool=880.0, temperature=np.array([288.15, 388.15]))
    np.testing.assert_allclose(found, [880.0, 880.0 / 1.07], rtol=1e-9, atol=0.0)


def test_dynamic_viscosity_is_kinematic_times_density() -> None:
    found = oil_viscosity(
        viscosity_warm=68 * MM2, viscosity_hot=8.7 * MM2, density_cool=880.0, temperature=313.15
    )
    np.testing.assert_allclose(found, 68 * MM2 * 880.0 / 1.0175, rtol=1e-9, atol=0.0)


@pytest.mark.parametrize(
    ("change", "quantity"),
    [
        ({"viscosity_warm": 1e-6}, "viscosity at 40 °C"),
        ({"viscosity_hot": 6e-3}, "viscosity at 100 °C"),
        ({"viscosity_hot": 70e-6}, "viscosity at 100 °C"),
        ({"temperature": 200.0}, "temperature"),
    ],
)
def test_what_is_no_oil_is_refused(change: dict[str, float], quantity: str) -> None:
    good = {"viscosity_warm": 68 * MM2, "viscosity_hot": 8.7 * MM2, "temperature": 323.15}
    with pytest.raises(OutOfRange) as refused:
        kinematic_viscosity(**(good | change))
    assert refused.value.quantity == quantity


@pytest.mark.parametrize(
    "change", [{"density_cool": 500.0}, {"temperature": 600.0}, {"temperature": np.nan}]
)
def test_what_has_no_density_is_refused(change: dict[str, float]) -> None:
    with pytest.raises(OutOfRange):
        oil_density(**({"density_cool": 880.0, "temperature": 313.15} | change))
