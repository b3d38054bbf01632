"""A steel tyre shrunk on its wheel: it must grip when braked hot, and not be stretched too far.

Three things take the interference away again: roughness pressed flat, a tyre that runs hotter than
its wheel when it is braked, and metals that grow unlike. They set the lower limit. The hoop stress
in the tyre sets the upper one; a thin tyre on a stiff wheel has the narrowest window, and enough
brake heat closes it. What rail and flange can ask for is little beside the grip of any fit that is
not lost to heat.

Wheel and tyre are thick rings; a spoked rim lies between a free ring and a disc, and how much of
its spokes' support bears is drawn between bounds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

import numpy as np

from benchproof.duties.contract import Array, Duty, Need, PlainWindow, Unknown
from benchproof.duties.matter import expansion_unknowns
from benchproof.duties.tyre_model import BORE, MERITS, SEAT, TyreModel
from benchproof.duties.tyre_spec import (
    BORED_TO_SUIT,
    PLANNED_SHARE,
    SPOKED,
    TyreSpec,
    positive,
)
from benchproof.duties.tyre_steps import tyre_cautions, tyre_steps
from benchproof.duties.tyre_wheel import spokes_bear
from benchproof.features import Error, Feature
from benchproof.quantities import System
from benchproof.spread import Below, LogNormal, LogUniform, Spread

if TYPE_CHECKING:
    from benchproof.drawing import Drawing, Sized

_WIDEST: Final = 5e-3  # of the seat: no shrink fit of a plain steel is ever tighter
_AIR: Final = LogNormal(15.0, 1.5)
_CONTACT: Final = LogNormal(1000.0, 2.5)


class TyreFit(Duty[TyreSpec]):
    """What a tyre shrunk on its wheel must do."""

    key = "tyre-fit"
    title = "Tyre shrunk on its wheel"
    summary = "Grips when braked hot, and is not stretched beyond what its steel bears."
    spec_type = TyreSpec
    merits = MERITS
    flag_words = MappingProxyType(
        {
            "loose": "no interference left when the roughness is pressed flat",
            "loose_when_braked": "all grip lost when the tyre is hot from braking",
            "yields": "the tyre is stretched beyond its yield: it grips less than is told here",
            "grips_at_once": "cools and grips in the air before it can be got home",
            "rim_pulled": "over its spokes the rim is pulled, not squeezed: iron cracks there",
        }
    )
    theory = (
        "Thick rings of unlike metals (Lamé): elastic, plane stress, pressure alike all round. The "
        "tyre yields by von Mises of hoop stress and pressure. A spoked rim is a ring held from "
        "within by its spokes, from half of what a bending rim leaves of their support to all of "
        "it as if spread evenly; crank boss and balance weight are left out. Cooling is that of a "
        "lump: in the air within a factor 1.5, on the wheel within 2.5. How hot a miniature's tyre "
        "runs over its wheel when braked nobody has published: it is taken as stated."
    )
    sources = (
        "Thick rings: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 8th ed., eq. "
        "3-50 and 3-56, checked against its problems 3-64 to 3-69 and 7-24",
        "Spokes: own derivation; agrees with Timoshenko, Strength of Materials, part II, flywheels "
        "(from memory)",
        "Smoothing, friction, clearance to drop on, highest heat: DIN 7190-1 (from memory)",
        "Full-size allowances: Jones, Turning and Boring, 1919",
        "Adhesion, side thrust, reach of each means of heating, passing of heat: judgement",
    )
    until_assembled = ("drop_temperature",)
    window_of = (SEAT, BORE)
    value_label = "interference"
    no_window_advice = (
        "take a thicker tyre, a stronger steel or a less stiff rim, finer seats, or brake less: "
        "keep the blocks off the tyre or let it cool; where heat is what fails, find more of it"
    )
    service_unknowns = ("tyre_lead", "adhesion")

    def features(self, spec: TyreSpec) -> Sequence[Feature]:
        """The wheel's seat first; the tyre is bored last, to suit it unless the spec says not."""
        return (
            Feature(
                SEAT,
                spec.seat,
                "wheel seat",
                gains={"seat cut": 1.0},
                gauge="digital micrometer",
                correction="smaller",
                material=spec.wheel_material,
            ),
            Feature(
                BORE,
                (1.0 - PLANNED_SHARE) * spec.seat,
                "tyre bore",
                gains={"bore cut": 1.0},
                mate=SEAT,
                to_suit=spec.tyre_is == BORED_TO_SUIT,
                gauge="bore gauge",
                correction="larger",
                cut_last=True,
                material=spec.tyre_material,
            ),
        )

    def errors(self, spec: TyreSpec) -> Sequence[Error]:
        """One cut for each size."""
        return [
            Error("seat cut", "turn", spec.seat, "turning the wheel seat"),
            Error("bore cut", "bore", spec.seat, "boring the tyre"),
        ]

    def unknowns(self, spec: TyreSpec) -> Sequence[Unknown]:
        """Metals, friction, roughness lost, brake heat, what rail asks for, how heat passes."""
        tyre, wheel = spec.tyre.youngs_modulus, spec.wheel.youngs_modulus
        found = [
            Unknown("tyre_lead", spec.tyre_lead, "how much hotter the tyre runs when braked"),
            Unknown("smoothing", spec.smoothing, "how much roughness is pressed flat", "builder",
                    "DIN 7190-1 (from memory): 0.8"),
            Unknown("friction", spec.grips_with, "friction of the seat", "builder",
                    "DIN 7190-1 (from memory)"),
            Unknown("adhesion", spec.adhesion, "adhesion of wheel and rail"),
            Unknown("tyre_yield", spec.yields_at, "yield of the tyre's steel"),
            Unknown("tyre_modulus", positive(tyre), "stiffness of the tyre's steel",
                    "builder", tyre.source),
            Unknown("wheel_modulus", positive(wheel), "stiffness of the wheel's metal",
                    "builder", wheel.source),
            Unknown("air_cooling", _AIR, "how heat passes to the air"),
            Unknown("seat_contact", _CONTACT, "how heat passes from tyre to wheel"),
        ]  # fmt: skip
        if spec.wheel_is == SPOKED:
            found.append(
                Unknown("spoke_bearing", spokes_bear(spec), "how much the spokes hold the rim")
            )
        return [*found, *expansion_unknowns(spec.tyre_material, spec.wheel_material)]

    def prepare(self, spec: TyreSpec) -> TyreModel:
        """Work out both rings once."""
        return TyreModel(spec)

    def needs(self, spec: TyreSpec) -> Sequence[Need]:
        """Strong enough, gripping cold and braked hot, and not too hot to drop on."""
        return [
            Need(
                "hoop_stress",
                spec.hoop_limit,
                "at most",
                "it would be strained near its limit before any load, and creep or crack",
            ),
            Need("yield_share", 1.0, "at most", "it would stretch and lose its grip"),
            Need(
                "rim_stress",
                spec.rim_limit,
                "at most",
                "it would crush or crack the rim of the wheel",
            ),
            Need(
                "cold_grip",
                spec.grip_wanted,
                "at least",
                "it would creep round or off its wheel",
            ),
            Need(
                "hot_grip",
                spec.grip_wanted,
                "at least",
                "it would come loose when braked hot",
            ),
            Need(
                "drop_temperature",
                spec.highest_heat,
                "at most",
                "it could not be made hot enough to go on",
            ),
        ]

    def cautions(self, spec: TyreSpec) -> Sequence[str]:
        """What to mind at the step where it matters."""
        return tyre_cautions(spec)

    def aims_to_try(self, spec: TyreSpec) -> tuple[float, float]:
        """From tighter than any steel bears to certainly loose; larger bores fit less tightly."""
        model = self.prepare(spec)
        middle = {name: float(v[0]) for name, v in self._middles(spec).items()}
        softest = spec.seat * (
            model.wheel.give / middle["tyre_modulus"]
            + model.wheel.rim.free / middle["wheel_modulus"]
        )
        tightest = 1.5 * spec.hoop_limit / model.hoop * softest + 2.0 * model.wheel.roughness
        planned = PLANNED_SHARE * spec.seat
        far = min(tightest, _WIDEST * spec.seat)
        return (planned - far, planned + 0.2 * far)

    def plain_window(self, spec: TyreSpec) -> PlainWindow:
        """Heat, roughness and the grip wanted below; stress and heating above; all at middles."""
        model = self.prepare(spec)
        now = model.circumstances(self._middles(spec))
        lower = float((now.heated + spec.grip_wanted / now.grips)[0])
        most = np.minimum(
            spec.hoop_limit / (model.hoop * now.taken_up),
            np.minimum(1.0 / now.strained, spec.rim_limit / now.squeezed),
        )
        by_stress = float((now.tightened + most)[0])
        rise = spec.highest_heat - spec.room_temperature
        by_heat = float(rise / now.opens[0]) - spec.clearance_to_drop
        upper = min(by_stress, by_heat)
        why = (
            "it could not be made hot enough to go on"
            if by_heat < by_stress
            else "a tyre tight enough to grip when braked hot is stretched too far"
        )
        if lower >= upper:
            return PlainWindow(None, None, why, wanted=lower, allowed=upper)
        return PlainWindow(lower, upper)

    def unmeasured(self, spec: TyreSpec) -> Mapping[str, Spread]:
        """A finished tyre nobody measured: any interference from hardly any to far too much."""
        return {BORE: Below(LogUniform(1e-4 * spec.seat, 3e-3 * spec.seat))}

    def steps(
        self, spec: TyreSpec, sizes: Mapping[str, float], system: System = "metric"
    ) -> Sequence[str]:
        """The order of work, with the temperature to drop it on."""
        return tyre_steps(spec, sizes, system)

    def drawing(self, spec: TyreSpec, sizes: Mapping[str, Sized]) -> Drawing:
        """Rim and tyre in section."""
        from benchproof.duties.tyre_drawing import tyre_drawing

        return tyre_drawing(spec, sizes)

    def _middles(self, spec: TyreSpec) -> dict[str, Array]:
        """Every unknown at its middle, as one sample."""
        return {each.name: np.array([each.spread.median]) for each in self.unknowns(spec)}
