"""The lettering of one dimension or mark as a block: figures, stacked limits, flag, frame."""

from __future__ import annotations

from dataclasses import dataclass

from benchproof.drawing import Datum, Dimension, Finish, Mark, Note, Point
from benchproof.papers.boxes import Box, around, box_of
from benchproof.papers.lettering import ASCENT, DESCENT, width_of, wrapped
from benchproof.papers.placed import Stroke, Words
from benchproof.papers.wording import Units, Wording, finish_text, units_of, wordings

SMALL = 0.7  # limits and second units are written smaller by this much
_LONGEST_NOTE = 24.0  # a note is wrapped at this many capital heights


@dataclass(frozen=True)
class Label:
    """Lettering about the left end of its lowest base line [mm], not yet turned or placed."""

    words: tuple[Words, ...]
    strokes: tuple[Stroke, ...]
    box: Box

    @property
    def width(self) -> float:
        """Width of the block [mm]."""
        return self.box[2] - self.box[0]

    @property
    def height(self) -> float:
        """Height of the block [mm]."""
        return self.box[3] - self.box[1]

    def at(self, corner: Point, *, turned: bool = False) -> Label:
        """Return the block with its lower left corner at a point; turned, its first corner."""

        def place(point: Point) -> Point:
            x, y = point[0] - self.box[0], point[1] - self.box[1]
            return (corner[0] - y, corner[1] + x) if turned else (corner[0] + x, corner[1] + y)

        words = tuple(
            Words(place(each.at), each.text, each.height, turned, each.role) for each in self.words
        )
        strokes = tuple(
            Stroke(tuple(place(p) for p in each.points), each.kind, each.closed, each.filled)
            for each in self.strokes
        )
        x, y = corner
        box = (
            (x - self.height, y, x, y + self.width)
            if turned
            else (x, y, x + self.width, y + self.height)
        )
        return Label(words, strokes, box)


def label_of(what: Dimension | Mark, units: Units, height: float) -> Label:
    """Lettering of a dimension or a mark with capitals ``height`` high [mm]."""
    match what:
        case Finish():
            return _finish(what, units, height)
        case Datum():
            return _datum(what, height)
        case Note():
            return _note(what.text, height)
        case _:
            return _figures(what, units, height)


def _figures(dimension: Dimension, units: Units, height: float) -> Label:
    """Leading units above, the others in brackets below them, a flag where odds are poor."""
    rows: list[list[Words]] = []
    bottom = 0.0
    for place, wording in reversed(list(enumerate(wordings(dimension, units)))):
        size = height if place == 0 else SMALL * height
        row = _line(wording, size, bottom, bracketed=place > 0)
        rows.append(row)
        bottom = max(each.box[3] for each in row) + (DESCENT + 0.1) * height
    wide = max(each.box[2] for row in rows for each in row)
    words: list[Words] = []
    for row in reversed(rows):
        off = 0.5 * (wide - max(each.box[2] for each in row))
        words += [
            Words((each.at[0] + off, each.at[1]), each.text, each.height, role=each.role)
            for each in row
        ]
    strokes: list[Stroke] = []
    box = around([each.box for each in words])
    if dimension.doubtful:
        start, foot = words[0].at
        strokes += _flag((start - 1.4 * height, foot), height)
        box = around([box, (start - 1.4 * height, foot - 0.1 * height, start, foot + height)])
    if dimension.off_scale:
        line = box[1] + 0.05 * height
        strokes.append(Stroke(((box[0], line), (box[2], line)), "symbol"))
    return Label(tuple(words), tuple(strokes), box)


def _line(wording: Wording, size: float, bottom: float, *, bracketed: bool) -> list[Words]:
    """One line of figures; unequal limits stand over one another."""
    left, right = ("[", "]") if bracketed else ("", "")
    main = f"{left}{wording.prefix}{wording.figure}"
    if wording.upper and not wording.lower:
        text = f"{main} {wording.upper}{wording.ending}{right}"
        return [Words((0.0, bottom), text, size, role="figure")]
    if not wording.upper:
        text = f"{main}{wording.ending}{right}"
        return [Words((0.0, bottom), text, size, role="figure")]
    small = SMALL * size
    # The lower limit hangs a little below the base line, the upper stands clear above it.
    base = bottom + 0.25 * small
    words = [Words((0.0, base), main, size, role="figure")]
    x = width_of(main, size) + 0.35 * size
    low, high = base - 0.25 * small, base - 0.25 * small + (ASCENT + DESCENT) * small
    for text, level, role in ((wording.upper, high, "upper"), (wording.lower, low, "lower")):
        # A bare nought stands under the first figure, not under the sign.
        sign = width_of("+", small) if text == "0" else 0.0
        words.append(Words((x + sign, level), text, small, role=role))
    ending = f"{wording.ending}{right}"
    if ending:
        x += max(width_of(wording.upper, small), width_of(wording.lower, small)) + 0.1 * size
        words.append(Words((x, base), ending, size, role="ending"))
    return words


def _flag(foot: Point, height: float) -> list[Stroke]:
    """A pennant on a pole: the odds of holding this size are poor."""
    x, y = foot[0] + 0.15 * height, foot[1]
    return [
        Stroke(((x, y - 0.1 * height), (x, y + height)), "symbol"),
        Stroke(
            ((x, y + height), (x + 0.85 * height, y + 0.72 * height), (x, y + 0.44 * height)),
            "symbol",
            closed=True,
            filled=True,
        ),
    ]


def _finish(finish: Finish, units: Units, height: float) -> Label:
    """The tick of ISO 21920-1 with the bar that says metal is taken off."""
    leading = units_of(units)[0]
    text = finish_text(finish, leading)
    tick = Stroke(
        (
            (0.0, 0.7 * height),
            (0.45 * height, 0.0),
            (1.35 * height, 1.5 * height),
            (1.35 * height + width_of(text, SMALL * height) + 0.6 * height, 1.5 * height),
        ),
        "symbol",
    )
    bar = Stroke(((0.0, 0.7 * height), (0.87 * height, 0.7 * height)), "symbol")
    words = Words((1.6 * height, 0.35 * height), text, SMALL * height, role="finish")
    box = box_of([(0.0, 0.0), (words.box[2], 1.6 * height), words.box[:2]])
    return Label((words,), (tick, bar), box)


def _datum(datum: Datum, height: float) -> Label:
    side = 2.0 * height
    words = Words(
        (0.5 * (side - width_of(datum.letter, height)), 0.5 * height),
        datum.letter,
        height,
        role="datum",
    )
    frame = Stroke(((0.0, 0.0), (side, 0.0), (side, side), (0.0, side)), "symbol", closed=True)
    return Label((words,), (frame,), (0.0, 0.0, side, side))


def _note(text: str, height: float) -> Label:
    lines = wrapped(text, height, _LONGEST_NOTE * height)
    pitch = 1.55 * height
    words = tuple(
        Words((0.0, pitch * (len(lines) - 1 - place)), line, height, role="note")
        for place, line in enumerate(lines)
    )
    boxes = [each.box for each in words]
    corners = [(b[0], b[1]) for b in boxes] + [(b[2], b[3]) for b in boxes]
    return Label(words, (), box_of(corners))
