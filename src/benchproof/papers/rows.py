"""Dimension lines in rows about a view: small ones near, large ones outside, text in the clear.

A figure stands over the middle of its line where it fits, else beyond one end of it, else at the
end of all lines on its side. Small spans go to the nearer rows, so that extension lines of the
larger ones need cross nothing; a figure never stands where one still to come will pass.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from benchproof.drawing import Linear, Point
from benchproof.papers.boxes import Board, Box, Segment, segments
from benchproof.papers.labels import Label, label_of
from benchproof.papers.placed import PlacedDimension, Stroke, arrow
from benchproof.papers.wording import Units, spoken, wordings

Side = Literal["below", "above", "left", "right"]
_LIMIT = 60
_FAR = 400.0
_TOUCH = 1e-6


class NoRoom(Exception):
    """What is to be drawn does not fit; ``reason`` says what."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True)
class Hand:
    """Sizes of the drawing hand [mm]: lettering, arrow heads, clearances."""

    lettering: float
    units: Units

    @property
    def arrow(self) -> float:
        """Length of an arrow head."""
        return 1.0 * self.lettering

    @property
    def first_row(self) -> float:
        """From the outline to the nearest dimension line."""
        return 2.0 * self.lettering

    @property
    def over_line(self) -> float:
        """From a line to the figure over it."""
        return 0.25 * self.lettering


@dataclass
class _Waiting:
    """A dimension not yet placed, along and away from its side of the view."""

    dimension: Linear
    label: Label
    low: float
    high: float
    feet: tuple[float, float]


def side_of(dimension: Linear) -> Side:
    """Side of the view a linear dimension stands on, whatever was asked of the wrong axis."""
    if dimension.direction == "vertical":
        return dimension.side if dimension.side in {"left", "right"} else "right"
    return dimension.side if dimension.side in {"above", "below"} else "below"


def place_rows(
    dimensions: Sequence[Linear], side: Side, scale: float, outline: Box, hand: Hand, board: Board
) -> list[PlacedDimension]:
    """Place every linear dimension of one side; raises NoRoom where it cannot be done."""
    if not dimensions:
        return []
    frame = _Frame(side, outline)
    waiting = [_waiting(each, frame, scale, hand) for each in dimensions]
    waiting.sort(key=lambda each: (each.high - each.low, each.low))
    pitch = max(each.label.height for each in waiting) + 2.0 * hand.over_line + 0.3 * hand.lettering
    first = max(hand.first_row, pitch + 0.5 * hand.lettering if frame.inner else hand.first_row)
    found: list[PlacedDimension] = []
    for row in range(_LIMIT):
        if not waiting:
            return found
        away = first + row * pitch
        before = len(waiting)
        taken: list[tuple[float, float]] = []
        for each in list(waiting):
            others = [other for other in waiting if other is not each]
            placed = _try(each, others, taken, away, frame, hand, board, near=True)
            if placed is not None:
                waiting.remove(each)
                found.append(placed)
        if waiting and len(waiting) == before:
            placed = _try(waiting[0], waiting[1:], taken, away, frame, hand, board, near=False)
            if placed is not None:
                found.append(placed)
                waiting.pop(0)
    if waiting:
        raise NoRoom(f"{len(waiting)} dimensions {side} the view find no place")
    return found


class _Frame:
    """Along and away from one side of the outline, to paper and back."""

    def __init__(self, side: Side, outline: Box) -> None:
        self.side = side
        self.flat = side in {"below", "above"}
        # Where the figure stands: between part and line, or beyond the line.
        self.inner = side in {"below", "right"}
        self.edge = {
            "below": outline[1],
            "above": outline[3],
            "left": outline[0],
            "right": outline[2],
        }[side]
        self.outward = 1.0 if side in {"above", "right"} else -1.0

    def paper(self, along: float, away: float) -> Point:
        """Point at ``along`` and ``away`` from the edge."""
        level = self.edge + self.outward * away
        return (along, level) if self.flat else (level, along)

    def along(self, point: Point) -> float:
        """Co-ordinate of a point along the side."""
        return point[0] if self.flat else point[1]

    def away(self, point: Point) -> float:
        """How far a point lies beyond the edge; negative within the outline."""
        return self.outward * ((point[1] if self.flat else point[0]) - self.edge)


