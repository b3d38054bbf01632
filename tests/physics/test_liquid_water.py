from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.physics import liquid_water, steam
from benchproof.physics.errors import Array, OutOfRange

FUNCTIONS: list[Callable[..., Array]] = [
    liquid_water.liquid_density,
    liquid_water.liquid_enthalpy,
    liquid_water.liquid_entropy,
    liquid_water.liquid_heat_capacity,
    liquid_water.liquid_sound_speed,
]
pressures = st.floats(1e5, 5e6)
temperatures = st.floats(liquid_water.LOWEST_TEMPERATURE, 372.0)


@pytest.mark.parametrize(("function", "key"), list(zip(FUNCTIONS, "DHSCA", strict=True)))
def test_another_library_agrees_all_over_the_range(
    function: Callable[..., Array], key: str
) -> None:
    draw = np.random.default_rng(4)
    pressure = np.exp(draw.uniform(np.log(1.1e5), np.log(9e7), 400))
    highest = steam.saturation_temperature(pressure=np.minimum(pressure, 2.9e6))
    temperature = 273.2 + (np.minimum(highest, 506.0) - 273.3) * draw.random(400)

    expected = PropsSI(key, "P", pressure, "T", temperature, "IF97::Water")
    found = function(pressure=pressure, temperature=temperature)
    np.testing.assert_allclose(found, expected, rtol=1e-10, atol=1e-7)


@settings(max_examples=25)
@given(pressure=st.floats(1e3, 2.9e6))
def test_boiling_water_is_the_same_as_in_the_table_of_steam(pressure: float) -> None:
    state = {"pressure": pressure, "temperature": steam.saturation_temperature(pressure=pressure)}

    density, enthalpy = (f(**state) for f in FUNCTIONS[:2])
    np.testing.assert_allclose(
        density, steam.saturated_liquid_density(pressure=pressure), rtol=5e-9
    )
    expected = steam.saturated_liquid_enthalpy(pressure=pressure)
    # The zero of enthalpy is arbitrary: the latent heat, 2 MJ/kg, is the measure.
    np.testing.assert_allclose(enthalpy, expected, rtol=0.0, atol=0.01)


@settings(max_examples=25)
@given(pressure=pressures, temperature=temperatures)
def test_temperature_is_the_inverse_of_enthalpy(pressure: float, temperature: float) -> None:
    enthalpy = liquid_water.liquid_enthalpy(pressure=pressure, temperature=temperature)

    found = liquid_water.liquid_temperature(pressure=pressure, enthalpy=enthalpy)
    np.testing.assert_allclose(found, temperature, rtol=1e-12, atol=0.0)


@settings(max_examples=25)
@given(pressure=pressures, temperature=st.floats(274.0, 371.0))
def test_heat_capacity_and_entropy_are_slopes_of_the_enthalpy(
    pressure: float, temperature: float
) -> None:
    step = 0.01
    below, above = (
        {"pressure": pressure, "temperature": temperature + shift} for shift in (-step, step)
    )
    heat = liquid_water.liquid_enthalpy(**above) - liquid_water.liquid_enthalpy(**below)
    order = liquid_water.liquid_entropy(**above) - liquid_water.liquid_entropy(**below)

    capacity = liquid_water.liquid_heat_capacity(pressure=pressure, temperature=temperature)
    np.testing.assert_allclose(heat / (2.0 * step), capacity, rtol=1e-7)
    np.testing.assert_allclose(heat / temperature, order, rtol=1e-7)


def test_water_is_densest_at_four_degrees() -> None:
    warmth = np.linspace(274.0, 283.0, 901)
    density = liquid_water.liquid_density(pressure=101325.0, temperature=warmth)

    np.testing.assert_allclose(warmth[np.argmax(density)], 277.13, rtol=0.0, atol=0.03)


@pytest.mark.parametrize("function", FUNCTIONS)
@pytest.mark.parametrize(
    ("pressure", "temperature", "said"),
    [
        (600.0, 280.0, "absolute water pressure"),
        (2e8, 280.0, "absolute water pressure"),
        (np.nan, 280.0, "absolute water pressure"),
        (1e5, 273.0, "water temperature"),
        (5e6, 507.1, "water temperature"),
        (1e5, 373.0, "boils"),
        (2.9e6, 506.0, "boils"),
    ],
)
def test_states_outside_are_refused(
    function: Callable[..., Array], pressure: float, temperature: float, said: str
) -> None:
    with pytest.raises(OutOfRange, match=said):
        function(pressure=[1e5, pressure], temperature=[300.0, temperature])


def test_the_boiling_point_is_said_when_water_has_boiled() -> None:
    with pytest.raises(OutOfRange, match="boils") as refused:
        liquid_water.liquid_density(pressure=[[1e5], [2e5]], temperature=[300.0, 380.0])

    assert refused.value.given == 380.0
    boiling = float(steam.saturation_temperature(pressure=1e5))
    np.testing.assert_allclose(refused.value.allowed[1], boiling, rtol=1e-12)


@pytest.mark.parametrize("enthalpy", [-1e4, 4.3e5, 1e9, np.nan])
def test_enthalpies_that_are_no_water_are_refused(enthalpy: float) -> None:
    with pytest.raises(OutOfRange, match="water temperature"):
        liquid_water.liquid_temperature(pressure=1e5, enthalpy=[1e5, enthalpy])


@pytest.mark.parametrize("function", FUNCTIONS)
def test_arrays_give_what_their_elements_give(function: Callable[..., Array]) -> None:
    pressure, temperature = np.array([[1e5], [3e5]]), np.array([280.0, 300.0, 360.0])

    grid = function(pressure=pressure, temperature=temperature)
    alone = function(pressure=3e5, temperature=300.0)
    assert grid.shape == (2, 3)
    assert np.ndim(alone) == 0
    np.testing.assert_allclose(grid[1, 1], alone, rtol=1e-14)
