"""The drawing of a piston in its bore: the piston with its lands, and the bore it runs in.

What the spec does not know (rod, wall, covers, width and depth of grooves) is drawn to fill the
picture, carries no dimension, and the notes say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from benchproof.drawing import (
    Drawing,
    Finish,
    Line,
    Linear,
    Polyline,
    Sized,
    Step,
    TurnedPart,
    View,
    size_of,
)
from benchproof.quantities import LENGTH, echo
from benchproof.tables.materials import material

if TYPE_CHECKING:
    from benchproof.duties.piston_fit import PistonSpec

GROOVE_SHARE = 0.06  # of the land length: how wide a groove is drawn
WALL_SHARE = 0.12  # of the bore: how thick its wall is drawn
ROOM_AT_THE_ENDS = 0.08  # of the stroke: how much bore is drawn past the piston's ends


def piston_drawing(spec: PistonSpec, sizes: Mapping[str, Sized]) -> Drawing:
    """Piston and bore, each to what the answer says it is cut to."""
    piston, bore = size_of(sizes, "piston", spec.bore), size_of(sizes, "bore", spec.bore)
    part = _piston(spec, piston)
    lands = spec.grooves.count + 1
    land = spec.land_length / lands
    view = part.view("Piston", section="none").adding(
        Linear(start=(0.0, -0.5 * piston.aim), end=(land, -0.5 * piston.aim), count=lands)
    )
    if spec.piston_finish:
        at = (0.5 * land, 0.5 * piston.aim)
        view = view.adding(Finish(at=at, roughness=spec.piston_finish, parameter="Rp"))
    return Drawing(
        title="Piston in its bore",
        views=(view, _bore(spec, bore, part)),
        notes=_notes(spec, piston, bore),
        material=_materials(spec),
    )


def _piston(spec: PistonSpec, size: Sized) -> TurnedPart:
    """Lands of equal length with plain grooves between them; the land length leaves them out."""
    land = spec.land_length / (spec.grooves.count + 1)
    groove = min(GROOVE_SHARE * spec.land_length, 0.5 * land, 0.2 * size.aim)
    steps = [Step(diameter=size, length=land, feature="piston", show="diameter")]
    for _ in range(spec.grooves.count):
        steps.append(Step(diameter=size.aim - 2.0 * groove, length=groove, show="none"))
        steps.append(Step(diameter=size.aim, length=land, show="none"))
    return TurnedPart(outside=tuple(steps))


def _bore(spec: PistonSpec, size: Sized, piston: TurnedPart) -> View:
    """The bore cut open, the piston at one end of its stroke and its outline at the other."""
    room = ROOM_AT_THE_ENDS * spec.stroke
    long = piston.length + spec.stroke + 2.0 * room
    wall = TurnedPart(
        outside=(Step(diameter=(1.0 + 2.0 * WALL_SHARE) * size.aim, length=long, show="none"),),
        inside=(Step(diameter=size, length=long, feature="bore", show="diameter"),),
    )
    radius = 0.5 * piston.outside[0].first
    near, far = room + piston.length, room + piston.length + spec.stroke
    there = Polyline(
        (
            (far - piston.length, -radius),
            (far, -radius),
            (far, radius),
            (far - piston.length, radius),
        ),
        "phantom",
        closed=True,
    )
    bare = piston.view("Piston", section="none", dimensions=False)
    # The bore has a centre line of its own.
    here = [
        shape
        for shape in bare.shapes_moved(right=room)
        if isinstance(shape, Line) and shape.kind != "centre"
    ]
    view = wall.view("Bore, the piston at both ends of its stroke").adding(
        *here,
        there,
        Linear(start=(near, -radius), end=(far, -radius), suffix="stroke"),
    )
    if spec.bore_finish:
        at = (long - 0.5 * room, 0.5 * size.aim)
        view = view.adding(Finish(at=at, roughness=spec.bore_finish, parameter="Rp"))
    return view


def _notes(spec: PistonSpec, piston: Sized, bore: Sized) -> tuple[str, ...]:
    clearance = bore.aim - piston.aim
    notes = []
    if clearance > 0.0:  # planned sizes are one and the same; only an answer sets them apart
        notes.append(f"Diametral clearance at these sizes {echo(clearance, LENGTH)}, at 20 °C.")
    if spec.piston_is == "turned to suit":
        notes.append("Turn the piston to suit its own bore, once that is finished and measured.")
    undrawn = "rod, wall and covers"
    if spec.grooves.count:
        whole = echo(spec.land_length, LENGTH)
        notes.append(f"The lands come to {whole} in all, the grooves left out; drawn equal.")
        undrawn = f"{undrawn}, and the width and depth of the grooves"
    notes.append(f"As your own drawing has them: {undrawn}.")
    return tuple(notes)


def _materials(spec: PistonSpec) -> str:
    piston, bore = material(spec.piston_material).key, material(spec.bore_material).key
    return piston if spec.alike else f"piston {piston}, bore {bore}"
