"""The title block after ISO 7200, the notes beside it, the frame, and the projection's sign."""

from __future__ import annotations

import math
from dataclasses import dataclass

from benchproof.drawing import Drawing
from benchproof.papers.boxes import Box
from benchproof.papers.lettering import shortened, width_of, wrapped
from benchproof.papers.placed import Stroke, Words
from benchproof.papers.wording import Units

CAPTION = 1.8  # [mm], the smallest lettering of ISO 3098
WIDEST = 180.0  # [mm], ISO 7200
_SAY_UNITS = {
    "metric": "millimetres",
    "inch": "inches",
    "both": "millimetres [inches]",
}


@dataclass(frozen=True)
class TitleBlock:
    """What the title block says beyond the drawing itself; what is empty is left out."""

    engine: str = ""
    drawn_by: str = ""
    date: str = ""


@dataclass(frozen=True)
class Furniture:
    """All about the views on a sheet: strokes and words, and the box that is left for views."""

    strokes: tuple[Stroke, ...]
    words: tuple[Words, ...]
    left: Box


@dataclass(frozen=True)
class _Cell:
    caption: str
    value: str
    share: float


def furnish(
    drawing: Drawing,
    block: TitleBlock,
    *,
    width: float,
    height: float,
    frame: Box,
    lettering: float,
    units: Units,
    scale: str,
    sheet: str,
) -> Furniture:
    """Frame, title block and notes of a sheet; what is left of the frame is for the views."""
    strokes = [
        Stroke(_corners(frame), "frame", closed=True),
        Stroke(_corners((0.0, 0.0, width, height)), "border", closed=True),
    ]
    words: list[Words] = []
    wide = min(WIDEST, frame[2] - frame[0])
    rows = _rows(drawing, block, units, scale, sheet, wide)
    tall = CAPTION + lettering + 3.4
    if any(_long(cell, wide) for row in rows for cell in row):
        tall += CAPTION
    corner = (frame[2] - wide, frame[1])
    for number, row in enumerate(reversed(rows)):
        foot = corner[1] + number * tall
        strokes.append(Stroke(((corner[0], foot + tall), (frame[2], foot + tall)), "frame"))
        x = corner[0]
        for place, cell in enumerate(row):
            cell_width = cell.share * wide
            if place:
                strokes.append(Stroke(((x, foot), (x, foot + tall)), "thin"))
            if cell.caption == "projection":
                strokes += _projection(drawing, (x + 0.5 * cell_width, foot + 0.5 * tall), tall)
            elif cell.value:
                words += _cell(cell, (x, foot), cell_width, tall, lettering)
            x += cell_width
    block_top = corner[1] + len(rows) * tall
    if corner[0] > frame[0]:
        strokes.append(Stroke((corner, (corner[0], block_top)), "frame"))
    bottom = _notes(drawing, words, frame, corner[0], block_top, lettering)
    margin = 1.5 * lettering
    left = (frame[0] + margin, bottom + margin, frame[2] - margin, frame[3] - margin)
    return Furniture(tuple(strokes), tuple(words), left)


def _rows(
    drawing: Drawing, block: TitleBlock, units: Units, scale: str, sheet: str, wide: float
) -> list[list[_Cell]]:
    """Cells of the block: two rows where it is wide, three where it is not."""
    title = _Cell("title", drawing.title, 0.0)
    number, page = _Cell("drawing", drawing.number, 0.0), _Cell("sheet", sheet, 0.0)
    material = _Cell("material", drawing.material, 0.0)
    said = [
        _Cell("scale", scale, 0.0),
        _Cell("projection", "", 0.0),
        _Cell("sizes in", _SAY_UNITS[units], 0.0),
    ]
    engine, quantity = _Cell("engine", block.engine, 0.0), _Cell("wanted", drawing.quantity, 0.0)
    drawn = _Cell("drawn by", block.drawn_by, 0.0)
    date = _Cell("date", block.date, 0.0)
    if wide >= 170.0:
        return [
            _shared([title, engine, number, date, page], (38, 24, 14, 14, 10)),
            _shared([material, quantity, drawn, *said], (30, 12, 16, 10, 10, 22)),
        ]
    rows = [
        _shared([title, number, page], (62, 22, 16)),
        _shared([material, *said], (38, 14, 14, 34)),
        _shared([engine, quantity, drawn, date], (36, 18, 22, 24)),
    ]
    return [row for row in rows if row]


