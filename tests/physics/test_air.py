import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.physics import air
from benchproof.physics.errors import OutOfRange
from sources import source

STANDARD_ATMOSPHERE = "US Standard Atmosphere 1976, NOAA/NASA/USAF, table I and II"


@source(STANDARD_ATMOSPHERE, kind="from memory")
@pytest.mark.parametrize(
    ("altitude", "temperature", "pressure", "density", "viscosity"),
    [
        (0.0, 288.150, 1.01325e5, 1.2250, 1.7894e-5),
        (1000.0, 281.651, 8.9876e4, 1.1117, 1.7579e-5),
        (2000.0, 275.154, 7.9501e4, 1.0066, 1.7260e-5),
        (5000.0, 255.676, 5.4048e4, 0.73643, 1.6282e-5),
    ],
)
def test_the_standard_atmosphere(
    altitude: float, temperature: float, pressure: float, density: float, viscosity: float
) -> None:
    printed = 6e-5  # half a unit of the fifth digit, and the last digit of R
    found = air.pressure_at_altitude(altitude=altitude)
    np.testing.assert_allclose(found, pressure, rtol=printed)
    found = air.density(pressure=pressure, temperature=temperature)
    np.testing.assert_allclose(found, density, rtol=printed)
    found = air.viscosity(temperature=temperature)
    np.testing.assert_allclose(found, viscosity, rtol=printed)


@source(
    "E. W. Lemmon and R. T. Jacobsen, Int. J. Thermophysics 25 (2004) 21-69: 18.206 uPa s at "
    "20 C and 1 atm",
    kind="from memory",
)
def test_the_stated_uncertainty_covers_a_later_reference_correlation() -> None:
    off = float(air.viscosity(temperature=293.15)) / 18.206e-6 - 1.0

    assert -1.0 < off / air.VISCOSITY_RELATIVE_UNCERTAINTY < 0.0


@source("S. G. Jennings, J. Aerosol Sci. 19 (1988) 159-166: 67.3 nm", kind="from memory")
def test_mean_free_path_at_room_temperature() -> None:
    path = air.mean_free_path(pressure=air.STANDARD_PRESSURE, temperature=300.0)

    np.testing.assert_allclose(path, 67.3e-9, rtol=0.01)


@given(
    pressure=st.floats(air.LOWEST_PRESSURE, air.HIGHEST_PRESSURE),
    temperature=st.floats(air.LOWEST_TEMPERATURE, air.HIGHEST_TEMPERATURE),
)
def test_path_pressure_and_viscosity_hang_together_by_kinetic_theory(
    pressure: float, temperature: float
) -> None:
    # mu = (1/2) density x mean speed x path, the mean speed of a Maxwell gas
    mean_speed = np.sqrt(8.0 * air.GAS_CONSTANT_AIR * temperature / np.pi)
    density = air.density(pressure=pressure, temperature=temperature)
    path = air.mean_free_path(pressure=pressure, temperature=temperature)

    viscosity = 0.5 * density * mean_speed * path
    np.testing.assert_allclose(viscosity, air.viscosity(temperature=temperature), rtol=1e-12)


@given(altitude=st.floats(-500.0, 4900.0))
def test_pressure_falls_with_height_by_the_weight_of_the_air_between(altitude: float) -> None:
    low, high = (
        float(air.pressure_at_altitude(altitude=altitude + shift)) for shift in (0.0, 100.0)
    )
    temperature = 288.15 - 6.5e-3 * (altitude + 50.0)
    weight = air.density(pressure=0.5 * (low + high), temperature=temperature) * 9.80665 * 100.0

    # Gravity and the geopotential are 0.2 % off at 5 km in this plain check.
    np.testing.assert_allclose(low - high, weight, rtol=2.5e-3)


def test_arrays_broadcast() -> None:
    pressure, temperature = np.array([[9e4], [1e5]]), np.array([280.0, 293.15, 300.0])

    assert air.density(pressure=pressure, temperature=temperature).shape == (2, 3)
    assert air.mean_free_path(pressure=pressure, temperature=temperature).shape == (2, 3)
    assert air.viscosity(temperature=temperature).shape == (3,)
    assert np.ndim(air.viscosity(temperature=293.15)) == 0


@pytest.mark.parametrize("temperature", [199.0, 601.0, 20.0, np.nan])
def test_temperatures_outside_the_range_are_refused(temperature: float) -> None:
    with pytest.raises(OutOfRange, match="air temperature"):
        air.viscosity(temperature=temperature)
    with pytest.raises(OutOfRange, match="air temperature"):
        air.density(pressure=1e5, temperature=temperature)


@pytest.mark.parametrize("pressure", [0.0, 999.0, 1.1e6])
def test_pressures_outside_the_range_are_refused(pressure: float) -> None:
    with pytest.raises(OutOfRange, match="absolute air pressure"):
        air.mean_free_path(pressure=pressure, temperature=293.15)


@pytest.mark.parametrize("altitude", [-501.0, 5001.0])
def test_altitudes_outside_the_range_are_refused(altitude: float) -> None:
    with pytest.raises(OutOfRange, match="altitude"):
        air.pressure_at_altitude(altitude=altitude)
