"""How a plug cock is made, in order: what the clock must read, and what a slip of it costs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TypeAlias

import numpy as np

from benchproof.duties.cock_spec import (
    AFTER_LAPPING,
    APART,
    BEFORE_LAPPING,
    BOUGHT_REAMER,
    GRADUATIONS,
    ONE_SETTING,
    CockSpec,
)
from benchproof.duties.contract import Making
from benchproof.physics.taper_seat import half_angle, lapping_sink, lift_force
from benchproof.quantities import ANGLE, FORCE, LENGTH, System, degrees_and_minutes, show

Say: TypeAlias = Callable[..., str]

_ARCMIN = float(np.radians(1.0 / 60.0))
_GRADUATION = float(np.radians(0.1))


def clock_reading(spec: CockSpec, included_angle: float) -> float:
    """What a clock on a true parallel bar shows over the travel of the top slide [m]."""
    return spec.clock_travel * float(np.sin(0.5 * included_angle))


def division_costs(spec: CockSpec, included_angle: float) -> tuple[float, float]:
    """Included angle [rad], and gap at the far end of the seat [m], of one division misread."""
    angle = 2.0 * spec.clock_division / (spec.clock_travel * float(np.cos(0.5 * included_angle)))
    return angle, 0.5 * angle * spec.length


def wanted_pull(spec: CockSpec) -> float:
    """Least pull into the seat [N]: the most the pressure lifts with, half as much again."""
    return 1.5 * float(
        lift_force(
            pressure_difference=spec.pressure,
            diameter=spec.mean_diameter,
            length=spec.length,
            taper=spec.taper,
        )
    )


def order_of_work(
    spec: CockSpec,
    sizes: Mapping[str, float],
    system: System,
    *,
    sink: float,
    sets_lift: float,
) -> Sequence[str]:
    """Steps in a builder's words. ``sizes`` holds aims or measured sizes by feature [SI]."""
    say = partial(show, system=system)
    included = sizes.get("body angle", 2.0 * float(half_angle(taper=spec.taper)))
    return [
        *(Making(step, "body angle", "plug angle") for step in _angles(spec, included, say)),
        *(Making(step, "body angle") for step in _body_and_plug(spec, sink, say)),
        *([] if spec.ports == AFTER_LAPPING else _port(spec, sizes, say)),
        *_lapping(spec, say),
        *(_port(spec, sizes, say) if spec.ports == AFTER_LAPPING else []),
        f"Pull the plug in with {say(sets_lift, FORCE)} at the least: the pressure can lift it "
        f"with up to {say(sets_lift / 1.5, FORCE)}. A spring keeps its pull as the plug wears; "
        "a nut does not, and one that is tight cold may bind hot.",
        "Test it dry with air of 1 bar (15 psi) at the most (bubble-test) or with water "
        "(drip-test), the outlet and both ends of the seat apart.",
    ]


def _angles(spec: CockSpec, included: float, say: Say) -> list[str]:
    reading = say(clock_reading(spec, included), LENGTH)
    travel = say(spec.clock_travel, LENGTH)
    division = say(spec.clock_division, LENGTH)
    angle, gap = division_costs(spec, included)
    half = degrees_and_minutes(0.5 * included)
    cost = (
        f"One division of {division} misread is {say(angle, ANGLE)} of included angle, and a "
        f"gap of {say(gap, LENGTH)} at one end of the seat"
    )
    set_it = (
        f"Set the top slide to {half}, half the included angle, by clock on a parallel bar run "
        f"true: over {travel} of its travel the clock must move {reading}."
    )
    if spec.angles == ONE_SETTING:
        return [
            f"{set_it} {cost}, if plug and body were set apart; here both share it.",
            "Lock the slide. Turn the reamer (or D-bit) and the plug one after the other with the "
            "same tool, its height and the slide untouched until both are done and tried in blue.",
        ]
    if spec.angles == BOUGHT_REAMER:
        return [
            "Hold the bought reamer between centres, or true in a collet, and set the top slide "
            f"by clock along the back of a flute until it does not move over {travel}. Its angle "
            f"is then what it is; a slide set by figures must move the clock {reading}. {cost}.",
        ]
    if spec.angles == GRADUATIONS:
        slip = 2.0 * _GRADUATION
        return [
            f"Set the top slide to {half} by its graduations, for the reamer and again for the "
            f"plug. A tenth of a degree out is {say(slip, ANGLE)} of included angle, "
            f"{say(0.5 * slip * spec.length, LENGTH)} of gap at one end: do not touch it between "
            f"the two. By clock it must move {reading} over {travel}. {cost}.",
        ]
    return [f"{set_it} Do so for the reamer, and again for the plug. {cost}, each time."]


def _body_and_plug(spec: CockSpec, sink: float, say: Say) -> list[str]:
    tool = "the bought reamer" if spec.angles == BOUGHT_REAMER else "the reamer"
    proud = say(sink + 0.25 * spec.room_to_sink, LENGTH)
    return [
        f"Drill the body under the small end, {say(spec.small_diameter, LENGTH)}, and "
        f"ream it with {tool} by hand, with oil, clearing it often. Try the plug in it: stop "
        f"while the plug's large end still stands {proud} further out of the body than it is to "
        "stand when finished, for lapping and wear let it in by that much.",
    ]


def _lapping(spec: CockSpec, say: Say) -> list[str]:
    each = say(float(lapping_sink(taper=spec.taper, mismatch=_ARCMIN, length=spec.length)), LENGTH)
    wash = (
        "Take plug and body apart and wash both in paraffin, then in hot water and soap, the ports "
        "with a pipe cleaner, until a white rag stays white. No grain may stay."
    )
    if spec.lapping == "none":
        return [
            "Not lapped: the marks of tool and reamer stand on one another and leave "
            f"{say(spec.peaks, LENGTH)} of gap all over, whatever the angles.",
        ]
    if spec.lapping == "touch":
        return [
            "Lap with the finest compound and light oil, a quarter turn to and fro, lifting and "
            "turning on at every tenth stroke, until a grey band shows all round at both ends. "
            f"Stop there: each arcminute (a sixtieth of a degree) lapped "
            f"out sinks the plug by {each}.",
            wash,
        ]
    return [
        "Lap, medium compound first and the finest last, lifting and turning on at every tenth "
        "stroke, until plug and body are grey from end to end. Each arcminute of mismatch sinks "
        f"the plug by {each}: measure how proud it stands as you go, and mind the port.",
        wash,
    ]


def _port(spec: CockSpec, sizes: Mapping[str, float], say: Say) -> list[str]:
    port = say(spec.port, LENGTH)
    if spec.ports == BEFORE_LAPPING:
        return [
            f"Seat the plug, mark it, and drill the port of {port} through body and plug "
            "together. Take the burrs off inside both before any compound goes in.",
        ]
    if spec.ports == AFTER_LAPPING:
        return [
            f"Seat the plug, mark it, and drill the port of {port} through both together. "
            "Take off the burrs by hand, wash again, and turn plug in body with oil and no "
            "compound.",
        ]
    assert spec.ports == APART
    plug = say(sizes.get("plug diameter", spec.mean_diameter), LENGTH)
    return [
        f"Drill the port of {port} across the plug where its diameter is {plug}: a hundredth of "
        f"a millimetre there puts it {say(0.01e-3 / spec.taper, LENGTH)} out of line.",
    ]
