"""The table of steam past a piston, against the integral it stands for."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.duties.steam_past_piston import SteamPastPiston, steam_past_piston
from benchproof.physics import steam
from benchproof.physics.cylinder_cycle import stroke_mean_leak
from benchproof.physics.posture import offset_for_flow_factor
from sources import source

CONDITIONS = {
    "diameter": 30e-3,
    "land_length": 20e-3,
    "lands": 1,
    "stroke": 40e-3,
    "revolutions_per_second": 5.0,
    "cutoff": 0.75,
    "supply_pressure": 9.01325e5,
    "exhaust_pressure": 1.21325e5,
}


def integral(clearance: np.ndarray, posture: np.ndarray) -> np.ndarray:
    leak = [
        stroke_mean_leak(
            diameter=30e-3,
            radial_gap=0.5 * c,
            eccentricity=float(offset_for_flow_factor(max(f, 1.0))),
            length=20e-3,
            cutoff=0.75,
            supply_pressure=9.01325e5,
            back_pressure=1.21325e5,
            density=lambda p: steam.saturated_vapour_density(pressure=p),
            viscosity=lambda p: steam.saturated_vapour_viscosity(pressure=p),
        )
        * min(f, 1.0)
        for c, f in zip(clearance, posture, strict=True)
    ]
    return np.array(leak, dtype=float)


@pytest.mark.parametrize("seed", [1, 2])
def test_between_the_knots_the_table_errs_by_less_than_one_part_in_two_hundred(seed: int) -> None:
    rng = np.random.default_rng(seed)
    clearance = rng.uniform(3e-6, 140e-6, 120)
    posture = rng.uniform(0.45, 2.5, 120)
    table = SteamPastPiston(**CONDITIONS)
    expected = integral(clearance, posture) / table.use
    np.testing.assert_allclose(table.share(clearance, posture), expected, rtol=5e-3)


@source("an independent calculation of the stroke-averaged loss", kind="own calculation")
@pytest.mark.parametrize(
    ("cutoff", "centred", "on_wall"),
    [
        (0.75, [0.07, 0.53, 4.2, 14.0, 90.0], [0.17, 1.3, 10.0, 30.0, 112.0]),
        (0.25, [0.11, 0.89, 7.1, 24.0, 156.0], [0.28, 2.2, 17.0, 52.0, 214.0]),
    ],
)
def test_loss_of_a_thirty_millimetre_piston(
    cutoff: float, centred: list[float], on_wall: list[float]
) -> None:
    table = steam_past_piston(**(CONDITIONS | {"cutoff": cutoff}))
    clearance = np.array([5.0, 10.0, 20.0, 30.0, 60.0]) * 1e-6
    np.testing.assert_allclose(table.share(clearance, np.ones(5)) * 100, centred, rtol=0.05)
    np.testing.assert_allclose(table.share(clearance, np.full(5, 2.5)) * 100, on_wall, rtol=0.05)


@source("an independent calculation of use and clearance at a stated loss", kind="own calculation")
def test_use_and_the_clearance_for_a_loss() -> None:
    table = steam_past_piston(**CONDITIONS)
    assert table.use == pytest.approx(1.048e-3, rel=1e-3)
    assert table.clearance_for(0.05, 1.0) == pytest.approx(21.1e-6, abs=0.1e-6)
    assert table.clearance_for(0.05, 2.5) == pytest.approx(15.6e-6, abs=0.1e-6)


def test_a_closed_gap_passes_nothing_and_beyond_the_end_the_end_is_taken() -> None:
    table = steam_past_piston(**CONDITIONS)
    found = table.share(np.array([-5e-6, 0.0, table.widest, 2.0 * table.widest]), np.ones(4))
    assert found[0] == found[1] == 0.0
    assert found[2] == pytest.approx(found[3])


def test_the_same_conditions_are_tabulated_once() -> None:
    assert steam_past_piston(**CONDITIONS) is steam_past_piston(**CONDITIONS)
