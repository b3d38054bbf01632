"""A plug cock: plug and body whose tapers must agree, so that it is tight and yet turns.

A few microns decide. Where the two tapers differ, a wedge opens, and the leak goes with the cube
of the gap at the port. Angles set apart miss each other by more than a cock of 3 mm bears; plug
and reamer turned at one setting of the top slide share whatever error that setting has. Lapping
smooths what the tool left, takes up a little, and can take up all, at the price of the port: the
plug sinks by the metal removed over the taper.

Where a leak leaves matters: most of it goes out at the end that stands open, not at the outlet.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from benchproof.duties.cock_drawing import cock_drawing
from benchproof.duties.cock_leak import DROP, ROOM, CockLeak, air_at, steam_at, water_at
from benchproof.duties.cock_making import order_of_work, wanted_pull
from benchproof.duties.cock_spec import (
    AFTER_LAPPING,
    APART,
    BOUGHT_REAMER,
    GRADUATIONS,
    ONE_SETTING,
    CockSpec,
)
from benchproof.duties.contract import Array, Caution, Duty, Merit, Need, Outcome, Samples, Unknown
from benchproof.duties.kept import Kept
from benchproof.duties.matter import COLD, expansion_name, expansion_unknowns
from benchproof.features import PROCESSES, Error, Feature
from benchproof.physics import air
from benchproof.physics.steam import saturation_temperature
from benchproof.physics.taper_seat import axial_travel, half_angle, lift_force, port_overlap
from benchproof.quantities import (
    ANGLE,
    FORCE,
    FRACTION,
    LENGTH,
    MASS_FLOW,
    NUMBER,
    TORQUE,
    VOLUME_FLOW,
    System,
)
from benchproof.spread import LogNormal, Normal, Spread, Uniform
from benchproof.tables.materials import material

if TYPE_CHECKING:
    from benchproof.drawing import Drawing, Sized

WIDE_GAP = 10e-6
MOSTLY = 0.8
_STEPS_OF_OVERLAP = 512


class CockModel:
    """Forward model of one cock: true angles in, leak, torque and port out."""

    def __init__(self, spec: CockSpec) -> None:
        self.spec = spec
        self.leak = CockLeak(spec)
        self._water = water_at(spec, spec.pressure)
        self._steam = steam_at(spec)
        self._air = air_at(spec, spec.pressure, spec.air_pressure, ROOM)
        self._free_air = float(air.density(pressure=spec.air_pressure, temperature=ROOM))
        slope = 0.5 * spec.taper
        self._slope = slope
        self._arm = 0.5 * spec.mean_diameter / float(np.sin(half_angle(taper=spec.taper)))
        self._lift = float(
            lift_force(
                pressure_difference=spec.pressure,
                diameter=spec.mean_diameter,
                length=spec.length,
                taper=spec.taper,
            )
        )
        # Straight pieces between even steps: read off in a tenth of the time of a search.
        places = np.arange(_STEPS_OF_OVERLAP + 2, dtype=float)
        share = port_overlap(offset=places / _STEPS_OF_OVERLAP, port_diameter=1.0)
        self._overlap_falls = np.diff(share)
        self._overlap_from = share[:-1] - self._overlap_falls * places[:-1]
        self._plug_expansion = expansion_name(spec.plug_material)
        self._body_expansion = expansion_name(spec.body_material)
        self._rise = working_temperature(spec) - COLD
        self._worn = Kept(("peaks", "floor"), _worn_off)
        self._shifts_hot = self._plug_expansion != self._body_expansion and self._rise > 0.0

    def perform(self, samples: Samples, *, only: Collection[str] | None = None) -> Outcome:
        """Merits of every sample; see the duty's ``merits``."""
        wanted = set(only) if only is not None else {merit.name for merit in MERITS}
        wedge = self.leak.wedge(samples)
        merits: dict[str, Array] = {}
        flags = {}
        if "drops" in wanted:
            drops = self.leak.liquid(wedge, self._water)
            drops *= 60.0 / DROP
            merits["drops"] = drops
        if "steam" in wanted:
            merits["steam"] = self.leak.gas(wedge, self._steam)
        if "air" in wanted:
            merits["air"] = self.leak.gas(wedge, self._air) / self._free_air
        pull, friction = samples["pull"], samples["friction"]
        if "torque" in wanted:
            merits["torque"] = self._arm * pull * friction
        if "freeing" in wanted:
            merits["freeing"] = pull * (friction - self._slope) / (friction + self._slope)
        if "hold" in wanted:
            merits["hold"] = pull - self._lift * samples["pressed share"]
        if wanted & {"sink", "overlap"}:
            sink = self._sunk(samples, wedge.rise, wedge.left)
            merits["sink"] = sink
            if "overlap" in wanted:
                merits["overlap"] = self._open_port(samples, sink)
        if only is None:
            flags["wide"] = wedge.gap > WIDE_GAP
            flags["at_the_ends"] = self.leak.share(wedge, "outlet") < 1.0 - MOSTLY
            flags["no_way_through"] = merits["overlap"] <= 0.0
        return Outcome(merits, flags)

    def _sunk(self, samples: Samples, rise: Array, left: Array) -> Array:
        """How far lapping lets the plug in [m]: peaks worn off, and the wedge taken up."""
        if self.spec.lapping == "none":
            return np.zeros_like(rise)
        sunk = self._worn(samples) + rise
        sunk -= left
        sunk *= 2.0 / self.spec.taper
        return sunk

    def _open_port(self, samples: Samples, sink: Array) -> Array:
        """Share of the port left open [-] once the plug has sunk, shifted hot, or sits apart."""
        spec = self.spec
        offset = np.zeros_like(sink) if spec.ports == AFTER_LAPPING else sink
        if spec.ports == APART:
            stands = samples["plug diameter"] - samples["body diameter"]
            offset = offset - stands / spec.taper + samples["port place"]
        if self._shifts_hot:
            grown = samples[self._body_expansion] - samples[self._plug_expansion]
            offset = offset + grown * (self._rise * spec.mean_diameter / spec.taper)
        place = np.abs(offset)
        place *= _STEPS_OF_OVERLAP / spec.port
        np.minimum(place, float(_STEPS_OF_OVERLAP), out=place)
        # By way of 32 bits: processors turn floats into those by the handful.
        cell = place.astype(np.int32).astype(np.intp)
        place *= self._overlap_falls.take(cell, mode="clip")
        place += self._overlap_from.take(cell, mode="clip")
        return place


