"""A sheet as SVG: real text, a title and a description for every view and every dimension.

Sizes on paper are millimetres. Ink takes the colour of the text about it (``currentColor``), so
that a screen may set its own. Nothing is styled by a style sheet: what is drawn looks the same
inline, as a picture and in print, and asks for nothing from outside.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Iterator, Sequence
from xml.sax.saxutils import escape, quoteattr

from benchproof.drawing import Arc, Circle, Hatched, Line, LineKind, Point, Polyline
from benchproof.papers.boxes import Segment
from benchproof.papers.hatching import hatch_lines
from benchproof.papers.lettering import FONTS, type_size
from benchproof.papers.placed import PlacedDimension, PlacedView, Sheet, Stroke, Words, scale_text

# Line kinds of ISO 128-2 as (wide?, dashes and gaps in line widths), as the standard has them.
LINES: dict[str, tuple[bool, tuple[float, ...]]] = {
    "visible": (True, ()),
    "hidden": (False, (12.0, 3.0)),
    "centre": (False, (24.0, 3.0, 0.5, 3.0)),
    "thin": (False, ()),
    "break": (False, ()),
    "cutting plane": (True, (24.0, 3.0, 0.5, 3.0)),
    "phantom": (False, (24.0, 3.0, 0.5, 3.0, 0.5, 3.0)),
}


def svg(sheet: Sheet, *, prefix: str = "", font_family: str = FONTS) -> str:
    """Text of an SVG file of one sheet.

    ``prefix`` keeps ids apart where several sheets stand in one page.
    """
    return "\n".join(_document(sheet, prefix or _prefix(sheet), font_family)) + "\n"


def described(sheet: Sheet) -> str:
    """All sizes of a sheet in a paragraph, for those who cannot see the picture."""
    told = [f"{sheet.drawing.title}, scale {scale_text(sheet.scale)}."]
    for view in sheet.views:
        said = "; ".join(each.spoken for each in view.dimensions if each.spoken)
        told.append(f"{view.view.title} ({view.view.kind}): {said or 'no dimensions'}.")
    return " ".join(told)


def _document(sheet: Sheet, prefix: str, font_family: str) -> Iterator[str]:
    width, height = _n(sheet.width), _n(sheet.height)
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="img" '
        f'aria-labelledby="{prefix}-title {prefix}-desc" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" fill="none" stroke="currentColor" '
        f'stroke-linecap="round" stroke-linejoin="round" stroke-width="{_n(sheet.narrow)}" '
        f"font-family={quoteattr(font_family)}>"
    )
    page = f", sheet {sheet.number} of {sheet.of}" if sheet.of > 1 else ""
    yield f'<title id="{prefix}-title">{escape(sheet.drawing.title + page)}</title>'
    yield f'<desc id="{prefix}-desc">{escape(described(sheet))}</desc>'
    yield '<g class="furniture">'
    yield from _strokes(sheet.strokes, (0.0, 0.0), sheet)
    yield from _words(sheet.words, (0.0, 0.0), sheet)
    yield "</g>"
    for view in sheet.views:
        yield from _view(view, sheet)
    yield "</svg>"


def _view(view: PlacedView, sheet: Sheet) -> Iterator[str]:
    yield f'<g class="view {view.view.kind.replace(" ", "-")}">'
    yield f"<title>{escape(view.view.title)}</title>"
    k = 1000.0 * view.scale
    hatching = [
        line
        for shape in view.view.shapes
        if isinstance(shape, Hatched)
        for line in hatch_lines(shape, k, view.origin, 0.8 * sheet.lettering)
    ]
    if hatching:
        path = "".join(_path(line, sheet) for line in hatching)
        yield f'<path class="hatching" stroke-width="{_n(0.7 * sheet.narrow)}" d="{path}"/>'
    for kind in LINES:
        path = "".join(_outlines(view, kind, sheet))  # type: ignore[arg-type]
        if path:
            yield f'<path class="{kind.replace(" ", "-")}" {_pen(kind, sheet)} d="{path}"/>'
    for each in view.dimensions:
        yield from _dimension(each, view.origin, sheet)
    yield from _words(view.captions, view.origin, sheet)
    yield "</g>"


def _dimension(each: PlacedDimension, origin: Point, sheet: Sheet) -> Iterator[str]:
    what = each.what
    names = ["mark" if what is None else type(what).__name__.lower()]
    feature = getattr(what, "feature", "")
    if getattr(what, "doubtful", False):
        names.append("doubtful")
    data = f" data-feature={quoteattr(feature)}" if feature else ""
    yield f'<g class="dimension {" ".join(names)}"{data}>'
    if each.spoken:
        yield f"<title>{escape(each.spoken)}</title>"
    yield from _strokes(each.strokes, origin, sheet)
    yield from _words(each.words, origin, sheet)
    yield "</g>"


def _strokes(strokes: Iterable[Stroke], origin: Point, sheet: Sheet) -> Iterator[str]:
    groups: dict[str, list[str]] = {}
    for stroke in strokes:
        key: str = "filled" if stroke.filled else stroke.kind
        points = [(origin[0] + x, origin[1] + y) for x, y in stroke.points]
        groups.setdefault(key, []).append(_path(points, sheet, closed=stroke.closed))
    pens = {
        "filled": 'fill="currentColor" stroke="none"',
        "frame": f'stroke-width="{_n(sheet.wide)}"',
        "border": f'stroke-width="{_n(0.5 * sheet.narrow)}"',
    }
    for key, paths in groups.items():
        pen = f" {pens[key]}" if key in pens else ""
        yield f'<path class="{key}"{pen} d="{"".join(paths)}"/>'


def _words(words: Iterable[Words], origin: Point, sheet: Sheet) -> Iterator[str]:
    for each in words:
        if not each.text:
            continue
        x, y = origin[0] + each.at[0], sheet.height - origin[1] - each.at[1]
        turn = f' transform="rotate(-90 {_n(x)} {_n(y)})"' if each.turned else ""
        yield (
            f'<text class="{each.role}" x="{_n(x)}" y="{_n(y)}" '
            f'font-size="{_n(type_size(each.height))}" textLength="{_n(each.width)}" '
            f'lengthAdjust="spacingAndGlyphs" fill="currentColor" stroke="none" '
            f'xml:space="preserve"{turn}>{escape(each.text)}</text>'
        )


def _outlines(view: PlacedView, kind: LineKind, sheet: Sheet) -> Iterator[str]:
    for shape in view.view.shapes:
        if isinstance(shape, Hatched) or shape.kind != kind:
            continue
        match shape:
            case Line():
                yield _path([view.on_paper(shape.start), view.on_paper(shape.end)], sheet)
            case Polyline():
                points = [view.on_paper(point) for point in shape.points]
                yield _path(points, sheet, closed=shape.closed)
            case Circle():
                yield _round(view, shape, sheet)
            case Arc():
                yield _bow(view, shape, sheet)


def _round(view: PlacedView, circle: Circle, sheet: Sheet) -> str:
    x, y = view.on_paper(circle.centre)
    r = _n(1000.0 * view.scale * circle.radius)
    y = sheet.height - y
    left, right = _n(x - float(r)), _n(x + float(r))
    return f"M{left} {_n(y)}A{r} {r} 0 1 0 {right} {_n(y)}A{r} {r} 0 1 0 {left} {_n(y)}Z"


def _bow(view: PlacedView, arc: Arc, sheet: Sheet) -> str:
    ends = [
        view.on_paper(
            (
                arc.centre[0] + arc.radius * math.cos(angle),
                arc.centre[1] + arc.radius * math.sin(angle),
            )
        )
        for angle in (arc.start_angle, arc.end_angle)
    ]
    r = _n(1000.0 * view.scale * arc.radius)
    sweep = arc.end_angle - arc.start_angle
    (x0, y0), (x1, y1) = ends
    large = int(abs(sweep) > math.pi)
    # Counter-clockwise on paper with y up is SVG's negative direction.
    way = 0 if sweep > 0.0 else 1
    return (
        f"M{_n(x0)} {_n(sheet.height - y0)}"
        f"A{r} {r} 0 {large} {way} {_n(x1)} {_n(sheet.height - y1)}"
    )


def _path(points: Sequence[Point] | Segment, sheet: Sheet, *, closed: bool = False) -> str:
    steps = " ".join(f"{_n(x)} {_n(sheet.height - y)}" for x, y in points)
    return f"M{steps}" + ("Z" if closed else "")


def _pen(kind: str, sheet: Sheet) -> str:
    wide, dashes = LINES[kind]
    width = sheet.wide if wide else sheet.narrow
    pen = f'stroke-width="{_n(width)}"'
    if dashes:
        # Round ends add a line's width to every dash, and take it from every gap.
        pen += (
            f' stroke-linecap="butt" stroke-dasharray="{" ".join(_n(d * width) for d in dashes)}"'
        )
    return pen


def _n(number: float) -> str:
    """A number to a hundredth of a pen's width, without zeros that say nothing."""
    text = f"{number:.3f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def _prefix(sheet: Sheet) -> str:
    """An id of letters and digits that the drawing's own title and number settle."""
    told = f"{sheet.drawing.title}|{sheet.drawing.number}|{sheet.number}|{sheet.width}"
    return "d" + hashlib.sha256(told.encode()).hexdigest()[:8]
