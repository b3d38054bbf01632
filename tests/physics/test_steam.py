import math
import subprocess
import sys
from collections.abc import Callable

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from benchproof.physics import steam
from benchproof.physics.errors import Array, OutOfRange

SPLINE = 5e-9  # the accuracy the module states
ROUNDING = 1e-13
LOW, HIGH = math.log(steam.LOWEST_PRESSURE), math.log(steam.HIGHEST_PRESSURE)

pressures = st.floats(steam.LOWEST_PRESSURE, steam.HIGHEST_PRESSURE)
on_the_boiling_line: list[Callable[..., Array]] = [
    steam.saturation_temperature,
    steam.saturated_vapour_density,
    steam.saturated_liquid_density,
    steam.saturated_vapour_enthalpy,
    steam.saturated_liquid_enthalpy,
    steam.latent_heat,
    steam.saturated_vapour_viscosity,
    steam.saturated_liquid_viscosity,
]
superheated: list[Callable[..., Array]] = [
    steam.superheated_density,
    steam.superheated_enthalpy,
    steam.superheated_viscosity,
]


@pytest.fixture(scope="module")
def pressure() -> Array:
    """Absolute pressures [Pa] off the knots, even in their logarithm and denser at both ends."""
    scattered = np.exp(np.random.default_rng(8).uniform(LOW, HIGH, 3000))
    # Near its ends a spline is at its worst.
    near = np.linspace(0.0, 0.1, 200)
    found = np.concatenate([scattered, np.exp(LOW + near), np.exp(HIGH - near)])
    clipped: Array = np.clip(found, steam.LOWEST_PRESSURE, steam.HIGHEST_PRESSURE)
    return clipped


def saturated(key: str, pressure: Array, quality: float) -> Array:
    values: Array = PropsSI(key, "P", pressure, "Q", np.full_like(pressure, quality), "IF97::Water")
    return values


@pytest.mark.parametrize(
    ("function", "key", "quality"),
    [
        (steam.saturated_vapour_density, "D", 1.0),
        (steam.saturated_liquid_density, "D", 0.0),
        (steam.saturated_vapour_viscosity, "V", 1.0),
        (steam.saturated_liquid_viscosity, "V", 0.0),
    ],
)
def test_the_spline_follows_the_formulation_between_its_knots(
    function: Callable[..., Array], key: str, quality: float, pressure: Array
) -> None:
    expected = saturated(key, pressure, quality)

    np.testing.assert_allclose(function(pressure=pressure), expected, rtol=SPLINE, atol=0.0)


def test_enthalpies_follow_the_formulation_between_the_knots(pressure: Array) -> None:
    vapour, liquid = (saturated("H", pressure, quality) for quality in (1.0, 0.0))
    latent = vapour - liquid

    def error(found: Array, expected: Array) -> float:
        return float(np.max(np.abs(found - expected) / latent))

    assert error(steam.saturated_vapour_enthalpy(pressure=pressure), vapour) < SPLINE
    assert error(steam.saturated_liquid_enthalpy(pressure=pressure), liquid) < SPLINE
    assert error(steam.latent_heat(pressure=pressure), latent) < SPLINE


def test_boiling_point_and_superheated_steam_are_the_formulation_itself(pressure: Array) -> None:
    boiling = saturated("T", pressure, 1.0)
    hotter = boiling + np.random.default_rng(3).uniform(0.5, 300.0, pressure.shape)

    def reference(key: str) -> Array:
        values: Array = PropsSI(key, "P", pressure, "T", hotter, "IF97::Water")
        return values

    found = steam.saturation_temperature(pressure=pressure)
    np.testing.assert_allclose(found, boiling, rtol=ROUNDING, atol=0.0)
    for function, key in zip(superheated, "DHV", strict=True):
        found = function(pressure=pressure, temperature=hotter)
        np.testing.assert_allclose(found, reference(key), rtol=ROUNDING, atol=0.0)


@given(pressure=pressures)
def test_boiling_pressure_is_the_inverse_of_boiling_point(pressure: float) -> None:
    boiling = steam.saturation_temperature(pressure=pressure)

    found = steam.saturation_pressure(temperature=boiling)
    np.testing.assert_allclose(found, pressure, rtol=1e-12, atol=0.0)


@given(pressure=pressures)
def test_superheated_steam_begins_as_saturated_steam(pressure: float) -> None:
    temperature = steam.saturation_temperature(pressure=pressure)

    for function, boiling in (
        (steam.superheated_density, steam.saturated_vapour_density),
        (steam.superheated_enthalpy, steam.saturated_vapour_enthalpy),
        (steam.superheated_viscosity, steam.saturated_vapour_viscosity),
    ):
        found = function(pressure=pressure, temperature=temperature)
        np.testing.assert_allclose(found, boiling(pressure=pressure), rtol=SPLINE)


