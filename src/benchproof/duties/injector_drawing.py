"""The drawing of an injector: four cones in section, and all of them in their tube.

Each cone is drawn by itself, so that its few tenths of a millimetre can be read; what they go into
is drawn in ``injector_body``. Shoulders and unions are the builder's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from benchproof.drawing import (
    Drawing,
    Sized,
    Step,
    TurnedPart,
    View,
    size_of,
)
from benchproof.duties.injector_body import LIFT_OVER_SEAT, tube_and_clack
from benchproof.duties.injector_layout import Layout, layout_of, size_by_feature
from benchproof.duties.injector_model import COMBINING, DELIVERY, DRAFT, MOUTH, NOSE, STEAM
from benchproof.quantities import LENGTH, show
from benchproof.tables.materials import material

if TYPE_CHECKING:
    from benchproof.duties.injector_spec import InjectorSpec

_ENTRY = 1.5  # of the mouth: bore by which steam comes to its throat


def injector_drawing(spec: InjectorSpec, sizes: Mapping[str, Sized]) -> Drawing:
    """Each cone to what the answer says it is cut to, else to its planned size."""
    aims = {name: size.aim for name, size in sizes.items()}
    planned = size_by_feature(spec, {})
    layout = layout_of(spec, aims)

    def size(feature: str) -> Sized:
        return size_of(sizes, feature, planned[feature])

    views = (
        _steam_cone(spec, layout, size(STEAM), size(MOUTH), size(NOSE)),
        _draft_cone(spec, layout, size(DRAFT)),
        _combining_cone(spec, layout, size(COMBINING)),
        _delivery_cone(spec, layout, size(DELIVERY)),
        *tube_and_clack(spec, layout, size_by_feature(spec, aims)),
    )
    return Drawing(
        "Injector",
        views,
        notes=_notes(spec, layout, size(DRAFT).aim - size(NOSE).aim),
        material=f"cones {material(spec.material).key}",
    )


def _steam_cone(
    spec: InjectorSpec, layout: Layout, throat: Sized, mouth: Sized, nose: Sized
) -> View:
    length = layout.steam_cone
    entry = min(_ENTRY * mouth.aim, spec.tube_bore - 2.0 * spec.least_wall)
    back, tip = layout.steam_back, layout.nose_length
    outside = (
        Step(diameter=spec.tube_bore, length=back + length - tip),
        Step(diameter=nose, length=tip, feature=NOSE, process="turned"),
    )
    inside = (
        Step(diameter=entry, length=back),
        Step(
            diameter=throat,
            length=length,
            end_diameter=mouth,
            feature=STEAM,
            end_feature=MOUTH,
            process="reamed",
        ),
    )
    return TurnedPart(outside=outside, inside=inside).view("Steam cone", section="full")


def _draft_cone(spec: InjectorSpec, layout: Layout, bore: Sized) -> View:
    before, behind = layout.nose_depth, layout.draft - layout.nose_depth
    inside = (
        Step(diameter=layout.widest, length=before, end_diameter=bore.aim, show="length"),
        Step(
            diameter=bore,
            length=behind,
            end_diameter=layout.draft_exit,
            feature=DRAFT,
            process="reamed",
        ),
    )
    part = TurnedPart(
        outside=(Step(diameter=spec.tube_bore, length=layout.draft, show="length"),),
        inside=inside,
    )
    return part.view("Draft cone, bore in the plane of the nose", section="full")


def _combining_cone(spec: InjectorSpec, layout: Layout, throat: Sized) -> View:
    inside = (
        Step(
            diameter=layout.combining_entry,
            length=layout.combining,
            end_diameter=throat,
            end_feature=COMBINING,
            process="reamed",
        ),
    )
    part = TurnedPart(
        outside=(Step(diameter=spec.tube_bore, length=layout.combining),),
        inside=inside,
    )
    return part.view("Combining cone", section="full")


def _delivery_cone(spec: InjectorSpec, layout: Layout, throat: Sized) -> View:
    inside = (
        Step(
            diameter=throat,
            length=layout.delivery,
            end_diameter=layout.delivery_exit,
            feature=DELIVERY,
            process="reamed",
        ),
    )
    part = TurnedPart(
        outside=(Step(diameter=spec.tube_bore, length=layout.delivery),),
        inside=inside,
    )
    return part.view("Delivery cone, mouth rounded", section="full")


def _notes(spec: InjectorSpec, layout: Layout, ring: float) -> tuple[str, ...]:
    return (
        f"Ring round the nose {show(0.5 * ring, LENGTH, unit='mm', digits=3)} wide: bore the draft "
        f"cone to suit its nose, {show(layout.nose_depth, LENGTH, unit='mm', digits=2)} in from "
        "its wide end, and set it on the bench.",
        "Throats without any parallel part; no burr; polished along.",
        "Out of line and out of true cost delivery: bore and outside, "
        f"{show(spec.tube_bore, LENGTH)}, at one setting.",
        f"Overflow chamber round all holes of the gaps, its pipe "
        f"{show(layout.overflow_pipe, LENGTH)} bore; steam pipe "
        f"{show(layout.steam_pipe, LENGTH)}, water {show(layout.water_pipe, LENGTH)}, delivery "
        f"{show(layout.feed_pipe, LENGTH)}.",
        f"Clack: ball to lift by {show(LIFT_OVER_SEAT * layout.feed_pipe, LENGTH, digits=1)}.",
        "As your own drawing has them: shoulders, unions, the chamber's walls, the clack's cap.",
    )
