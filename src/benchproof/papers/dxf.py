"""A sheet as DXF: true size in millimetres or inches, with dimensions a program can measure.

Model space holds the sheet blown up or down by its scale, so that the views measure true. A view
at another scale (a detail) carries the difference in its dimensions' ``dimlfac``: what a program
reads from a dimension is always the size of the part. The dimension style is our own: the one
that ezdxf brings along multiplies by 100.
"""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING, Any, Final

from benchproof.drawing import (
    Angular,
    Arc,
    Circle,
    Diameter,
    Dimension,
    Hatched,
    Line,
    Linear,
    Point,
    Polyline,
    Radius,
)
from benchproof.papers.placed import PlacedDimension, PlacedView, Sheet, Stroke, Words
from benchproof.papers.svg import LINES
from benchproof.papers.wording import SUFFIX, Units, Wording, units_of

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace

STYLE: Final = "BENCHPROOF"
_FONT: Final = "arial.ttf"
_INSUNITS: Final = {"metric": 4, "inch": 1}
_LAYERS: Final = ("FRAME", "HATCHING", "DIMENSIONS", "TEXT")
_NEAR_A_TIE = 1e-6


def dxf(sheet: Sheet) -> str:
    """Text of a DXF file (R2010) of one sheet; the same sheet gives the same bytes."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    # Dates and random ids would make two files of one drawing differ.
    options.write_fixed_meta_data_for_testing = True
    try:
        document = _Writer(sheet).document()
        stream = io.StringIO()
        document.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = before
    return stream.getvalue()


class _Writer:
    """One sheet on its way into a document."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.unit = units_of(sheet.units)[0]
        # From paper [mm] to model space, in which the views of the sheet's scale are true size.
        self.factor = (1.0 if self.unit == "metric" else 1.0 / 25.4) / sheet.scale

    def document(self) -> Document:
        """Build the document."""
        from ezdxf.filemanagement import new

        document = new("R2010", units=_INSUNITS[self.unit])
        document.header["$MEASUREMENT"] = 1 if self.unit == "metric" else 0
        document.styles.add(STYLE, font=_FONT)
        self._add_layers(document)
        self._add_dimension_style(document)
        space = document.modelspace()
        for stroke in self.sheet.strokes:
            self._stroke(space, stroke, (0.0, 0.0), "FRAME")
        for words in self.sheet.words:
            self._words(space, words, (0.0, 0.0))
        for view in self.sheet.views:
            self._view(space, view)
        return document

    def _add_layers(self, document: Document) -> None:
        for kind, (wide, dashes) in LINES.items():
            width = self.sheet.wide if wide else self.sheet.narrow
            name = _layer(kind)
            linetype = "Continuous"
            if dashes:
                steps = [d * width * self.factor * (-1) ** n for n, d in enumerate(dashes)]
                document.linetypes.add(name, [sum(map(abs, steps)), *steps], description=kind)
                linetype = name
            document.layers.add(name, linetype=linetype, lineweight=round(100 * width))
        for name in _LAYERS:
            width = self.sheet.wide if name == "FRAME" else self.sheet.narrow
            document.layers.add(name, lineweight=round(100 * width))

    def _add_dimension_style(self, document: Document) -> None:
        hand = self.sheet.lettering * self.factor
        document.dimstyles.add(
            STYLE,
            dxfattribs={
                "dimscale": 1.0,
                "dimlfac": 1.0,
                "dimtxt": hand,
                "dimasz": hand,
                "dimexo": 0.3 * hand,
                "dimexe": 0.6 * hand,
                "dimgap": 0.25 * hand,
                "dimtad": 1,
                "dimtih": 0,
                "dimtoh": 0,
                "dimdsep": ord("."),
                "dimzin": 0,
                "dimazin": 0,
                "dimdec": 3,
                "dimtmove": 2,
                "dimtxsty": STYLE,
            },
        )

    def _at(self, point: Point, origin: Point = (0.0, 0.0)) -> tuple[float, float]:
        return (self.factor * (origin[0] + point[0]), self.factor * (origin[1] + point[1]))

    def _view(self, space: Modelspace, view: PlacedView) -> None:
        k = 1000.0 * view.scale * self.factor

        def true(point: Point) -> tuple[float, float]:
            return self._at(view.on_paper(point))

        for shape in view.view.shapes:
            if isinstance(shape, Hatched):
                self._hatch(space, shape, view)
                continue
            on = {"layer": _layer(shape.kind)}
            match shape:
                case Line():
                    space.add_line(true(shape.start), true(shape.end), dxfattribs=on)
                case Polyline():
                    points = [true(point) for point in shape.points]
                    space.add_lwpolyline(points, close=shape.closed, dxfattribs=on)
                case Circle():
                    space.add_circle(true(shape.centre), k * shape.radius, dxfattribs=on)
                case Arc():
                    space.add_arc(
                        true(shape.centre),
                        k * shape.radius,
                        math.degrees(shape.start_angle),
                        math.degrees(shape.end_angle),
                        dxfattribs=on,
                    )
        for each in view.dimensions:
            if not self._dimension(space, each, view):
                for stroke in each.strokes:
                    self._stroke(space, stroke, view.origin, "DIMENSIONS")
                for words in each.words:
                    self._words(space, words, view.origin)
        for words in view.captions:
            self._words(space, words, view.origin)

    def _hatch(self, space: Modelspace, face: Hatched, view: PlacedView) -> None:
        hatch = space.add_hatch(dxfattribs={"layer": "HATCHING"})
        # The pattern's own lines already lean by 45 degrees, 1/8 of an inch apart.
        pitch = 0.8 * self.sheet.lettering * self.factor
        hatch.set_pattern_fill("ANSI31", scale=pitch / 3.175, angle=math.degrees(face.angle) - 45.0)
        for ring in (face.outline, *face.holes):
            hatch.paths.add_polyline_path(
                [self._at(view.on_paper(point)) for point in ring], is_closed=True
            )

    def _dimension(self, space: Modelspace, each: PlacedDimension, view: PlacedView) -> bool:
        """Add a real dimension, or say that this kind has to be drawn."""
        what = each.what
        if not isinstance(what, Linear | Diameter | Radius | Angular) or what.off_scale:
            return False
        wording = each.says[0]
        override: dict[str, Any] = {
            "dimlfac": self.sheet.scale / view.scale,
            "dimdec": wording.decimals,
            "dimadec": wording.decimals,
        }
        if what.tolerance is not None:
            # For programs that read the file; what is shown stands in the text.
            scale = 180.0 / math.pi if isinstance(what, Angular) else self._per_metre
            override["dimtp"] = what.tolerance.upper * scale
            override["dimtm"] = -what.tolerance.lower * scale
        given: dict[str, Any] = {
            "text": _text(what, each.says, self.sheet.units),
            "dimstyle": STYLE,
            "override": override,
            "location": self._at(each.text_at, view.origin),
            "dxfattribs": {"layer": "DIMENSIONS"},
        }
        added = self._add(space, what, each, view, given)
        added.render()
        dimension = added.dimension
        if what.feature:
            dimension.set_xdata(STYLE, [(1000, what.feature)])
        return True

    @property
    def _per_metre(self) -> float:
        return 1000.0 if self.unit == "metric" else 1000.0 / 25.4

    def _add(
        self,
        space: Modelspace,
        what: Linear | Diameter | Radius | Angular,
        each: PlacedDimension,
        view: PlacedView,
        given: dict[str, Any],
    ) -> Any:
        def true(point: Point) -> tuple[float, float]:
            return self._at(view.on_paper(point))

        k = 1000.0 * view.scale * self.factor
        if space.doc is not None and STYLE not in space.doc.appids:
            space.doc.appids.add(STYLE)
        match what:
            case Linear(side="leader"):
                given["override"]["dimtmove"] = 1
                base = true(what.start)
                angle = 90.0 if what.direction == "vertical" else 0.0
                return space.add_linear_dim(
                    base, true(what.start), true(what.end), angle=angle, **given
                )
            case Linear(direction="aligned"):
                base = self._at(each.line_at, view.origin)
                (x0, y0), (x1, y1) = what.start, what.end
                angle = math.degrees(math.atan2(y1 - y0, x1 - x0))
                return space.add_linear_dim(
                    base, true(what.start), true(what.end), angle=angle, **given
                )
            case Linear():
                base = self._at(each.line_at, view.origin)
                angle = 90.0 if what.direction == "vertical" else 0.0
                return space.add_linear_dim(
                    base, true(what.start), true(what.end), angle=angle, **given
                )
            case Diameter():
                return space.add_diameter_dim(true(what.centre), radius=k * what.radius, **given)
            case Radius():
                return space.add_radius_dim(true(what.centre), radius=k * what.radius, **given)
            case Angular():
                arc = math.dist(self._at(each.line_at, view.origin), true(what.vertex))
                return space.add_angular_dim_cra(
                    true(what.vertex),
                    k * what.radius,
                    math.degrees(what.start_angle),
                    math.degrees(what.end_angle),
                    arc - k * what.radius,
                    **given,
                )

    def _stroke(self, space: Modelspace, stroke: Stroke, origin: Point, layer: str) -> None:
        points = [self._at(point, origin) for point in stroke.points]
        on = {"layer": layer}
        if stroke.filled and len(points) == 3:
            space.add_solid([*points, points[-1]], dxfattribs=on)
        elif len(points) == 2:
            space.add_line(points[0], points[1], dxfattribs=on)
        else:
            space.add_lwpolyline(points, close=stroke.closed, dxfattribs=on)

    def _words(self, space: Modelspace, words: Words, origin: Point) -> None:
        if not words.text:
            return
        space.add_text(
            words.text,
            height=words.height * self.factor,
            rotation=90.0 if words.turned else 0.0,
            dxfattribs={
                "layer": "TEXT",
                "style": STYLE,
                "insert": self._at(words.at, origin),
            },
        )


