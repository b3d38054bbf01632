from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from benchproof.physics.compressible_gap import (
    ENTRY_LOSS,
    MOMENTUM_FACTOR,
    annulus_mass_flow,
    gap_mass_flux,
    is_choked,
    local_gaps,
    reynolds_number,
)
from benchproof.physics.errors import OutOfRange
from sources import source

# Saturated steam at 8 bar gauge: IAPWS-IF97 density, IAPWS R12-08 viscosity, four figures.
STEAM = {"high_pressure": 9.01325e5, "density": 4.660, "viscosity": 14.83e-6}
quick = settings(max_examples=60, deadline=None, derandomize=True)


def laminar_flux(gap: float, length: float, low_pressure: float = 1.2e5) -> float:
    high, gas = STEAM["high_pressure"], STEAM["high_pressure"] / STEAM["density"]
    return gap**2 * (high**2 - low_pressure**2) / (24.0 * STEAM["viscosity"] * length * gas)


def steam_flux(gap: float, length: float, entries: float = 1.0, low: float = 1.2e5) -> float:
    return float(
        gap_mass_flux(radial_gap=gap, length=length, low_pressure=low, entries=entries, **STEAM)
    )


@source("own derivation of the momentum of a slit", kind="own calculation")
def test_steam_flux_laminar_and_choked() -> None:
    narrow = steam_flux(10e-6, 0.02)
    np.testing.assert_allclose(narrow, 57.7, rtol=0.01, atol=0.0)
    reynolds = reynolds_number(mass_flux=narrow, radial_gap=10e-6, viscosity=STEAM["viscosity"])
    np.testing.assert_allclose(reynolds, 78.0, rtol=0.01, atol=0.0)
    wide = steam_flux(30e-6, 0.02)
    np.testing.assert_allclose(wide, 401.0, rtol=0.01, atol=0.0)
    choked = is_choked(
        mass_flux=np.array([narrow, wide]),
        high_pressure=STEAM["high_pressure"],
        low_pressure=1.2e5,
        density=STEAM["density"],
    )
    assert choked.tolist() == [False, True]


@source("own derivation, ceiling for no length at all", kind="own calculation")
def test_ceiling_of_a_slit_without_length() -> None:
    np.testing.assert_allclose(steam_flux(30e-6, 1e-12), 1000.0, rtol=0.005, atol=0.0)


@source("own derivation, laminar law over the full one", kind="own calculation")
@pytest.mark.parametrize(
    ("gap", "length", "excess"),
    [(10e-6, 0.02, 1.005), (15e-6, 0.02, 1.025), (20e-6, 0.02, 1.08), (30e-6, 0.02, 1.30),
     (10e-6, 0.002, 1.35)],
)  # fmt: skip
def test_where_the_cube_law_fails(gap: float, length: float, excess: float) -> None:
    np.testing.assert_allclose(
        laminar_flux(gap, length) / steam_flux(gap, length), excess, rtol=0.005, atol=0.0
    )


@source("own derivation, grooved pistons against a plain land of 20 mm", kind="own calculation")
@pytest.mark.parametrize(
    ("lands", "land", "shares"),
    [(4, 2e-3, (2.39, 1.73, 1.08)), (10, 1.4e-3, (1.39, 1.11, 0.78))],
)
def test_grooves(lands: int, land: float, shares: tuple[float, float, float]) -> None:
    for gap, share in zip((10e-6, 20e-6, 40e-6), shares, strict=True):
        grooved = steam_flux(gap, lands * land, entries=lands)
        np.testing.assert_allclose(grooved / steam_flux(gap, 0.02), share, rtol=0.012, atol=0.0)


def exit_state_by_integration(flux: float, gap: float, length: float) -> float:
    """Pressure squared at the exit, by stepping the momentum equation along the land."""
    gas = STEAM["high_pressure"] / STEAM["density"]
    reynolds = 2.0 * gap * flux / STEAM["viscosity"]
    friction = max(24.0 / reynolds, 0.079 * reynolds**-0.25)

    def fall(_: float, pressure: list[float]) -> list[float]:
        density = pressure[0] / gas
        drag = friction * flux**2 / (density * gap)
        return [-drag / (1.0 - MOMENTUM_FACTOR * flux**2 * gas / pressure[0] ** 2)]

    # The entry loss squares up in the same way: p² falls by K G² R T.
    entry = np.sqrt(STEAM["high_pressure"] ** 2 - ENTRY_LOSS * flux**2 * gas)
    solved = solve_ivp(fall, (0.0, length), [float(entry)], rtol=1e-9, atol=1e-3)
    return float(solved.y[0, -1])


@source("own integration of the momentum equation along the land", kind="own calculation")
@pytest.mark.parametrize(("gap", "low"), [(10e-6, 1.2e5), (20e-6, 3e5), (60e-6, 7e5)])
def test_exit_pressure_agrees_with_the_differential_equation(gap: float, low: float) -> None:
    flux = steam_flux(gap, 0.02, low=low)
    # The entry loss enters the logarithm of the closed form too, which is worth up to 1 %.
    np.testing.assert_allclose(exit_state_by_integration(flux, gap, 0.02), low, rtol=0.01, atol=0.0)


