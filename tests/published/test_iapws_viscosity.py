"""IAPWS R12-08: the release's own verification table."""

import numpy as np
import pytest

from benchproof.physics.errors import OutOfRange
from benchproof.physics.steam_viscosity import viscosity_of_water
from sources import source

RELEASE = "IAPWS R12-08, Release on the IAPWS Formulation 2008 for the Viscosity of Water, table 4"
READ = [
    (298.15, 998.0, 889.735100),
    (433.15, 1.0, 14.538324),
    (873.15, 100.0, 35.802262),
]
REMEMBERED = [
    (298.15, 1200.0, 1437.649467),
    (373.15, 1000.0, 307.883622),
    (433.15, 1000.0, 217.685358),
    (873.15, 1.0, 32.619287),
    (873.15, 600.0, 77.430195),
    (1173.15, 1.0, 44.217245),
    (1173.15, 100.0, 47.640433),
    (1173.15, 400.0, 64.154608),
]
LAST_DIGIT = 0.5e-6 * 1e-6


@source(RELEASE)
@pytest.mark.parametrize(("temperature", "density", "micropascal_seconds"), READ)
def test_viscosity_without_critical_enhancement(
    temperature: float, density: float, micropascal_seconds: float
) -> None:
    found = viscosity_of_water(temperature=temperature, density=density)

    np.testing.assert_allclose(found, micropascal_seconds * 1e-6, rtol=0.0, atol=1.01 * LAST_DIGIT)


@source(RELEASE, kind="from memory")
@pytest.mark.parametrize(("temperature", "density", "micropascal_seconds"), REMEMBERED)
def test_the_rest_of_the_table(
    temperature: float, density: float, micropascal_seconds: float
) -> None:
    found = viscosity_of_water(temperature=temperature, density=density)

    np.testing.assert_allclose(found, micropascal_seconds * 1e-6, rtol=0.0, atol=1.01 * LAST_DIGIT)


def test_temperatures_and_densities_broadcast() -> None:
    temperature, density = np.array([[300.0], [400.0]]), np.array([1.0, 900.0, 1000.0])

    found = viscosity_of_water(temperature=temperature, density=density)
    assert found.shape == (2, 3)
    alone = viscosity_of_water(temperature=400.0, density=900.0)
    np.testing.assert_allclose(found[1, 1], alone, rtol=1e-14)


@pytest.mark.parametrize(
    ("temperature", "density"), [(273.0, 1.0), (1174.0, 1.0), (300.0, -1.0), (300.0, 1201.0)]
)
def test_states_outside_the_correlation_are_refused(temperature: float, density: float) -> None:
    with pytest.raises(OutOfRange):
        viscosity_of_water(temperature=temperature, density=density)
