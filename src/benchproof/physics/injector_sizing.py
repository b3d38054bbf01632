"""Sizes of an injector for a feed and a range of boiler pressures.

The model has no scale of its own: all sizes grow as the root of the feed. So an injector is set
out with one delivery throat, its ring is set for the spill wanted at blowing-off pressure with
the warmest tank (where spill is least), and then all of it is scaled to the feed.

What is left to choose is the steam throat over the delivery throat. More steam holds on to lower
pressures and costs feed and warm-water limit; so the least ratio is taken with which the whole
range runs with a margin.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchproof.physics.air import STANDARD_PRESSURE
from benchproof.physics.errors import Array
from benchproof.physics.injector import DELIVERY_LOSS, Injector, Samples, prepare
from benchproof.physics.injector_coefficients import DEFAULTS
from benchproof.physics.injector_limits import draft_bore_for_spill
from benchproof.physics.injector_running import Running
from benchproof.physics.ranges import Numbers, require
from benchproof.physics.wet_expansion import critical_throat, jet_flux, steam_at_rest

LEAST_RATIO, MOST_RATIO = 1.9, 3.3
"""Range of steam throat over delivery throat by area [-]: V. A. B. Hughes, 1912, page 15."""

_UNIT_THROAT: Final = 0.5e-3
_COARSE: Final = 29
_FINE: Final = 15


@dataclass(frozen=True, kw_only=True)
class Proportions:
    """Sizes that follow from others: choices, none of them published.

    nose_over_mouth, combining_over_delivery, exit_over_delivery: by diameter [-].
    mouth_pressure: to which the mouth lets steam expand at working pressure, absolute [Pa].
    """

    nose_over_mouth: float = 1.25
    combining_over_delivery: float = 1.12
    exit_over_delivery: float = 3.6
    mouth_pressure: float = 0.9e5


@dataclass(frozen=True, kw_only=True)
class Service:
    """What the injector is for.

    feed: wanted from the tank at ``working_pressure`` and ``feed_temperature`` [kg/s].
    lowest_pressure, working_pressure, blowing_off: of the boiler, absolute [Pa].
    coldest_feed, feed_temperature, warmest_feed: of the tank [K]. spill: wanted at blowing-off
    pressure with the warmest feed [-]. margin: highest delivery pressure over that needed, both
    gauge, all over the range [-]. The rest as in ``prepare``.
    """

    feed: float
    lowest_pressure: float
    working_pressure: float
    blowing_off: float
    coldest_feed: float
    feed_temperature: float
    warmest_feed: float
    spill: float = 0.05
    margin: float = 1.1
    head: float = 0.0
    air_pressure: float = STANDARD_PRESSURE
    dryness: float = 1.0
    delivery_loss: float = DELIVERY_LOSS

    def __post_init__(self) -> None:
        require(self.feed > 0.0, quantity="feed", given=self.feed, low=0.0, unit="kg/s")
        rising: tuple[tuple[str, str, float, float, float], ...] = (
            (
                "working pressure",
                "Pa",
                self.lowest_pressure,
                self.working_pressure,
                self.blowing_off,
            ),
            ("feed temperature", "K", self.coldest_feed, self.feed_temperature, self.warmest_feed),
        )
        for name, unit, low, value, high in rising:
            require(low <= value <= high, quantity=name, given=value, low=low, high=high, unit=unit)

    def at(self, boiler_pressure: float, feed_temperature: float) -> Injector:
        """The tables at one boiler pressure, absolute [Pa], and feed temperature [K]."""
        return prepare(
            boiler_pressure=boiler_pressure,
            feed_temperature=feed_temperature,
            air_pressure=self.air_pressure,
            head=self.head,
            dryness=self.dryness,
            delivery_loss=self.delivery_loss,
        )


@dataclass(frozen=True)
class Sized:
    """An injector set out for a service, or several of different area ratios.

    sizes: by name [m]. area_ratio: steam throat over delivery throat [-]. ring_set: whether the
    spill could be set at all. least_margin: over the corners of the range, of highest delivery
    pressure over that needed [-]. working: what it does at working pressure.
    """

    sizes: dict[str, Array]
    area_ratio: Array
    ring_set: NDArray[np.bool_]
    least_margin: Array
    working: Running
    covers: NDArray[np.bool_]


def mouth_area_ratio(*, boiler_pressure: float, mouth_pressure: float, dryness: float) -> float:
    """Mouth over steam throat by area that expands steam to a pressure [-].

    boiler_pressure, mouth_pressure: absolute [Pa]. dryness: [-]. Raises OutOfRange.
    """
    rest = steam_at_rest(pressure=boiler_pressure, dryness=dryness)
    throat = critical_throat(pressure=boiler_pressure, dryness=dryness)
    holds = 0.0 < mouth_pressure < float(throat.pressure)
    require(
        holds,
        quantity="mouth pressure",
        given=mouth_pressure,
        low=0.0,
        high=throat.pressure,
        unit="Pa",
        hint="steam leaves the throat at this pressure: the mouth's must be lower",
    )
    return float(throat.flux / jet_flux(rest=rest, pressure=mouth_pressure))


def set_out(
    *,
    service: Service,
    area_ratio: Numbers,
    proportions: Proportions | None = None,
    coefficients: Mapping[str, float] = DEFAULTS,
) -> Sized:
    """Set an injector out at a known area ratio, its ring set and all scaled to the feed.

    area_ratio: steam throat over delivery throat [-], a number or an array of them, above 1.
    coefficients: by name [-]. Where nothing is delivered at working pressure the sizes are those
    of a delivery throat of half a millimetre. Raises OutOfRange.
    """
    share = proportions or Proportions()
    ratio = np.asarray(area_ratio, dtype=float)
    require(ratio > 1.0, quantity="area ratio", given=ratio, low=1.0)
    widening = mouth_area_ratio(
        boiler_pressure=service.working_pressure,
        mouth_pressure=share.mouth_pressure,
        dryness=service.dryness,
    )
    delivery = np.full_like(ratio, _UNIT_THROAT)
    steam = delivery * np.sqrt(ratio)
    sizes: dict[str, Array] = {
        "steam_throat": steam,
        "mouth": steam * np.sqrt(widening),
        "nose": steam * np.sqrt(widening) * share.nose_over_mouth,
        "combining_throat": delivery * share.combining_over_delivery,
        "delivery_throat": delivery,
        "delivery_exit": delivery * share.exit_over_delivery,
    }
    setting = service.at(service.blowing_off, service.warmest_feed)
    bore, ring_set = draft_bore_for_spill(
        injector=setting, samples=sizes | dict(coefficients), spill=service.spill
    )
    sizes["draft_bore"] = bore
    samples: Samples = sizes | dict(coefficients)
    working = service.at(service.working_pressure, service.feed_temperature)
    fresh = working.perform(samples).fresh
    scale = np.sqrt(service.feed / np.where(fresh > 0.0, fresh, service.feed))
    sizes = {name: size * scale for name, size in sizes.items()}
    samples = sizes | dict(coefficients)
    corners = (
        (service.lowest_pressure, service.coldest_feed),
        (service.lowest_pressure, service.warmest_feed),
        (service.blowing_off, service.coldest_feed),
        (service.blowing_off, service.warmest_feed),
    )
    margins = np.stack([service.at(*corner).perform(samples).margin for corner in corners])
    least = np.where(ring_set, margins.min(axis=0), 0.0)
    covers = least >= service.margin
    return Sized(sizes, ratio, ring_set, least, working.perform(samples), covers)


def solve_area_ratio(
    *,
    service: Service,
    proportions: Proportions | None = None,
    coefficients: Mapping[str, float] = DEFAULTS,
) -> Sized:
    """The least area ratio between 1.9 and 3.3 [-] with which the whole range runs with its margin.

    coefficients: by name [-]. Where none does, ``covers`` is false and the ratio is the one whose
    least margin over the range is greatest. Raises OutOfRange.
    """

    def tried(ratios: Array) -> tuple[Sized, int]:
        found = set_out(
            service=service, area_ratio=ratios, proportions=proportions, coefficients=coefficients
        )
        best = np.argmax(found.covers) if found.covers.any() else np.argmax(found.least_margin)
        return found, int(best)

    coarse = np.linspace(LEAST_RATIO, MOST_RATIO, _COARSE)
    _, best = tried(coarse)
    fine = np.linspace(coarse[max(best - 1, 0)], coarse[min(best + 1, _COARSE - 1)], _FINE)
    found, best = tried(fine)
    return set_out(
        service=service,
        area_ratio=float(found.area_ratio[best]),
        proportions=proportions,
        coefficients=coefficients,
    )
