"""Steam through nozzles: old rules, printed velocities, and equilibrium of a second program."""

from __future__ import annotations

import numpy as np
import pytest
from iapws import iapws97
from scipy.optimize import minimize_scalar

from benchproof.physics import wet_expansion as wet
from benchproof.physics.errors import Array
from reference_injector import AIR
from sources import source

HUGHES = "V. A. B. Hughes, The Steam Injector, Technical Publishing Co., London 1912"
FOOT = 0.3048
PSI = wet.PSI


def gauge(bar: float) -> float:
    return bar * 1e5 + AIR


@source(
    "homogeneous equilibrium from a second implementation of IAPWS-IF97", kind="own calculation"
)
@pytest.mark.parametrize(
    ("bar", "flux", "frozen", "napier", "grashof", "rateau"),
    [
        (2.0, 449.9, 471.6, 439.0, 457.2, 454.5),
        (4.0, 737.4, 772.7, 730.3, 749.2, 745.3),
        (6.0, 1022.1, 1070.9, 1021.6, 1037.6, 1032.7),
        (7.0, 1163.6, 1219.4, 1167.3, 1180.8, 1175.4),
        (9.0, 1445.8, 1515.5, 1458.7, 1465.7, 1459.3),
    ],
)
def test_critical_flux_of_dry_steam_and_the_old_rules(
    bar: float, flux: float, frozen: float, napier: float, grashof: float, rateau: float
) -> None:
    pressure = gauge(bar)
    found = wet.critical_throat(pressure=pressure).flux
    np.testing.assert_allclose(found, flux, rtol=3e-4)
    for rule, expected in (
        (wet.frozen_critical_flux, frozen),
        (wet.napier_flux, napier),
        (wet.grashof_flux, grashof),
        (wet.rateau_flux, rateau),
    ):
        np.testing.assert_allclose(rule(pressure=pressure), expected, rtol=1e-3)


@source(
    "homogeneous equilibrium from a second implementation of IAPWS-IF97", kind="own calculation"
)
@pytest.mark.parametrize(("dryness", "flux"), [(0.97, 1180.3), (0.90, 1222.0)])
def test_critical_flux_of_wet_steam(dryness: float, flux: float) -> None:
    found = wet.critical_throat(pressure=gauge(7.0), dryness=dryness).flux
    np.testing.assert_allclose(found, flux, rtol=1e-3)


@source("a second implementation of the IAPWS releases (iapws)", kind="own calculation")
@pytest.mark.parametrize("bar", [2.0, 6.0, 12.0])
def test_a_second_program_finds_the_same_critical_flux(bar: float) -> None:
    rest = iapws97.IAPWS97(P=gauge(bar) / 1e6, x=1.0)

    def less_flux(share: float) -> float:
        throat = iapws97.IAPWS97(P=share * gauge(bar) / 1e6, s=rest.s)
        return -float(np.sqrt(2e3 * (rest.h - throat.h)) / throat.v)

    best = minimize_scalar(less_flux, bounds=(0.5, 0.7), method="bounded")
    # The regions of the formulation meet within a few parts in a hundred thousand.
    found = wet.critical_throat(pressure=gauge(bar))
    np.testing.assert_allclose(found.flux, -best.fun, rtol=5e-5)
    np.testing.assert_allclose(found.pressure / gauge(bar), best.x, rtol=0.0, atol=2e-3)


@source(f"{HUGHES}, page 24")
def test_the_throat_pressure_is_0_58_of_the_boiler_s() -> None:
    boiler = np.array([gauge(bar) for bar in (2.0, 4.0, 6.0, 9.0)])
    found = wet.critical_throat(pressure=boiler).pressure / boiler
    np.testing.assert_allclose(found, 0.58, rtol=0.0, atol=0.005)


@source(f"{HUGHES}, page 21")
@pytest.mark.parametrize(
    ("psia", "to_the_air", "to_one_psi"),
    [
        (30, 1602, 3263),
        (75, 2425, 3671),
        (100, 2645, 3804),
        (150, 2900, 3983),
        (200, 3075, 4100),
        (250, 3207, 4190),
    ],
)
def test_velocity_of_a_jet_as_printed(psia: float, to_the_air: float, to_one_psi: float) -> None:
    rest = wet.steam_at_rest(pressure=psia * PSI)
    for end, printed in ((14.7, to_the_air), (1.0, to_one_psi)):
        found = wet.jet_velocity(rest=rest, pressure=end * PSI) / FOOT
        np.testing.assert_allclose(found, printed, rtol=0.012)


@source(f"{HUGHES}, page 14, from 90 pounds absolute")
@pytest.mark.parametrize(
    ("fall", "printed", "within"),
    [(1.732, 1.0, 0.01), (4, 1.35, 0.01), (10, 2.436, 0.01), (50, 7.98, 0.03), (100, 13.8, 0.04)],
)
def test_area_of_a_mouth_over_its_throat_as_printed(
    fall: float, printed: float, within: float
) -> None:
    rest = wet.steam_at_rest(pressure=90 * PSI)
    throat = wet.critical_throat(pressure=90 * PSI)
    found = throat.flux / wet.jet_flux(rest=rest, pressure=90 * PSI / fall)
    np.testing.assert_allclose(found, printed, rtol=within)


@source(f"{HUGHES}, pages 96 and 98")
def test_the_throat_of_the_worked_example() -> None:
    rest = wet.steam_at_rest(pressure=90 * PSI)
    dryness = wet.mist_dryness(pressure=52 * PSI, entropy=rest.entropy)
    velocity = wet.jet_velocity(rest=rest, pressure=52 * PSI) / FOOT
    np.testing.assert_allclose(dryness, 0.956, rtol=0.0, atol=0.01)
    np.testing.assert_allclose(velocity, 1469, rtol=0.005)


@source(f"{HUGHES}, page 98: a slip of the book, 2606 is not the velocity at 3 pounds absolute")
def test_a_slip_in_the_worked_example_is_not_followed() -> None:
    rest = wet.steam_at_rest(pressure=90 * PSI)

    def velocity(psia: float) -> Array:
        found: Array = wet.jet_velocity(rest=rest, pressure=psia * PSI) / FOOT
        return found

    printed = 2606
    np.testing.assert_allclose(velocity(14.0), printed, rtol=0.005)
    # What the formulation gives at the pressure stated: own calculation.
    np.testing.assert_allclose(velocity(3.0), 3380, rtol=0.002)
