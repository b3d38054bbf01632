"""What the tables of an injector cost in accuracy, and what they do at their ends."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike

from benchproof.physics import liquid_water, steam
from benchproof.physics import wet_expansion as wet
from benchproof.physics.errors import Array, OutOfRange
from benchproof.physics.mixing_water import COLDEST, HOTTEST, REFERENCE_PRESSURE, mixing_water
from benchproof.physics.steam_cone import (
    HIGHEST_BOILER,
    LOWEST_BOILER,
    WIDEST_RATIO,
    require_boiler,
    steam_cone,
)

CONE = 2e-5  # the accuracy the module states
WATER = 1e-6


@pytest.fixture(scope="module")
def boiler() -> Array:
    """Boiler pressures, absolute [Pa], off the knots."""
    draw = np.random.default_rng(1)
    found: Array = np.exp(draw.uniform(np.log(LOWEST_BOILER), np.log(HIGHEST_BOILER), 300))
    return found


@pytest.mark.parametrize("dryness", [1.0, 0.9])
def test_the_table_of_steam_cones_follows_the_expansion(dryness: float, boiler: Array) -> None:
    cone = steam_cone(dryness)
    ratio = 1.0 + np.random.default_rng(2).random(boiler.size) ** 2 * 8.0
    rest = wet.steam_at_rest(pressure=boiler, dryness=dryness)
    throat = wet.critical_throat(pressure=boiler, dryness=dryness)

    np.testing.assert_allclose(cone.flux(boiler), throat.flux, rtol=CONE)
    np.testing.assert_allclose(cone.enthalpy(boiler), rest.enthalpy, rtol=CONE)
    low, high = np.full_like(boiler, 1e3), throat.pressure
    for _ in range(45):
        middle = np.sqrt(low * high)
        wide = throat.flux / wet.jet_flux(rest=rest, pressure=middle) > ratio
        low, high = np.where(wide, middle, low), np.where(wide, high, middle)
    pressure, velocity = cone.mouth(boiler, ratio)
    np.testing.assert_allclose(pressure, low, rtol=CONE)
    np.testing.assert_allclose(velocity, wet.jet_velocity(rest=rest, pressure=low), rtol=CONE)
    found = cone.velocity_at(boiler, 0.2 * boiler)
    expected = wet.jet_velocity(rest=rest, pressure=0.2 * boiler)
    np.testing.assert_allclose(found, expected, rtol=CONE)


def test_one_pressure_gives_what_an_array_of_it_gives(boiler: Array) -> None:
    cone = steam_cone(1.0)
    ratio = np.linspace(1.0, 6.0, 7)

    for pressure in boiler[:5]:
        alone = cone.mouth(float(pressure), ratio)
        among = cone.mouth(np.full_like(ratio, pressure), ratio)
        for one, other in zip(alone, among, strict=True):
            np.testing.assert_allclose(one, other, rtol=1e-12)


def test_a_mouth_no_wider_than_its_throat_is_the_throat(boiler: Array) -> None:
    cone = steam_cone(1.0)
    throat = wet.critical_throat(pressure=boiler)

    for ratio in (1.0, 0.5):
        pressure, velocity = cone.mouth(boiler, np.full_like(boiler, ratio))
        np.testing.assert_allclose(pressure, throat.pressure, rtol=2.0 * CONE)
        np.testing.assert_allclose(velocity, throat.velocity, rtol=2.0 * CONE)


def test_mouths_beyond_the_table_are_held_at_its_end() -> None:
    cone = steam_cone(1.0)

    ratio = np.array([WIDEST_RATIO, 10.0 * WIDEST_RATIO, np.inf])
    pressure, velocity = cone.mouth(1e6, ratio)
    np.testing.assert_allclose(pressure, pressure[0], rtol=1e-5)
    assert np.isfinite(velocity).all()
    assert np.isfinite(cone.velocity_at(1e6, np.array([0.0, 3e6]))).all()


@pytest.mark.parametrize("pressure", [0.8e5, 2.1e6, np.nan])
def test_boilers_outside_the_table_are_refused(pressure: float) -> None:
    with pytest.raises(OutOfRange, match="boiler pressure"):
        require_boiler(np.array([5e5, pressure]))


def test_the_table_of_water_follows_the_formulation() -> None:
    water = mixing_water()
    warmth = np.random.default_rng(3).uniform(COLDEST, HOTTEST, 500)
    at: dict[str, ArrayLike] = {"pressure": REFERENCE_PRESSURE, "temperature": warmth}
    enthalpy = liquid_water.liquid_enthalpy(**at)

    np.testing.assert_allclose(water.enthalpy(warmth), enthalpy, rtol=WATER)
    np.testing.assert_allclose(water.temperature(enthalpy), warmth, rtol=WATER)
    density = liquid_water.liquid_density(**at)
    np.testing.assert_allclose(water.density(enthalpy), density, rtol=WATER)
    boiling = steam.saturation_pressure(temperature=warmth)
    np.testing.assert_allclose(water.boiling_pressure(warmth), boiling, rtol=WATER)


@pytest.mark.parametrize("megapascals", [0.1, 1.0, 1.5])
def test_water_at_other_pressures_is_near_the_table(megapascals: float) -> None:
    water = mixing_water()
    warmth = np.linspace(280.0, 365.0, 50)
    state: dict[str, ArrayLike] = {"pressure": megapascals * 1e6, "temperature": warmth}

    enthalpy = liquid_water.liquid_enthalpy(**state)
    density = liquid_water.liquid_density(**state)
    np.testing.assert_allclose(water.density(enthalpy), density, rtol=1e-3)
    np.testing.assert_allclose(water.temperature(enthalpy), warmth, rtol=0.0, atol=0.45)


def test_the_slope_of_the_chamber_pressure_is_that_of_its_straight_line() -> None:
    water = mixing_water()
    enthalpy = np.linspace(1e5, 3.8e5, 200)

    pressure, slope = water.chamber_pressure(enthalpy, 288.15, 0.8)
    further, _ = water.chamber_pressure(enthalpy + 500.0, 288.15, 0.8)
    np.testing.assert_allclose((further - pressure) / 500.0, slope, rtol=0.01)
    assert (slope > 0.0).all()


def test_water_beyond_the_table_is_held_at_its_ends() -> None:
    water = mixing_water()

    np.testing.assert_allclose(
        water.temperature(np.array([-1e6, 1e7])), np.array([COLDEST, HOTTEST]), rtol=1e-6
    )


def test_tables_are_made_once() -> None:
    assert steam_cone(1.0) is steam_cone(1.0)
    assert mixing_water() is mixing_water()
