"""Oxygen in feed water: printed solubilities, a second formulation, and sums of chemistry."""

from __future__ import annotations

import numpy as np
import pytest
from iapws import _iapws

from benchproof.physics.dissolved_oxygen import (
    COPPER_PER_OXYGEN,
    IRON_PER_OXYGEN,
    SULPHITE_PER_OXYGEN,
    dissolved_oxygen,
    oxygen_distribution,
    oxygen_drawn_in,
)
from benchproof.physics.errors import OutOfRange
from benchproof.physics.saturation_line import saturation_pressure, saturation_temperature
from sources import source

AIR = 101325.0
PRINTED = [(5.0, 12.77), (15.0, 10.08), (25.0, 8.26)]


@source("American Public Health Association, Standard Methods, method 4500-O, table of solubility")
@pytest.mark.parametrize(("celsius", "milligrams"), PRINTED)
def test_oxygen_in_water_that_has_stood_in_air(celsius: float, milligrams: float) -> None:
    found = dissolved_oxygen(temperature=celsius + 273.15)
    np.testing.assert_allclose(found * 1e3, milligrams, rtol=0.0, atol=0.006)


@source("EN 25814, table of the solubility of oxygen")
@pytest.mark.parametrize(("celsius", "milligrams"), [(5.0, 12.8), (15.0, 10.1), (25.0, 8.26)])
def test_oxygen_by_the_european_table(celsius: float, milligrams: float) -> None:
    found = dissolved_oxygen(temperature=celsius + 273.15)
    np.testing.assert_allclose(found * 1e3, milligrams, rtol=0.005)


@source("IAPWS G7-04, Henry's constant of oxygen, by a second program", kind="own calculation")
@pytest.mark.parametrize(("celsius", "milligrams"), [(5.0, 12.74), (15.0, 10.14), (25.0, 8.35)])
def test_oxygen_by_henry_s_constant(celsius: float, milligrams: float) -> None:
    kelvin = celsius + 273.15
    share = 0.20946 * (AIR - float(saturation_pressure(temperature=kelvin)))
    henry = _iapws._Henry(kelvin, "O2") * 1e6
    by_henry = share / henry / 18.0153e-3 * 31.998e-3 * 1e6
    np.testing.assert_allclose(by_henry, milligrams, rtol=0.005)
    found = dissolved_oxygen(temperature=kelvin) * 1e3
    np.testing.assert_allclose(found, by_henry, rtol=0.015)


def test_less_dissolves_on_a_mountain() -> None:
    low, high = (dissolved_oxygen(temperature=288.15, air_pressure=air) for air in (AIR, 8e4))
    vapour = float(saturation_pressure(temperature=288.15))
    np.testing.assert_allclose(high / low, (8e4 - vapour) / (AIR - vapour), rtol=1e-12)


@source("the gas laws, air at 15 °C", kind="own calculation")
@pytest.mark.parametrize(
    ("void", "milligrams"), [(0.01, 2.9), (0.10, 31.5), (0.06, 18), (0.238, 89)]
)
def test_oxygen_drawn_in_through_a_dry_overflow(void: float, milligrams: float) -> None:
    found = oxygen_drawn_in(void=void, air_pressure=AIR, air_temperature=288.15)
    np.testing.assert_allclose(found * 1e3, milligrams, rtol=0.015)
    half = oxygen_drawn_in(void=void, air_pressure=0.5 * AIR, air_temperature=288.15)
    np.testing.assert_allclose(half, 0.5 * found, rtol=1e-12)


@source("IAPWS G7-04, distribution constant of oxygen, by a second program", kind="own calculation")
@pytest.mark.parametrize(("bar", "constant"), [(4.0, 11_200), (9.0, 4_600)])
def test_nearly_all_leaves_with_the_steam(bar: float, constant: float) -> None:
    kelvin = float(saturation_temperature(pressure=bar * 1e5 + AIR))
    found = oxygen_distribution(temperature=kelvin)
    np.testing.assert_allclose(found, constant, rtol=0.02)
    np.testing.assert_allclose(found, _iapws._Kvalue(kelvin, "O2"), rtol=1e-9)


@source("atomic weights of the elements", kind="own calculation")
def test_what_a_milligram_of_oxygen_can_use_up_at_most() -> None:
    np.testing.assert_allclose(IRON_PER_OXYGEN, 2.62, rtol=0.002)
    np.testing.assert_allclose(COPPER_PER_OXYGEN, 7.94, rtol=0.002)
    np.testing.assert_allclose(SULPHITE_PER_OXYGEN, 7.88, rtol=0.002)
    # 0.62 l/min of water at 15 °C, for an hour.
    hour = 0.62 * 60.0 * float(dissolved_oxygen(temperature=288.15)) * 1e3
    np.testing.assert_allclose(hour, 375, rtol=0.005)
    np.testing.assert_allclose(hour * IRON_PER_OXYGEN, 980, rtol=0.005)
    np.testing.assert_allclose(hour * COPPER_PER_OXYGEN, 2980, rtol=0.01)


@pytest.mark.parametrize("celsius", [-1.0, 45.0])
def test_water_outside_the_table_is_refused(celsius: float) -> None:
    with pytest.raises(OutOfRange, match="water temperature"):
        dissolved_oxygen(temperature=celsius + 273.15)


@pytest.mark.parametrize(
    ("void", "warmth", "said"), [(1.0, 288.0, "void"), (-0.1, 288.0, "void"), (0.1, 0.0, "air")]
)
def test_no_throat_is_emptier_than_empty(void: float, warmth: float, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        oxygen_drawn_in(void=void, air_pressure=AIR, air_temperature=warmth)