def _text(dimension: Dimension, says: tuple[Wording, ...], units: Units) -> str:
    """The text of a dimension; ``<>`` where the program may write what it measures."""
    leading, *others = says
    live = leading.live and not _near_a_tie(leading)
    figure = "<>" if live else leading.figure
    prefix = leading.prefix
    if live and isinstance(dimension, Radius | Diameter):
        # A program puts the sign of a radius or a diameter before what it measures.
        prefix = prefix.removesuffix("R").removesuffix("Ø")
    text = f"{prefix}{figure}{_limits(leading)}{leading.ending}"
    for unit, other in zip(units_of(units)[1:], others, strict=False):
        text += f" [{other.plain} {SUFFIX[unit]}]"
    return f"{text} (odds poor)" if dimension.doubtful else text


def _limits(wording: Wording) -> str:
    if wording.upper and wording.lower:
        return f" {{\\H0.7x;\\S{wording.upper}^ {wording.lower};}}"
    return f" {wording.upper}" if wording.upper else ""


def _near_a_tie(wording: Wording) -> bool:
    """Whether two programs might round it to different last figures."""
    steps = abs(wording.number) * 10.0**wording.decimals
    return abs(steps - math.floor(steps) - 0.5) < _NEAR_A_TIE * max(steps, 1.0)


def _layer(kind: str) -> str:
    return kind.upper().replace(" ", "_")