@given(pressure=st.floats(800.0, 2.9e6))
def test_latent_heat_agrees_with_the_slope_of_the_boiling_line(pressure: float) -> None:
    step = 1e-3
    below, at, above = (
        float(steam.saturation_temperature(pressure=pressure + shift * pressure))
        for shift in (-step, 0.0, step)
    )
    growth = 1.0 / steam.saturated_vapour_density(pressure=pressure)
    growth -= 1.0 / steam.saturated_liquid_density(pressure=pressure)

    clapeyron = at * growth * 2.0 * step * pressure / (above - below)
    # The regions of the formulation meet within a few parts in a hundred thousand.
    np.testing.assert_allclose(clapeyron, steam.latent_heat(pressure=pressure), rtol=2e-4)


def test_hot_thin_steam_is_an_ideal_gas() -> None:
    density = steam.superheated_density(pressure=1e3, temperature=1000.0)

    ideal = 1e3 / (steam.GAS_CONSTANT_STEAM * 1000.0)
    np.testing.assert_allclose(density, ideal, rtol=1e-5)


# Below 4 C, that is 813 Pa, water grows denser as it warms.
@given(pressure=st.floats(830.0, 2.9e6), rise=st.floats(1.001, 1.03))
def test_higher_pressure_boils_hotter_and_denser_steam_from_thinner_water(
    pressure: float, rise: float
) -> None:
    low, high = pressure, pressure * rise

    for rising in (steam.saturation_temperature, steam.saturated_vapour_density):
        assert rising(pressure=high) > rising(pressure=low)
    for falling in (
        steam.saturated_liquid_density,
        steam.saturated_liquid_viscosity,
        steam.latent_heat,
    ):
        assert falling(pressure=high) < falling(pressure=low)


@pytest.mark.parametrize("function", on_the_boiling_line)
@pytest.mark.parametrize("pressure", [699.9, 3.001e6, 0.0, -1e5, np.nan])
def test_pressures_outside_the_table_are_refused(
    function: Callable[..., Array], pressure: float
) -> None:
    with pytest.raises(OutOfRange, match="absolute steam pressure") as refused:
        function(pressure=[1e5, pressure])

    np.testing.assert_equal(refused.value.given, pressure)


@pytest.mark.parametrize("temperature", [275.0, 507.1])
def test_boiling_pressures_outside_the_table_are_refused(temperature: float) -> None:
    with pytest.raises(OutOfRange, match="boiling temperature"):
        steam.saturation_pressure(temperature=temperature)


@pytest.mark.parametrize("function", superheated)
def test_wet_steam_is_refused_as_superheated_and_the_boiling_point_said(
    function: Callable[..., Array],
) -> None:
    with pytest.raises(OutOfRange, match="wet") as refused:
        function(pressure=[[1e5], [9e5]], temperature=[400.0, 500.0])

    assert refused.value.given == 400.0
    boiling = float(steam.saturation_temperature(pressure=9e5))
    np.testing.assert_allclose(refused.value.allowed[0], boiling, rtol=ROUNDING)


@pytest.mark.parametrize("function", superheated)
@pytest.mark.parametrize(("pressure", "temperature"), [(1e5, 1073.2), (4e6, 600.0), (1e5, np.nan)])
def test_superheated_steam_outside_its_range_is_refused(
    function: Callable[..., Array], pressure: float, temperature: float
) -> None:
    with pytest.raises(OutOfRange):
        function(pressure=pressure, temperature=temperature)


@pytest.mark.parametrize("function", on_the_boiling_line)
def test_arrays_of_any_shape_give_what_their_elements_give(function: Callable[..., Array]) -> None:
    grid = np.array([[1e3, 2e5], [9.01325e5, steam.HIGHEST_PRESSURE]])

    elements = [[function(pressure=float(each)) for each in row] for row in grid]
    np.testing.assert_array_equal(function(pressure=grid), elements)
    assert np.ndim(elements[0][0]) == 0


@pytest.mark.parametrize("function", superheated)
def test_superheated_states_broadcast(function: Callable[..., Array]) -> None:
    pressure, temperature = np.array([[1e5], [9e5]]), np.array([460.0, 520.0, 600.0])

    found = function(pressure=pressure, temperature=temperature)
    assert found.shape == (2, 3)
    alone = function(pressure=9e5, temperature=520.0)
    np.testing.assert_allclose(found[1, 1], alone, rtol=ROUNDING)


def test_steam_is_ready_without_loading_a_slow_library() -> None:
    slow = "{'CoolProp', 'scipy', 'iapws'}"
    code = (
        "import sys; from benchproof.physics import steam;"
        "steam.superheated_viscosity(pressure=1e5, temperature=400.0);"
        "steam.latent_heat(pressure=1e5);"
        f"sys.exit(bool({slow} & set(sys.modules)))"
    )

    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
