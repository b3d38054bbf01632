"""An injector at one boiler pressure and tank temperature, quick enough to be swept.

At one pressure and one temperature the balance of condensing has two numbers to it: the inflow at
one pascal over the steam, k, and the place b of the chamber between feed and mixture. So the root
of the fall of pressure that draws the feed in is tabulated over both, once: over b, and over
sqrt(ln(k/k_fold)), in which the fold, where the steam just condenses, is no singular point. What
comes after are the same equations as in ``physics.injector``, written out for one corner, and what
the ring does not move is kept during a sweep.

A test holds the whole to ``physics.injector``: 2 parts in 10 000 on pressures and flows.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchproof.duties.contract import Array, Samples
from benchproof.duties.kept import Kept
from benchproof.physics.delivery_cone import circle
from benchproof.physics.draft_annulus import suction_pressure
from benchproof.physics.injector import Injector
from benchproof.physics.injector_coefficients import DEFAULTS, STEAM_SPEED_KEPT
from benchproof.physics.injector_running import Cause
from benchproof.physics.saturation_line import saturation_temperature
from benchproof.physics.steam_cone import SEPARATION

Truth = NDArray[np.bool_]

_LEAST_MIXING, _MOST_MIXING = 0.1, 1.3
_MIXINGS: Final = 61
_PLACES: Final = 257
_FARTHEST: Final = 2.2
_ENTHALPIES: Final = 1200
_LEAST_WARMING: Final = 500.0  # J/kg: colder mixtures than this never run
_ROUNDS: Final = 3
_DRAWN: Final = (
    "steam_throat",
    "mouth",
    "nose",
    "combining_throat",
    "delivery_throat",
    "delivery_exit",
    "steam_discharge",
    "momentum",
    "water_discharge",
    "mixing",
    "recovery",
)
_FEED_SPEED: Final = DEFAULTS["feed_speed_kept"]


@dataclass(frozen=True)
class _Still:
    """What the ring does not move, sample by sample."""

    steam_flow: Array
    per_fold: Array
    row: NDArray[np.intp]
    part: Array
    heat: Array
    level: Array
    rise: Array
    mouth_pressure: Array
    throat_area: Array
    delivery_area: Array
    lift: Array
    nose_square: Array
    entry: Array
    mixing: Array
    detaches: bool
    whole: Truth


@dataclass(frozen=True)
class State:
    """What samples do at one corner: arrays of one shape, as in ``physics.injector_running``.

    over_fold: inflow over the least with which the steam condenses [-].
    """

    cause: NDArray[np.int8]
    steam_flow: Array
    water_flow: Array
    enthalpy: Array
    capacity: Array
    margin: Array
    highest: Array
    jet_diameter: Array
    solid: Truth
    over_fold: Array

    @cached_property
    def total(self) -> Array:
        """Steam and water together [kg/s]."""
        return self.steam_flow + self.water_flow

    @cached_property
    def delivered(self) -> Array:
        """Flow through the delivery throat [kg/s]."""
        return np.minimum(self.capacity, self.total)

    @property
    def fresh(self) -> Array:
        """Water from the tank that is delivered [kg/s]."""
        fresh: Array = self.delivered * (self.water_flow / self.total)
        return fresh

    @property
    def spilled(self) -> Array:
        """Flow out of the overflow [kg/s]."""
        return self.total - self.delivered

    @property
    def fullness(self) -> Array:
        """What arrives over what the delivery throat can pass [-]; 0 without a jet."""
        able = self.capacity > 0.0
        return np.where(able, self.total / np.where(able, self.capacity, 1.0), 0.0)

    @property
    def runs(self) -> Truth:
        """Whether it runs."""
        return np.asarray(self.cause == Cause.RUNS)

    @property
    def jets(self) -> Truth:
        """Whether there is a jet, strong enough or not."""
        return np.asarray(self.capacity > 0.0)


class Corner:
    """Injectors of any size at the one boiler pressure and tank temperature of an ``Injector``."""

    def __init__(self, injector: Injector) -> None:
        self._injector = injector
        water, cone = injector.water, injector.cone
        self._boiler = float(injector.boiler_pressure)
        self.warmth = float(injector.feed_temperature)
        self._flux = float(cone.flux(self._boiler))
        self._steam = float(cone.enthalpy(self._boiler))
        self._feed = float(water.enthalpy(self.warmth))
        self.feed_density = float(water.density(self._feed))
        self._suction = float(
            suction_pressure(
                air_pressure=injector.air_pressure, head=injector.head, density=self.feed_density
            )
        )
        boiling = saturation_temperature(pressure=injector.overflow_pressure)
        self._hottest = float(water.enthalpy(boiling))
        self._root = float(np.sqrt(2.0 * self.feed_density))
        self._brings = 2.0 * _FEED_SPEED / self._root
        self.needed = self._boiler + injector.delivery_loss - injector.air_pressure
        self._tabulate()
        middle = 0.5 * (self._feed + self._hottest)
        half = 0.5 * (self._hottest - self._feed)
        across = np.linspace(-1.0, 1.0, 200)
        density = water.density(middle + half * across)
        self._density_scale = (middle, 1.0 / half)
        self._density_terms = np.polynomial.polynomial.polyfit(across, density, 4)
        self._still = Kept(_DRAWN, self._work_out)

    def _tabulate(self) -> None:
        water = self._injector.water
        mixings = np.linspace(_LEAST_MIXING, _MOST_MIXING, _MIXINGS)
        warmed = np.geomspace(_LEAST_WARMING, self._hottest - self._feed, _ENTHALPIES)
        mixture = self._feed + warmed
        places = np.linspace(0.0, _FARTHEST, _PLACES)
        self._falls = np.empty((_MIXINGS, _PLACES))
        self._folds = np.empty(_MIXINGS)
        for row, mixing in enumerate(mixings):
            vapour, _ = water.chamber_pressure(mixture, self.warmth, mixing)
            fall = np.sqrt(np.maximum(self._suction - vapour, 0.0))
            drawn = np.flatnonzero(fall > 0.0)
            inflow = (self._steam - mixture[drawn]) / (warmed[drawn] * fall[drawn])
            last = int(np.argmin(inflow))
            self._folds[row] = inflow[last]
            above = np.sqrt(np.log(inflow[: last + 1] / inflow[last]))[::-1]
            self._falls[row] = np.interp(places, above, fall[drawn][: last + 1][::-1])
        self._table = self._falls.ravel()
        self._per_place = (_PLACES - 1) / _FARTHEST
        self._per_mixing = (_MIXINGS - 1) / (_MOST_MIXING - _LEAST_MIXING)

    def _work_out(self, s: Samples) -> _Still:
        throat, mouth = np.maximum(s["steam_throat"], 1e-7), s["mouth"]
        throat_area, mouth_area = circle(throat), circle(mouth)
        pressure, velocity = self._injector.cone.mouth(self._boiler, mouth_area / throat_area)
        steam_flow = s["steam_discharge"] * throat_area * self._flux
        place = np.clip((s["mixing"] - _LEAST_MIXING) * self._per_mixing, 0.0, _MIXINGS - 1.000001)
        row = place.astype(np.intp)
        part = place - row
        fold = self._folds[row] + part * (self._folds[row + 1] - self._folds[row])
        delivery = s["delivery_throat"]
        opening = np.square(np.square(delivery / np.maximum(s["delivery_exit"], 1e-7)))
        combining = s["combining_throat"]
        outlet = circle(combining)
        # Momentum is straight in the fall of pressure: what it is without any, and how it rises.
        kept = s["momentum"] / STEAM_SPEED_KEPT
        push = steam_flow * STEAM_SPEED_KEPT * velocity + (pressure - self._suction) * mouth_area
        level = kept * push - (self._injector.overflow_pressure - self._suction) * outlet
        return _Still(
            steam_flow=steam_flow,
            per_fold=1.0 / (steam_flow * fold),
            row=row * _PLACES,
            part=part,
            heat=steam_flow * self._steam,
            level=level,
            rise=kept * mouth_area - outlet,
            mouth_pressure=pressure,
            throat_area=outlet,
            delivery_area=circle(delivery),
            lift=0.5 * s["recovery"] * (1.0 - opening),
            nose_square=np.square(s["nose"]),
            entry=0.25 * np.pi * self._root * s["water_discharge"],
            mixing=s["mixing"],
            detaches=bool(pressure.min() < SEPARATION * self._suction),
            whole=(throat < mouth)
            & (mouth < s["nose"])
            & (delivery > 0.0)
            & (delivery < combining)
            & (delivery < s["delivery_exit"]),
        )

    def _density(self, enthalpy: Array) -> Array:
        middle, scale = self._density_scale
        at = (enthalpy - middle) * scale
        terms = self._density_terms
        value = terms[4] * at + terms[3]
        for term in terms[2::-1]:
            value *= at
            value += term
        return np.asarray(value)

    def perform(self, samples: Samples) -> State:
        """What each sample does; names and units as in ``physics.injector``, arrays all."""
        still = self._still(samples)
        ring = np.square(samples["draft_bore"]) - still.nose_square
        inflow = still.entry * np.maximum(ring, 0.0)
        over = inflow * still.per_fold
        whole = still.whole & (ring > 0.0)
        condensed = (over >= 1.0) & whole
        fall = self._fall(over, still)
        fallen = np.square(fall)
        feed = inflow * fall
        steam = still.steam_flow
        enthalpy = (still.heat + feed * self._feed) / (steam + feed)
        density = self._density(enthalpy)
        momentum = still.level + (self._brings * inflow + still.rise) * fallen
        thick = np.square(steam + feed) > density * still.throat_area * momentum
        solid = condensed & thick
        choked = np.zeros(solid.shape, dtype=bool)
        at = np.flatnonzero(solid)
        if at.size:
            feed[at], momentum[at], enthalpy[at], choked[at] = self._filled(
                still, at, inflow[at], fall[at]
            )
            density[at] = self._density(enthalpy[at])
        sound = condensed & ~choked
        feed = np.where(sound, feed, 0.0)
        velocity = np.where(sound, momentum, 0.0) / (steam + feed)
        dynamic = density * np.square(velocity)
        overflow = self._injector.overflow_pressure - self._injector.air_pressure
        highest = np.where(sound, overflow + still.lift * dynamic, 0.0)
        margin = highest / self.needed
        cause = np.where(margin >= 1.0, np.int8(Cause.RUNS), np.int8(Cause.DELIVERY_SHORT))
        cause = np.where(choked, np.int8(Cause.THROAT_CHOKED), cause)
        cause = np.where(over >= 1.0, cause, np.int8(Cause.NOT_CONDENSED))
        cause = np.where(whole, cause, np.int8(Cause.DOES_NOT_GO_TOGETHER))
        state = State(
            cause=cause,
            steam_flow=steam,
            water_flow=feed,
            enthalpy=np.where(sound, enthalpy, self._hottest),
            capacity=still.delivery_area * velocity * density,
            margin=margin,
            highest=highest,
            jet_diameter=np.sqrt(
                4.0 / np.pi * (steam + feed) / np.maximum(density * velocity, 1e-3)
            ),
            solid=solid & sound,
            over_fold=over,
        )
        if still.detaches:
            # In a solid throat the chamber's pressure is near that of the feed.
            chamber = np.where(solid, self._suction, self._suction - fallen)
            detached = np.flatnonzero(still.mouth_pressure < SEPARATION * chamber)
            if detached.size:
                return self._in_full(state, detached, samples)
        return state

    def temperature(self, state: State) -> Array:
        """Of the mixture [K]."""
        return self._injector.water.temperature(state.enthalpy)

    def _fall(self, over: Array, still: _Still) -> Array:
        """Root of the fall of pressure into the chamber [Pa^½], off the table."""
        place = np.sqrt(np.log(np.maximum(over, 1.0))) * self._per_place
        place = np.minimum(place, _PLACES - 1.000001)
        cell = place.astype(np.intp)
        along = place - cell
        cell += still.row
        table = self._table
        near = table.take(cell)
        near += along * (table.take(cell + 1) - near)
        cell += _PLACES
        far = table.take(cell)
        far += along * (table.take(cell + 1) - far)
        far -= near
        far *= still.part
        far += near
        return far

    def _filled(
        self, still: _Still, at: NDArray[np.intp], inflow: Array, free: Array
    ) -> tuple[Array, Array, Array, Truth]:
        """Feed, momentum, enthalpy where the jet just fills the throat, and whether it chokes.

        A quadratic in the root of the fall, that only the density bends.
        """
        steam, area, level = still.steam_flow[at], still.throat_area[at], still.level[at]
        heat, square = steam * self._steam, np.square(steam)
        rise = self._brings * inflow + still.rise[at]
        half = inflow * steam
        inflow_square, half_square = np.square(inflow), np.square(half)
        fall = free
        for _ in range(_ROUNDS):
            feed = inflow * fall
            room = self._density((heat + feed * self._feed) / (steam + feed)) * area
            constant = square - room * level
            root = half_square - (inflow_square - room * rise) * constant
            np.sqrt(np.maximum(root, 0.0, out=root), out=root)
            fall = np.maximum(-constant / (half + root), 0.0)
        feed = inflow * fall
        fallen = np.square(fall)
        enthalpy = (heat + feed * self._feed) / (steam + feed)
        momentum = level + rise * fallen
        vapour, _ = self._injector.water.chamber_pressure(enthalpy, self.warmth, still.mixing[at])
        choked = (vapour > self._suction - fallen) | (enthalpy > self._hottest) | (momentum <= 0.0)
        return feed, momentum, enthalpy, choked

    def _in_full(self, state: State, detached: NDArray[np.intp], samples: Samples) -> State:
        """Samples whose steam leaves the wall before the mouth, by ``physics.injector`` itself."""
        few = {name: samples[name][detached] for name in (*_DRAWN, "draft_bore")}
        running = self._injector.perform(few)
        state.cause[detached] = running.cause
        state.water_flow[detached] = running.water_flow
        state.enthalpy[detached] = self._injector.water.enthalpy(running.mixture_temperature)
        state.capacity[detached] = running.capacity
        state.margin[detached] = np.where(running.jets, running.margin, 0.0)
        state.highest[detached] = running.highest_pressure - self._injector.air_pressure
        momentum_flow = np.maximum(running.density * running.jet_velocity, 1e-3)
        state.jet_diameter[detached] = np.sqrt(4.0 / np.pi * running.total_flow / momentum_flow)
        state.solid[detached] = running.solid
        return state
