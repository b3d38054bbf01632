"""The published rule for an injector's throats: a first draft by hand, before any model.

The delivery jet is given a velocity a quarter above that of a jet from the boiler, and 5 psi on
top; the steam throat follows from a published ratio of areas, and the feed from both flows. An
older rule of Rankine's lies 37 to 47 % below it: the published spread for one throat is about
-45 to +20 %.

Source: V. A. B. Hughes, The Steam Injector, London 1912, pages 15, 41, 98 and 99.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require
from benchproof.physics.wet_expansion import PSI, napier_flux

JET_DENSITY: Final = 985.0
"""Density of the jet that the rule is used with here [kg/m³]."""

_EXTRA_PRESSURE: Final = 5.0 * PSI
_VELOCITY_FACTOR: Final = 1.25
_RATIO_PRESSURES: Final = np.array([60.0, 120.0, 180.0]) * PSI
_RATIOS: Final = np.array([3.2, 2.56, 1.96])


def published_area_ratio(*, gauge_pressure: Numbers) -> Array:
    """Steam throat over delivery throat, by area [-], shape of the pressure.

    gauge_pressure: of the boiler [Pa]. Straight between 3.2 at 60 psi, 2.56 at 120 psi and 1.96
    at 180 psi (printed for 160 to 200), and constant outside.
    Source: V. A. B. Hughes, The Steam Injector, 1912, page 15.
    """
    ratio: Array = np.interp(gauge_pressure, _RATIO_PRESSURES, _RATIOS)
    return ratio


def delivery_velocity(*, gauge_pressure: Numbers, density: Numbers = JET_DENSITY) -> Array:
    """Velocity the jet should have in the delivery throat [m/s], shape broadcast.

    gauge_pressure: of the boiler [Pa]. density: of the jet [kg/m³].
    Source: V. A. B. Hughes, The Steam Injector, 1912, pages 41 and 98.
    """
    head = np.asarray(gauge_pressure) + _EXTRA_PRESSURE
    velocity: Array = _VELOCITY_FACTOR * np.sqrt(2.0 * head / density)
    return velocity


def entrainment_by_ratio(
    *,
    gauge_pressure: Numbers,
    air_pressure: Numbers,
    area_ratio: Numbers,
    density: Numbers = JET_DENSITY,
) -> Array:
    """Water over steam by mass that fills both throats [-], shape broadcast.

    gauge_pressure: of the boiler [Pa]. air_pressure: absolute [Pa]. area_ratio: steam throat over
    delivery throat [-], above 0. density: of the jet [kg/m³]. Raises OutOfRange where the steam
    alone would fill the delivery throat.
    Source: V. A. B. Hughes, The Steam Injector, 1912, page 98, with Napier's rule for the steam.
    """
    jet = density * delivery_velocity(gauge_pressure=gauge_pressure, density=density)
    steam = np.asarray(area_ratio) * napier_flux(pressure=np.add(gauge_pressure, air_pressure))
    require(
        (steam > 0.0) & (steam < jet),
        quantity="steam through both throats",
        given=steam / jet,
        low=0.0,
        high=1.0,
        hint="the steam alone would fill the delivery throat: make the area ratio smaller",
    )
    water: Array = jet / steam - 1.0
    return water


def entrainment_by_heat(
    *, steam_enthalpy: Numbers, feed_enthalpy: Numbers, mixture_enthalpy: Numbers
) -> Array:
    """Water over steam by mass from the three enthalpies [-], shape broadcast.

    steam_enthalpy, feed_enthalpy, mixture_enthalpy: specific, steam > mixture > feed [J/kg].
    Raises OutOfRange. Source: V. A. B. Hughes, The Steam Injector, 1912, page 89.
    """
    require(
        np.greater(steam_enthalpy, mixture_enthalpy) & np.greater(mixture_enthalpy, feed_enthalpy),
        quantity="mixture enthalpy",
        given=mixture_enthalpy,
        low=feed_enthalpy,
        high=steam_enthalpy,
        unit="J/kg",
        hint="the mixture is warmer than the feed and holds less heat than the steam",
    )
    given, taken = (
        np.subtract(steam_enthalpy, mixture_enthalpy),
        np.subtract(mixture_enthalpy, feed_enthalpy),
    )
    water: Array = given / taken
    return water


def fresh_flux(
    *,
    gauge_pressure: Numbers,
    air_pressure: Numbers,
    area_ratio: Numbers,
    density: Numbers = JET_DENSITY,
) -> Array:
    """Water from the tank for each area of delivery throat, by the rule [kg/(s m²)].

    gauge_pressure, air_pressure, area_ratio, density: [Pa], [Pa], [-] and [kg/m³], as in
    ``entrainment_by_ratio``.
    """
    water = entrainment_by_ratio(
        gauge_pressure=gauge_pressure,
        air_pressure=air_pressure,
        area_ratio=area_ratio,
        density=density,
    )
    total = density * delivery_velocity(gauge_pressure=gauge_pressure, density=density)
    fresh: Array = total * water / (1.0 + water)
    return fresh


def first_throats(
    *, feed: Numbers, gauge_pressure: Numbers, air_pressure: Numbers
) -> tuple[Array, Array]:
    """Steam and delivery throat by the rule: Returns (steam [m], delivery [m]), shape broadcast.

    feed: water wanted from the tank [kg/s], above 0. gauge_pressure: of the boiler [Pa].
    air_pressure: absolute [Pa]. Raises OutOfRange.
    """
    require(np.asarray(feed) > 0.0, quantity="feed", given=feed, low=0.0, unit="kg/s")
    ratio = published_area_ratio(gauge_pressure=gauge_pressure)
    flux = fresh_flux(gauge_pressure=gauge_pressure, air_pressure=air_pressure, area_ratio=ratio)
    delivery: Array = np.sqrt(4.0 / np.pi * np.asarray(feed) / flux)
    return delivery * np.sqrt(ratio), delivery
