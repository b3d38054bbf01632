"""Distances on the slant: a line parallel to what it measures, its figure level beside it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from benchproof.drawing import Linear
from benchproof.papers.boxes import Board
from benchproof.papers.labels import label_of
from benchproof.papers.placed import PlacedDimension, Stroke, arrow
from benchproof.papers.rows import Hand, NoRoom
from benchproof.papers.wording import spoken, wordings


def place_aligned(
    dimensions: Sequence[Linear], scale: float, hand: Hand, board: Board
) -> list[PlacedDimension]:
    """Place slanting dimensions, nearest first; raises NoRoom where one finds no place."""
    return [_place(each, 1000.0 * scale, hand, board) for each in dimensions]


def _place(dimension: Linear, k: float, hand: Hand, board: Board) -> PlacedDimension:
    label = label_of(dimension, hand.units, hand.lettering)
    start = (k * dimension.start[0], k * dimension.start[1])
    end = (k * dimension.end[0], k * dimension.end[1])
    rising = math.atan2(end[1] - start[1], end[0] - start[0])
    normal = (-math.sin(rising), math.cos(rising))
    downward = normal[1] < 0.0 or (normal[1] == 0.0 and normal[0] < 0.0)
    if (dimension.side in {"above", "right"}) == downward:
        normal = (-normal[0], -normal[1])
    reach = 0.5 * (abs(normal[0]) * label.width + abs(normal[1]) * label.height) + hand.over_line
    for step in range(40):
        away = hand.first_row + step * hand.lettering
        first, last = ((p[0] + away * normal[0], p[1] + away * normal[1]) for p in (start, end))
        middle = (0.5 * (first[0] + last[0]), 0.5 * (first[1] + last[1]))
        centre = (middle[0] + reach * normal[0], middle[1] + reach * normal[1])
        placed = label.at((centre[0] - 0.5 * label.width, centre[1] - 0.5 * label.height))
        past = 0.6 * hand.lettering
        lines = [(first, last)]
        lines += [
            (p, (q[0] + past * normal[0], q[1] + past * normal[1]))
            for p, q in ((start, first), (end, last))
        ]
        if not board.free(placed.box, lines):
            continue
        board.put(placed.box, lines)
        turn = 0.0 if math.dist(start, end) > 2.6 * hand.arrow else math.pi
        heads = (
            arrow(first, rising + math.pi + turn, hand.arrow),
            arrow(last, rising + turn, hand.arrow),
        )
        return PlacedDimension(
            dimension,
            (*(Stroke(line) for line in lines), *heads, *placed.strokes),
            placed.words,
            placed.box,
            middle,
            centre,
            says=wordings(dimension, hand.units),
            spoken=spoken(dimension, hand.units),
        )
    raise NoRoom(f"no place for {spoken(dimension, hand.units)!r}")
