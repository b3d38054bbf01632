from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.physics.errors import OutOfRange
from benchproof.physics.injector_first_draft import (
    JET_DENSITY,
    delivery_velocity,
    entrainment_by_heat,
    entrainment_by_ratio,
    first_throats,
    fresh_flux,
    published_area_ratio,
)
from benchproof.physics.wet_expansion import napier_flux
from sources import source

AIR = 101325.0
RULE = "the rule of V. A. B. Hughes, The Steam Injector, 1912, pages 15, 41 and 98, worked by hand"


@source(RULE, kind="own calculation")
def test_one_litre_a_minute_at_six_bar() -> None:
    steam, delivery = first_throats(feed=1.0 / 60.0, gauge_pressure=6e5, air_pressure=AIR)
    ratio = published_area_ratio(gauge_pressure=6e5)
    feed = entrainment_by_ratio(gauge_pressure=6e5, air_pressure=AIR, area_ratio=ratio)
    velocity = delivery_velocity(gauge_pressure=6e5)
    np.testing.assert_allclose(velocity, 44.87, rtol=2e-4)
    np.testing.assert_allclose(velocity * JET_DENSITY / 1e3, 44.19, rtol=2e-4)
    np.testing.assert_allclose(ratio, 2.912, rtol=2e-4)
    np.testing.assert_allclose(feed, 13.86, rtol=5e-4)
    np.testing.assert_allclose(delivery * 1e3, 0.718, rtol=0.0, atol=0.001)
    np.testing.assert_allclose(steam * 1e3, 1.224, rtol=0.0, atol=0.001)


@source(RULE, kind="own calculation")
@pytest.mark.parametrize(
    ("bar", "ratio", "total", "feed", "litres"),
    [
        (4, 3.20, 36.6, 14.6, 2.05),
        (6, 2.91, 44.2, 13.9, 2.47),
        (7, 2.76, 47.5, 13.8, 2.66),
        (9, 2.45, 53.6, 14.0, 3.00),
    ],
)
def test_for_each_square_millimetre(
    bar: float, ratio: float, total: float, feed: float, litres: float
) -> None:
    given_pressure = {"gauge_pressure": bar * 1e5}
    flux = delivery_velocity(**given_pressure) * JET_DENSITY / 1e3
    by_ratio = entrainment_by_ratio(air_pressure=AIR, area_ratio=ratio, **given_pressure)
    fresh = fresh_flux(air_pressure=AIR, area_ratio=ratio, **given_pressure)
    np.testing.assert_allclose(published_area_ratio(**given_pressure), ratio, atol=0.006)
    np.testing.assert_allclose(flux, total, rtol=2e-3)
    np.testing.assert_allclose(by_ratio, feed, rtol=5e-3)
    np.testing.assert_allclose(fresh * 60.0 / 999.0 * 1e-3, litres, rtol=3e-3)


@given(bar=st.floats(2.0, 12.0), feed=st.floats(1e-3, 0.1))
def test_both_throats_carry_what_they_should(bar: float, feed: float) -> None:
    steam, delivery = first_throats(feed=feed, gauge_pressure=bar * 1e5, air_pressure=AIR)

    area = 0.25 * np.pi * np.square([steam, delivery])
    from_the_boiler = area[0] * napier_flux(pressure=bar * 1e5 + AIR)
    through = area[1] * JET_DENSITY * delivery_velocity(gauge_pressure=bar * 1e5)
    np.testing.assert_allclose(through - from_the_boiler, feed, rtol=1e-10)


@given(feed=st.floats(5.0, 30.0))
def test_the_heat_of_a_mixture_tells_what_was_mixed(feed: float) -> None:
    mixture = (2.75e6 + feed * 6.3e4) / (1.0 + feed)
    found = entrainment_by_heat(
        steam_enthalpy=2.75e6, feed_enthalpy=6.3e4, mixture_enthalpy=mixture
    )
    np.testing.assert_allclose(found, feed, rtol=1e-9)


@pytest.mark.parametrize("mixture", [6e4, 2.8e6, np.nan])
def test_a_mixture_outside_its_parts_is_refused(mixture: float) -> None:
    with pytest.raises(OutOfRange, match="mixture enthalpy"):
        entrainment_by_heat(steam_enthalpy=2.75e6, feed_enthalpy=6.3e4, mixture_enthalpy=mixture)


@pytest.mark.parametrize("ratio", [0.0, 100.0])
def test_more_steam_than_the_delivery_throat_holds_is_refused(ratio: float) -> None:
    with pytest.raises(OutOfRange, match="both throats"):
        entrainment_by_ratio(gauge_pressure=6e5, air_pressure=AIR, area_ratio=ratio)


def test_a_feed_of_nothing_is_refused() -> None:
    with pytest.raises(OutOfRange, match="feed"):
        first_throats(feed=0.0, gauge_pressure=6e5, air_pressure=AIR)
