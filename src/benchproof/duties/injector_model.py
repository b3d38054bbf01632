"""Forward model of an injector: true sizes and coefficients in, what it does over its range out.

It must run over the whole range, which is checked at the corners that can bind; deliver at boiler
pressure; and keep its overflow wet at blowing-off pressure with the warmest tank.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Final

import numpy as np

from benchproof.duties.contract import Array, Merit, Outcome, Samples, Unknown
from benchproof.duties.injector_corner import Corner, State
from benchproof.duties.injector_sizes import (
    ENTRY_DISCHARGE,
    ENTRY_LOSS,
    plan_of,
    service_of,
    widest_bore,
)
from benchproof.duties.injector_spec import InjectorSpec
from benchproof.duties.kept import Kept
from benchproof.physics.delivery_cone import overlap_share
from benchproof.physics.dissolved_oxygen import dissolved_oxygen, oxygen_drawn_in
from benchproof.physics.injector_coefficients import (
    COEFFICIENTS,
    LEAST_RECOVERY,
    MOST_RECOVERY,
    PRODUCT_MEAN,
    PRODUCT_SD,
    Coefficient,
)
from benchproof.physics.injector_running import Cause
from benchproof.quantities import FRACTION, LENGTH, NUMBER, TEMPERATURE, VOLUME_FLOW
from benchproof.spread import Fixed, Normal, Spread, Uniform

STEAM, MOUTH, NOSE, DRAFT = "steam throat", "mouth", "nose", "draft bore"
DEPTH, COMBINING, DELIVERY = "nose depth", "combining throat", "delivery throat"

MERITS: Final = (
    Merit("margin", "delivery pressure over that needed, at worst", NUMBER),
    Merit("fresh", "water from the tank at boiler pressure", VOLUME_FLOW),
    Merit(
        "fullness", "what arrives over what the throat passes, blowing off (under 1: air)", NUMBER
    ),
    Merit("spill", "share that spills at boiler pressure", FRACTION),
    Merit("temperature", "delivery at boiler pressure", TEMPERATURE),
    Merit("wall", "wall of the draft cone at its widest", LENGTH),
    Merit("overlap_lost", "delivery lost out of line, at the least", FRACTION),
    Merit("oxygen", "oxygen carried in blowing off, mg/l at the most", NUMBER),
)

FLAG_WORDS: Final = {
    "not_condensed": "somewhere in the range the steam is not condensed: too little water for it, "
    "or too warm",
    "throat_choked": "somewhere in the range the combining throat chokes",
    "delivery_short": "somewhere in the range the delivery pressure falls short of boiler, clack "
    "and pipe",
    "draws_air": "blowing off with the warmest tank it draws air, which takes oxygen into the "
    "boiler",
    "spills_much": "at boiler pressure more than a fifth spills",
    "does_not_go_together": "a cone does not go into the next",
    "small_margin": "it runs everywhere, but somewhere with less than a tenth of delivery "
    "pressure to spare",
}

_SPILLS_MUCH: Final = 0.2
_SMALL_MARGIN: Final = 1.1
_TRIED: Final = 8192
_TOO_FEW: Final = 0.002  # of injectors tried: a corner at which fewer fail alone is left out
_SIZE_KEYS: Final = {
    STEAM: "steam_throat",
    MOUTH: "mouth",
    NOSE: "nose",
    COMBINING: "combining_throat",
    DELIVERY: "delivery_throat",
}
_WORK: Final = "work"
_HOT: Final = "blowing off, warm"
_DRAWN: Final = (
    STEAM, MOUTH, NOSE, COMBINING, DELIVERY, DEPTH,
    "steam_discharge", "steam_discharge_part", "entry_loss",
    "momentum", "momentum_part", "momentum_product", "recovery_part",
    "water_discharge", "water_discharge_part", "mixing", "mixing_part",
)  # fmt: skip


class InjectorCones:
    """From features and unknowns as they are drawn to sizes and coefficients as physics has them.

    Bench tests share it: they look at the same injector at other places.
    """

    def __init__(self, spec: InjectorSpec) -> None:
        plan = plan_of(spec)
        self._exit = plan.sizes["delivery_exit"]
        self._depth = plan.nose_depth
        self._slope = 2.0 * float(np.tan(spec.draft_half_angle))
        self._settled = Kept(_DRAWN, self._settle)

    def __call__(self, samples: Samples) -> dict[str, Array]:
        """Sizes [m] and coefficients [-] of each sample."""
        settled, shift = self._settled(samples)
        # A nose that stands deeper than planned stands where the draft cone is narrower.
        return settled | {"draft_bore": samples[DRAFT] - shift}

    def _settle(self, samples: Samples) -> tuple[dict[str, Array], Array]:
        found = {name: samples[feature] for feature, name in _SIZE_KEYS.items()}
        found["delivery_exit"] = np.full_like(found["mouth"], self._exit)
        for name in ("steam_discharge", "momentum", "water_discharge"):
            found[name] = samples[name] * samples[f"{name}_part"]
        found["steam_discharge"] = found["steam_discharge"] * (1.0 - samples["entry_loss"])
        found["mixing"] = samples["mixing"] + samples["mixing_part"]
        square = np.square(np.maximum(samples["momentum"], 1e-3))
        common = np.clip(samples["momentum_product"] / square, LEAST_RECOVERY, MOST_RECOVERY)
        found["recovery"] = common * samples["recovery_part"]
        return found, self._slope * (samples[DEPTH] - self._depth)


class InjectorModel:
    """What an injector does at the corners of its range."""

    def __init__(self, spec: InjectorSpec) -> None:
        self.spec = spec
        self.cones = InjectorCones(spec)
        service = service_of(spec)
        self.corners = {
            "lowest, cold": Corner(service.at(service.lowest_pressure, service.coldest_feed)),
            "lowest, warm": Corner(service.at(service.lowest_pressure, service.warmest_feed)),
            "blowing off, cold": Corner(service.at(service.blowing_off, service.coldest_feed)),
            _HOT: Corner(service.at(service.blowing_off, service.warmest_feed)),
            _WORK: Corner(service.at(service.working_pressure, service.feed_temperature)),
        }
        self.binding = self._that_bind()
        self._dissolved = float(
            dissolved_oxygen(
                temperature=min(service.warmest_feed, 313.15), air_pressure=spec.air_pressure
            )
        )

    def _that_bind(self) -> tuple[str, ...]:
        """Corners at which samples fail that run at all others; the rest need no looking at."""
        samples = self._wide_samples()
        runs = {
            name: self.corners[name].perform(samples).margin >= 1.0
            for name in self.corners
            if name != _WORK
        }
        kept = dict(runs)
        for name in ("blowing off, cold", "lowest, warm", "lowest, cold"):
            others = np.all([each for key, each in kept.items() if key != name], axis=0)
            if (others & ~kept[name]).mean() < _TOO_FEW:
                del kept[name]
        return tuple(kept)

    def _wide_samples(self) -> dict[str, Array]:
        """Injectors of sizes well off their aims and with coefficients all over, at many rings."""
        rng = np.random.default_rng(20)
        plan = plan_of(self.spec)
        drawn: dict[str, Array] = {
            unknown.name: unknown.spread.at(rng.standard_normal(_TRIED))
            for unknown in coefficients(self.spec)
        }
        for feature, name in _SIZE_KEYS.items():
            off = 15e-6 * rng.standard_normal(_TRIED)
            drawn[feature] = plan.sizes[name] + off
        ring = plan.sizes["draft_bore"] - plan.sizes["nose"]
        drawn[DEPTH] = np.full(_TRIED, plan.nose_depth)
        drawn[DRAFT] = drawn[NOSE] + ring * rng.uniform(0.4, 1.7, _TRIED)
        return self.cones(drawn)

    def perform(self, samples: Samples, *, only: Collection[str] | None = None) -> Outcome:
        """Merits of every sample; a sample that does not run fails its needs."""
        wanted = {merit.name for merit in MERITS} if only is None else set(only)
        cones = self.cones(samples)
        states: dict[str, State] = {}

        def at(name: str) -> State:
            if name not in states:
                states[name] = self.corners[name].perform(cones)
            return states[name]

        merits: dict[str, Array] = {}
        if "margin" in wanted:
            merits["margin"] = np.minimum.reduce([at(name).margin for name in self.binding])
        if "fresh" in wanted:
            work = at(_WORK)
            # As long as the boiler takes it: a jet that is too weak feeds nothing.
            merits["fresh"] = np.where(
                work.runs, work.fresh / self.corners[_WORK].feed_density, 0.0
            )
        if "fullness" in wanted:
            merits["fullness"] = at(_HOT).fullness
        merits |= self._lesser(wanted, samples, at(_WORK)) if wanted & _LESSER else {}
        if "oxygen" in wanted:
            merits["oxygen"] = self._oxygen(at(_HOT))
        flags = {} if only is not None else self._flags(merits, at)
        return Outcome(merits, flags)

    def _lesser(self, wanted: set[str], samples: Samples, work: State) -> dict[str, Array]:
        found: dict[str, Array] = {}
        if "spill" in wanted:
            found["spill"] = work.spilled / work.total
        if "temperature" in wanted:
            found["temperature"] = self.corners[_WORK].temperature(work)
        if "wall" in wanted:
            outward = widest_bore(self.spec, 1.0)
            found["wall"] = 0.5 * (self.spec.tube_bore - samples[DRAFT] * outward)
        if "overlap_lost" in wanted:
            throat = np.maximum(samples[DELIVERY], 1e-6)
            jet = np.clip(work.jet_diameter, 1e-6, 1e-2)
            offset = np.maximum(samples["out of line"], 0.0)
            found["overlap_lost"] = 1.0 - overlap_share(jet=jet, throat=throat, offset=offset)
        return found

    def _oxygen(self, hot: State) -> Array:
        """Dissolved in the warmest tank, and all a dry overflow could draw in [mg/l]."""
        able = hot.capacity > 0.0
        filled = np.clip(hot.total / np.where(able, hot.capacity, np.inf), 0.05, 1.0)
        drawn = oxygen_drawn_in(
            void=np.where(able, 1.0 - filled, 0.0),
            air_pressure=self.spec.air_pressure,
            air_temperature=self.spec.warmest_feed,
        )
        return 1e3 * (self._dissolved + drawn)

    def _flags(self, merits: Mapping[str, Array], at: object) -> dict[str, np.ndarray]:
        assert callable(at)
        causes = np.stack([at(name).cause for name in (*self.binding, _WORK)])
        runs = np.all(causes == Cause.RUNS, axis=0)
        return {
            "not_condensed": np.any(causes == Cause.NOT_CONDENSED, axis=0),
            "throat_choked": np.any(causes == Cause.THROAT_CHOKED, axis=0),
            "delivery_short": np.any(causes == Cause.DELIVERY_SHORT, axis=0),
            "draws_air": (merits["fullness"] < 1.0) & at(_HOT).runs,
            "spills_much": merits["spill"] > _SPILLS_MUCH,
            "does_not_go_together": np.any(causes == Cause.DOES_NOT_GO_TOGETHER, axis=0),
            "small_margin": runs & (merits["margin"] < _SMALL_MARGIN),
        }


_LESSER: Final = {"spill", "temperature", "wall", "overlap_lost"}


def coefficients(spec: InjectorSpec) -> Sequence[Unknown]:
    """Coefficients: what all injectors of one builder share, and what differs from part to part.

    Recovery is never drawn by itself: it is the product over the square of the momentum.
    """
    found = []
    for each in COEFFICIENTS:
        if each.shape == "fixed":
            continue
        name = "momentum_product" if each.name == "recovery" else each.name
        own: Spread | None = getattr(spec, name)
        found.append(
            Unknown(
                name,
                own or _published(each, spec),
                _LABELS[name],
                "builder",
                "the builder's own bench tests" if own else each.source,
            )
        )
        part = Normal(1.0 if each.relative else 0.0, each.part_to_part)
        found.append(
            Unknown(
                f"{each.name}_part",
                part,
                f"{_LABELS[name]}, this injector against others",
                "part",
                "assumed: nobody has published how injectors of one maker differ",
            )
        )
    found.append(
        Unknown(
            "entry_loss",
            # A discharge of the builder's own holds what his entries cost.
            ENTRY_LOSS[spec.steam_entry] if spec.steam_discharge is None else Fixed(0.0),
            "an entry of the steam throat less round than stated",
            "builder",
            "judgement: how sharp an edge can be that was meant to be round; one hand rounds all "
            "of a builder's alike",
        )
    )
    return found


_LABELS: Final = {
    "steam_discharge": "how much steam the throat passes",
    "momentum": "momentum that reaches the jet",
    "momentum_product": "pressure the jet gives back",
    "water_discharge": "how much water the ring passes",
    "mixing": "vacuum in the combining cone",
}


def _published(each: Coefficient, spec: InjectorSpec) -> Spread:
    if each.name == "steam_discharge":
        return ENTRY_DISCHARGE[spec.steam_entry]
    if each.name == "recovery":
        return Normal(PRODUCT_MEAN, PRODUCT_SD)
    if each.shape == "uniform":
        return Uniform(each.centre - each.spread, each.centre + each.spread)
    return Normal(each.centre, each.spread)
