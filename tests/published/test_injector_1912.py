"""Full-size injectors in print, about 1892 to 1912: what the rules and the model make of them.

None of them is small. Where the model misses, the miss is written down as it is: the model was
not bent to fit.
"""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics import liquid_water
from benchproof.physics import wet_expansion as wet
from benchproof.physics.errors import Array
from benchproof.physics.injector import prepare
from benchproof.physics.injector_first_draft import (
    delivery_velocity,
    entrainment_by_heat,
    entrainment_by_ratio,
    published_area_ratio,
)
from benchproof.physics.injector_limits import (
    draft_bore_for_spill,
    feed_limit,
    least_capacity,
    working_range,
)
from benchproof.physics.mixing_water import mixing_water
from reference_injector import AIR, fahrenheit, full_size, psi_gauge
from sources import source

HUGHES = "V. A. B. Hughes, The Steam Injector, Technical Publishing Co., London 1912"
PSI, POUND, FOOT = wet.PSI, 0.45359237, 0.3048
CLACK = 5e3


def water(degrees: float) -> float:
    """Enthalpy of water [J/kg] at degrees Fahrenheit."""
    warmth = fahrenheit(degrees)
    return float(liquid_water.liquid_enthalpy(pressure=3e5, temperature=warmth))


@source(f"{HUGHES}, pages 96 to 99, the worked example: feed for each pound of steam")
def test_feed_of_the_worked_example() -> None:
    found = entrainment_by_heat(
        steam_enthalpy=wet.steam_at_rest(pressure=90 * PSI).enthalpy,
        feed_enthalpy=water(60),
        mixture_enthalpy=water(140),
    )
    np.testing.assert_allclose(found, 13.3, rtol=0.02)


@source(f"{HUGHES}, page 98: (2606 + 13.3 × 44)/14.3 without loss")
def test_lossless_jet_of_the_worked_example() -> None:
    np.testing.assert_allclose((2606 + 13.3 * 44) / 14.3, 223, rtol=0.002)


@source("the same, with 136 feet a second and a feed that keeps 0.75 of 44", kind="own calculation")
def test_what_the_practical_jet_keeps_of_it() -> None:
    lossless = (2606 + 13.3 * 44) / 14.3
    np.testing.assert_allclose(136 / lossless, 0.610, rtol=0.005)
    from_the_steam = 136 * 14.3 - 13.3 * 0.75 * 44
    np.testing.assert_allclose(from_the_steam / 2606, 0.578, rtol=0.005)


@source(f"{HUGHES}, page 99: throats of the worked example, 4 pounds of water a second")
def test_throats_of_the_worked_example() -> None:
    steam = 4 * POUND / 13.3
    by_napier = steam / wet.napier_flux(pressure=90 * PSI)
    in_equilibrium = steam / wet.critical_throat(pressure=90 * PSI).flux
    dense = liquid_water.liquid_density(pressure=3e5, temperature=fahrenheit(140))
    delivery = 4 * POUND * 14.3 / 13.3 / (dense * 136 * FOOT)
    np.testing.assert_allclose(by_napier * 1e6, 146.8, rtol=0.03)
    np.testing.assert_allclose(in_equilibrium * 1e6, 146.8, rtol=0.03)
    np.testing.assert_allclose(delivery * 1e6, 47.07, rtol=0.03)
    np.testing.assert_allclose(by_napier / delivery, 3.1, rtol=0.03)


@source(f"{HUGHES}, pages 41 and 98: the jet a quarter faster than one from the boiler")
def test_velocity_of_the_practical_jet() -> None:
    dense = float(liquid_water.liquid_density(pressure=3e5, temperature=fahrenheit(140)))
    found = delivery_velocity(gauge_pressure=75 * PSI, density=dense) / FOOT
    np.testing.assert_allclose(found, 136, rtol=0.02)


@source(f"{HUGHES}, page 15")
@pytest.mark.parametrize(
    ("psi", "printed"), [(60, 3.2), (120, 2.56), (180, 1.96), (30, 3.2), (220, 1.96)]
)
def test_area_ratio_as_printed(psi: float, printed: float) -> None:
    np.testing.assert_allclose(published_area_ratio(gauge_pressure=psi * PSI), printed, rtol=1e-12)


TABLE_VIII = [(40, 28.5, 24.2, 26.9), (65, 20.0, 20.0, 20.8), (140, 14.0, 14.0, 13.8)]


@source(f"{HUGHES}, page 90, Table VIII, feed of 60 °F assumed")
@pytest.mark.parametrize(("psi", "printed", "rule", "_model"), TABLE_VIII)
def test_water_for_each_pound_of_steam_by_the_rule(
    psi: float, printed: float, rule: float, _model: float
) -> None:
    found = entrainment_by_ratio(
        gauge_pressure=(psi - 14.7) * PSI, air_pressure=14.7 * PSI, area_ratio=2.5, density=984.0
    )
    np.testing.assert_allclose(found, rule, rtol=0.005)
    if psi > 60:
        np.testing.assert_allclose(found, printed, rtol=0.02)
    else:  # a misfit: the rule gives 15 % less than is printed at low pressure
        assert found < 0.87 * printed


