"""The combining cone: steam condenses on the feed, and both become one jet of water.

Three balances hold. **Energy**: steam and feed make a mixture of known enthalpy. **Inflow**: the
vapour pressure in the chamber draws the feed in, and it is that of water between feed and
mixture. With k = m_k/m_s the inflow, over that of steam, at one pascal of suction, the enthalpy h
of the mixture is a root of

    g(h) = k sqrt(p_in - p_c(h)) (h - h_f) - (h_0 - h).

Vapour pressure bends upwards with temperature, so g bends downwards: it has two roots, one at a
turn, or none. The colder one, with the most water, is the one that runs. Newton's rule from the
cold side climbs to it and cannot pass it; a slope that turns before it means that there is no
root, and the steam is not condensed.

**Momentum**: what steam and feed bring, less what the chamber's vacuum takes, is the jet's. A jet
too thick for the throat runs it solid: the chamber's pressure then rises, and the inflow falls,
until the jet just fills the throat.

Sources: energy and momentum after V. A. B. Hughes, The Steam Injector, London 1912, pages 82, 89
and 98. The chamber pressure, the loss of momentum, the pressure term with the whole area of the
throat and the solid throat are own closures, published nowhere.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from benchproof.physics.errors import Array
from benchproof.physics.mixing_water import MixingWater
from benchproof.physics.ranges import Numbers
from benchproof.physics.steam_cone import SEPARATION, SteamCone

Mask = NDArray[np.bool_]

_CONVERGED: Final = 1e-9
_STANDSTILL: Final = 1e-13
_MOST_STEPS: Final = 200
_STEPS_TOGETHER: Final = 4
_NO_PULL: Final = 1e-9
_FILLING_STEPS: Final = 5
_SETTLED: Final = 1e-7
_HALVINGS: Final = 45


class Streams(NamedTuple):
    """What enters the combining cone: one number each, or arrays of one shape; absolute pressures.

    boiler [Pa]: before the steam cone. steam_flow [kg/s], steam_enthalpy [J/kg]. mouth_area [m²],
    mouth_pressure [Pa], mouth_velocity [m/s]: of the steam cone. feed_temperature [K],
    feed_enthalpy [J/kg], feed_density [kg/m³]. suction [Pa]: of the feed at rest. inflow_area
    [m²]: ring times its discharge coefficient. throat_area [m²]. overflow_pressure [Pa].
    hottest [J/kg]: enthalpy of water that boils at the overflow; above it the jet is no water.
    mixing: place of the chamber between feed and mixture [-]. feed_speed_kept: share of the
    feed's velocity [-]. steam_speed_kept: share of the steam's velocity [-]. momentum_kept: share
    of the steam's impulse that reaches the jet [-].
    """

    boiler: Numbers
    steam_flow: Numbers
    steam_enthalpy: Numbers
    mouth_area: Numbers
    mouth_pressure: Numbers
    mouth_velocity: Numbers
    feed_temperature: Numbers
    feed_enthalpy: Numbers
    feed_density: Numbers
    suction: Numbers
    inflow_area: Numbers
    throat_area: Numbers
    overflow_pressure: Numbers
    hottest: Numbers
    mixing: Numbers
    feed_speed_kept: Numbers
    steam_speed_kept: Numbers
    momentum_kept: Numbers

    def where(self, chosen: Mask) -> Streams:
        """Those of the chosen samples alone; what is one number for all stays one."""
        return Streams(
            *(
                each if np.ndim(each) == 0 else np.broadcast_to(each, chosen.shape)[chosen]
                for each in self
            )
        )


class Balance(NamedTuple):
    """Enthalpy of the mixture [J/kg], chamber pressure [Pa], and where the steam condenses."""

    enthalpy: Array
    chamber_pressure: Array
    condensed: Mask


class Jet(NamedTuple):
    """The jet as it leaves the combining throat: arrays of one shape.

    Returns (water_flow [kg/s], enthalpy [J/kg], chamber_pressure [Pa], momentum [N], density
    [kg/m³], solid, choked). ``solid``: it fills the throat, which has raised the chamber's
    pressure. ``choked``: and there the steam no longer condenses, or no jet is left.
    """

    water_flow: Array
    enthalpy: Array
    chamber_pressure: Array
    momentum: Array
    density: Array
    solid: Mask
    choked: Mask


def condensing_balance(*, water: MixingWater, streams: Streams) -> Balance:
    """The state that runs: Returns (enthalpy [J/kg], pressure [Pa], whether there is one).

    Where there is none, the enthalpy is ``streams.hottest`` and the pressure that of the feed.
    """
    inflow = _inflow(streams)
    rows = np.broadcast_arrays(
        inflow / streams.steam_flow,
        streams.mixing,
        streams.feed_temperature,
        streams.feed_enthalpy,
        streams.steam_enthalpy,
        streams.suction,
        streams.hottest,
    )
    shape = rows[0].shape
    every = k, _, warmth, cold, hot, draw, cap = tuple(np.ravel(row) for row in rows)
    # At the vapour pressure of the feed itself more would flow in than ever does: colder than
    # every root.
    most = k * np.sqrt(np.maximum(draw - water.boiling_pressure(warmth), 0.0))
    here = (hot + most * cold) / (1.0 + most)
    enthalpy, pressure = cap.copy(), draw.copy()
    condensed = np.zeros(cap.shape, dtype=bool)
    left = np.flatnonzero((most > 0.0) & (here < cap))
    here, mine = here[left], tuple(column[left] for column in every)
    step = 0
    while left.size and step < _MOST_STEPS:
        step += 1
        k, b, warmth, cold, hot, draw, cap = mine
        vapour, steepness = water.chamber_pressure(here, warmth, b)
        pull = k * np.sqrt(np.maximum(draw - vapour, _NO_PULL))
        warmed = here - cold
        short = hot - here - pull * warmed
        slope = pull + 1.0 - 0.5 * warmed * steepness * np.square(k) / pull
        going = (vapour < draw) & (here <= cap)
        # Where a trickle of steam meets a flood, the balance itself is not known any closer than
        # a step that no longer moves.
        there = going & ((short <= _CONVERGED * hot) | (short <= _STANDSTILL * slope * here))
        going &= ~there & (slope > 0.0)
        if step <= _STEPS_TOGETHER and going.all():
            here = here + short / slope
            continue
        settled = left[there]
        enthalpy[settled], pressure[settled] = here[there], vapour[there]
        condensed[settled] = True
        left, mine = left[going], tuple(column[going] for column in mine)
        here = here[going] + short[going] / slope[going]
    return Balance(enthalpy.reshape(shape), pressure.reshape(shape), condensed.reshape(shape))


def form_jet(*, cone: SteamCone, water: MixingWater, streams: Streams, balance: Balance) -> Jet:
    """The jet of a ``balance``, its throat run solid where it would not go through.

    Returns (water flow [kg/s], enthalpy [J/kg], chamber pressure [Pa], momentum [N], density
    [kg/m³], solid, choked). What has no balance has no feed and no momentum.
    """
    condensed, pressure = balance.condensed, balance.chamber_pressure
    density = water.density(balance.enthalpy)
    inflow = _inflow(streams)
    feed = inflow * np.sqrt(np.maximum(streams.suction - pressure, 0.0))
    momentum = np.where(condensed, _momentum(cone, streams, pressure), 0.0)
    thick = np.square(streams.steam_flow + feed) > density * streams.throat_area * momentum
    solid = condensed & thick
    enthalpy, choked = balance.enthalpy, np.zeros(solid.shape, dtype=bool)
    if solid.any():
        columns = [
            np.array(np.broadcast_to(each, solid.shape))
            for each in (feed, enthalpy, pressure, momentum, density)
        ]
        start = columns[2][solid]
        *filled, choked[solid] = _fill_throat(cone, water, streams.where(solid), start)
        for column, value in zip(columns, filled, strict=True):
            column[solid] = value
        feed, enthalpy, pressure, momentum, density = columns
    return Jet(feed, enthalpy, pressure, momentum, density, solid, choked)


def _fill_throat(
    cone: SteamCone, water: MixingWater, streams: Streams, pressure: Array
) -> tuple[Array, Array, Array, Array, Array, Mask]:
    """Raise the chamber's pressure until the jet just fills the throat.

    With u² the fall of pressure that draws the feed in, m_t = m_s + k u and the momentum is
    straight in u². So rho A_c M = m_t² is a quadratic in u with one root between no fall and that
    of the free jet. Only the density bends it, and a few rounds settle it. A steam jet that
    leaves the wall early bends it more: what has not settled is halved down to.
    """
    inflow = _inflow(streams)
    free = np.sqrt(streams.suction - pressure)
    fall, before = free, free
    for _ in range(_FILLING_STEPS):
        pressure = streams.suction - np.square(fall)
        thrust, growth = _thrust(cone, streams, pressure)
        level = thrust + growth * np.square(fall)
        level = level - (streams.overflow_pressure - streams.suction) * streams.throat_area
        rise = 2.0 * streams.feed_speed_kept * streams.inflow_area - growth - streams.throat_area
        room = water.density(_mixed(streams, inflow * fall)) * streams.throat_area
        square = np.square(inflow) - room * rise
        half = inflow * streams.steam_flow
        constant = np.square(streams.steam_flow) - room * level
        root = np.sqrt(np.maximum(np.square(half) - square * constant, 0.0))
        before, fall = fall, np.maximum(-constant / (half + root), 0.0)
    unsettled = np.abs(fall - before) > _SETTLED * free
    if unsettled.any():
        fall[unsettled] = _halved_fall(cone, water, streams.where(unsettled), free[unsettled])
    pressure = streams.suction - np.square(fall)
    feed = inflow * fall
    enthalpy = _mixed(streams, feed)
    momentum = _momentum(cone, streams, pressure)
    vapour, _ = water.chamber_pressure(enthalpy, streams.feed_temperature, streams.mixing)
    choked = (vapour > pressure) | (enthalpy > streams.hottest) | (momentum <= 0.0)
    return feed, enthalpy, pressure, momentum, water.density(enthalpy), choked


def _halved_fall(cone: SteamCone, water: MixingWater, streams: Streams, free: Array) -> Array:
    """Root of the fall of pressure with which the jet fills the throat, by halving."""
    inflow = _inflow(streams)
    low, high = np.zeros_like(free), free
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        density = water.density(_mixed(streams, inflow * middle))
        momentum = _momentum(cone, streams, streams.suction - np.square(middle))
        total = streams.steam_flow + inflow * middle
        thick = np.square(total) > density * streams.throat_area * momentum
        low, high = np.where(thick, low, middle), np.where(thick, middle, high)
    return low


def _inflow(streams: Streams) -> Array:
    """Feed that one root of a pascal draws in [kg/(s Pa^½)]."""
    return streams.inflow_area * np.sqrt(2.0 * np.asarray(streams.feed_density))


def _mixed(streams: Streams, feed: Array) -> Array:
    """Enthalpy of the mixture with so much feed."""
    heat = streams.steam_flow * np.asarray(streams.steam_enthalpy) + feed * streams.feed_enthalpy
    enthalpy: Array = heat / (streams.steam_flow + feed)
    return enthalpy


def _momentum(cone: SteamCone, streams: Streams, pressure: Array) -> Array:
    """Momentum of the jet at a chamber pressure: steam, feed, and the pull of the vacuum."""
    thrust, _ = _thrust(cone, streams, pressure)
    fall = np.maximum(streams.suction - pressure, 0.0)
    brought = 2.0 * streams.feed_speed_kept * streams.inflow_area * fall
    pull = (streams.overflow_pressure - pressure) * streams.throat_area
    momentum: Array = thrust + brought - pull
    return momentum


def _thrust(cone: SteamCone, streams: Streams, pressure: Array) -> tuple[Array, Array]:
    """Share of the steam's impulse that reaches the jet, and how it grows with the pressure."""
    kept = streams.momentum_kept
    detached = streams.mouth_pressure < SEPARATION * pressure
    mouth, velocity = streams.mouth_pressure, streams.mouth_velocity
    growth = -kept * np.asarray(streams.mouth_area)
    if detached.any():
        only = streams.where(detached)
        leaving = SEPARATION * pressure
        mouth = np.where(detached, leaving, mouth)
        velocity = np.array(np.broadcast_to(velocity, detached.shape))
        velocity[detached] = cone.velocity_at(only.boiler, leaving[detached])
        # The jet's own area at the point of leaving is taken for the mouth's: near enough to
        # steer by.
        shorter = 1.0 - SEPARATION * (1.0 - streams.steam_speed_kept)
        growth = np.where(detached, growth * shorter, growth)
    push = streams.steam_flow * np.asarray(streams.steam_speed_kept) * velocity
    thrust: Array = kept * (push + (mouth - pressure) * streams.mouth_area)
    return thrust, growth