def _worn_off(samples: Samples) -> Array:
    """Height of the peaks that lapping wears off [m]."""
    worn: Array = np.maximum(samples["peaks"] - samples["floor"], 0.0)
    return worn


def working_temperature(spec: CockSpec) -> float:
    """Temperature of plug and body at work [K]: the steam's, or the room's."""
    if spec.fluid != "steam":
        return COLD
    return float(saturation_temperature(pressure=spec.inlet_pressure))


MERITS = (
    Merit("drops", "drops of cold water a minute at working pressure", NUMBER),
    Merit("steam", "steam lost at working pressure, dry", MASS_FLOW),
    Merit("air", "free air lost at working pressure", VOLUME_FLOW),
    Merit("torque", "torque to turn it", TORQUE),
    Merit("freeing", "push that frees it when jammed by its pull (below zero: none)", FORCE),
    Merit("hold", "pull left when the pressure lifts", FORCE),
    Merit("overlap", "port left open, share of its area", FRACTION),
    Merit("sink", "how far lapping sinks the plug", LENGTH),
)


class TaperCock(Duty[CockSpec]):
    """Plug and body of a drain cock or a small plug valve."""

    key = "taper-cock"
    title = "Plug cock"
    summary = "Two tapers that must agree, so that it is tight and yet turns."
    spec_type = CockSpec
    merits = MERITS
    flag_words = MappingProxyType(
        {
            "wide": "over 10 µm (0.4 thou) of gap at the port: inertia holds the leak back, and "
            "the figure is rough",
            "at_the_ends": "over four fifths of the leak leaves at the ends: a dry outlet says "
            "little of it",
            "no_way_through": "sunk so far that nothing is left of the port",
        }
    )
    theory = (
        "Laminar flow between two cones, from port to port and to both ends, held back by "
        "inertia at the port's edge when wide. The gap left where lapped cones touch, what a "
        "touch of lapping takes up, and friction are assumed spreads: nobody has measured them "
        "at this size. Dry steam is a lower bound: water in the gap passes about thirty times "
        "the mass, hot, and turns to steam outside."
    )
    sources = (
        "Flow between two cones: Reynolds' equation, own solution on a grid",
        "Cold water: IAPWS R12-08; steam: IAPWS-IF97 and IAPWS R12-08",
        "Entry loss 1.5 velocity heads: Shah and London, 1978 (from memory)",
        "Self-holding tapers: Machinery's Handbook, 28th ed., p. 924; statics of a cone",
        "Floor gap, take-up, friction, pull, pressed share, limits of leak: judgement",
    )
    window_of = ("plug angle", "body angle")
    value_label = "mismatch, plug less body"
    no_window_advice = "lap plug and body together until they bear, or cut both at one setting"
    service_unknowns = ("friction", "pressed share")

    def features(self, spec: CockSpec) -> Sequence[Feature]:
        """Both included angles; both diameters where the ports are drilled apart."""
        angle = 2.0 * float(half_angle(taper=spec.taper))
        body, plug = _angle_gains(spec)
        found = [
            Feature("body angle", angle, "body's angle", ANGLE, gains=body, gauge="protractor")
        ]
        if spec.ports == APART:
            above = spec.taper * float(expected_sink(spec))
            found += [
                Feature(
                    "body diameter",
                    spec.mean_diameter,
                    "body's mean diameter",
                    gains={"body ream": 1.0},
                    gauge="bore gauge",
                ),
                Feature(
                    "plug diameter",
                    spec.mean_diameter + above,
                    "plug's mean diameter",
                    gains={"plug cut": 1.0},
                    mate="body diameter",
                    gauge="digital micrometer",
                    correction="smaller",
                ),
            ]
        found.append(
            Feature(
                "plug angle",
                angle,
                "plug's angle",
                ANGLE,
                gains=plug,
                mate="body angle",
                gauge="protractor",
                cut_last=True,
            )
        )
        return found

    def errors(self, spec: CockSpec) -> Sequence[Error]:
        """Settings of the top slide: one that plug and body share, or one for each."""
        size = spec.mean_diameter
        if spec.angles == ONE_SETTING:
            found = [
                Error("setting", "clocked angle", size, "setting the top slide, once for both"),
                Error("rest", "one setting", size, "what one setting leaves between the tapers"),
            ]
        elif spec.angles == BOUGHT_REAMER:
            found = [
                Error("reamer", "bought reamer", size, "the angle the bought reamer leaves"),
                Error("plug setting", "clocked angle", size, "setting the top slide for the plug"),
            ]
        else:
            process = "graduated angle" if spec.angles == GRADUATIONS else "clocked angle"
            found = [
                Error("body setting", process, size, "setting the top slide for the body's reamer"),
                Error("plug setting", process, size, "setting the top slide for the plug"),
            ]
        if spec.ports == APART:
            found += [
                Error("body ream", "ream", size, "reaming the body to depth"),
                Error("plug cut", "turn", size, "turning the plug"),
            ]
        return found

    def unknowns(self, spec: CockSpec) -> Sequence[Unknown]:
        """Gaps where the cones touch, pull, friction; tool height where settings differ."""
        found = [
            Unknown("peaks", LogNormal(spec.peaks, 1.3), "roughness of plug and body as cut"),
            Unknown("friction", spec.friction, "friction of plug on body"),
            Unknown("pull", spec.pull, "pull into the seat"),
            Unknown("pressed share", Uniform(0.2, 1.0), "share of the cone the pressure lifts"),
        ]
        if spec.lapping != "none":
            found.append(Unknown("floor", spec.floor, "gap left where lapped cones touch"))
        if spec.lapping == "touch":
            found.append(Unknown("take-up", spec.take_up, "gap that touch lapping takes up"))
        if spec.angles != ONE_SETTING:
            found.append(Unknown("plug tool height", spec.tool_height, "tool height, plug"))
            if spec.angles != BOUGHT_REAMER:
                found.append(Unknown("body tool height", spec.tool_height, "tool height, reamer"))
        if spec.ports == APART:
            found.append(
                Unknown("port place", Normal(0.0, 30e-6), "place of the plug's port on its taper")
            )
        found += expansion_unknowns(spec.body_material, spec.plug_material)
        return found

    def prepare(self, spec: CockSpec) -> CockModel:
        """Solve the flow between the cones, and tabulate the port."""
        return CockModel(spec)

    def needs(self, spec: CockSpec) -> Sequence[Need]:
        """Tight to what it holds back; turned by hand; room to sink; a port to flow through."""
        tight = {
            "water": Need("drops", spec.drops_allowed, "at most", "it weeps"),
            "steam": Need("steam", spec.steam_allowed, "at most", "it blows and scores itself"),
            "air": Need("air", spec.air_allowed, "at most", "it leaks the air away"),
        }
        return [
            tight[spec.fluid],
            Need("overlap", spec.overlap_wanted, "at least", "it throttles when open"),
            Need("sink", spec.room_to_sink, "at most", "it bottoms before it seats"),
            Need("torque", spec.torque_allowed, "at most", "it is too stiff for the fingers"),
            Need("hold", 0.0, "at least", "it is lifted off its seat by the pressure"),
        ]

    def cautions(self, spec: CockSpec) -> Sequence[str]:
        """What to mind where the cock is lapped, tested and opened."""
        found = [
            "A drain throws hot water and steam when opened: lead it by a pipe away from hands, "
            "feet and face, and open it slowly, standing aside.",
            Caution(
                "Before any test under pressure wash plug, body and both ports free of lapping "
                "compound: a grain left in a gas or steam cock scores it at the first turn and is "
                "carried into what stands behind it.",
                at="Take plug and body apart",
            ),
            Caution(
                "Test with water, or with air of 1 bar (15 psi) at the most, before steam; steam "
                "only on a boiler and fittings passed under the code in force where you live.",
                at="Test it dry",
            ),
        ]
        if material(spec.plug_material).key == material(spec.body_material).key:
            found.append(
                "Plug and body of one metal pick up and seize when turned dry: a different metal "
                "for the plug, or grease that bears the heat."
            )
        return found

    def aims_to_try(self, spec: CockSpec) -> tuple[float, float]:
        """From a wedge of 15 µm to one end to the same to the other, or what sinks the port."""
        reach = 30e-6 / spec.length
        if spec.lapping == "full":
            reach = max(reach, spec.taper * spec.port / spec.length)
        return (-reach, reach)

    def unmeasured(self, spec: CockSpec) -> dict[str, Spread]:
        """A finished plug nobody measured: three times as far from its body as is usual."""
        return {"plug angle": Normal(0.0, 3.0 * usual_mismatch(spec))}

    def drawing(self, spec: CockSpec, sizes: Mapping[str, Sized]) -> Drawing:
        """Body and plug cut open through the port."""
        return cock_drawing(spec, sizes, {each.name: each.aim for each in self.features(spec)})

    def steps(
        self, spec: CockSpec, sizes: Mapping[str, float], system: System = "metric"
    ) -> Sequence[str]:
        """Order of work: what the clock must read, what is cut together, lapping, port, test."""
        return order_of_work(
            spec, sizes, system, sink=expected_sink(spec), sets_lift=wanted_pull(spec)
        )