def _shared(cells: list[_Cell], shares: tuple[int, ...]) -> list[_Cell]:
    """Cells that say something, the row shared out among them."""
    said = [
        (cell, share)
        for cell, share in zip(cells, shares, strict=True)
        if cell.value or cell.caption == "projection"
    ]
    whole = sum(share for _, share in said)
    return [_Cell(cell.caption, cell.value, share / whole) for cell, share in said]


def _long(cell: _Cell, wide: float) -> bool:
    """Whether what a cell says takes two lines of the smallest lettering."""
    return width_of(cell.value, CAPTION) > cell.share * wide - 2.4


def _cell(
    cell: _Cell, corner: tuple[float, float], width: float, tall: float, lettering: float
) -> list[Words]:
    inside = width - 2.4
    caption = Words(
        (corner[0] + 1.2, corner[1] + tall - 0.6 - 1.1 * CAPTION),
        shortened(cell.caption, CAPTION, inside),
        CAPTION,
        role="caption",
    )
    if _long(cell, width / cell.share):
        lines = wrapped(cell.value, CAPTION, inside)[:2]
        return [
            caption,
            *(
                Words(
                    (corner[0] + 1.2, corner[1] + 0.9 + (1 - place) * 1.45 * CAPTION),
                    shortened(line, CAPTION, inside),
                    CAPTION,
                    role="value",
                )
                for place, line in enumerate(lines)
            ),
        ]
    height = lettering
    while height > CAPTION and Words((0, 0), cell.value, height).width > inside:
        height -= 0.1
    value = Words(
        (corner[0] + 1.2, corner[1] + 0.45 * lettering),
        shortened(cell.value, height, inside),
        height,
        role="value",
    )
    return [caption, value]


def _notes(
    drawing: Drawing,
    words: list[Words],
    frame: Box,
    block_left: float,
    block_top: float,
    lettering: float,
) -> float:
    """Letter the notes beside the block where there is room, else above it; the views' floor."""
    notes = list(drawing.notes)
    if drawing.doubtful:
        notes.append("A flag marks a size whose odds of coming right are poor.")
    if not notes:
        return block_top
    height = max(CAPTION, 0.8 * lettering)
    pitch = 1.6 * height
    beside = block_left - frame[0] >= 60.0
    room = (block_left if beside else frame[2]) - frame[0] - 4.0
    lines: list[tuple[float, str]] = []
    indent = 1.6 * height
    for number, note in enumerate(notes, start=1):
        for place, line in enumerate(wrapped(note, height, room - indent)):
            if place == 0 and len(notes) > 1:
                lines.append((0.0, f"{number}"))
                lines.append((indent, line))
            else:
                lines.append((indent if len(notes) > 1 else 0.0, line))
    foot = frame[1] if beside else block_top
    rows = sum(1 for x, text in lines if not (x == 0.0 and text.isdigit()))
    y = foot + 2.0 + rows * pitch
    for x, text in lines:
        if x == 0.0 and text.isdigit():
            words.append(Words((frame[0] + 2.0, y - pitch), text, height, role="note"))
            continue
        y -= pitch
        words.append(Words((frame[0] + 2.0 + x, y), text, height, role="note"))
    return max(block_top, foot + 2.0 + rows * pitch)


def _projection(drawing: Drawing, centre: tuple[float, float], tall: float) -> list[Stroke]:
    """A cone from the side and from its small end, as the projection sets them (ISO 5456-2)."""
    unit = 0.28 * tall
    across = 1.15 * unit if drawing.projection == "first angle" else -1.15 * unit
    x, y = centre
    cone = (x - across - unit, y), (x - across + unit, y)
    circle = (x + across + (0.2 * unit if across > 0 else -0.2 * unit), y)
    (left, _), (right, _) = cone
    small, large = 0.45 * unit, 0.9 * unit
    return [
        Stroke(
            ((left, y - small), (right, y - large), (right, y + large), (left, y + small)),
            "symbol",
            closed=True,
        ),
        Stroke(_ring(circle, small), "symbol", closed=True),
        Stroke(_ring(circle, large), "symbol", closed=True),
    ]


def _ring(centre: tuple[float, float], radius: float) -> tuple[tuple[float, float], ...]:
    return tuple(
        (
            centre[0] + radius * math.cos(math.pi * n / 16),
            centre[1] + radius * math.sin(math.pi * n / 16),
        )
        for n in range(32)
    )


def _corners(box: Box) -> tuple[tuple[float, float], ...]:
    left, bottom, right, top = box
    return ((left, bottom), (right, bottom), (right, top), (left, top))
