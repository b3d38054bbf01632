"""A piston in its bore without rings: steam-tight, yet free to move when both are hot.

The gap decides everything. Steam past the piston grows with the cube of the gap times how the
piston lies in it (from about half the flow of a centred piston when it lies cocked, to two and a
half times when it lies on one wall). The piston runs hotter than its bore, so the gap closes; what
is left must hold the form error and the oil. Lower limits look at the mechanical clearance, upper
limits at the clearance the flow sees.

The cycle is fixed: one double-acting cylinder, dry saturated steam, clearance volume 8 %, release
at 93 % of the stroke, compression from the last 15 %. The steam lost is a dry-steam figure and so
a lower bound: water in the gap passes about thirty times the mass.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Annotated, ClassVar

import numpy as np
from pydantic import model_validator

from benchproof.drawing import Drawing, Sized
from benchproof.duties.contract import (
    Array,
    Duty,
    Merit,
    Need,
    Outcome,
    PlainWindow,
    Samples,
    Stepwise,
    Unknown,
)
from benchproof.duties.kept import Kept
from benchproof.duties.matter import COLD, MaterialSpec, expansion_name, expansion_unknowns
from benchproof.duties.piston_drawing import piston_drawing
from benchproof.duties.steam_past_piston import steam_past_piston
from benchproof.features import Error, Feature
from benchproof.physics.posture import lock_force
from benchproof.physics.steam import saturation_temperature
from benchproof.quantities import FORCE, FRACTION, LENGTH, MASS_FLOW
from benchproof.specs import (
    Choice,
    Count,
    FieldError,
    Fraction,
    Length,
    Number,
    Pressure,
    Rotation,
    Spec,
    SpreadField,
    Temperature,
    TemperatureDifference,
)
from benchproof.spread import Below, LogUniform, Normal, Spread, Uniform
from benchproof.tables.materials import material, material_keys

ON_ONE_WALL = 2.5  # flow of a piston lying on one wall over that of a centred one
COLD_LEAK_LIMIT = 0.5
BORE_COOLER_THAN_STEAM = 25.0


class Grooves(Spec):
    """Plain grooves turned in the piston; they are no part of the land length."""

    version: ClassVar[int] = 1
    count: Annotated[int, Count("number of grooves", minimum=0, maximum=20)] = 0


class PistonSpec(MaterialSpec):
    """What one ring-less piston must do."""

    version: ClassVar[int] = 1
    material_fields: ClassVar[tuple[str, ...]] = ("bore_material", "piston_material")

    bore: Annotated[
        float,
        Length("bore", help="planned diameter of the cylinder", minimum=5e-3, maximum=150e-3),
    ]
    land_length: Annotated[
        float,
        Length(
            "land length",
            help="length of piston that seals, grooves left out",
            minimum=1e-3,
            maximum=200e-3,
        ),
    ]
    stroke: Annotated[float, Length("stroke", minimum=5e-3, maximum=300e-3)]
    bore_material: Annotated[str, Choice("bore material", options=material_keys)]
    piston_material: Annotated[str, Choice("piston material", options=material_keys)]
    boiler_pressure: Annotated[
        float,
        Pressure(
            "boiler pressure",
            help="gauge pressure in the steam chest",
            unit="bar",
            minimum=0.5e5,
            maximum=20e5,
            inherits="boiler_pressure",
        ),
    ]
    back_pressure: Annotated[
        float,
        Pressure(
            "back pressure", help="gauge pressure at exhaust", unit="bar", minimum=0.0, maximum=5e5
        ),
    ] = 0.2e5
    air_pressure: Annotated[
        float,
        Pressure(
            "air pressure",
            help="pressure of the air outside",
            unit="mbar",
            minimum=0.7e5,
            maximum=1.1e5,
            absolute=True,
        ),
    ] = 101325.0
    cutoff: Annotated[
        float,
        Fraction("cut-off", help="share of the stroke with steam", minimum=0.15, maximum=0.9),
    ] = 0.75
    speed: Annotated[
        float, Rotation("speed", unit="rpm", minimum=30.0 / 60.0, maximum=2000.0 / 60.0)
    ] = 300.0 / 60.0
    bore_temperature: Annotated[
        float | None,
        Temperature(
            "bore temperature",
            help="of the cylinder wall when running; 25 K under the steam when not stated",
            minimum=273.15,
            maximum=573.15,
        ),
    ] = None
    piston_lead: Annotated[
        SpreadField,
        TemperatureDifference(
            "piston hotter than bore", help="when running", minimum=-20.0, maximum=150.0
        ),
    ] = Normal(10.0, 3.0)
    warm_up_lead: Annotated[
        SpreadField | None,
        TemperatureDifference(
            "piston hotter than bore, warming up",
            help="the same draw as when running, if not stated",
            minimum=-20.0,
            maximum=200.0,
        ),
    ] = None
    steam_loss_limit: Annotated[
        float,
        Fraction(
            "steam loss allowed",
            help="share of the steam used that may pass the piston",
            minimum=0.001,
            maximum=0.5,
        ),
    ] = 0.05
    bore_finish: Annotated[
        float,
        Length("bore finish", help="peak height Rp", unit="um", minimum=0.0, maximum=50e-6),
    ] = 0.0
    piston_finish: Annotated[
        float,
        Length("piston finish", help="peak height Rp", unit="um", minimum=0.0, maximum=50e-6),
    ] = 0.0
    form: Annotated[
        float,
        Length(
            "form error",
            help="bend and ovality of both, on diameter",
            unit="um",
            minimum=0.0,
            maximum=100e-6,
        ),
    ] = 3e-6
    film: Annotated[
        SpreadField,
        Length("oil film", help="oil in all, on diameter", unit="um", minimum=0.0, maximum=50e-6),
    ] = Uniform(2e-6, 4e-6)
    service_posture: Annotated[
        SpreadField,
        Number(
            "how the piston lies in service",
            help="flow over that of a centred piston: 0.53 cocked, 1 centred, 2.5 on one wall",
            minimum=0.4,
            maximum=2.5,
        ),
    ] = Uniform(0.53, 2.5)
    piston_is: Annotated[str, Choice("piston is", options=("turned to suit", "cut separately"))] = (
        "turned to suit"
    )
    grooves: Grooves = Grooves()

    @model_validator(mode="after")
    def _fits_together(self) -> PistonSpec:
        if self.back_pressure >= self.boiler_pressure:
            raise FieldError("back_pressure", "must be below the boiler pressure")
        boiling = float(saturation_temperature(pressure=self.supply_pressure))
        if self.bore_temperature is not None and self.bore_temperature > boiling:
            raise FieldError(
                "bore_temperature",
                f"must not be above the steam's own, {boiling - 273.15:.0f} °C at this pressure",
            )
        for name in self.material_fields:
            if material(getattr(self, name)).family in {"plastic", "packing"}:
                raise FieldError(
                    name,
                    f"{getattr(self, name)} makes a ring or a packing, never a plain piston or "
                    "bore: it grows far more than any metal beside it",
                )
        return self

    @property
    def alike(self) -> bool:
        """Whether bore and piston are of one material, which shares one draw of expansion."""
        return material(self.bore_material).key == material(self.piston_material).key

    @property
    def supply_pressure(self) -> float:
        """Absolute pressure in the steam chest [Pa]."""
        return self.boiler_pressure + self.air_pressure

    @property
    def exhaust_pressure(self) -> float:
        """Absolute back pressure [Pa]."""
        return self.back_pressure + self.air_pressure


@dataclass(frozen=True)
class Circumstances:
    """What the draws do, whatever the sizes.

    ``running`` and ``warming`` [m]: change of the diametral clearance from cold. ``taken`` [m]:
    form and film. ``lying``: where the posture stands in the table of steam.
    """

    running: Array
    warming: Array
    taken: Array
    lying: tuple[Array, Array]


class PistonModel:
    """Forward model of one piston: true cold sizes in, leak and play out."""

    def __init__(self, spec: PistonSpec) -> None:
        self.spec = spec
        self.steam = steam_past_piston(
            diameter=spec.bore,
            land_length=spec.land_length,
            lands=spec.grooves.count + 1,
            stroke=spec.stroke,
            revolutions_per_second=spec.speed,
            cutoff=spec.cutoff,
            supply_pressure=spec.supply_pressure,
            exhaust_pressure=spec.exhaust_pressure,
        )
        self.rise = bore_temperature(spec, self.steam.supply_temperature) - COLD
        self.roughness = 2.0 * (spec.bore_finish + spec.piston_finish)
        self._outer = expansion_name(spec.bore_material)
        self._inner = expansion_name(spec.piston_material)
        self._alike = spec.alike
        self._warm_up = "piston_lead" if spec.warm_up_lead is None else "warm_up_lead"
        names = ("piston_lead", self._warm_up, "film", "service_posture")
        self._circumstances = Kept((*names, self._outer, self._inner), self._work_out)

    def _work_out(self, samples: Samples) -> Circumstances:
        lead, warm = samples["piston_lead"], samples[self._warm_up]
        running = warming = self._change(samples, lead, self.rise)
        if warm is not lead:
            warming = self._change(samples, warm, self.rise)
        if not self._alike:
            warming = np.minimum(warming, self._change(samples, warm, 0.0))
        return Circumstances(
            running=running,
            warming=warming,
            taken=samples["film"] + self.spec.form,
            lying=self.steam.lying(samples["service_posture"]),
        )

    def perform(self, samples: Samples, *, only: Collection[str] | None = None) -> Outcome:
        """Merits of every sample; see the duty's ``merits``."""
        wanted = set(only) if only is not None else {m.name for m in MERITS}
        spec, now = self.spec, self._circumstances(samples)
        cold = samples["bore"] - samples["piston"]
        running = cold + now.running
        merits: dict[str, Array] = {}
        flags = {}
        if "cold_play" in wanted:
            merits["cold_play"] = cold - spec.form
        if wanted & {"running_play", "warm_up_play"}:
            merits["running_play"] = merits["warm_up_play"] = running - now.taken
            if now.warming is not now.running:
                merits["warm_up_play"] = cold + now.warming - now.taken
        if wanted & {"steam_share", "steam_rate"}:
            share = self.steam.share_lying(running + self.roughness, *now.lying)
            merits["steam_share"] = share
            if "steam_rate" in wanted:
                merits["steam_rate"] = share * self.steam.use
        if "cold_steam_share" in wanted:
            merits["cold_steam_share"] = self.steam.share_lying(cold + self.roughness, *now.lying)
        if "side_force" in wanted:
            merits["side_force"] = _side_force(spec, running)
        if only is None:
            flags["seized"] = running <= 0.0
            flags["off_the_scale"] = running + self.roughness > self.steam.widest
            flags["over_half_lost"] = merits["steam_share"] > 0.5
        return Outcome(merits, flags)

    def _change(self, samples: Samples, lead: Array, rise: float) -> Array:
        """Change of diametral clearance [m], the bore risen by ``rise`` and the piston leading."""
        inner = samples[self._inner]
        if self._alike:
            return np.asarray(inner * lead * -self.spec.bore)
        outer = samples[self._outer]
        return np.asarray(((outer - inner) * rise - inner * lead) * self.spec.bore)


