"""IAPWS-IF97: the release's own verification tables, printed steam tables, a second program."""

import numpy as np
import pytest
from iapws import iapws97

from benchproof.physics import steam
from sources import source

NINE_DIGITS = 2e-9
RELEASE = "IAPWS R7-97(2012), Revised Release on the IAPWS Industrial Formulation 1997"
STEAM_TABLES = "Y. A. Cengel and M. A. Boles, Thermodynamics, tables A-5 and A-6"


@source(f"{RELEASE}, table 35", kind="from memory")
@pytest.mark.parametrize(
    ("temperature", "pressure"), [(300.0, 0.353658941e-2), (500.0, 0.263889776e1)]
)
def test_boiling_pressure(temperature: float, pressure: float) -> None:
    found = steam.saturation_pressure(temperature=temperature)

    np.testing.assert_allclose(found, pressure * 1e6, rtol=NINE_DIGITS)


@source(f"{RELEASE}, table 36", kind="from memory")
@pytest.mark.parametrize(("pressure", "temperature"), [(0.1, 0.372755919e3), (1.0, 0.453035632e3)])
def test_boiling_point(pressure: float, temperature: float) -> None:
    found = steam.saturation_temperature(pressure=pressure * 1e6)

    np.testing.assert_allclose(found, temperature, rtol=NINE_DIGITS)


@source(f"{RELEASE}, table 15", kind="from memory")
@pytest.mark.parametrize(
    ("temperature", "pressure", "volume", "enthalpy"),
    [
        (300.0, 0.0035, 0.394913866e2, 0.254991145e4),
        (700.0, 0.0035, 0.923015898e2, 0.333568375e4),
    ],
)
def test_superheated_steam(
    temperature: float, pressure: float, volume: float, enthalpy: float
) -> None:
    state = {"pressure": pressure * 1e6, "temperature": temperature}

    np.testing.assert_allclose(1.0 / steam.superheated_density(**state), volume, rtol=NINE_DIGITS)
    found = steam.superheated_enthalpy(**state)
    np.testing.assert_allclose(found, enthalpy * 1e3, rtol=NINE_DIGITS)


@source(f"{STEAM_TABLES}, saturated water, pressure table", kind="from memory")
@pytest.mark.parametrize(
    ("kilopascals", "celsius", "liquid", "vapour", "enthalpy", "latent"),
    [
        (100.0, 99.61, 0.001043, 1.6941, 417.51, 2257.5),
        (500.0, 151.83, 0.001093, 0.37483, 640.09, 2108.0),
        (1000.0, 179.88, 0.001127, 0.19436, 762.51, 2014.6),
    ],
)
def test_saturated_steam_as_printed(
    kilopascals: float,
    celsius: float,
    liquid: float,
    vapour: float,
    enthalpy: float,
    latent: float,
) -> None:
    pressure = kilopascals * 1e3
    boiling = steam.saturation_temperature(pressure=pressure) - 273.15
    water = 1.0 / steam.saturated_liquid_density(pressure=pressure)
    dry = 1.0 / steam.saturated_vapour_density(pressure=pressure)

    # The tables follow the scientific formulation of 1995; IF97 strays from it by 0.2 kJ/kg.
    np.testing.assert_allclose(boiling, celsius, rtol=0.0, atol=0.01)
    np.testing.assert_allclose(water, liquid, rtol=0.0, atol=0.6e-6)
    np.testing.assert_allclose(dry, vapour, rtol=2e-4)
    found = steam.saturated_liquid_enthalpy(pressure=pressure)
    np.testing.assert_allclose(found, enthalpy * 1e3, rtol=0.0, atol=250.0)
    found = steam.latent_heat(pressure=pressure)
    np.testing.assert_allclose(found, latent * 1e3, rtol=0.0, atol=250.0)


@source(f"{STEAM_TABLES}, superheated water", kind="from memory")
@pytest.mark.parametrize(
    ("megapascals", "celsius", "volume", "enthalpy"),
    [(0.5, 200.0, 0.42503, 2855.8), (1.0, 250.0, 0.23275, 2943.1)],
)
def test_superheated_steam_as_printed(
    megapascals: float, celsius: float, volume: float, enthalpy: float
) -> None:
    state = {"pressure": megapascals * 1e6, "temperature": celsius + 273.15}

    np.testing.assert_allclose(1.0 / steam.superheated_density(**state), volume, rtol=2e-4)
    found = steam.superheated_enthalpy(**state)
    np.testing.assert_allclose(found, enthalpy * 1e3, rtol=0.0, atol=300.0)


@source("a second implementation of the IAPWS releases (iapws)", kind="own calculation")
@pytest.mark.parametrize("pressure", [1e3, 1.01325e5, 6.01325e5, 9.01325e5, 2.5e6])
def test_a_second_program_agrees_on_the_boiling_line(pressure: float) -> None:
    liquid, vapour = (iapws97.IAPWS97(P=pressure / 1e6, x=quality) for quality in (0.0, 1.0))

    spline = 5e-9
    found = steam.saturation_temperature(pressure=pressure)
    np.testing.assert_allclose(found, vapour.T, rtol=1e-12)
    for found, expected in (
        (steam.saturated_liquid_density(pressure=pressure), liquid.rho),
        (steam.saturated_vapour_density(pressure=pressure), vapour.rho),
        (steam.saturated_vapour_enthalpy(pressure=pressure), vapour.h * 1e3),
        (steam.latent_heat(pressure=pressure), (vapour.h - liquid.h) * 1e3),
    ):
        np.testing.assert_allclose(found, expected, rtol=spline)
    # The second program adds the enhancement near the critical point, which is far away.
    for found, expected in (
        (steam.saturated_liquid_viscosity(pressure=pressure), liquid.mu),
        (steam.saturated_vapour_viscosity(pressure=pressure), vapour.mu),
    ):
        np.testing.assert_allclose(found, expected, rtol=1e-4)
