"""The drawing of a plug cock: body and plug cut open through the port, with taper and diameters.

What the spec does not know (boss, handle, spindle, nut or spring) is drawn to fill the picture or
left out, carries no dimension, and the notes say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import pi, tan
from typing import TYPE_CHECKING

from benchproof.drawing import (
    Drawing,
    Hatched,
    Line,
    Linear,
    Point,
    Polyline,
    Shape,
    Sized,
    TaperOf,
    View,
    mirrored,
    size_of,
)
from benchproof.duties.cock_spec import APART
from benchproof.quantities import LENGTH, TAPER, echo, show
from benchproof.tables.materials import material

if TYPE_CHECKING:
    from benchproof.duties.cock_spec import CockSpec

BOSS_SHARE = 1.1  # of the mean diameter: radius to which the body is drawn
OVERHANG = 0.12  # of the length: how far centre lines stand out


def cock_drawing(
    spec: CockSpec, sizes: Mapping[str, Sized], planned: Mapping[str, float]
) -> Drawing:
    """Body and plug, each to what the answer says it is cut to, else to its planned aim [SI]."""

    def size(feature: str) -> Sized:
        return size_of(sizes, feature, planned.get(feature, spec.mean_diameter))

    body = _Cone(spec, size("body angle"), size("body diameter"))
    plug = _Cone(spec, size("plug angle"), size("plug diameter"))
    return Drawing(
        title="Plug cock",
        views=(_body(spec, body), _plug(spec, plug)),
        notes=_notes(spec),
        material=f"plug {material(spec.plug_material).key}, "
        f"body {material(spec.body_material).key}",
    )


class _Cone:
    """One cone from its large end at x = 0 to its small one, with its port half-way."""

    def __init__(self, spec: CockSpec, angle: Sized, mean: Sized) -> None:
        self.length, self.port = spec.length, spec.port
        self.middle = 0.5 * spec.length
        self.left, self.right = self.middle - 0.5 * spec.port, self.middle + 0.5 * spec.port
        self.mean = mean
        self.taper = _as_taper(angle)

    def radius(self, x: float) -> float:
        return 0.5 * (self.mean.aim + self.taper.aim * (self.middle - x))

    def on(self, x: float) -> Point:
        return (x, self.radius(x))

    def dimensions(self, part: str, *, apart: bool) -> tuple[TaperOf | Linear, ...]:
        """Taper, mean diameter, length and port of one part."""
        top = self.radius(self.middle)
        return (
            TaperOf(
                at=self.on(0.25 * self.length),
                large=2.0 * self.radius(0.0),
                small=2.0 * self.radius(self.length),
                length=self.length,
                size=self.taper,
                feature=f"{part} angle",
            ),
            Linear(
                start=(self.middle, -top),
                end=(self.middle, top),
                direction="vertical",
                side="right",
                sign="Ø",
                size=self.mean,
                feature=f"{part} diameter" if apart else "",
                suffix="at mid length",
            ),
        )


def _as_taper(angle: Sized) -> Sized:
    """An included angle as the taper on diameter it makes, limits too."""

    def taper(value: float) -> float:
        return 2.0 * tan(0.5 * value)

    limits = angle.tolerance
    if limits is None:
        return Sized(taper(angle.aim), doubtful=angle.doubtful)
    aim = taper(angle.aim)
    upper, lower = taper(angle.aim + limits.upper) - aim, taper(angle.aim + limits.lower) - aim
    return Sized(aim, upper, lower, angle.doubtful)


def _body(spec: CockSpec, cone: _Cone) -> View:
    boss = BOSS_SHARE * spec.mean_diameter
    upper: list[Shape] = []
    for start, end in ((0.0, cone.left), (cone.right, cone.length)):
        face = (cone.on(start), cone.on(end), (end, boss), (start, boss))
        upper += [Hatched(face), Polyline(face, closed=True)]
    seen: list[Shape] = [
        Line((x, -cone.radius(x)), (x, cone.radius(x))) for x in (0.0, cone.length)
    ]
    shapes = [*upper, *(mirrored(shape) for shape in upper), *seen, *_centres(cone, boss)]
    return View("Body", tuple(shapes), kind="section").adding(
        *cone.dimensions("body", apart=spec.ports == APART),
        Linear(start=(0.0, -boss), end=(cone.length, -boss), suffix="seat"),
        _port(spec, cone, boss),
    )


def _plug(spec: CockSpec, cone: _Cone) -> View:
    shapes: list[Shape] = []
    for start, end in ((0.0, cone.left), (cone.right, cone.length)):
        top = (cone.on(start), cone.on(end))
        face = (*top, *((x, -y) for x, y in reversed(top)))
        shapes += [Hatched(face, angle=3.0 * pi / 4.0), Polyline(face, closed=True)]
    edge = Line(cone.on(cone.left), cone.on(cone.right))
    shapes += [edge, mirrored(edge), *_centres(cone, cone.radius(0.0))]
    return View("Plug", tuple(shapes), kind="section").adding(
        *cone.dimensions("plug", apart=spec.ports == APART),
        _port(spec, cone, cone.radius(cone.middle)),
    )


def _port(spec: CockSpec, cone: _Cone, up: float) -> Linear:
    together = "" if spec.ports == APART else "plug and body together"
    return Linear(
        start=(cone.left, up), end=(cone.right, up), side="above", sign="Ø", suffix=together
    )


def _centres(cone: _Cone, up: float) -> list[Shape]:
    out = OVERHANG * cone.length
    return [
        Line((-out, 0.0), (cone.length + out, 0.0), "centre"),
        Line((cone.middle, -up - out), (cone.middle, up + out), "centre"),
    ]


def _notes(spec: CockSpec) -> tuple[str, ...]:
    taper = show(spec.taper, TAPER)
    lapping = {
        "none": "Not lapped.",
        "touch": "Lapped together to a touch; wash out every grain.",
        "full": "Lapped together until they bear from end to end; wash out every grain.",
    }
    return (
        f"Taper {taper} on diameter, alike in plug and body: the difference counts, not the angle.",
        lapping[spec.lapping],
        f"Leave {echo(spec.room_to_sink, LENGTH)} for the plug to sink before it bottoms.",
        "Drawn open. As your own drawing has them: boss, handle, spindle, nut or spring.",
    )
