"""How much to let spill: who draws air set so, and what it costs at low pressure and in water.

A little spilling keeps air out of an open overflow. Least spills when the boiler blows off with a
warm tank, so the ring is set there. Water that spills was brought up to speed for nothing: a ring
wide enough for it stops sooner as pressure falls. Each share is therefore told with both.

Builds are told of twice: cut to the ring that the middle of all that is believed asks for, and
never tried; and each set on the bench until so much is caught.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from scipy.special import ndtr, ndtri

from benchproof.duties.contract import Array, Samples
from benchproof.duties.injector_corner import Corner
from benchproof.duties.injector_model import DRAFT, NOSE, InjectorCones
from benchproof.duties.injector_sizes import service_of
from benchproof.physics.dissolved_oxygen import IRON_PER_OXYGEN, dissolved_oxygen, oxygen_drawn_in

if TYPE_CHECKING:
    from benchproof.duties.injector_spec import InjectorSpec

SPILLS: Final = (0.0, 0.05, 0.10, 0.17)
"""Shares told of in any case [-]."""
SELDOM: Final = 0.05
"""Share of builds that may draw air where the spill is called enough."""
CAUGHT_WITHIN, VALVES_WITHIN, TANK_WITHIN = 0.01, 0.1e5, 2.0
"""How far off a ring is set by a bucket [-], and how far off from there valves lift [Pa] and the
tank is [K]: standard deviations, judgement."""
SMALLER: Final = 0.9
"""Area of delivery and combining throat tried as a way out, over those planned."""

_DRAWS: Final = 512
_BAND: Final = 128
_RINGS: Final = np.linspace(0.3, 2.2, 58)
_PRESSURES: Final = 12
_LEAST_PRESSURE: Final = 1.5e5
_COCKS: Final = np.linspace(0.25, 1.0, 31)
_TYPICAL: Final = 0.04  # spill at which it is asked how fast it moves


@dataclass(frozen=True)
class Spilling:
    """One share let spill at blowing-off pressure with the warmest tank.

    spill: [-]. ring: on diameter, by the middle of what is believed [m]. reached: whether so much
    can be had, for a combining throat that runs solid passes no more. draws_air, draws_air_set:
    share of builds that draw air there, untried and once set on the bench [-]. lowest: pressure
    down to which builds run, 5th, 50th and 95th percentile, gauge [Pa]. fresh: feed at boiler
    pressure [kg/s]. spilled: there [kg/s]. oxygen: carried in blowing off, at most, 95th
    percentile [kg/m³]. iron: that it could turn to rust, were all of it used up [kg/s].
    """

    spill: float
    ring: float
    reached: bool
    draws_air: float
    draws_air_set: float
    lowest: tuple[float, float, float]
    fresh: float
    spilled: float
    oxygen: float
    iron: float


@dataclass(frozen=True)
class WayOut:
    """Another way to keep air out, by the middle of what is believed.

    lowest: pressure it runs down to, gauge [Pa]. margin: delivery pressure over that needed at
    the lowest pressure it is to work at [-]. fresh: feed at boiler pressure [kg/s].
    """

    words: str
    lowest: float
    margin: float
    fresh: float


@dataclass(frozen=True)
class Overflow:
    """Choices in rising order of spill; enough: least share untried, enough_set: once set [-].

    ``enough`` is None where no ring keeps air out often enough. ways_out: the plain ring first.
    """

    choices: Sequence[Spilling]
    enough: float | None
    enough_set: float
    ways_out: Sequence[WayOut]


def overflow_of(spec: InjectorSpec, samples: Samples) -> Overflow:
    """Choices of spill for an injector, from draws of its sizes and coefficients (n,) each."""
    return _Weighing(spec, samples).overflow()


class _Weighing:
    """Draws of one injector, its ring left to be chosen."""

    def __init__(self, spec: InjectorSpec, samples: Samples) -> None:
        self._spec = spec
        few = {name: np.asarray(each)[:_DRAWS] for name, each in samples.items()}
        ring = few[DRAFT] - few[NOSE]
        self._middle_ring = float(np.median(ring))
        cones = InjectorCones(spec)(few)
        self._shift = cones["draft_bore"] - cones["nose"] - self._middle_ring
        self._draws = cones
        # The middle build: the ring its own, with no error of cutting.
        self._middle = {name: np.array([np.median(each)]) for name, each in cones.items()}
        service = service_of(spec)
        self._service = service
        self._hot = Corner(service.at(service.blowing_off, service.warmest_feed))
        self._work = Corner(service.at(service.working_pressure, service.feed_temperature))
        lowest = min(_LEAST_PRESSURE, 0.75 * spec.boiler_pressure)
        self._gauge = np.linspace(lowest, spec.boiler_pressure, _PRESSURES)
        self._places = [
            Corner(service.at(float(each) + spec.air_pressure, service.feed_temperature))
            for each in self._gauge
        ]
        self._rings = self._middle_ring * _RINGS
        self._spills, self._reach = self._spills_of(self._middle)
        self._airs = self._share_drawing_air()
        self._doubt = self._doubt_of_setting()

    def overflow(self) -> Overflow:
        """All choices, what is enough, and the ways out."""
        seldom = np.flatnonzero((self._airs <= SELDOM) & (self._rings <= self._reach))
        enough = None
        if seldom.size:
            enough = float(np.ceil(100.0 * self._spills[seldom[0]]) / 100.0)
        enough_set = float(np.ceil(-100.0 * ndtri(SELDOM) * self._doubt) / 100.0)
        told = {*SPILLS, enough_set} | (set() if enough is None else {enough})
        choices = [self._choice(share) for share in sorted(told)]
        return Overflow(choices, enough, enough_set, self._ways_out(enough_set))

    def _with_ring(self, cones: Mapping[str, Array], ring: Array) -> dict[str, Array]:
        return dict(cones) | {"draft_bore": cones["nose"] + ring}

    def _spills_of(self, middle: Samples) -> tuple[Array, float]:
        """Spill of one build over the rings [-], negative for void; widest worth having."""
        count = len(self._rings)
        many = {name: np.broadcast_to(each, (count,)) for name, each in middle.items()}
        state = self._hot.perform(self._with_ring(many, self._rings))
        solid = np.flatnonzero(state.solid)
        reach = float(self._rings[solid[0]]) if solid.size else float(self._rings[-1])
        return _spilled(state.fullness), reach

    def _share_drawing_air(self) -> Array:
        """Share of builds, untried, that draw air or do not feed at all, ring by ring [-]."""
        # One row for each ring, taken all at once.
        rings = self._rings[:, np.newaxis] + self._shift
        many = {name: np.broadcast_to(each, rings.shape) for name, each in self._draws.items()}
        flat = {name: each.ravel() for name, each in self._with_ring(many, rings).items()}
        fullness = self._hot.perform(flat).fullness.reshape(rings.shape)
        share: Array = (fullness < 1.0).mean(axis=1)
        return share

    def _doubt_of_setting(self) -> float:
        """How far off the spill is from what it was set for [-]: bucket, valves and tank."""
        service, shares = self._service, []
        ring = self._ring_for(_TYPICAL)
        cones = self._with_ring(self._middle, np.array([ring]))
        at_set = _spilled(self._hot.perform(cones).fullness)
        for pressure, warmth in ((VALVES_WITHIN, 0.0), (0.0, TANK_WITHIN)):
            moved = Corner(
                service.at(service.blowing_off + pressure, service.warmest_feed + warmth)
            )
            shares.append(float((_spilled(moved.perform(cones).fullness) - at_set)[0]))
        return float(np.sqrt(CAUGHT_WITHIN**2 + np.square(shares).sum()))

    def _ring_for(self, share: float, spills: Array | None = None) -> float:
        """Ring [m] by which a share spills from the middle build; the widest where none does."""
        told = self._spills if spills is None else spills
        wide = np.flatnonzero(told >= share)
        last = int(wide[0]) if wide.size else len(self._rings) - 1
        return float(np.interp(share, told[: last + 1], self._rings[: last + 1]))

    def _choice(self, share: float) -> Spilling:
        ring = self._ring_for(share)
        few = {name: each[:_BAND] for name, each in self._draws.items()}
        builds = self._with_ring(few, ring + self._shift[:_BAND])
        work, hot = self._work.perform(builds), self._hot.perform(builds)
        oxygen = float(np.quantile(self._oxygen(hot.fullness), 0.95))
        fresh = float(np.median(work.fresh))
        low, middle, high = (
            float(each) for each in np.quantile(self._lowest(builds), (0.05, 0.5, 0.95))
        )
        return Spilling(
            spill=share,
            ring=ring,
            reached=ring <= self._reach,
            draws_air=float(np.interp(ring, self._rings, self._airs)),
            draws_air_set=float(ndtr(-share / self._doubt)),
            lowest=(low, middle, high),
            fresh=fresh,
            spilled=float(np.median(work.spilled)),
            oxygen=oxygen,
            iron=oxygen * fresh / self._work.feed_density * IRON_PER_OXYGEN,
        )

    def _oxygen(self, fullness: Array) -> Array:
        """Dissolved in the warmest tank, and all that a starved overflow could draw in [kg/m³]."""
        spec = self._spec
        dissolved = dissolved_oxygen(
            temperature=min(spec.warmest_feed, 313.15), air_pressure=spec.air_pressure
        )
        drawn = oxygen_drawn_in(
            void=np.where(fullness > 0.0, np.clip(1.0 - fullness, 0.0, 0.95), 0.0),
            air_pressure=spec.air_pressure,
            air_temperature=spec.warmest_feed,
        )
        return np.asarray(dissolved + drawn)

    def _lowest(self, cones: Samples, cocks: Array | None = None) -> Array:
        """Lowest pressure each build runs down to with the usual tank, gauge [Pa].

        One that does not run at boiler pressure counts with that. ``cocks``: openings of the
        water cock, of which the best is taken at each pressure.
        """
        margins = np.stack([self._margin(place, cones, cocks) for place in self._places])
        runs = np.logical_and.accumulate(margins[::-1] >= 1.0)[::-1]
        first = np.minimum(np.argmax(runs, axis=0), _PRESSURES - 1)
        first = np.where(runs.any(axis=0), first, _PRESSURES - 1)
        below = np.maximum(first - 1, 0)
        column = np.arange(margins.shape[1])
        high, low = margins[first, column], margins[below, column]
        rise = np.where(high > low, high - low, 1.0)
        part = np.clip((1.0 - low) / rise, 0.0, 1.0)
        step = self._gauge[first] - self._gauge[below]
        found: Array = self._gauge[below] + part * step
        return np.where(runs.any(axis=0), found, self._gauge[-1])

    @staticmethod
    def _margin(place: Corner, cones: Samples, cocks: Array | None) -> Array:
        if cocks is None:
            return place.perform(cones).margin
        count = len(cocks)
        throttled = {name: np.broadcast_to(each, (count,)) for name, each in cones.items()}
        throttled["water_discharge"] = throttled["water_discharge"] * cocks
        state = place.perform(throttled)
        # Shut farther the jet would be faster yet, and draw air.
        best: Array = np.where(state.fullness >= 1.0, state.margin, 0.0).max(keepdims=True)
        return best

    def _ways_out(self, share: float) -> Sequence[WayOut]:
        """None, more steam for the water, a water cock, or a valve on the overflow."""
        smaller = dict(self._middle)
        for name in ("delivery_throat", "combining_throat", "delivery_exit"):
            smaller[name] = smaller[name] * np.sqrt(SMALLER)
        spills, _ = self._spills_of(smaller)
        more_steam = self._with_ring(smaller, np.array([self._ring_for(share, spills)]))
        plain = self._with_ring(self._middle, np.array([self._ring_for(share)]))
        dry = self._with_ring(self._middle, np.array([self._ring_for(0.0)]))
        return (
            self._way("no other way", plain),
            self._way("more steam for the water", more_steam),
            self._way("a water cock", plain, _COCKS),
            self._way("a valve", dry),
        )

    def _way(self, words: str, cones: Samples, cocks: Array | None = None) -> WayOut:
        fresh = float(self._work.perform(cones).fresh[0])
        at = Corner(self._service.at(self._service.lowest_pressure, self._service.feed_temperature))
        margin = float(self._margin(at, cones, cocks)[0])
        return WayOut(words, float(self._lowest(cones, cocks)[0]), margin, fresh)


def _spilled(fullness: Array) -> Array:
    """Share that spills [-]; where less arrives than passes, minus the share that stays empty."""
    full = np.maximum(fullness, 1.0)
    return np.where(fullness >= 1.0, 1.0 - 1.0 / full, fullness - 1.0)