@source(f"{HUGHES}, page 90, Table VIII, feed of 60 °F assumed")
@pytest.mark.parametrize(("psi", "printed", "_rule", "model"), TABLE_VIII)
def test_water_for_each_pound_of_steam_by_the_model(
    psi: float, printed: float, _rule: float, model: float
) -> None:
    cones = full_size(1.0, 2.7)
    injector = prepare(
        boiler_pressure=psi * PSI, feed_temperature=fahrenheit(60), head=0.3, delivery_loss=CLACK
    )
    bore, found = draft_bore_for_spill(injector=injector, samples=cones, spill=0.0)
    entrainment = injector.perform(cones | {"draft_bore": float(bore)}).entrainment
    assert found
    np.testing.assert_allclose(entrainment, model, rtol=0.005)
    np.testing.assert_allclose(entrainment, printed, rtol=0.06)


LIMITS = [(35, 144, None), (50, 133, None), (85, 130, 132), (105, 122, 121), (135, 107, 105)]


@source("Modern Mechanism, Appleton, about 1892: warmest feed of a locomotive injector")
@pytest.mark.parametrize(("psi", "claimed", "computed"), LIMITS)
def test_the_warmest_feed(psi: float, claimed: float, computed: float | None) -> None:
    injector = prepare(
        boiler_pressure=psi_gauge(psi), feed_temperature=288.15, head=-0.3, delivery_loss=CLACK
    )
    warmest, found = feed_limit(injector=injector, samples=full_size(1.7, 3.2))
    if computed is None:  # a misfit: water that leaves at the first gap is not in the model
        assert not found
    else:
        degrees = (float(warmest) - 273.15) * 1.8 + 32.0
        np.testing.assert_allclose(degrees, computed, rtol=0.0, atol=1.0)
        np.testing.assert_allclose(degrees, claimed, rtol=0.0, atol=2.5)


@source(
    "Maggard, Rough and Tumble Engineering, about 1900; Stephenson, Farm Engines",
    kind="from memory",
)
@pytest.mark.parametrize(
    ("degrees", "lift", "claimed", "computed"),
    [(60, 2.0, (25, 150), (30, 152)), (100, 8.0, (33, 100), (20, 70))],
)
def test_the_range_of_pressures(
    degrees: float, lift: float, claimed: tuple[float, float], computed: tuple[float, float]
) -> None:
    injector = prepare(
        boiler_pressure=5e5,
        feed_temperature=fahrenheit(degrees),
        head=-lift * FOOT,
        delivery_loss=CLACK,
    )
    low, high, found = working_range(injector=injector, samples=full_size(1.2, 2.7))
    ends = (np.array([low, high]) - AIR) / PSI
    assert found
    np.testing.assert_allclose(ends, computed, rtol=0.0, atol=3.0)
    # A misfit: with the lift the published lower end rises and the model's falls. What is
    # published is a limit of starting, what the model gives one of running.
    if lift > 5.0:
        assert ends[0] < claimed[0] - 10.0
    else:
        np.testing.assert_allclose(ends, claimed, rtol=0.0, atol=6.0)


@source("Modern Mechanism, Appleton, about 1892: least over greatest capacity about a half")
@pytest.mark.parametrize(("mixing", "low", "high"), [(0.8, 0.47, 0.55), (1.0, 0.62, 0.73)])
def test_how_far_the_feed_may_be_throttled(mixing: float, low: float, high: float) -> None:
    cones = full_size(1.0, 2.7) | {"mixing": mixing}
    injector = prepare(
        boiler_pressure=psi_gauge(100),
        feed_temperature=fahrenheit(60),
        head=-0.3,
        delivery_loss=CLACK,
    )
    bore, _ = draft_bore_for_spill(injector=injector, samples=cones, spill=0.0)
    found = least_capacity(injector=injector, samples=cones | {"draft_bore": float(bore)})
    assert low < found < high


@source(f"{HUGHES}, page 108: an exhaust injector, 16 pounds absolute, delivers against 95")
@pytest.mark.parametrize(
    ("mixing", "computed", "product"), [(0.8, 143.0, 0.21), (1.0, 109.0, 0.28)]
)
def test_the_exhaust_injector_is_a_misfit(mixing: float, computed: float, product: float) -> None:
    feed, mixed = fahrenheit(60), fahrenheit(162)
    rest = wet.steam_at_rest(pressure=16 * PSI)
    each = entrainment_by_heat(
        steam_enthalpy=rest.enthalpy, feed_enthalpy=water(60), mixture_enthalpy=water(162)
    )
    tables = mixing_water()
    chamber = tables.boiling_pressure(feed + mixing * (mixed - feed))
    steam = wet.jet_velocity(rest=rest, pressure=chamber)
    inflow = 0.75 * np.sqrt(2.0 * (AIR - chamber + 5.9e3) / 1000.0)
    velocity = (0.703 * steam + each * inflow) / (1.0 + each)
    dynamic: Array = 0.5 * tables.density(tables.enthalpy(mixed)) * velocity**2
    np.testing.assert_allclose((chamber + 0.66 * dynamic) / PSI, computed, rtol=0.02)
    # What the momentum squared times the recovery would have to be, where 0.33 is the default.
    needed = (95 * PSI - chamber) / dynamic * 0.703**2
    np.testing.assert_allclose(needed, product, rtol=0.0, atol=0.005)
