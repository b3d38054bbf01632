from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.physics.errors import OutOfRange
from benchproof.physics.thermal_growth import REFERENCE_TEMPERATURE, clearance_change, grown
from sources import source

quick = settings(max_examples=30, deadline=None, derandomize=True)
GUNMETAL, IRON, ALUMINIUM, PTFE = 18.0e-6, 10.5e-6, 23.5e-6, 125e-6


def change(outer: float, inner: float, outer_celsius: float, inner_celsius: float) -> float:
    """Change of the diametral clearance on 30 mm [µm]."""
    return 1e6 * float(
        clearance_change(
            diameter=0.03,
            outer_expansion=outer,
            outer_temperature=outer_celsius + 273.15,
            inner_expansion=inner,
            inner_temperature=inner_celsius + 273.15,
        )
    )


@source("own calculation with expansions of gunmetal 18.0, grey iron 10.5, aluminium 23.5e-6/K",
        kind="own calculation")  # fmt: skip
@pytest.mark.parametrize(
    ("outer", "inner", "expected"),
    [(GUNMETAL, GUNMETAL, (0.0, -5.4, -21.6, -37.8)),
     (IRON, IRON, (0.0, -3.2, -12.6, -22.1)),
     (GUNMETAL, IRON, (31.5, 26.1, 9.9, -13.0)),
     (IRON, GUNMETAL, (-31.5, -34.7, -44.1, -46.8)),
     (GUNMETAL, ALUMINIUM, (-23.1, -28.5, -44.7, -55.9)),
     (IRON, ALUMINIUM, (-54.6, -57.8, -67.2, -65.0))],
)  # fmt: skip
def test_pairs(outer: float, inner: float, expected: tuple[float, ...]) -> None:
    states = ((160.0, 160.0), (150.0, 160.0), (120.0, 160.0), (60.0, 130.0))
    np.testing.assert_allclose(
        [change(outer, inner, *state) for state in states], expected, rtol=0.0, atol=0.0501
    )


@source("own calculation with an expansion of PTFE of 125e-6/K", kind="own calculation")
def test_a_plain_ptfe_piston_seizes() -> None:
    np.testing.assert_allclose(change(GUNMETAL, PTFE, 160.0, 160.0), -449.0, rtol=0.002, atol=0.0)


def test_nothing_grows_at_the_reference_temperature() -> None:
    assert grown(size=0.03, expansion=GUNMETAL, temperature=REFERENCE_TEMPERATURE) == 0.03
    assert change(GUNMETAL, IRON, 20.0, 20.0) == 0.0


@quick
@given(lead=st.floats(0.0, 100.0), temperature=st.floats(20.0, 200.0))
def test_a_warmer_piston_closes_the_gap(lead: float, temperature: float) -> None:
    assert change(IRON, IRON, temperature, temperature + lead) <= 1e-9
    opening = change(GUNMETAL, IRON, temperature, temperature + lead)
    closing = change(IRON, GUNMETAL, temperature + lead, temperature)
    np.testing.assert_allclose(opening, -closing, rtol=0.0, atol=1e-7)


def test_shapes_broadcast() -> None:
    hot = grown(
        size=np.array([[0.01], [0.02]]),
        expansion=IRON,
        temperature=np.array([293.15, 393.15, 493.15]),
    )
    assert hot.shape == (2, 3)
    np.testing.assert_allclose(hot[1, 1] - 0.02, 21e-6, rtol=1e-9, atol=0.0)


def test_out_of_range() -> None:
    with pytest.raises(OutOfRange, match="temperature"):
        grown(size=0.03, expansion=IRON, temperature=-20.0)
    with pytest.raises(OutOfRange, match="size"):
        grown(size=-0.03, expansion=IRON, temperature=293.15)
    with pytest.raises(OutOfRange, match="diameter"):
        change_of_nothing()


def change_of_nothing() -> None:
    clearance_change(
        diameter=0.0,
        outer_expansion=IRON,
        outer_temperature=300.0,
        inner_expansion=IRON,
        inner_temperature=300.0,
    )
