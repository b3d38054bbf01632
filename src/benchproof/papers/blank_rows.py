"""Blanks for what a drawing shows: only where the drawing states both diameter and length."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from benchproof.drawing import Drawing, Hatched, Linear, View
from benchproof.drawing.geometry import points_of
from benchproof.features import Feature
from benchproof.tables.materials import UnknownMaterial, material
from benchproof.workshop.blanks import BAR, Blank, NoAllowance, bar_blank, casting_blank

EITHER: Final = "either"
CASTING: Final = "casting"
_SHOWN = ("view", "section", "half section")
_OUTLINES = ("visible", "hidden")


@dataclass(frozen=True)
class PartBlanks:
    """A turned part of a drawing, its finished size [m], and the blanks it may be made from."""

    title: str
    material: str
    diameter: float
    length: float
    blanks: tuple[Blank, ...]


def blanks_of(
    drawing: Drawing,
    features: Sequence[Feature],
    *,
    moulding: str,
    made_from: Mapping[str, str] | None = None,
) -> tuple[PartBlanks, ...]:
    """Blanks of every turned part that a drawing gives the whole size of.

    A part's material is that of its features, else what the drawing says beside its name.
    ``made_from`` says bar, casting or either of the part that has a feature; either if left out.
    """
    said = {feature.name: feature.material for feature in features}
    return tuple(_parts(drawing, said, moulding, made_from or {}))


def overall(view: View) -> tuple[float, float] | None:
    """Greatest diameter and length [m] of a turned part, None where dimensions lack for either."""
    if view.kind not in _SHOWN:
        return None
    points = [
        point
        for shape in view.shapes
        if isinstance(shape, Hatched) or shape.kind in _OUTLINES
        for point in points_of(shape)
    ]
    if not points:
        return None
    across, up = zip(*points, strict=True)
    length, diameter = max(across) - min(across), max(up) - min(up)
    linear = [each for each in view.dimensions if isinstance(each, Linear) and not each.off_scale]
    stated = (
        any(each.sign and _is(each.measured, diameter) for each in linear),
        any(
            not each.sign and each.direction == "horizontal" and _is(each.measured, length)
            for each in linear
        ),
    )
    return (diameter, length) if all(stated) else None


def _parts(
    drawing: Drawing,
    said: Mapping[str, str | None],
    moulding: str,
    made_from: Mapping[str, str],
) -> Iterator[PartBlanks]:
    for view in drawing.views:
        size = overall(view)
        if size is None:
            continue
        diameter, length = size
        metal = _material(view, drawing, said)
        found: list[Blank] = []
        stated = [made_from[d.feature] for d in view.dimensions if d.feature in made_from]
        wanted = stated[0] if stated else EITHER
        try:
            if wanted != CASTING:
                found.append(bar_blank(diameter=diameter, length=length))
            if metal and wanted != BAR:
                cast = casting_blank(
                    diameter=diameter, length=length, metal=metal, moulding=moulding
                )
                found += [cast] if cast is not None else []
        except NoAllowance:
            pass  # larger than the tables go: what there is stands, the rest is the builder's
        yield PartBlanks(view.title, metal, diameter, length, tuple(found))


def _material(view: View, drawing: Drawing, said: Mapping[str, str | None]) -> str:
    for dimension in view.dimensions:
        known = said.get(dimension.feature)
        if known:
            return known
    name = view.title.split(",")[0].split()[0].casefold()
    for phrase in drawing.material.replace(";", ",").split(","):
        first, _, rest = phrase.strip().partition(" ")
        if first.casefold() == name and _is_material(rest):
            return material(rest).key
    return ""


def _is_material(name: str) -> bool:
    try:
        material(name)
    except UnknownMaterial:
        return False
    return True


def _is(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=1e-6, abs_tol=1e-9)