def bore_temperature(spec: PistonSpec, steam_temperature: float) -> float:
    """Wall temperature when running [K]: as stated, or 25 K under the steam."""
    if spec.bore_temperature is not None:
        return spec.bore_temperature
    return steam_temperature - BORE_COOLER_THAN_STEAM


def _side_force(spec: PistonSpec, clearance: Array) -> Array:
    """Side force [N] if the gap narrows by the form error towards the pressure and lies over."""
    gap = np.maximum(0.5 * clearance, 1e-7)
    taper = np.clip(0.25 * spec.form / gap, 1e-6, 0.5)
    force: Array = np.asarray(
        lock_force(
            diameter=spec.bore,
            length=spec.land_length,
            pressure_difference=spec.supply_pressure - spec.exhaust_pressure,
            taper=taper,
            offset=0.999 * (1.0 - taper),
        )
    )
    return force


MERITS = (
    Merit("steam_share", "steam past the piston, share of use", FRACTION),
    Merit("steam_rate", "steam past the piston", MASS_FLOW),
    Merit("running_play", "play left running, form and oil film off", LENGTH),
    Merit("warm_up_play", "play left warming up, form and oil film off", LENGTH),
    Merit("cold_play", "play left cold, form off", LENGTH),
    Merit("cold_steam_share", "steam past the piston while still cold, share of use", FRACTION),
    Merit("side_force", "side force if the gap tapers by the form error", FORCE),
)


