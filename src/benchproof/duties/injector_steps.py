"""How an injector is made, in a builder's words: sizes, D-bits, cones, gaps, and the bench."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from benchproof.duties.injector_layout import STEAM_ANGLE, Layout, layout_of, size_by_feature
from benchproof.duties.injector_model import COMBINING, DELIVERY, DRAFT, MOUTH, NOSE, STEAM
from benchproof.duties.injector_sizes import APART, plan_of
from benchproof.physics.injector_tube import DELIVERY_ANGLE, clock_travel
from benchproof.quantities import (
    ANGLE,
    AREA,
    GAUGE_PRESSURE,
    LENGTH,
    TEMPERATURE,
    VOLUME_FLOW,
    show,
)

if TYPE_CHECKING:
    from benchproof.duties.injector_spec import InjectorSpec
    from benchproof.quantities import System

Say = Callable[..., str]

_TRAVEL: Final = 25e-3
_UNDER: Final = 0.05e-3  # left for the D-bit
_DRILLS: Final = 0.05e-3
_STEPPED: Final = 3  # drills that rough out a taper
_OUT_OF_PLACE: Final = 0.1e-3


def injector_steps(spec: InjectorSpec, sizes: Mapping[str, float], system: System) -> Sequence[str]:
    """The order of work; a size [m] that is missing is told as planned."""
    say: Say = partial(show, system=system)
    size = size_by_feature(spec, sizes)
    layout = layout_of(spec, sizes)
    return (
        _sizes(spec, say),
        *_bits(spec, layout, say),
        *_steam_cone(spec, size, layout, say),
        *_delivery_side(spec, size, layout, say),
        *_draft_cone(spec, size, layout, say),
        *_fittings(size, layout, say),
        *_bench(spec, say),
    )


def _sizes(spec: InjectorSpec, say: Say) -> str:
    plan = plan_of(spec)
    rule_steam, rule_delivery = plan.draft
    # The rule's flow for this throat over the model's.
    apart = plan.rule_over_model - 1.0
    told = (
        f"Sizes. The rule in print (Hughes, 1912) gives throats of {say(rule_steam, LENGTH)} "
        f"steam and {say(rule_delivery, LENGTH)} delivery for "
        f"{say(spec.wanted * (1.0 + spec.reserve), VOLUME_FLOW)}, reserve included; those here "
        f"are {say(plan.sizes['steam_throat'], LENGTH)} and "
        f"{say(plan.sizes['delivery_throat'], LENGTH)}, areas as {plan.area_ratio:.2f} to 1. "
        f"For one delivery throat the rule has {abs(apart) * 100.0:.0f} % "
        f"{'less' if apart < 0.0 else 'more'} flow than the model"
    )
    if abs(apart) > APART:
        told += (
            ": more than a fifth apart, so believe neither before the catch-test, and make the "
            "delivery cone so that it can be changed"
        )
    if not plan.covers:
        told += (
            ". Even by the middle of all that is believed these have no tenth to spare everywhere: "
            "no ratio of areas, or not this one, covers the whole range"
        )
    return f"{told}."


def _bits(spec: InjectorSpec, layout: Layout, say: Say) -> list[str]:
    tapers = (
        ("steam cone, behind its throat", STEAM_ANGLE),
        ("draft cone", 2.0 * spec.draft_half_angle),
        ("combining cone", layout.combining_angle),
        ("delivery cone", DELIVERY_ANGLE),
    )
    told = []
    for name, angle in tapers:
        reading = say(float(clock_travel(included_angle=angle, travel=_TRAVEL)), LENGTH)
        told.append(
            f"{name} {say(angle, ANGLE, unit='°')} included, half "
            f"{say(0.5 * angle, ANGLE, unit='°')}, clock {reading}"
        )
    return [
        "D-bits of silver steel, one for each taper. Set the top slide by a clock on the cross "
        f"slide, along a bar run true; over {say(_TRAVEL, LENGTH)} of its travel the clock shows: "
        f"{'; '.join(told)}. Turn the tip well under the throat, fit and harden, then file and "
        "stone away just under half, flat and keen, and back off the edge. Polish along the taper.",
        "Blanks: turn the outside of all four tubes to the tube's bore at one setting for each, "
        f"{say(spec.tube_bore, LENGTH)} and a good push fit; drill and ream each without taking it "
        "out of the chuck, so that bore and outside are of one centre.",
    ]


def _steam_cone(
    spec: InjectorSpec, size: Mapping[str, float], layout: Layout, say: Say
) -> list[str]:
    drill = _drill(spec, size[STEAM])
    return [
        f"Steam cone: centre with the smallest centre drill, drill {say(drill, LENGTH)} through, "
        "clearing at every half diameter, then from the mouth "
        f"{_stepped(size[STEAM], size[MOUTH], layout.steam_cone, say)}. Ream from the mouth until "
        f"a pin of {say(size[STEAM], LENGTH)} just passes the throat and the mouth is "
        f"{say(size[MOUTH], LENGTH)}: {say(layout.steam_cone, LENGTH)} from throat to mouth. From "
        "the steam side open up to the pipe's bore and only just round the entry: a sharp edge "
        "may cost a twentieth of the steam.",
        f"Turn the nose outside to {say(size[NOSE], LENGTH)} over its last "
        f"{say(2.0 * layout.nose_depth, LENGTH)}, square at the end and without a burr; measure "
        "it: the draft bore is cut to suit it. The wall at the end is "
        f"{say(0.5 * (size[NOSE] - size[MOUTH]), LENGTH)}; hold it with care.",
    ]


def _delivery_side(
    spec: InjectorSpec, size: Mapping[str, float], layout: Layout, say: Say
) -> list[str]:
    return [
        f"Delivery cone: drill {say(_drill(spec, size[DELIVERY]), LENGTH)} through, from the far "
        f"end {_stepped(size[DELIVERY], layout.delivery_exit, layout.delivery, say)}, ream until "
        f"a pin of {say(size[DELIVERY], LENGTH)} just passes; the taper is "
        f"{say(layout.delivery, LENGTH)} long. Round the mouth to a radius of about one throat. "
        "This throat wears and furs first: leave the means to take it out.",
        f"Combining cone: drill {say(_drill(spec, size[COMBINING]), LENGTH)} through, from the "
        f"steam side {_stepped(size[COMBINING], layout.combining_entry, layout.combining, say)}, "
        f"ream until a pin of {say(size[COMBINING], LENGTH)} just passes. Length "
        f"{say(layout.combining, LENGTH)}, no parallel part, its end square and sharp.",
        "Polish every bore along, never round, with a sliver of wood and fine paste, and wash all "
        "of it out. Look through each against the light: one burr at a throat can put the whole "
        "injector outside of anything told here.",
    ]


def _draft_cone(
    spec: InjectorSpec, size: Mapping[str, float], layout: Layout, say: Say
) -> list[str]:
    half = spec.draft_half_angle
    push = say(0.01e-3 / (2.0 * float(np.tan(half))), LENGTH)
    moved = say(2.0 * float(np.tan(half)) * _OUT_OF_PLACE, LENGTH)
    where = (
        "gauged in that very plane"
        if not spec.gauge_distance
        else f"gauged {say(spec.gauge_distance, LENGTH)} off it: a quarter of a degree of the "
        "reamer is then "
        f"{say(2.0 * spec.gauge_distance * float(np.radians(0.25)), LENGTH)} there"
    )
    return [
        f"Draft cone, last: drill {say(_drill(spec, layout.draft_exit), LENGTH)} through, "
        f"{_stepped(layout.draft_exit, layout.widest, layout.draft, say)} from the water side, "
        f"ream until the bore in the plane of the nose, {say(layout.nose_depth, LENGTH)} in, is "
        f"{say(size[DRAFT], LENGTH)}, {where}. The ring that leaves round the nose is "
        f"{say(0.5 * (size[DRAFT] - size[NOSE]), LENGTH)} wide and sets the water. Push the "
        f"reamer {push} further for each {say(0.01e-3, LENGTH)} of bore. The cone ends "
        f"{say(layout.draft, LENGTH)} in, at {say(layout.draft_exit, LENGTH)}.",
        f"The steam cone's place counts as much: {say(_OUT_OF_PLACE, LENGTH)} along is {moved} of "
        "bore. Make it movable by washers under its shoulder, and note their thickness.",
    ]


def _fittings(size: Mapping[str, float], layout: Layout, say: Say) -> list[str]:
    gap_area = layout.overflow_gap * np.pi * size[COMBINING]
    starting = (
        f"draft cone and first gap together give the first steam {layout.starting:.1f} times the "
        "mouth to get away by (below 1 expect trouble in starting; a rule of thumb, no more)"
    )
    return [
        f"Gaps: {say(layout.first_gap, LENGTH)} after the draft cone, "
        f"{say(layout.overflow_gap, LENGTH)} before the delivery cone (common practice, no "
        "source), open all round to the overflow chamber through slots of at least "
        f"{_square(max(4.0 * gap_area, 0.25 * np.pi * size[MOUTH] ** 2), say)}; {starting}. All "
        "cones must be of one centre: try a pin through combining and delivery cones together.",
        f"Pipes: steam {say(layout.steam_pipe, LENGTH)} bore at the least, from the dry part of "
        f"the boiler; water {say(layout.water_pipe, LENGTH)} with a fine strainer and a cock; "
        f"delivery {say(layout.feed_pipe, LENGTH)}; overflow {say(layout.overflow_pipe, LENGTH)}, "
        "open and in sight. Clack: seat as wide as the delivery pipe, lift a quarter of that "
        "(common practice).",
    ]


def _bench(spec: InjectorSpec, say: Say) -> list[str]:
    air = (
        "If the overflow draws air there, ream the draft bore or draw the steam cone out; if much "
        "spills, push it in. "
    )
    return [
        "Cold first: water through the ring by the tank's own head must run out of the overflow as "
        "a clean rod, not as a spray; turn the steam cone to see whether the rod turns with it.",
        f"Then on steam, on the bench and not on the engine: set it at "
        f"{say(spec.blows, GAUGE_PRESSURE)} with a tank at {say(spec.warmest_feed, TEMPERATURE)}, "
        f"where least spills, for {100.0 * spec.spill:.0f} in 100 to spill. {air}Each move of the "
        "cone works both ways, each touch of the reamer one way only. A dry overflow is cured "
        "by more ring, an early knock-off at low pressure by less; too little feed while it spills "
        "by a wider delivery throat; knocking off with a warm tank by a smaller steam throat, that "
        "is a new one.",
        "Write down delivery, overflow and temperatures (catch-test); then dry-point, "
        "throttle-test and warm-tank. They tell more of your injectors than all that is printed, "
        "and your next one is set out by them.",
    ]


def injector_cautions(spec: InjectorSpec) -> Sequence[str]:
    """What to mind at the step where it matters."""
    found = []
    if spec.momentum is None and spec.water_discharge is None:
        found.append(
            "Before any bench test: every chance told here rests on coefficients of full-size "
            "injectors of a hundred years ago; nobody has published a measurement at throats under "
            "1 mm. Do the catch-test, dry-point, throttle-test and warm-tank, and ask again."
        )
    found += [
        "At the overflow: what spills is hot, and when the injector knocks off it is live steam "
        "and scalding water at once. Lead it down and away, keep hands and face clear, and shut "
        "the steam first.",
        "Testing on steam: only on a boiler and pipes passed under the code in force where you "
        "live, with a second person at the steam valve, glasses and gloves; never hold the "
        "injector or a hose by hand.",
        "On the engine: two feeds that do not depend on one another, always. An injector stops "
        "without warning when the tank is warm, the water is low, or a grain sits in a throat.",
        "When it fails: watch the glass, not the injector. Water low and no feed means: no more "
        "fire, no more regulator, the other feed at once; with no water in sight, never feed cold "
        "water on to a bare crown: draw or smother the fire.",
        "Hardening D-bits: glowing steel lights quenching oil. Have a lid, and no face over it.",
    ]
    if spec.overflow != "flooded":
        found.append(
            "With a free overflow: what it draws in may be air. Almost all of it leaves with the "
            "steam, but a steel boiler pits at the feed's inlet and when it stands cold and full: "
            "treat the water, and empty or fill right up to lay it up."
        )
    return tuple(found)


def _drill(spec: InjectorSpec, bore: float) -> float:
    """Largest drill in steps of 0.05 mm that leaves something for the D-bit."""
    under = float(np.floor((bore - _UNDER) / _DRILLS + 1e-6)) * _DRILLS
    return max(under, spec.smallest_drill)


def _stepped(narrow: float, wide: float, length: float, say: Say) -> str:
    """Drills that rough a taper out, widest first, each to the depth where it leaves a skin."""
    told = []
    for number in range(_STEPPED, 0, -1):
        bore = narrow + (wide - narrow) * number / (_STEPPED + 1)
        drill = float(np.floor(bore / _DRILLS + 1e-6)) * _DRILLS
        depth = length * (wide - drill - _UNDER) / (wide - narrow)
        if drill > narrow and depth > 0.0:
            told.append(f"{say(drill, LENGTH)} to {say(depth, LENGTH)}")
    return "drill " + ", ".join(told) + " deep" if told else "no drill before the D-bit"


def _square(area: float, say: Say) -> str:
    return say(area, AREA)
