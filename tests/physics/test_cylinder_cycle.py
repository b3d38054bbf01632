from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from benchproof.physics.compressible_gap import annulus_mass_flow
from benchproof.physics.cylinder_cycle import (
    indicated_pressures,
    pressure_pairs,
    steam_use,
    stroke_mean_leak,
)
from benchproof.physics.errors import OutOfRange
from sources import source

Array = NDArray[np.float64]
quick = settings(max_examples=20, deadline=None, derandomize=True)
SUPPLY, BACK = 9.01325e5, 1.21325e5

# Saturated steam, IAPWS-IF97 and IAPWS R12-08, rounded to four figures.
PRESSURES = np.array([1.21325, 2.0, 3.0, 4.0, 5.0, 6.01325, 7.01325, 9.01325]) * 1e5
DENSITIES = np.array([0.7037, 1.129, 1.651, 2.163, 2.668, 3.175, 3.673, 4.660])
VISCOSITIES = np.array([12.43, 12.96, 13.42, 13.76, 14.04, 14.27, 14.48, 14.83]) * 1e-6


def density(pressure: Array) -> Array:
    found: Array = np.interp(pressure, PRESSURES, DENSITIES)
    return found


def viscosity(pressure: Array) -> Array:
    found: Array = np.interp(pressure, PRESSURES, VISCOSITIES)
    return found


def use(cutoff: float) -> float:
    return float(
        steam_use(
            piston_area=0.25 * np.pi * 0.03**2,
            stroke=0.04,
            revolutions_per_second=5.0,
            cutoff=cutoff,
            density_supply=4.660,
            density_exhaust=0.7037,
        )
    )


def leak(
    gap: float | Array, eccentricity: float | Array, cutoff: float, length: float = 0.02
) -> Array:
    return stroke_mean_leak(
        diameter=0.03,
        radial_gap=gap,
        eccentricity=eccentricity,
        length=length,
        supply_pressure=SUPPLY,
        back_pressure=BACK,
        cutoff=cutoff,
        density=density,
        viscosity=viscosity,
    )


@source("own calculation: 30 mm bore, 40 mm stroke, 300 rev/min, 8 bar gauge",
        kind="own calculation")  # fmt: skip
@pytest.mark.parametrize(("cutoff", "expected"), [(0.75, 1.048e-3), (0.25, 0.389e-3)])
def test_steam_use(cutoff: float, expected: float) -> None:
    np.testing.assert_allclose(use(cutoff), expected, rtol=0.002, atol=0.0)


@source("own calculation: the same cylinder, land 20 mm", kind="own calculation")
@pytest.mark.parametrize(
    ("cutoff", "concentric", "on_wall"),
    [(0.75, (0.07, 0.53, 4.24, 14.0, 90.0), (0.17, 1.3, 10.2, 30.0, 112.0)),
     (0.25, (0.11, 0.89, 7.1, 24.0, 156.0), (0.28, 2.2, 17.0, 52.0, 214.0))],
)  # fmt: skip
def test_share_of_the_steam_lost(
    cutoff: float, concentric: tuple[float, ...], on_wall: tuple[float, ...]
) -> None:
    gap = 0.5e-6 * np.array([5.0, 10.0, 20.0, 30.0, 60.0])
    lost = 100.0 * leak(gap, np.array([[0.0], [1.0]]), cutoff) / use(cutoff)
    np.testing.assert_allclose(lost, [concentric, on_wall], rtol=0.03, atol=0.005)


def test_leak_agrees_with_the_double_sum() -> None:
    gap = np.geomspace(0.4e-6, 60e-6, 9)
    eccentricity = np.array([[0.0], [0.4], [0.8], [1.0]])
    for cutoff in (0.2, 0.75):
        angle = np.linspace(0.5, 71.5, 72) * np.pi / 36.0
        cycle = {"supply_pressure": SUPPLY, "back_pressure": BACK, "cutoff": cutoff}
        ahead = indicated_pressures(crank_angle=angle, **cycle)
        behind = indicated_pressures(crank_angle=angle + np.pi, **cycle)
        total = np.zeros((4, 9))
        for one, other in zip(ahead, behind, strict=True):
            high = max(one, other)
            total += annulus_mass_flow(
                diameter=0.03,
                radial_gap=gap,
                length=0.02,
                high_pressure=high,
                low_pressure=min(one, other),
                density=density(high),
                viscosity=viscosity(high),
                eccentricity=eccentricity,
            )
        np.testing.assert_allclose(
            leak(gap, eccentricity, cutoff), total / 72.0, rtol=1e-3, atol=0.0
        )