def residual(flux: float, gap: float, length: float, ratio: float, entries: float) -> float:
    high, gas = STEAM["high_pressure"], STEAM["high_pressure"] / STEAM["density"]
    low = ratio * high
    exit_pressure = max(low, np.sqrt(MOMENTUM_FACTOR * gas) * flux)
    reynolds = 2.0 * gap * flux / STEAM["viscosity"]
    friction = max(24.0 / reynolds, 0.079 * reynolds**-0.25)
    resisted = gas * flux**2 * (
        2.0 * friction * length / gap
        + ENTRY_LOSS * entries
        + 2.0 * MOMENTUM_FACTOR * np.log(high / exit_pressure)
    )  # fmt: skip
    driven = (high - exit_pressure) * (high + exit_pressure)
    return float((resisted - driven) / (high**2 - low**2))


gaps = st.floats(0.1e-6, 1e-3)
lengths = st.floats(1e-5, 0.1)
ratios = st.floats(0.02, 0.999)


@quick
@given(gap=gaps, length=lengths, ratio=ratios, entries=st.floats(0.0, 10.0))
def test_flux_solves_its_equation(gap: float, length: float, ratio: float, entries: float) -> None:
    flux = steam_flux(gap, length, entries=entries, low=ratio * STEAM["high_pressure"])
    assert abs(residual(flux, gap, length, ratio, entries)) < 1e-8


@quick
@given(gap=gaps, length=lengths, ratio=ratios)
def test_flux_grows_with_gap_and_pressure_and_falls_with_length(
    gap: float, length: float, ratio: float
) -> None:
    low = ratio * STEAM["high_pressure"]
    flux = steam_flux(gap, length, low=low)
    assert flux > 0.0
    assert steam_flux(1.1 * gap, length, low=low) > flux
    assert steam_flux(gap, 1.1 * length, low=low) < flux
    assert steam_flux(gap, length, low=0.9 * low) >= flux * (1.0 - 1e-12)
    assert steam_flux(gap, length, entries=2.0, low=low) < flux


def test_narrow_gaps_keep_the_laminar_law() -> None:
    np.testing.assert_allclose(
        steam_flux(0.5e-6, 0.02), laminar_flux(0.5e-6, 0.02), rtol=1e-5, atol=0.0
    )


def test_no_flux_without_gap_or_pressure_difference() -> None:
    assert steam_flux(0.0, 0.02) == 0.0
    assert steam_flux(20e-6, 0.02, low=STEAM["high_pressure"]) == 0.0


def test_flux_keeps_the_shape_it_is_given() -> None:
    gap = np.array([[5e-6], [20e-6], [40e-6]])
    low = np.array([1.2e5, 5e5])
    flux = gap_mass_flux(radial_gap=gap, length=0.02, low_pressure=low, **STEAM)
    assert flux.shape == (3, 2)
    np.testing.assert_allclose(flux[2, 1], steam_flux(40e-6, 0.02, low=5e5), rtol=1e-12, atol=0.0)


def test_concentric_annulus_is_flux_times_area() -> None:
    flow = annulus_mass_flow(
        diameter=0.03, radial_gap=20e-6, length=0.02, low_pressure=1.2e5, **STEAM
    )
    np.testing.assert_allclose(
        flow, steam_flux(20e-6, 0.02) * np.pi * 0.03 * 20e-6, rtol=1e-12, atol=0.0
    )


def test_narrow_offset_annulus_leaks_two_and_a_half_times_as_much() -> None:
    flow = annulus_mass_flow(
        diameter=0.03,
        radial_gap=2e-6,
        length=0.02,
        low_pressure=1.2e5,
        eccentricity=np.array([0.0, 0.5, 1.0]),
        **STEAM,
    )
    # Inertia takes a little off already; what is closed below 0.3 µm leaks nothing.
    np.testing.assert_allclose(flow / flow[0], [1.0, 1.375, 2.5], rtol=1e-3, atol=0.0)


@source("own calculation: two laps of 3 mm on a valve of 12 mm, share of 1.048 g/s",
        kind="own calculation")  # fmt: skip
@pytest.mark.parametrize(
    ("clearance", "share", "on_wall"), [(4e-6, 0.2, 2.4), (8e-6, 1.8, 2.4), (20e-6, 23.0, 1.6)]
)
def test_piston_valve_laps(clearance: float, share: float, on_wall: float) -> None:
    flow = 2.0 * annulus_mass_flow(
        diameter=0.012,
        radial_gap=0.5 * clearance,
        length=0.003,
        low_pressure=1.2e5,
        eccentricity=np.array([0.0, 1.0]),
        **STEAM,
    )
    np.testing.assert_allclose(100.0 * flow[0] / 1.048e-3, share, rtol=0.02, atol=0.05)
    np.testing.assert_allclose(flow[1] / flow[0], on_wall, rtol=0.05, atol=0.0)


def test_touching_stations_are_closed() -> None:
    local = local_gaps(radial_gap=1e-6, eccentricity=1.0)
    assert local.shape == (24,)
    assert np.all((local == 0.0) | (local >= 0.3e-6))
    assert np.any(local == 0.0)
    np.testing.assert_allclose(local[0], 2e-6, rtol=0.003, atol=0.0)


def test_out_of_range() -> None:
    with pytest.raises(OutOfRange, match="high pressure"):
        steam_flux(1e-5, 0.02, low=1e6)
    with pytest.raises(OutOfRange, match="radial gap"):
        steam_flux(-1e-6, 0.02)
    with pytest.raises(OutOfRange, match="length"):
        steam_flux(1e-6, 0.0)
    with pytest.raises(OutOfRange, match="eccentricity"):
        annulus_mass_flow(
            diameter=0.03,
            radial_gap=1e-5,
            length=0.02,
            low_pressure=1e5,
            eccentricity=1.01,
            **STEAM,
        )
