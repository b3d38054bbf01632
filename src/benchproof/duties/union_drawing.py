"""Fitting, nipple and nut of a union in section, to the sizes of the answer."""

from __future__ import annotations

import math
from collections.abc import Mapping

from benchproof.drawing import (
    Angular,
    Corner,
    Drawing,
    Linear,
    Note,
    Sized,
    Step,
    TurnedPart,
    View,
    size_of,
)
from benchproof.duties.union_spec import UnionSpec
from benchproof.quantities import LENGTH, show
from benchproof.tables.threads import engagement

_BODY = 1.5  # diameter drawn of hexagons, over the thread's
_COLLAR = 2e-3  # length of the nipple's collar, which is also the socket of the pipe
_SHOULDER = 1.5e-3  # of the nut
_CLEAR = 0.1e-3  # by which the nut clears the pipe, on diameter


def union_drawing(
    spec: UnionSpec, sizes: Mapping[str, Sized], planned: Mapping[str, float]
) -> Drawing:
    """Draw the three parts; ``planned`` [SI] holds every feature's planned size."""
    sized = {name: size_of(sizes, name, value) for name, value in planned.items()}
    return Drawing(
        f"Pipe union {spec.thread}",
        (_fitting(spec, sized), _nipple(spec, sized), _nut(spec, sized)),
        notes=(
            f"Tapping drill {show(spec.drill, LENGTH)}: "
            f"{engagement(spec.size, drill=spec.drill) * 100:.0f} % of thread, where "
            f"{spec.size.form.scale}.",
            f"The cones meet at {show(spec.seat_diameter, LENGTH)}, over "
            f"{show(spec.seat_width, LENGTH)} along the slope. Turned {spec.cones_are}.",
            "Pitch diameters are over wires or by gauge; any nut is to turn on any fitting.",
        ),
        material=f"fitting {spec.fitting_material}; nipple {spec.nipple_material}; "
        f"nut {spec.nut_material}",
    )


def _mouth(spec: UnionSpec) -> float:
    """Diameter where the seat begins [m]."""
    return spec.seat_diameter + spec.seat_width * math.sin(0.5 * spec.seat_cone)


def _fitting(spec: UnionSpec, sized: Mapping[str, Sized]) -> View:
    half = 0.5 * sized["seat cone"].aim
    mouth, bore = _mouth(spec), min(spec.pipe_bore, 0.75 * _mouth(spec))
    deep = 0.5 * (mouth - bore) / math.tan(half)
    screw = _up_to_half(spec.engagement_length + 1.5 * spec.size.pitch)
    body = _up_to_half(max(2e-3, deep + 1e-3 - screw))
    length = body + screw
    part = TurnedPart(
        outside=(
            Step(diameter=_BODY * spec.size.major, length=body, show="none"),
            Step(
                diameter=spec.size.major,
                length=screw,
                thread=spec.thread,
                end=Corner("chamfer", 0.5 * spec.size.pitch),
            ),
        ),
        inside_right=(
            Step(diameter=mouth, end_diameter=bore, length=deep, show="none"),
            Step(diameter=bore, length=length - deep, show="diameter"),
        ),
    )
    apex = length - 0.5 * mouth / math.tan(half)
    return part.view("Fitting", section="full").adding(
        Angular(
            vertex=(apex, 0.0),
            start_angle=-half,
            end_angle=half,
            radius=length - apex,
            size=sized["seat cone"],
            feature="seat cone",
        ),
        _pitch_diameter(body + 0.5 * screw, sized, "fitting thread"),
    )


def _nipple(spec: UnionSpec, sized: Mapping[str, Sized]) -> View:
    half = 0.5 * sized["nipple cone"].aim
    wide = min(_mouth(spec) + 0.2e-3, spec.collar)
    nose = min(spec.pipe_bore + 0.6e-3, 0.8 * wide)
    bore = min(spec.pipe_bore, 0.9 * nose)
    cone = 0.5 * (wide - nose) / math.tan(half)
    part = TurnedPart(
        outside=(
            Step(diameter=nose, end_diameter=wide, length=cone, show="none"),
            Step(diameter=spec.collar, length=_COLLAR, show="diameter"),
        ),
        inside=(Step(diameter=bore, length=cone, show="diameter"),),
        inside_right=(Step(diameter=spec.pipe_diameter, length=_COLLAR, show="diameter"),),
        hatching=math.radians(135.0),
    )
    apex = -0.5 * nose / math.tan(half)
    return part.view(
        "Nipple" if spec.nipple_is == "silver-brazed" else "Ferrule", section="full"
    ).adding(
        Angular(
            vertex=(apex, 0.0),
            start_angle=-half,
            end_angle=half,
            radius=-apex,
            size=sized["nipple cone"],
            feature="nipple cone",
        )
    )


def _nut(spec: UnionSpec, sized: Mapping[str, Sized]) -> View:
    tapped = _up_to_half(spec.engagement_length + spec.size.pitch)
    part = TurnedPart(
        outside=(Step(diameter=_BODY * spec.size.major, length=tapped + _SHOULDER, show="length"),),
        inside=(
            Step(diameter=spec.size.major, length=tapped, thread=spec.thread),
            Step(diameter=spec.pipe_diameter + _CLEAR, length=_SHOULDER, show="diameter"),
        ),
    )
    return part.view("Nut", section="full").adding(
        _pitch_diameter(0.5 * tapped, sized, "nut thread"),
        Note(at=(0.0, 0.5 * spec.drill), text=f"drill {show(spec.drill, LENGTH)}"),
    )


def _pitch_diameter(at: float, sized: Mapping[str, Sized], feature: str) -> Linear:
    radius = 0.5 * sized[feature].aim
    return Linear(
        start=(at, -radius),
        end=(at, radius),
        direction="vertical",
        side="left",
        sign="Ø",
        size=sized[feature],
        feature=feature,
        suffix=" pitch dia.",
    )


def _up_to_half(length: float) -> float:
    """Next half millimetre [m]: nobody turns a shoulder finer than need be."""
    return math.ceil(length / 0.5e-3 - 1e-9) * 0.5e-3
