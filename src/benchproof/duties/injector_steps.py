"""How an injector is made, in a builder's words: sizes, D-bits, cones, gaps, and the bench."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np

from benchproof.duties.contract import Caution
from benchproof.duties.injector_body import HOLES, body_of
from benchproof.duties.injector_layout import STEAM_ANGLE, Layout, layout_of, size_by_feature
from benchproof.duties.injector_model import COMBINING, DELIVERY, DRAFT, MOUTH, NOSE, STEAM
from benchproof.duties.injector_sizes import APART, plan_of
from benchproof.physics.injector_tube import DELIVERY_ANGLE, clock_travel
from benchproof.quantities import (
    AREA,
    GAUGE_PRESSURE,
    LENGTH,
    TEMPERATURE,
    VOLUME_FLOW,
    degrees_and_minutes,
    show,
)

if TYPE_CHECKING:
    from benchproof.duties.injector_spec import InjectorSpec
    from benchproof.quantities import System

Say = Callable[..., str]

_TRAVEL: Final = 25e-3
_INCH: Final = 25.4e-3
_UNDER: Final = 0.05e-3  # left for the D-bit
_DRILLS: Final = 0.05e-3
_STEPPED: Final = 3  # drills that rough out a taper
_OUT_OF_PLACE: Final = 0.1e-3
_ON_STEAM: Final = "Then on steam"  # how that step begins


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
        *_fittings(spec, size, layout, say),
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
    # As far as a top slide goes, in whole units of either system.
    travel = _INCH if _in_inches(say) else _TRAVEL
    for name, angle in tapers:
        reading = _long(float(clock_travel(included_angle=angle, travel=travel)), say, step=1e-5)
        told.append(
            f"{name} {degrees_and_minutes(angle)} included, half "
            f"{degrees_and_minutes(0.5 * angle)}, clock {reading}"
        )
    return [
        "D-bits of silver steel, one for each taper. Set the top slide by a clock on the cross "
        f"slide, along a bar run true; over {say(travel, LENGTH)} of its travel the clock shows: "
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
        f"Steam cone: centre with the smallest centre drill, drill {_drilled(drill, say)} through, "
        "clearing at every half diameter, then from the mouth "
        f"{_stepped(size[STEAM], size[MOUTH], layout.steam_cone, say)}. Ream from the mouth until "
        f"a pin of {say(size[STEAM], LENGTH)} just passes the throat and the mouth is "
        f"{say(size[MOUTH], LENGTH)}: {_long(layout.steam_cone, say)} from throat to mouth. From "
        "the steam side open up to the pipe's bore and only just round the entry: a sharp edge "
        "may cost a twentieth of the steam.",
        f"Turn the nose outside to {say(size[NOSE], LENGTH)} over its last "
        f"{_long(layout.nose_length, say)}, square at the end and without a burr; measure "
        "it: the draft bore is cut to suit it. The wall at the end is "
        f"{_long(0.5 * (size[NOSE] - size[MOUTH]), say, step=1e-5)}; hold it with care.",
    ]


def _delivery_side(
    spec: InjectorSpec, size: Mapping[str, float], layout: Layout, say: Say
) -> list[str]:
    return [
        f"Delivery cone: drill {_drilled(_drill(spec, size[DELIVERY]), say)} through, from the far "
        f"end {_stepped(size[DELIVERY], layout.delivery_exit, layout.delivery, say)}, ream until "
        f"a pin of {say(size[DELIVERY], LENGTH)} just passes; the taper is "
        f"{_long(layout.delivery, say)} long. Round the mouth to a radius of about one throat. "
        "This throat wears and furs first: leave the means to take it out.",
        f"Combining cone: drill {_drilled(_drill(spec, size[COMBINING]), say)} through, from the "
        f"steam side {_stepped(size[COMBINING], layout.combining_entry, layout.combining, say)}, "
        f"ream until a pin of {say(size[COMBINING], LENGTH)} just passes. Length "
        f"{_long(layout.combining, say)}, no parallel part, its end square and sharp.",
        "Polish every bore along, never round, with a sliver of wood and fine paste, and wash all "
        "of it out. Look through each against the light: one burr at a throat can put the whole "
        "injector outside of anything told here.",
    ]


def _draft_cone(
    spec: InjectorSpec, size: Mapping[str, float], layout: Layout, say: Say
) -> list[str]:
    half = spec.draft_half_angle
    # A hundredth of a millimetre, or half a thou, as a builder thinks of it.
    little = 0.5e-3 * _INCH if _in_inches(say) else 1e-5
    along = 5e-3 * _INCH if _in_inches(say) else _OUT_OF_PLACE
    ring = _long(0.5 * (size[DRAFT] - size[NOSE]), say, step=1e-6)
    push = _long(little / (2.0 * float(np.tan(half))), say, step=1e-6)
    moved = _long(2.0 * float(np.tan(half)) * along, say, step=1e-6)
    where = (
        "gauged in that very plane"
        if not spec.gauge_distance
        else f"gauged {say(spec.gauge_distance, LENGTH)} off it: a quarter of a degree of the "
        "reamer is then "
        f"{_long(2.0 * spec.gauge_distance * float(np.radians(0.25)), say, step=1e-6)} there"
    )
    return [
        f"Draft cone, last: drill {_drilled(_drill(spec, layout.draft_exit), say)} through, "
        f"{_stepped(layout.draft_exit, layout.widest, layout.draft, say)} from the water side, "
        f"ream until the bore in the plane of the nose, {_long(layout.nose_depth, say)} behind "
        f"its wide end, is {say(size[DRAFT], LENGTH)}, {where}. The ring that leaves round the "
        f"nose is {ring} wide and sets the water. Push the reamer {push} further for each "
        f"{_long(little, say, step=1e-6)} of bore. The cone is {_long(layout.draft, say)} long "
        f"and {_long(layout.draft_exit, say, step=1e-5)} wide at its end.",
        f"The steam cone's place counts as much: {_long(along, say, step=1e-6)} along is {moved} "
        "of bore. Make it movable by washers under its shoulder, and note their thickness.",
    ]


def _fittings(spec: InjectorSpec, size: Mapping[str, float], layout: Layout, say: Say) -> list[str]:
    body = body_of(spec, layout, size)
    starting = (
        f"draft cone and first gap together give the first steam {layout.starting:.1f} times the "
        "mouth to get away by (below 1 expect trouble in starting; a rule of thumb, no more)"
    )
    return [
        f"Tube: outside {say(body.outside, LENGTH)}, {_long(body.length, say)} long. Through its "
        f"wall the water comes by {say(layout.water_port, LENGTH)} at "
        f"{_long(body.water_at, say)} from the steam end, just behind the nose; round each gap "
        f"{HOLES} holes of {say(body.hole, LENGTH)}, at {_long(body.first_gap_at, say)} and "
        f"{_long(body.overflow_gap_at, say)}, {_square(body.way_out, say)} together, lead to the "
        "overflow chamber.",
        f"Gaps: {_long(layout.first_gap, say)} after the draft cone, "
        f"{_long(layout.overflow_gap, say)} before the delivery cone (common practice, no "
        f"source), free all round; {starting}. All cones must be of one centre: try a pin through "
        "combining and delivery cones together.",
        f"Pipes: steam {say(layout.steam_pipe, LENGTH)} bore at the least, from the dry part of "
        f"the boiler; water {say(layout.water_pipe, LENGTH)} with a fine strainer and a cock; "
        f"delivery {say(layout.feed_pipe, LENGTH)}; overflow {say(layout.overflow_pipe, LENGTH)}, "
        "open and in sight.",
        f"Clack: seat {say(body.seat, LENGTH)}, as wide as the delivery pipe; ball "
        f"{say(body.ball, LENGTH)}, which rests on the edge at about 45°; lift "
        f"{_long(body.lift, say)}, a quarter of the seat, so that the way out is as large; bored "
        f"{say(body.chamber, LENGTH)} round the ball.",
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
        f"where least spills, for {100.0 * spec.spill:.0f} in 100 to spill (what less or more "
        f"of it costs: benchproof map). {air}Each move of the "
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
    found: list[str] = []
    if spec.momentum is None and spec.water_discharge is None:
        found.append(
            "Before any bench test of yours every chance told rests on coefficients of full-size "
            "injectors of a hundred years ago: nobody has published a measurement at throats under "
            "1 mm. The catch-test, dry-point, throttle-test and warm-tank take their place."
        )
    found += [
        Caution(
            "At the overflow: what spills is hot, and when the injector knocks off it is live "
            "steam and scalding water at once. Lead it down and away, keep hands and face clear, "
            "and shut the steam first.",
            at=_ON_STEAM,
        ),
        Caution(
            "Testing on steam: only on a boiler and pipes passed under the code in force where you "
            "live, with a second person at the steam valve, glasses and gloves; never hold the "
            "injector or a hose by hand.",
            at=_ON_STEAM,
        ),
        "On the engine: two feeds that do not depend on one another, always. An injector stops "
        "without warning when the tank is warm, the water is low, or a grain sits in a throat.",
        "When it fails: watch the glass, not the injector. Water low and no feed means: no more "
        "fire, no more regulator, the other feed at once; with no water in sight, never feed cold "
        "water on to a bare crown: draw or smother the fire.",
        Caution(
            "Hardening D-bits: glowing steel lights quenching oil. Have a lid, and no face over "
            "it.",
            at="D-bits of silver steel",
        ),
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
    return max(under, spec.smallest_drill)  # never above the bore: the spec refuses that


def _stepped(narrow: float, wide: float, length: float, say: Say) -> str:
    """Drills that rough a taper out, widest first, each to the depth where it leaves a skin."""
    told = []
    for number in range(_STEPPED, 0, -1):
        bore = narrow + (wide - narrow) * number / (_STEPPED + 1)
        drill = float(np.floor(bore / _DRILLS + 1e-6)) * _DRILLS
        depth = length * (wide - drill - _UNDER) / (wide - narrow)
        if drill > narrow and depth > 0.0:
            told.append(f"{_drilled(drill, say)} to {_long(depth, say)}")
    return "drill " + ", ".join(told) + " deep" if told else "no drill before the D-bit"


def _square(area: float, say: Say) -> str:
    """An area, to a tenth of a square millimetre."""
    inch = _in_inches(say)
    return say(area, AREA, unit="in²" if inch else "mm²", digits=4 if inch else 1)


def _drilled(size: float, say: Say) -> str:
    """A drill, by the number it is sold under as well."""
    sold = show(size, LENGTH, unit="mm")
    return f"{say(size, LENGTH)} ({sold})" if _in_inches(say) else sold


def _in_inches(say: Say) -> bool:
    return "in" in say(_INCH, LENGTH)


def _long(length: float, say: Say, step: float = 0.05e-3) -> str:
    """A length told no finer than it is set: to ``step`` [m], or about that in inches."""
    if _in_inches(say):
        return say(length, LENGTH, unit="in", digits=4 if step < 2e-5 else 3)
    digits = 3 if step < 1e-5 else 2
    return say(round(length / step) * step, LENGTH, unit="mm", digits=digits)