def _waiting(dimension: Linear, frame: _Frame, scale: float, hand: Hand) -> _Waiting:
    k = 1000.0 * scale
    ends = sorted(((k * p[0], k * p[1]) for p in (dimension.start, dimension.end)), key=frame.along)
    return _Waiting(
        dimension,
        label_of(dimension, hand.units, hand.lettering),
        frame.along(ends[0]),
        frame.along(ends[1]),
        (frame.away(ends[0]), frame.away(ends[1])),
    )


def _extensions(each: _Waiting, away: float, frame: _Frame, hand: Hand) -> list[Segment]:
    """Extension lines, a little clear of the outline and a little past the dimension line."""
    gap, past = 0.3 * hand.lettering, 0.6 * hand.lettering
    return [
        (frame.paper(along, foot + gap), frame.paper(along, away + past))
        for along, foot in ((each.low, each.feet[0]), (each.high, each.feet[1]))
        if away + past > foot + gap
    ]


def _try(
    each: _Waiting,
    others: Sequence[_Waiting],
    taken: list[tuple[float, float]],
    away: float,
    frame: _Frame,
    hand: Hand,
    board: Board,
    *,
    near: bool,
) -> PlacedDimension | None:
    """Set a dimension in a row if its figure and lines are in nobody's way there.

    ``taken``: how far the spans and figures already in the row reach; two may meet, no more.
    """
    to_come = [line for other in others for line in _extensions(other, _FAR, frame, hand)]
    width, span = each.label.width, each.high - each.low
    # Two arrow heads and a little line between them, or they point from outside.
    inside = span >= 2.6 * hand.arrow
    tail = 2.2 * hand.arrow
    low, high = (each.low, each.high) if inside else (each.low - tail, each.high + tail)
    places: list[tuple[float, float, float]] = []  # start of the figure, ends of the line
    if near and width + 0.1 * hand.lettering <= span:
        places.append((0.5 * (each.low + each.high - width), low, high))
    elif near:
        places.append((each.high + tail, low, each.high + tail + width))
        places.append((each.low - tail - width, each.low - tail - width, high))
    else:
        ends = [end for other in others for end in (other.low, other.high)]
        highest, lowest = max([each.high, *ends]), min([each.low, *ends])
        for step in range(4):
            further = tail + 4.0 * step * hand.lettering
            start = highest + further
            places.append((start, low, start + width))
            start = lowest - further - width
            places.append((start, start, high))
    for start, low, high in places:
        # The tails behind arrow heads that point inwards may run on into a neighbour's line.
        reach = (min(each.low, start), max(each.high, start + width))
        if any(reach[0] < end - _TOUCH and begin + _TOUCH < reach[1] for begin, end in taken):
            continue
        drawn = _drawn(each, (start, low, high), away, frame, hand, board, arrows_inside=inside)
        strokes = [
            s for stroke in drawn.strokes if not stroke.filled for s in segments(stroke.points)
        ]
        if board.free(drawn.box, strokes, also=to_come):
            board.put(drawn.box, strokes)
            taken.append(reach)
            return drawn
    return None


def _drawn(
    each: _Waiting,
    place: tuple[float, float, float],
    away: float,
    frame: _Frame,
    hand: Hand,
    board: Board,
    *,
    arrows_inside: bool,
) -> PlacedDimension:
    start, low, high = place
    label = _over_the_line(each.label, start, away, frame, hand)
    lines = [(frame.paper(low, away), frame.paper(high, away))]
    lines += [e for e in _extensions(each, away, frame, hand) if not board.drawn_already(e)]
    rising = 0.0 if frame.flat else math.pi / 2
    turn = 0.0 if arrows_inside else math.pi
    heads = (
        arrow(frame.paper(each.low, away), rising + math.pi + turn, hand.arrow),
        arrow(frame.paper(each.high, away), rising + turn, hand.arrow),
    )
    box = label.box
    return PlacedDimension(
        each.dimension,
        (*(Stroke(line) for line in lines), *heads, *label.strokes),
        label.words,
        box,
        frame.paper(0.5 * (each.low + each.high), away),
        (0.5 * (box[0] + box[2]), 0.5 * (box[1] + box[3])),
        turned=not frame.flat,
        says=wordings(each.dimension, hand.units),
        spoken=spoken(each.dimension, hand.units),
    )


def _over_the_line(label: Label, start: float, away: float, frame: _Frame, hand: Hand) -> Label:
    """The figure over its line as read from below, or from the right for upright lines."""
    line = frame.edge + frame.outward * away
    if frame.flat:
        return label.at((start, line + hand.over_line))
    return label.at((line - hand.over_line, start), turned=True)