def usual_mismatch(spec: CockSpec) -> float:
    """Standard deviation of the included angles' difference [rad], as assumed of an untried hand.

    Never under an arcminute: a finished cock is not known to be as it was meant.
    """

    def typical(process: str) -> float:
        return PROCESSES[process].typical_spread

    if spec.angles == ONE_SETTING:
        found = typical("one setting")
    elif spec.angles == BOUGHT_REAMER:
        found = float(np.hypot(typical("bought reamer"), 2.0 * typical("clocked angle")))
    else:
        process = "graduated angle" if spec.angles == GRADUATIONS else "clocked angle"
        found = 2.0 * float(np.sqrt(2.0)) * typical(process)
    return max(found, float(np.radians(1.0 / 60.0)))


def expected_sink(spec: CockSpec) -> float:
    """How far lapping will sink the plug in the middle of what is likely [m]."""
    if spec.lapping == "none":
        return 0.0
    worn = max(spec.peaks - spec.floor.median, 0.0)
    likely_rise = 0.5 * spec.length * 0.6745 * usual_mismatch(spec)
    taken = likely_rise if spec.lapping == "full" else min(likely_rise, spec.take_up.median)
    return float(axial_travel(taper=spec.taper, removed=2.0 * (worn + taken)))


def _angle_gains(spec: CockSpec) -> tuple[dict[str, float], dict[str, float]]:
    """Gains of body and plug: a top slide's error counts twice in an included angle."""
    if spec.angles == ONE_SETTING:
        return {"setting": 2.0}, {"setting": 2.0, "rest": 1.0}
    if spec.angles == BOUGHT_REAMER:
        return {"reamer": 1.0}, {"plug setting": 2.0}
    return {"body setting": 2.0}, {"plug setting": 2.0}
