"""A live-steam injector: from its true sizes and its coefficients to what it does.

Steam cone, ring, combining cone and delivery cone are worked through in the order in which the
water goes. An injector fails in one of three ways, and always the first that applies is named:
the steam is not condensed, the combining throat chokes, or the jet's pressure falls short of the
boiler. ``prepare`` fetches the tables and fixes the service; ``perform`` takes samples, as many
as there are, and never fails itself.

A sample is a mapping of names to numbers or arrays of one shape (SI, absolute pressures):

- sizes [m]: steam_throat, mouth, nose (outside), draft_bore (in the plane of the nose),
  combining_throat, delivery_throat, delivery_exit;
- coefficients [-]: those of ``injector_coefficients``, their defaults where they are not given;
- boiler_pressure [Pa], feed_temperature [K], delivery_loss [Pa]: only where they differ from
  sample to sample; they then go before those of ``prepare``.

Left out: kinetic energy in the heat balance (about 1 % of the heat the feed takes up; the jet is
0.3 to 0.5 K colder than said, and warms by as much in the delivery cone), wet steam that comes in
slugs, air, starting, the gap's length, tubes out of line, and all that grows as cones shrink.

Source: own closures on the balances of V. A. B. Hughes, The Steam Injector, London 1912.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchproof.physics.air import STANDARD_PRESSURE
from benchproof.physics.combining_cone import Jet, Streams, condensing_balance, form_jet
from benchproof.physics.delivery_cone import (
    circle,
    delivery_pressure,
    throat_capacity,
)
from benchproof.physics.draft_annulus import annulus_area, suction_pressure
from benchproof.physics.errors import Array, require_within
from benchproof.physics.injector_coefficients import DEFAULTS, STEAM_SPEED_KEPT
from benchproof.physics.injector_running import Cause, Running
from benchproof.physics.mixing_water import MixingWater, mixing_water
from benchproof.physics.ranges import Numbers, require
from benchproof.physics.saturation_line import saturation_temperature
from benchproof.physics.steam_cone import SEPARATION, SteamCone, require_boiler, steam_cone

Samples = Mapping[str, Numbers]

SIZES: Final = (
    "steam_throat",
    "mouth",
    "nose",
    "draft_bore",
    "combining_throat",
    "delivery_throat",
    "delivery_exit",
)
"""Names of the sizes a sample must have."""

DELIVERY_LOSS: Final = 15e3
"""What clack and pipe take unless said otherwise [Pa]: an assumption."""

_LEAST_SIZE: Final = 1e-7


@dataclass(frozen=True, eq=False)
class Injector:
    """Tables and service, ready for samples: made by ``prepare``."""

    cone: SteamCone
    water: MixingWater
    boiler_pressure: Array
    feed_temperature: Array
    air_pressure: float
    overflow_pressure: float
    head: float
    delivery_loss: float

    def perform(self, samples: Samples) -> Running:
        """What each sample does: see the module for their names and units."""
        size = {name: np.asarray(samples[name], dtype=float) for name in SIZES}
        coefficient = {name: samples.get(name, default) for name, default in DEFAULTS.items()}
        boiler = np.asarray(samples.get("boiler_pressure", self.boiler_pressure))
        warmth = np.asarray(samples.get("feed_temperature", self.feed_temperature))
        streams = self._streams(size, coefficient, boiler, warmth)
        balance = condensing_balance(water=self.water, streams=streams)
        jet = form_jet(cone=self.cone, water=self.water, streams=streams, balance=balance)
        loss = np.asarray(samples.get("delivery_loss", self.delivery_loss))
        return self._running(size, coefficient, streams, balance.condensed, jet, boiler + loss)

    def _streams(
        self,
        size: Mapping[str, Array],
        coefficient: Samples,
        boiler: Array,
        warmth: Array,
    ) -> Streams:
        throat = np.maximum(size["steam_throat"], _LEAST_SIZE)
        throat_area = circle(throat)
        mouth_area = circle(size["mouth"])
        mouth_pressure, velocity = self.cone.mouth(boiler, mouth_area / throat_area)
        feed_enthalpy = self.water.enthalpy(warmth)
        density = self.water.density(feed_enthalpy)
        ring = annulus_area(draft_bore=size["draft_bore"], nose=size["nose"])
        boiling = saturation_temperature(pressure=self.overflow_pressure)
        return Streams(
            boiler=boiler,
            steam_flow=coefficient["steam_discharge"] * throat_area * self.cone.flux(boiler),
            steam_enthalpy=self.cone.enthalpy(boiler),
            mouth_area=mouth_area,
            mouth_pressure=mouth_pressure,
            mouth_velocity=velocity,
            feed_temperature=warmth,
            feed_enthalpy=feed_enthalpy,
            feed_density=density,
            suction=suction_pressure(
                air_pressure=self.air_pressure, head=self.head, density=density
            ),
            inflow_area=coefficient["water_discharge"] * ring,
            throat_area=circle(size["combining_throat"]),
            overflow_pressure=self.overflow_pressure,
            hottest=self.water.enthalpy(boiling),
            mixing=coefficient["mixing"],
            feed_speed_kept=coefficient["feed_speed_kept"],
            steam_speed_kept=STEAM_SPEED_KEPT,
            momentum_kept=np.asarray(coefficient["momentum"]) / STEAM_SPEED_KEPT,
        )

    def _running(
        self,
        size: Mapping[str, Array],
        coefficient: Samples,
        streams: Streams,
        condensed: NDArray[np.bool_],
        jet: Jet,
        needed: Array,
    ) -> Running:
        whole = _goes_together(size)
        sound = condensed & ~jet.choked & whole
        water_flow = np.where(sound, jet.water_flow, 0.0)
        enthalpy = np.where(sound, jet.enthalpy, streams.hottest)
        velocity = np.where(sound, jet.momentum, 0.0) / (streams.steam_flow + water_flow)
        highest = delivery_pressure(
            overflow_pressure=self.overflow_pressure,
            velocity=velocity,
            density=jet.density,
            recovery=coefficient["recovery"],
            throat=size["delivery_throat"],
            exit_bore=np.maximum(size["delivery_exit"], _LEAST_SIZE),
        )
        cause = np.where(highest >= needed, np.int8(Cause.RUNS), np.int8(Cause.DELIVERY_SHORT))
        cause = np.where(jet.choked, np.int8(Cause.THROAT_CHOKED), cause)
        cause = np.where(condensed, cause, np.int8(Cause.NOT_CONDENSED))
        cause = np.where(whole, cause, np.int8(Cause.DOES_NOT_GO_TOGETHER))
        return Running(
            cause=cause,
            steam_flow=np.asarray(np.broadcast_to(streams.steam_flow, cause.shape)),
            water_flow=water_flow,
            mouth_pressure=np.asarray(streams.mouth_pressure),
            mouth_velocity=np.asarray(streams.mouth_velocity),
            mixture_temperature=self.water.temperature(enthalpy),
            density=jet.density,
            chamber_pressure=jet.chamber_pressure,
            jet_velocity=velocity,
            capacity=throat_capacity(
                throat=size["delivery_throat"], velocity=velocity, density=jet.density
            ),
            highest_pressure=np.where(sound, highest, self.air_pressure),
            needed_pressure=needed,
            boiler_pressure=streams.boiler,
            air_pressure=self.air_pressure,
            feed_density=streams.feed_density,
            solid=jet.solid & sound,
            detached=(streams.mouth_pressure < SEPARATION * jet.chamber_pressure) & sound,
        )


def prepare(
    *,
    boiler_pressure: Numbers,
    feed_temperature: Numbers,
    air_pressure: float = STANDARD_PRESSURE,
    head: float = 0.0,
    dryness: float = 1.0,
    overflow_pressure: float | None = None,
    delivery_loss: float = DELIVERY_LOSS,
) -> Injector:
    """Fetch the tables and fix the service.

    boiler_pressure: absolute [Pa], 0.9e5 to 2.0e6. feed_temperature: of the tank [K], 276 to 370.
    air_pressure: absolute [Pa], 5e4 to 1.1e5. head: of the tank above the injector [m], -5 to 5,
    negative for a lift. dryness: of the steam [-], 0.8 to 1. overflow_pressure: absolute [Pa],
    that of the air unless the overflow is shut by a valve. delivery_loss: in clack and pipe [Pa].
    One pressure and one temperature are quickest; arrays must broadcast with the samples. Raises
    OutOfRange: the ranges are those of the tables, wider than what the coefficients stand for.
    """
    boiler = require_boiler(boiler_pressure)
    air = float(require_within("air pressure", air_pressure, low=5e4, high=1.1e5, unit="Pa"))
    require(
        boiler > air,
        quantity="boiler pressure",
        given=boiler,
        low=air,
        unit="Pa",
        hint="absolute, and above that of the air: an injector cannot lift into a vacuum",
    )
    overflow = air if overflow_pressure is None else overflow_pressure
    return Injector(
        cone=steam_cone(float(require_within("dryness", dryness, low=0.8, high=1.0, unit="-"))),
        water=mixing_water(),
        boiler_pressure=boiler,
        feed_temperature=require_within(
            "feed temperature", feed_temperature, low=276.0, high=370.0, unit="K"
        ),
        air_pressure=air,
        overflow_pressure=float(
            require_within("overflow pressure", overflow, low=1e3, high=2e5, unit="Pa")
        ),
        head=float(require_within("head", head, low=-5.0, high=5.0, unit="m")),
        delivery_loss=float(
            require_within("delivery loss", delivery_loss, low=0.0, high=2e6, unit="Pa")
        ),
    )


def _goes_together(size: Mapping[str, Array]) -> NDArray[np.bool_]:
    """Whether throat, mouth, nose and draft bore follow in size, and throat and exit."""
    order = (
        ("steam_throat", "mouth"),
        ("mouth", "nose"),
        ("nose", "draft_bore"),
        ("delivery_throat", "combining_throat"),
        ("delivery_throat", "delivery_exit"),
    )
    whole: NDArray[np.bool_] = np.asarray(size["steam_throat"] > 0.0)
    for smaller, larger in order:
        whole = whole & (size[smaller] < size[larger])
    return whole & (size["delivery_throat"] > 0.0)
