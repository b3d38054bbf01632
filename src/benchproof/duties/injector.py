"""An injector: it must run over the whole range, deliver enough, and draw no air.

Four cones in a tube. What moves it most is no throat but the ring between the steam cone's nose
and the draft cone: it sets the water. The draft bore is therefore cut last, to suit its nose, and
opened a little at a time with the injector tried between: a taper reamer pushed a tenth of a
millimetre further opens it by a fiftieth, so no other size can be taken so finely; a nose turned
too small can only be made again.

What nobody has measured at this size, the six coefficients, moves it more than good turning does.
Chances before a bench test speak of the model as much as of the lathe.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

import numpy as np

from benchproof.duties.contract import Duty, Need, PlainWindow, Stepwise, Unknown
from benchproof.duties.injector_model import (
    COMBINING,
    DELIVERY,
    DEPTH,
    DRAFT,
    FLAG_WORDS,
    MERITS,
    MOUTH,
    NOSE,
    STEAM,
    InjectorModel,
    coefficients,
)
from benchproof.duties.injector_sizes import plan_of
from benchproof.duties.injector_spec import FLOODED, InjectorSpec
from benchproof.duties.injector_steps import injector_cautions, injector_steps
from benchproof.features import Error, Feature
from benchproof.quantities import System
from benchproof.spread import LogUniform, Spread

if TYPE_CHECKING:
    from benchproof.drawing import Drawing, Sized

ENOUGH: Final = 0.95  # of the feed wanted
_TO_SUIT: Final = "reaming the draft cone (reamed further on the bench, or the cone moved)"


class InjectorDuty(Duty[InjectorSpec]):
    """What an injector must do."""

    key = "injector"
    title = "Injector"
    summary = "Runs over the whole range of pressure and tank, delivers enough, draws no air."
    spec_type = InjectorSpec
    merits = MERITS
    flag_words = MappingProxyType(FLAG_WORDS)
    theory = (
        "Steam by critical flow in equilibrium; feed by the vacuum over the ring; condensing, "
        "momentum and recovery with six coefficients that come from full-size injectors of a "
        "hundred years ago. Below 1 mm nobody has published a measurement: before a bench test "
        "(catch-test, dry-point, throttle-test, warm-tank) a chance told here speaks of the model "
        "as much as of the lathe. Starting, an eccentric nose, the gap, air and slugs of water "
        "are in no theory and in no figure here."
    )
    sources = (
        "Balances, proportions: V. A. B. Hughes, The Steam Injector, 1912, pages 9 to 41 and 82 to "
        "109",
        "Steam and water: IAPWS R7-97(2012); oxygen: Standard Methods, 4500-O",
        "Pressure in the combining chamber, throat that runs solid, spreads from part to part: own "
        "closures and judgement, published nowhere",
        "Sizes held: judgement",
    )
    window_of = (DRAFT, NOSE)
    value_label = "ring on diameter"
    no_window_advice = (
        "do the bench tests: what is not known of any injector this small weighs most. Else a "
        "narrower range of pressures, a colder tank, less feed asked for, or a free overflow"
    )
    stepwise = Stepwise(
        cut="ream",
        step="touch of the reamer",
        test="catch-test",
        fraction=0.6,
        spread=0.4,
        source="judgement: a taper reamer turned by hand is stopped within a third of what is left",
    )
    # What a ring lets in is known no better than how much water such rings pass, which is common to
    # all injectors of a builder: a lathe would learn that as an error of its own.
    tests_tell_fit = False
    for_the_next = (
        "steam_discharge",
        "entry_loss",
        "momentum",
        "momentum_product",
        "water_discharge",
        "mixing",
    )
    draws = 8192

    def features(self, spec: InjectorSpec) -> Sequence[Feature]:
        """Throats, mouth, nose, and the draft bore last, to suit its nose."""
        plan = plan_of(spec)
        size, metal = plan.sizes, spec.material
        draft_gains = {"draft ream": 1.0}
        if spec.gauge_distance:
            steepness = 2.0 / float(np.cos(spec.draft_half_angle)) ** 2
            draft_gains["draft taper"] = steepness * spec.gauge_distance
        return (
            _reamed(STEAM, size["steam_throat"], "steam ream", metal),
            _reamed(MOUTH, size["mouth"], "mouth ream", metal),
            Feature(
                NOSE,
                size["nose"],
                NOSE,
                gains={"nose cut": 1.0},
                gauge="digital micrometer",
                correction="smaller",
                material=metal,
            ),
            _reamed(COMBINING, size["combining_throat"], "combining ream", metal),
            _reamed(DELIVERY, size["delivery_throat"], "delivery ream", metal),
            Feature(DEPTH, plan.nose_depth, DEPTH, gains={"cone place": 1.0}, gauge="caliper"),
            Feature(
                DRAFT,
                size["draft_bore"],
                DRAFT,
                gains=draft_gains,
                mate=NOSE,
                to_suit=True,
                gauge="taper plug",
                correction="larger",
                cut_last=True,
                material=metal,
            ),
        )

    def errors(self, spec: InjectorSpec) -> Sequence[Error]:
        """One reaming for each hole, the nose, and where the steam cone comes to stand."""
        size = plan_of(spec).sizes
        found = [
            Error("steam ream", "cone ream", size["steam_throat"], "reaming the steam throat"),
            Error("mouth ream", "cone ream", size["mouth"], "reaming the mouth of the steam cone"),
            Error("nose cut", "turn", size["nose"], "turning the nose"),
            Error("combining ream", "cone ream", size["combining_throat"],
                  "reaming the combining throat"),
            Error("delivery ream", "cone ream", size["delivery_throat"],
                  "reaming the delivery throat"),
            Error("cone place", "place", size["draft_bore"],
                  "where the steam cone stands along the tube (moved on the bench with a washer)"),
            Error("draft ream", "cone ream", size["draft_bore"], _TO_SUIT),
        ]  # fmt: skip
        if spec.gauge_distance:
            found.append(
                Error("draft taper", "clocked angle", size["draft_bore"], "angle of the reamer")
            )
        return found

    def unknowns(self, spec: InjectorSpec) -> Sequence[Unknown]:
        """Coefficients, common and of this piece, and how far the tubes are out of line."""
        return [
            *coefficients(spec),
            Unknown("out of line", spec.out_of_line, "tubes out of line"),
        ]

    def prepare(self, spec: InjectorSpec) -> InjectorModel:
        """Tables for each corner of the range, and which of them bind."""
        return InjectorModel(spec)

    def needs(self, spec: InjectorSpec) -> Sequence[Need]:
        """It runs, it delivers, and, if the overflow is to stay flooded, it draws no air."""
        found = [
            Need("margin", 1.0, "at least", "it knocks off somewhere in its range"),
            Need("fresh", ENOUGH * spec.wanted, "at least", "it feeds too little"),
        ]
        if spec.overflow == FLOODED:
            found.append(Need("fullness", 1.0, "at least", "it draws air at the overflow"))
        return found

    def cautions(self, spec: InjectorSpec) -> Sequence[str]:
        """What to mind at the step where it matters."""
        return injector_cautions(spec)

    def aims_to_try(self, spec: InjectorSpec) -> tuple[float, float]:
        """From a third of the planned ring to near twice, which floods the combining throat."""
        size = plan_of(spec).sizes
        ring = size["draft_bore"] - size["nose"]
        return (-0.65 * ring, 0.9 * ring)

    def plain_window(self, spec: InjectorSpec) -> PlainWindow | None:
        """None: the rule in print is for throats, and none is for the ring."""
        return PlainWindow(None, None, "no rule for the ring is in print")

    def unmeasured(self, spec: InjectorSpec) -> Mapping[str, Spread]:
        """A finished draft cone nobody measured: from a quarter to three times the ring planned."""
        size = plan_of(spec).sizes
        ring = size["draft_bore"] - size["nose"]
        return {DRAFT: LogUniform(0.25 * ring, 3.0 * ring)}

    def steps(
        self, spec: InjectorSpec, sizes: Mapping[str, float], system: System = "metric"
    ) -> Sequence[str]:
        """The order of work."""
        return injector_steps(spec, sizes, system)

    def drawing(self, spec: InjectorSpec, sizes: Mapping[str, Sized]) -> Drawing:
        """Four cones in section, and all of them in their tube."""
        from benchproof.duties.injector_drawing import injector_drawing

        return injector_drawing(spec, sizes)


def _reamed(name: str, size: float, error: str, metal: str) -> Feature:
    """A hole reamed by D-bit and tried with pins."""
    return Feature(
        name,
        size,
        name,
        gains={error: 1.0},
        gauge="gauge pins",
        correction="larger",
        material=metal,
    )
