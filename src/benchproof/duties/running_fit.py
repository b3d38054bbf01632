"""A journal that runs in a bearing: axle in axlebox, crank pin in rod bush, spindle in gland.

Turning fast enough, a journal floats on oil and nothing wears. A miniature engine's journals do
so part of the time only: at starting, at walking pace, with little oil and under the blows of the
piston the film is thinner than the roughness, and the metals carry the load. So a bearing is good
when either the film clears the roughness, or pressure × speed is what its metal bears without.

The clearance must hold the journal's growth when it runs hotter, and must not knock. A bush closes
when it is pressed in, by most of its interference, and closes more when it warms in a housing that
grows less; both are reckoned with.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING

from benchproof.duties.contract import Caution, Duty, Need, PlainWindow, Unknown
from benchproof.duties.matter import COLD, expansion_unknowns
from benchproof.duties.running_fit_model import MERITS, RunningModel, bush_of, limits_of
from benchproof.duties.running_fit_spec import (
    BORED_BEFORE,
    CRANK_PIN,
    DRY,
    SPINDLE,
    STATED,
    RunningSpec,
)
from benchproof.duties.running_fit_steps import order_of_work
from benchproof.features import Error, Feature
from benchproof.physics.bush_closing import SMOOTHED
from benchproof.quantities import System
from benchproof.spread import Below, LogNormal, LogUniform, Normal, Spread, Uniform
from benchproof.tables.bearing_limits import LIMIT_FACTOR
from benchproof.tables.materials import material
from benchproof.tables.oils import GRADE_FACTOR, oil

if TYPE_CHECKING:
    from benchproof.drawing import Drawing, Sized

BORE, JOURNAL, HOUSING_BORE, BUSH_OUTSIDE = "bore", "journal", "housing bore", "bush outside"
_CLOSING_KNOWN = 0.1  # one standard deviation of the closing over that of thick-ring theory


class RunningFit(Duty[RunningSpec]):
    """What a journal in its bearing must do: run free hot, carry its load, and not knock."""

    key = "running-fit"
    title = "Journal in its bearing"
    summary = (
        "An axle in its axlebox, a crank pin in its rod bush, a spindle in its gland: free when "
        "hot, carried by oil or by its metal, and not loose."
    )
    spec_type = RunningSpec
    merits = MERITS
    flag_words = MappingProxyType(
        {
            "seized": "no clearance left when running",
            "rubs": "the film is thinner than the roughness wants: the metals rub (boundary "
            "regime), and pressure × speed alone decides",
            "bush_loose": "the bush has lost its grip of the housing when hot",
            "bush_yields": "the bush is squeezed beyond its yield: it closes by more than is "
            "reckoned and springs back less",
        }
    )
    theory = (
        "Reynolds' equation for a bearing of finite length, full of oil and steadily loaded; where "
        "the film is thinner than the roughness, the published pressure × speed of the metal. A "
        "miniature engine's bearings are oiled by the drop, start dry and are loaded in blows: "
        "most run in the boundary regime at low speed, and the film worked out here is the most "
        "they can have. Bush and housing are thick rings."
    )
    sources = (
        "B. J. Hamrock, Fundamentals of Fluid Film Lubrication, 1994, chapters 10 to 12 (from "
        "memory); compared with Raimondi and Boyd and with the Journal-Bearing Databook",
        "Oil: ASTM D341-09; ISO 3448:1992; figures at 100 °C from memory",
        "Pressure × speed: R. L. Mott, Machine Elements in Mechanical Design, table 16-1; where "
        "it is silent, from memory of handbook tables",
        "Press fit: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 8th ed., eq. "
        "3-51 and 3-56; smoothing after DIN 7190-1 (from memory)",
        "Film three times the roughness; rubbing friction of oiled bronze 0.08 to 0.16: from "
        "memory",
        "Lead of the journal, form, cooling of the housing: judgement",
    )
    window_of = (BORE, JOURNAL)
    value_label = "diametral clearance"
    no_window_advice = "lengthen the bearing, take another metal or oil, or allow more play"
    service_unknowns = ("journal_lead",)

    def features(self, spec: RunningSpec) -> Sequence[Feature]:
        """Seat of a bush first, then the mate of the two that run, then the one cut last."""
        suited = spec.fit_is == "made to suit"
        bore_last = spec.cut_last == BORE
        bore = Feature(
            BORE,
            spec.diameter,
            "bush bore" if spec.pressed else "bore",
            gains={"bore cut": 1.0, **_closing_gains(spec)},
            mate=JOURNAL if bore_last else None,
            to_suit=suited and bore_last,
            gauge="bore gauge",
            correction="larger",
            cut_last=bore_last,
            material=spec.bearing_material,
        )
        journal = Feature(
            JOURNAL,
            spec.diameter,
            "spindle" if spec.place == SPINDLE else "journal",
            gains={"journal cut": 1.0},
            mate=None if bore_last else BORE,
            to_suit=suited and not bore_last,
            gauge="digital micrometer",
            correction="smaller",
            cut_last=not bore_last,
            material=spec.journal_material,
        )
        running = (journal, bore) if bore_last else (bore, journal)
        return (*_seat(spec), *running)

    def errors(self, spec: RunningSpec) -> Sequence[Error]:
        """One cut for each size; of a bush bored first, also how far pressing closes it."""
        process = "ream" if spec.bore_is == "reamed" else "bore"
        found = [
            Error(
                "bore cut",
                process,
                spec.diameter,
                "reaming the bore" if spec.bore_is == "reamed" else "boring the bore",
            ),
            Error("journal cut", "turn", spec.diameter, "turning the journal"),
        ]
        if spec.pressed:
            found += [
                Error("housing cut", "bore", spec.seat, "boring the housing for the bush"),
                Error("bush cut", "turn", spec.seat, "turning the outside of the bush"),
            ]
        if spec.bearing_is == BORED_BEFORE:
            found.append(Error("closing", "press", spec.seat, "how far pressing closes the bush"))
        return found

    def unknowns(self, spec: RunningSpec) -> Sequence[Unknown]:
        """Load, lead, what the metal bears, and the oil; one expansion for each material."""
        limits = limits_of(spec)
        found = [
            Unknown("load", spec.load, "the load"),
            Unknown("journal_lead", spec.journal_lead, "how much hotter the journal runs"),
            Unknown(
                "limit",
                LogNormal(1.0, LIMIT_FACTOR),
                "what the metal bears without a film",
                "builder",
                limits.source,
            ),
            Unknown("rubbing", Uniform(0.08, 0.16), "rubbing friction", "builder", "from memory"),
            Unknown("cooling", LogNormal(15.0, 1.6), "how the housing sheds heat"),
        ]
        if spec.has_film:
            source = "its maker" if spec.oil == STATED else oil(spec.oil).source
            found.append(
                Unknown(
                    "oil_factor",
                    LogNormal(1.0, GRADE_FACTOR),
                    "the oil against its grade",
                    "builder",
                    source,
                )
            )
        if spec.pressed:
            found.append(
                Unknown("closing", Normal(1.0, _CLOSING_KNOWN), "closing of the bush when hot")
            )
        metals = [spec.journal_material, spec.bearing_material]
        if spec.pressed and spec.housing_material is not None:
            metals.append(spec.housing_material)
        return [*found, *expansion_unknowns(*metals)]

    def prepare(self, spec: RunningSpec) -> RunningModel:
        """Tabulate the film of this length over diameter."""
        return RunningModel(spec)

    def needs(self, spec: RunningSpec) -> Sequence[Need]:
        """Carried, free hot and cold, no more play than allowed; a bush must keep its grip."""
        found = [
            Need(
                "carries",
                1.0,
                "at least",
                "it would wear fast or run hot: neither its film nor its metal carries the load",
            ),
            Need("running_play", 0.0, "at least", "it would seize when hot"),
            Need("cold_play", 0.0, "at least", "it would not go together cold"),
            Need("play", spec.new_play, "at most", "it would knock before it has had its wear"),
        ]
        if spec.pressed:
            found.append(
                Need("bush_grip", 0.0, "at least", "it would turn or creep in its housing")
            )
        return found

    def cautions(self, spec: RunningSpec) -> Sequence[str]:
        """What to mind at the first run."""
        found: list[str] = []
        if spec.oil == DRY:
            found.append("No oil: keep grit out, and look at the play every few hours of running.")
        else:
            found.append(
                "Oil it before it moves, by a hole clear of where the load presses"
                + (": the film told here is of a bearing full of oil." if spec.has_film else ".")
            )
        if spec.place != SPINDLE:
            found.append(
                "Turn it by hand when it has warmed; feel every bearing after ten minutes, engine "
                "stopped and chocked. One too hot to hold is short of oil or of clearance."
            )
        else:
            found.append(
                "The gland's packing holds the steam, not this fit: slack the gland only with no "
                "pressure behind it."
            )
        if spec.place == CRANK_PIN:
            found.append(
                "A rod that two axles share needs more play than this: add what unequal "
                "quartering and axle spacing ask."
            )
        if spec.pressed:
            found.append(
                Caution(
                    "Press a bush in square and in one go, oiled, over a stepped mandrel; eyes "
                    "clear of the press.",
                    at="Press it in",
                )
            )
        return found

    def aims_to_try(self, spec: RunningSpec) -> tuple[float, float]:
        """From certainly tight to certainly loose."""
        far = spec.play_allowed + 60e-6 + 3e-3 * spec.diameter
        near = -0.3 * far
        return (near, far) if spec.cut_last == BORE else (-far, -near)

    def plain_window(self, spec: RunningSpec) -> PlainWindow:
        """Closing plus form below; the play of a new bearing above, every spread at its middle."""
        change = -_closing_when_hot(spec)
        lower = max(-change, 0.0) + spec.form
        upper = spec.new_play - max(change, 0.0)
        if lower >= upper:
            why = "what closes it takes more than the play allowed"
            return PlainWindow(None, None, why, wanted=lower, allowed=upper)
        return PlainWindow(lower, upper)

    def unmeasured(self, spec: RunningSpec) -> Mapping[str, Spread]:
        """A finished pair nobody measured: any gap from 2 um to a fair rattle."""
        gap = LogUniform(2e-6, 0.5e-3)
        return {spec.cut_last: gap if spec.cut_last == BORE else Below(gap)}

    def steps(
        self, spec: RunningSpec, sizes: Mapping[str, float], system: System = "metric"
    ) -> Sequence[str]:
        """The order of work, with what pressing takes off the bore."""
        return order_of_work(spec, sizes, system)

    def drawing(self, spec: RunningSpec, sizes: Mapping[str, Sized]) -> Drawing:
        """Bush or bearing, its housing, and the journal, one section or view each."""
        from benchproof.duties.running_fit_drawing import running_drawing

        return running_drawing(spec, sizes)


def _closing_when_hot(spec: RunningSpec) -> float:
    """How far the clearance closes from cold to running [m], every spread at its middle."""
    rise = spec.housing_temperature - COLD
    outer = material(spec.bearing_material).expansion.value
    inner = material(spec.journal_material).expansion.value
    closed = spec.diameter * (inner * (rise + spec.journal_lead.median) - outer * rise)
    bush = bush_of(spec)
    if bush is not None and spec.housing_material is not None:
        apart = outer - material(spec.housing_material).expansion.value
        left = spec.planned_interference - SMOOTHED * spec.seat_finish
        closed += bush.closing * max(apart * rise * spec.seat, -max(left, 0.0))
    return closed


def _closing_gains(spec: RunningSpec) -> dict[str, float]:
    """What the cuts of the seat do to the bore of a bush that was bored before pressing."""
    bush = bush_of(spec)
    if bush is None or spec.bearing_is != BORED_BEFORE:
        return {}
    return {"bush cut": -bush.closing, "closing": -1.0}


def _seat(spec: RunningSpec) -> tuple[Feature, ...]:
    """Housing bore and the outside of the bush turned to suit it."""
    if not spec.pressed:
        return ()
    return (
        Feature(
            HOUSING_BORE,
            spec.seat,
            "housing bore",
            gains={"housing cut": 1.0},
            gauge="bore gauge",
            correction="larger",
            material=spec.housing_material,
        ),
        Feature(
            BUSH_OUTSIDE,
            spec.seat + spec.planned_interference,
            "outside of the bush",
            gains={"bush cut": 1.0},
            mate=HOUSING_BORE,
            to_suit=True,
            gauge="digital micrometer",
            correction="smaller",
            material=spec.bearing_material,
        ),
    )