class PistonFit(Duty[PistonSpec]):
    """A ring-less piston in its bore."""

    key = "piston-fit"
    title = "Piston in its bore, without rings"
    summary = "Steam-tight, yet free to move when both are hot."
    spec_type = PistonSpec
    merits = MERITS
    flag_words = MappingProxyType(
        {
            "seized": "shut tight when running",
            "off_the_scale": "so wide that the leak is off the table and reads low",
            "over_half_lost": "loses over half its steam: it cannot hold pressure",
        }
    )
    theory = (
        "Laminar to choked flow of dry steam in a thin annulus, averaged over the stroke. Dry "
        "steam is a lower bound: a gap filled with water passes about thirty times the mass, and "
        "oil in the gap less. How the piston lies in service, and how much hotter than its bore "
        "it runs, nobody has measured at this size: both are assumed spreads."
    )
    sources = (
        "Annulus flow: Rabie, Fluid Power Engineering, 2009, eq. 2.19",
        "Eccentric annulus: Merritt, Hydraulic Control Systems, 1967, ch. 3 (from memory)",
        "Steam: IAPWS-IF97 and IAPWS R12-08",
        "Entry loss 1.5 velocity heads: Shah and London, 1978 (from memory)",
        "Lead of the piston, posture in service, form and film: judgement",
    )
    window_of = ("bore", "piston")
    value_label = "diametral clearance"
    no_window_advice = "fit a ring or packing"
    service_unknowns = ("service_posture", "piston_lead", "warm_up_lead")
    stepwise = Stepwise(
        cut="turn tight",
        step="lap",
        test="drop-test",
        fraction=0.6,
        spread=0.3,
        source="judgement: a lap takes 0.6 of what is left, within a factor 1.35",
    )

    def features(self, spec: PistonSpec) -> Sequence[Feature]:
        """Bore first; the piston is cut last, to suit it unless the spec says otherwise."""
        return (
            Feature(
                "bore",
                spec.bore,
                "bore",
                gains={"bore cut": 1.0},
                gauge="bore gauge",
                correction="larger",
                material=spec.bore_material,
            ),
            Feature(
                "piston",
                spec.bore,
                "piston",
                gains={"piston cut": 1.0},
                mate="bore",
                to_suit=spec.piston_is == "turned to suit",
                gauge="digital micrometer",
                correction="smaller",
                cut_last=True,
                material=spec.piston_material,
            ),
        )

    def errors(self, spec: PistonSpec) -> Sequence[Error]:
        """Two cuts, independent of each other."""
        return (
            Error("bore cut", "bore", spec.bore, "boring the bore"),
            Error("piston cut", "turn", spec.bore, "turning the piston"),
        )

    def unknowns(self, spec: PistonSpec) -> Sequence[Unknown]:
        """Leads, film, posture in service; one expansion for each material."""
        found = [
            Unknown("piston_lead", spec.piston_lead, "how much hotter the piston runs"),
            Unknown("film", spec.film, "oil film"),
            Unknown("service_posture", spec.service_posture, "how the piston lies in service"),
        ]
        if spec.warm_up_lead is not None:
            found.append(
                Unknown("warm_up_lead", spec.warm_up_lead, "how far the piston leads warming up")
            )
        found += expansion_unknowns(spec.bore_material, spec.piston_material)
        return found

    def prepare(self, spec: PistonSpec) -> PistonModel:
        """Tabulate the steam past the piston over a stroke."""
        return PistonModel(spec)

    def needs(self, spec: PistonSpec) -> Sequence[Need]:
        """Tight enough, free running and warming up; unlike pairs also tight while cold."""
        found = [
            Need("steam_share", spec.steam_loss_limit, "at most", "it wastes steam and coal"),
            Need("running_play", 0.0, "at least", "it would bind when running"),
            Need("warm_up_play", 0.0, "at least", "it would seize while warming up"),
            Need("cold_play", 0.0, "at least", "it would not go in cold"),
        ]
        if not spec.alike:
            found.append(
                Need(
                    "cold_steam_share",
                    COLD_LEAK_LIMIT,
                    "at most",
                    "it could not hold the steam that warms it",
                )
            )
        return found

    def cautions(self, spec: PistonSpec) -> Sequence[str]:
        """What to mind when the engine is first steamed."""
        found = [
            "Warm through slowly with the drain cocks open: a piston that leads its bore too far "
            "seizes, and water trapped in the cylinder breaks it.",
            "Steam tests are for a boiler and fittings passed under the code in force where you "
            "live; keep clear of drain cocks and glands.",
        ]
        if not spec.alike:
            found.append(
                "Unlike metals: the cold fit is not the hot fit. Turn it by hand cold, warm and "
                "hot before the engine is let run."
            )
        return found

    def aims_to_try(self, spec: PistonSpec) -> tuple[float, float]:
        """From a piston larger than its bore to the widest clearance tabulated."""
        widest = self.prepare(spec).steam.widest
        return (-widest, 0.3 * widest)

    def plain_window(self, spec: PistonSpec) -> PlainWindow:
        """Closing plus form and film below; the leak on one wall above."""
        model = self.prepare(spec)
        bore = material(spec.bore_material).expansion.value * spec.bore
        piston = material(spec.piston_material).expansion.value * spec.bore
        rise = model.rise
        lead = spec.piston_lead.median
        warm = lead if spec.warm_up_lead is None else spec.warm_up_lead.median
        running = _scalar_change(bore, piston, rise, lead)
        warming = min(
            _scalar_change(bore, piston, rise, warm), _scalar_change(bore, piston, 0.0, warm)
        )
        lower = max(-running, -warming, 0.0) + spec.form + spec.film.median
        widest_hot = model.steam.clearance_for(spec.steam_loss_limit, ON_ONE_WALL)
        upper = widest_hot - model.roughness - running
        reason = ""
        if not spec.alike:
            cold = model.steam.clearance_for(COLD_LEAK_LIMIT, ON_ONE_WALL) - model.roughness
            if cold < upper:
                upper = cold
                reason = "cold, it could not hold the steam that warms it"
        if lower >= upper:
            why = reason or "what closes it needs more clearance than the steam loss allows"
            return PlainWindow(None, None, why, wanted=lower, allowed=upper)
        return PlainWindow(lower, upper)

    def drawing(self, spec: PistonSpec, sizes: Mapping[str, Sized]) -> Drawing:
        """The piston, and the bore with the piston at both ends of its stroke."""
        return piston_drawing(spec, sizes)

    def unmeasured(self, spec: PistonSpec) -> dict[str, Spread]:
        """A finished pair nobody measured: any gap from 1 to 300 um, every factor alike."""
        return {"piston": Below(LogUniform(1e-6, 300e-6))}


def _scalar_change(bore: float, piston: float, rise: float, lead: float) -> float:
    return (bore - piston) * rise - piston * lead
