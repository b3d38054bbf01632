"""The gap of a cock, and what leaks there: laminar, held back, and what the tool's height does."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics import steam
from benchproof.physics.clearance_flow import SLIP
from benchproof.physics.compressible_gap import gap_mass_flux, reynolds_number
from benchproof.physics.errors import OutOfRange
from benchproof.physics.taper_gap import (
    air_slip,
    gas_leak,
    liquid_leak,
    tool_height_error,
    wedge_rise,
)
from sources import source

ARCMIN = np.radians(1.0 / 60.0)
HIGH, LOW = 9.01325e5, 1.01325e5


def steam_leak(port: float) -> object:
    return gas_leak(
        port_diameter=port,
        high_pressure=HIGH,
        low_pressure=LOW,
        density=float(steam.saturated_vapour_density(pressure=HIGH)),
        viscosity=float(steam.saturated_vapour_viscosity(pressure=HIGH)),
    )


def test_a_minute_of_mismatch_opens_a_seventh_of_a_micron_per_millimetre() -> None:
    assert wedge_rise(mismatch=ARCMIN, length=1e-3) == pytest.approx(0.145e-6, rel=5e-3)
    assert wedge_rise(mismatch=-ARCMIN, length=6e-3) == wedge_rise(mismatch=ARCMIN, length=6e-3)


@source("y²(1/r_small - 1/r_large)/L, a second derivation", kind="own calculation")
def test_a_tool_off_centre_takes_off_some_of_the_angle() -> None:
    lost = tool_height_error(
        tool_height=0.1e-3, small_diameter=2.7e-3, large_diameter=3.3e-3, length=6e-3
    )
    expected = 0.1e-3**2 * (1.0 / 1.35e-3 - 1.0 / 1.65e-3) / 6e-3
    assert lost == pytest.approx(expected, rel=0.01)
    assert lost / ARCMIN == pytest.approx(0.77, abs=0.01)


def test_the_angle_lost_goes_with_the_square_of_the_height_whichever_way() -> None:
    def lost(height: float) -> float:
        return float(
            tool_height_error(
                tool_height=height, small_diameter=2.7e-3, large_diameter=3.3e-3, length=6e-3
            )
        )

    assert lost(0.2e-3) == pytest.approx(4.0 * lost(0.1e-3), rel=0.02)
    assert lost(-0.1e-3) == lost(0.1e-3)
    assert lost(0.0) == 0.0


def test_narrow_gaps_follow_the_cube_law() -> None:
    water = liquid_leak(port_diameter=1.2e-3, pressure_drop=8e5, viscosity=1.0016e-3, density=998.2)
    flow = water.flow(gap=1e-6, cube_shape=3.7)
    assert flow == pytest.approx(3.7 * 1e-18 * 8e5 / (12.0 * 1.0016e-3), rel=1e-3)


def test_wide_gaps_pass_what_an_orifice_would() -> None:
    water = liquid_leak(port_diameter=1.2e-3, pressure_drop=8e5, viscosity=1.0016e-3, density=998.2)
    edge = np.pi * 1.2e-3 * 500e-6
    assert water.flow(gap=500e-6, cube_shape=3.7) == pytest.approx(
        edge * np.sqrt(2.0 * 8e5 / (1.5 * 998.2)), rel=0.01
    )


@source("the momentum equation of a straight slit, integrated", kind="own calculation")
@pytest.mark.parametrize("length", [0.3e-3, 1e-3, 2e-3, 5e-3, 20e-3])
def test_between_the_two_the_blend_keeps_to_a_straight_slit(length: float) -> None:
    gap = np.geomspace(1e-6, 60e-6, 25)
    density = float(steam.saturated_vapour_density(pressure=HIGH))
    viscosity = float(steam.saturated_vapour_viscosity(pressure=HIGH))
    flux = gap_mass_flux(
        radial_gap=gap,
        length=length,
        high_pressure=HIGH,
        low_pressure=LOW,
        density=density,
        viscosity=viscosity,
    )
    laminar = reynolds_number(mass_flux=flux, radial_gap=gap, viscosity=viscosity) < 2000.0
    width = np.pi * 1e-3
    leak = gas_leak(
        port_diameter=1e-3,
        high_pressure=HIGH,
        low_pressure=LOW,
        density=density,
        viscosity=viscosity,
    )
    blended = leak.flow(gap=gap, cube_shape=width / length) / (width * gap)
    np.testing.assert_allclose(blended[laminar], flux[laminar], rtol=0.09)
    assert np.all(blended >= 0.999 * flux)  # never too little


def test_a_gas_at_equal_pressures_does_not_leak_and_a_closed_gap_passes_nothing() -> None:
    still = gas_leak(
        port_diameter=1e-3, high_pressure=1e5, low_pressure=1e5, density=1.2, viscosity=18e-6
    )
    assert still.flow(gap=2e-6, cube_shape=3.7) == 0.0
    water = liquid_leak(port_diameter=1e-3, pressure_drop=0.0, viscosity=1e-3, density=998.0)
    assert water.flow(gap=2e-6, cube_shape=3.7) == 0.0
    moving = liquid_leak(port_diameter=1e-3, pressure_drop=1e5, viscosity=1e-3, density=998.0)
    assert moving.flow(gap=0.0, cube_shape=3.7) == 0.0


@source("6 s l*/(p h), the share of slip in a parallel gap", kind="own calculation")
def test_slip_adds_to_air_in_a_gap_of_a_micron() -> None:
    viscosity, temperature = 18.134e-6, 293.15
    slip = air_slip(viscosity=viscosity, gas_constant=287.055, temperature=temperature)
    free_path = viscosity * np.sqrt(2.0 * 287.055 * temperature)
    assert slip == pytest.approx(SLIP * free_path, rel=1e-12)
    given = {
        "port_diameter": 1.2e-3,
        "high_pressure": 2.01325e5,
        "low_pressure": LOW,
        "density": 2.01325e5 / (287.055 * temperature),
        "viscosity": viscosity,
    }
    with_slip = gas_leak(**given, slip=slip).flow(gap=1e-6, cube_shape=3.7, square_shape=3.7)
    without = gas_leak(**given).flow(gap=1e-6, cube_shape=3.7)
    mean = 0.5 * (2.01325e5 + LOW)
    assert with_slip / without - 1.0 == pytest.approx(6.0 * slip / (mean * 1e-6), rel=0.01)


@source("an independent calculation of the same flow", kind="own calculation")
def test_a_micron_passes_a_fifth_of_a_millilitre_of_free_air_a_minute() -> None:
    temperature, viscosity = 293.15, 18.134e-6
    inlet = 2.01325e5
    leak = gas_leak(
        port_diameter=1.2e-3,
        high_pressure=inlet,
        low_pressure=LOW,
        density=inlet / (287.055 * temperature),
        viscosity=viscosity,
        slip=air_slip(viscosity=viscosity, gas_constant=287.055, temperature=temperature),
    )
    free = leak.flow(gap=1e-6, cube_shape=3.666, square_shape=3.666) / 1.204
    assert free * 60e6 == pytest.approx(0.20, abs=0.01)


@pytest.mark.parametrize(
    "given",
    [
        {"small_diameter": 0.0},
        {"small_diameter": 4e-3},
        {"tool_height": 1.4e-3},
        {"length": 0.0},
    ],
)
def test_no_such_cone_is_turned(given: dict[str, float]) -> None:
    cone = {
        "tool_height": 0.1e-3,
        "small_diameter": 2.7e-3,
        "large_diameter": 3.3e-3,
        "length": 6e-3,
    }
    with pytest.raises(OutOfRange):
        tool_height_error(**(cone | given))
