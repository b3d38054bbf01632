"""Cooling of a hot tyre: against stepping the lumps, limits, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from benchproof.physics.cooling import NEVER, time_constant, time_in_air, time_on_seat
from benchproof.physics.errors import OutOfRange
from sources import source

SEATING: dict[str, Any] = {
    "clearance": 94e-6,
    "interference": 110e-6,
    "outer_growth": 94e-3 * 11.7e-6,
    "inner_growth": 94e-3 * 10.5e-6,
    "outer_heat": 140.0,
    "inner_heat": 90.0,
    "conductance": 4.0,
}


@source("the two lumps stepped through time", kind="own calculation")
@pytest.mark.parametrize("inner_growth", [94e-3 * 10.5e-6, 94e-3 * 23.6e-6])
def test_on_the_seat_against_steps_of_time(inner_growth: float) -> None:
    tyre = (110e-6 + 94e-6) / SEATING["outer_growth"]
    wheel, time, step = 0.0, 0.0, 2e-3
    while SEATING["outer_growth"] * tyre - inner_growth * wheel > 110e-6:
        passed = 4.0 * (tyre - wheel) * step
        tyre -= passed / 140.0
        wheel += passed / 90.0
        time += step
    found = time_on_seat(**SEATING | {"inner_growth": inner_growth})
    assert float(found) == pytest.approx(time, rel=1e-3)


@source("Newton's law of cooling by hand", kind="own calculation")
def test_in_the_air_by_hand() -> None:
    constant = time_constant(heat_capacity=140.0, conductance=0.2)
    assert float(constant) == pytest.approx(700.0, rel=1e-12)
    found = time_in_air(constant=constant, clearance=94e-6, interference=np.array([110e-6, 0.0]))
    # It starts 204/94 of the way over where it grips at 110/94.
    assert found[0] == pytest.approx(700.0 * np.log(204.0 / 110.0), rel=1e-12)
    assert found[1] == NEVER


def test_a_wheel_that_outgrows_its_tyre_grips_and_one_that_is_loose_never_does() -> None:
    assert time_on_seat(**SEATING | {"interference": -200e-6}) == NEVER
    # So much heat and so slow a wheel that both end warm: the iron lags and never closes.
    warm = SEATING | {"interference": 1e-6, "inner_growth": 94e-3 * 9e-6, "inner_heat": 1.0}
    assert time_on_seat(**warm) == NEVER
    tight = time_on_seat(**SEATING | {"clearance": 0.0})
    assert float(tight) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (time_constant, {"heat_capacity": 0.0, "conductance": 1.0}),
        (time_constant, {"heat_capacity": 1.0, "conductance": 0.0}),
        (time_in_air, {"constant": 0.0, "clearance": 1e-4, "interference": 1e-4}),
        (time_in_air, {"constant": 1.0, "clearance": -1e-4, "interference": 1e-4}),
        (time_on_seat, SEATING | {"conductance": np.nan}),
        (time_on_seat, SEATING | {"clearance": -1e-6}),
    ],
)
def test_what_does_not_cool_is_refused(
    function: Callable[..., Any], arguments: dict[str, Any]
) -> None:
    with pytest.raises(OutOfRange):
        function(**arguments)
