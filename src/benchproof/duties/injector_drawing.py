"""The drawing of an injector: four cones in section, and all of them in their tube.

Each cone is drawn by itself, so that its few tenths of a millimetre can be read; the assembly shows
only where they stand. Shoulders, ports, body and unions are the builder's own.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from typing import TYPE_CHECKING

from benchproof.drawing import (
    Drawing,
    Hatched,
    Line,
    Linear,
    Polyline,
    Shape,
    Sized,
    Step,
    TurnedPart,
    View,
    mirrored,
    size_of,
)
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
        _assembly(spec, layout, size_by_feature(spec, aims)),
    )
    return Drawing(
        "Injector, cones",
        views,
        notes=_notes(spec, layout, size(DRAFT).aim - size(NOSE).aim),
        material=f"cones {material(spec.material).key}",
    )


def _steam_cone(
    spec: InjectorSpec, layout: Layout, throat: Sized, mouth: Sized, nose: Sized
) -> View:
    length = layout.steam_cone
    tip = min(2.0 * layout.nose_depth, 0.8 * length)
    entry = min(_ENTRY * mouth.aim, spec.tube_bore - 2.0 * spec.least_wall)
    back = 0.6 * length
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


def _assembly(spec: InjectorSpec, layout: Layout, size: Mapping[str, float]) -> View:
    """The cones in their tube: where they stand, and no diameters."""
    outer = 0.5 * spec.tube_bore
    nose_at = layout.steam_cone
    draft_at = nose_at - layout.nose_depth
    combining_at = draft_at + layout.draft + layout.first_gap
    delivery_at = combining_at + layout.combining + layout.overflow_gap
    tip = min(2.0 * layout.nose_depth, 0.8 * layout.steam_cone)
    cones = (
        (
            (0.0, 0.5 * size[STEAM]),
            (nose_at, 0.5 * size[MOUTH]),
            (nose_at, 0.5 * size[NOSE]),
            (nose_at - tip, 0.5 * size[NOSE]),
            (nose_at - tip, outer),
            (0.0, outer),
        ),
        (
            (draft_at, 0.5 * layout.widest),
            (draft_at + layout.draft, 0.5 * layout.draft_exit),
            (draft_at + layout.draft, outer),
            (draft_at, outer),
        ),
        (
            (combining_at, 0.5 * layout.combining_entry),
            (combining_at + layout.combining, 0.5 * size[COMBINING]),
            (combining_at + layout.combining, outer),
            (combining_at, outer),
        ),
        (
            (delivery_at, 0.5 * size[DELIVERY]),
            (delivery_at + layout.delivery, 0.5 * layout.delivery_exit),
            (delivery_at + layout.delivery, outer),
            (delivery_at, outer),
        ),
    )
    shapes: list[Shape] = []
    for number, cone in enumerate(cones):
        face = Hatched(cone, angle=pi / 4.0 if number % 2 == 0 else 3.0 * pi / 4.0)
        outline = Polyline(cone, closed=True)
        shapes += [face, mirrored(face), outline, mirrored(outline)]
    end = delivery_at + layout.delivery
    shapes.append(Line((-0.05 * end, 0.0), (1.05 * end, 0.0), "centre"))
    return View("Cones in their tube", tuple(shapes), kind="section").adding(
        Linear(start=(nose_at, -outer), end=(delivery_at, -outer), suffix="mouth to throat"),
        Linear(
            start=(draft_at + layout.draft, outer),
            end=(combining_at, outer),
            side="above",
            suffix="first gap",
        ),
        Linear(
            start=(combining_at + layout.combining, outer),
            end=(delivery_at, outer),
            side="above",
            suffix="overflow gap",
        ),
    )


def _notes(spec: InjectorSpec, layout: Layout, ring: float) -> tuple[str, ...]:
    return (
        f"Ring round the nose {show(0.5 * ring, LENGTH)} wide: bore the draft cone to suit its "
        f"nose, {show(layout.nose_depth, LENGTH)} in from its wide end, and set it on the bench.",
        "Throats without any parallel part; no burr; polished along.",
        "Out of line and out of true cost delivery: bore and outside, "
        f"{show(spec.tube_bore, LENGTH)}, at one setting.",
        "As your own drawing has them: shoulders, ports, body, unions, overflow.",
    )
