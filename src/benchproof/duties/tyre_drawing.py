"""Tyre and rim in section, drawn to the sizes of the answer.

What the spec does not know (hub bore, crank boss, balance weight, fillets, cone of the tread) is
not drawn, and the notes say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, pi, sin, sqrt

from benchproof.drawing import Circle, Drawing, Line, Sized, Step, TurnedPart, View, size_of
from benchproof.duties.tyre_model import BORE, SEAT
from benchproof.duties.tyre_spec import PLANNED_SHARE, SOLID, SPOKED, WEB, TyreSpec
from benchproof.quantities import LENGTH, show


def tyre_drawing(spec: TyreSpec, sizes: Mapping[str, Sized]) -> Drawing:
    """Tyre, rim and, of a spoked wheel, its face, one view each."""
    views = [_tyre(spec, sizes), _rim(spec, sizes)]
    if spec.wheel_is == SPOKED:
        views.append(_face(spec))
    seat = size_of(sizes, SEAT, spec.seat).aim
    bore = size_of(sizes, BORE, seat - PLANNED_SHARE * spec.seat).aim
    return Drawing(
        "Tyre and wheel rim",
        tuple(views),
        notes=_notes(spec, seat - bore),
        material=f"tyre {spec.tyre.name}; wheel {spec.wheel.name}",
    )


def _tyre(spec: TyreSpec, sizes: Mapping[str, Sized]) -> View:
    flanged = spec.flange_height > 0.0 and 0.0 < spec.flange_width < spec.width
    flange = spec.flange_width if flanged else 0.0
    outside = [Step(diameter=spec.tread, length=spec.width - flange)]
    if flanged:
        outside.insert(0, Step(diameter=spec.tread + 2.0 * spec.flange_height, length=flange))
    bore = Step(
        diameter=size_of(sizes, BORE, (1.0 - PLANNED_SHARE) * spec.seat),
        length=spec.width,
        feature=BORE,
        process="bored",
        show="both" if flanged else "diameter",
    )
    part = TurnedPart(outside=tuple(outside), inside=(bore,))
    return part.view("Tyre, finished outside when it is on", section="full")


def _rim(spec: TyreSpec, sizes: Mapping[str, Sized]) -> View:
    seat = Step(
        diameter=size_of(sizes, SEAT, spec.seat), length=spec.width, feature=SEAT, process="turned"
    )
    if spec.wheel_is == SOLID:
        return TurnedPart(outside=(seat,)).view("Wheel", section="none")
    assert spec.rim_inside is not None
    inside = Step(diameter=spec.rim_inside, length=spec.width, show="diameter")
    if spec.wheel_is != WEB or spec.web_thickness == spec.width:
        return TurnedPart(outside=(seat,), inside=(inside,)).view("Rim", section="full")
    assert spec.web_thickness is not None
    recess = 0.5 * (spec.width - spec.web_thickness)
    side = Step(diameter=spec.rim_inside, length=recess)
    part = TurnedPart(outside=(seat,), inside=(side,), inside_right=(side,), flat_bottom=True)
    return part.view("Rim and web", section="full")


def _face(spec: TyreSpec) -> View:
    """The spoked wheel seen along its axle, its spokes as straight bars of their mean width."""
    assert spec.spokes is not None
    assert spec.rim_inside is not None
    assert spec.hub_diameter is not None
    assert spec.spoke_width is not None
    half = 0.5 * spec.spoke_width
    shapes = [Circle((0.0, 0.0), 0.5 * d) for d in (spec.seat, spec.rim_inside, spec.hub_diameter)]
    ends = [
        sqrt(max(0.25 * d * d - half * half, 0.0)) for d in (spec.hub_diameter, spec.rim_inside)
    ]
    bars = []
    for number in range(spec.spokes):
        along = 2.0 * pi * number / spec.spokes
        c, s = cos(along), sin(along)
        for side in (half, -half):
            start, end = ((r * c - side * s, r * s + side * c) for r in ends)
            bars.append(Line(start, end))
    return View("Wheel", (*shapes, *bars), kind="end view", seen_from="left")


def _notes(spec: TyreSpec, interference: float) -> tuple[str, ...]:
    left = show(spec.tread_left, LENGTH)
    notes = [
        f"Interference at these sizes {show(interference, LENGTH)}, both at 20 °C.",
        "Bore the tyre to suit its own wheel, as measured; mark the pair.",
    ]
    if spec.tread_left:
        notes.append(f"Leave {left} on tread and flange; finish them with the tyre on.")
    if spec.wheel_is == SPOKED:
        notes.append(
            f"{spec.spokes} spokes, {show(spec.spoke_width or 0.0, LENGTH)} by "
            f"{show(spec.spoke_thickness or 0.0, LENGTH)} in the mean; hub "
            f"{show(spec.hub_diameter or 0.0, LENGTH)}."
        )
    notes.append("As your own drawing has them: hub, crank boss, fillets, cone of the tread.")
    return tuple(notes)