def test_crank_steps_are_fine_enough() -> None:
    coarse = pressure_pairs(supply_pressure=SUPPLY, back_pressure=BACK, cutoff=0.75)
    fine = pressure_pairs(supply_pressure=SUPPLY, back_pressure=BACK, cutoff=0.75, steps=7200)

    def mean_square_difference(pairs: tuple[Array, Array, Array]) -> float:
        high, low, share = pairs
        return float(share @ (high**2 - low**2))

    np.testing.assert_allclose(
        mean_square_difference(coarse), mean_square_difference(fine), rtol=0.005, atol=0.0
    )


@quick
@given(gap=st.floats(0.5e-6, 50e-6), eccentricity=st.floats(0.0, 1.0), cutoff=st.floats(0.1, 0.9))
def test_leak_grows_with_gap_and_falls_with_length(
    gap: float, eccentricity: float, cutoff: float
) -> None:
    now = leak(gap, eccentricity, cutoff)
    assert now > 0.0
    assert leak(1.05 * gap, eccentricity, cutoff) > now
    assert leak(gap, eccentricity, cutoff, length=0.025) < now


def test_no_leak_through_a_closed_gap() -> None:
    assert leak(0.0, 0.0, 0.5) == 0.0
    np.testing.assert_array_equal(leak(np.zeros((2, 1)), np.zeros(3), 0.5), np.zeros((2, 3)))


def test_pressures_round_the_turn() -> None:
    cycle = {"supply_pressure": 9e5, "back_pressure": 1.2e5, "cutoff": 0.5}

    def at(stroke: float, *, homeward: bool = False) -> float:
        angle = np.arccos(1.0 - 2.0 * stroke)
        return float(
            indicated_pressures(crank_angle=2.0 * np.pi - angle if homeward else angle, **cycle)
        )

    assert at(0.3) == 9e5
    np.testing.assert_allclose(at(0.8), 9e5 * 0.58 / 0.88, rtol=1e-12, atol=0.0)
    assert at(0.95) == 1.2e5
    assert at(0.6, homeward=True) == 1.2e5
    np.testing.assert_allclose(at(0.05, homeward=True), 1.2e5 * 0.23 / 0.13, rtol=1e-12, atol=0.0)


def test_expansion_and_compression_stop_at_the_other_pressure() -> None:
    low_supply = indicated_pressures(
        crank_angle=np.arccos(1.0 - 2.0 * 0.9),
        supply_pressure=2e5,
        back_pressure=1.2e5,
        cutoff=0.1,
    )
    assert low_supply == 1.2e5
    early_closing = indicated_pressures(
        crank_angle=2.0 * np.pi - 1e-3,
        supply_pressure=2e5,
        back_pressure=1.2e5,
        cutoff=0.5,
        compression=0.6,
    )
    assert early_closing == 2e5


def test_pairs_share_one_turn_and_never_run_uphill() -> None:
    high, low, share = pressure_pairs(supply_pressure=SUPPLY, back_pressure=BACK, cutoff=0.75)
    np.testing.assert_allclose(np.sum(share), 1.0, rtol=1e-12, atol=0.0)
    assert np.all(high >= low)
    assert high.size < 36
    full = np.flatnonzero((high == SUPPLY) & (low == BACK))
    # Full pressure against exhaust: from dead centre to cut-off at 120 of 180 degrees.
    np.testing.assert_allclose(share[full], 2.0 / 3.0, rtol=1e-12, atol=0.0)


@pytest.mark.parametrize(
    ("changed", "named"),
    [({"supply_pressure": 1e5}, "supply pressure"), ({"cutoff": 0.0}, "cutoff"),
     ({"cutoff": 0.95}, "cutoff"), ({"release": 1.1}, "release"),
     ({"compression": 1.0}, "compression"), ({"clearance_volume": 0.0}, "clearance volume"),
     ({"steps": 71}, "steps"), ({"steps": 0}, "steps")],
)  # fmt: skip
def test_cycle_out_of_range(changed: dict[str, float], named: str) -> None:
    cycle: dict[str, float] = {"supply_pressure": SUPPLY, "back_pressure": BACK, "cutoff": 0.5}
    with pytest.raises(OutOfRange, match=named):
        pressure_pairs(**(cycle | changed))  # type: ignore[arg-type]


def test_leak_out_of_range() -> None:
    with pytest.raises(OutOfRange, match="eccentricity"):
        leak(1e-5, 1.01, 0.5)
    with pytest.raises(OutOfRange, match="radial gap"):
        leak(-1e-6, 0.0, 0.5)
