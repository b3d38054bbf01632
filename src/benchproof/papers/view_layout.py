"""One view at one scale: its dimensions, callouts and caption about it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeGuard

from benchproof.drawing import Angular, Arc, Circle, Dimension, Line, Linear, Mark, Polyline, View
from benchproof.drawing.geometry import arc_points
from benchproof.papers.aligned import place_aligned
from benchproof.papers.boxes import Board, Box, Segment, around, box_of, grown, segments
from benchproof.papers.callouts import place_angles, place_callouts, target
from benchproof.papers.details import Circled
from benchproof.papers.lettering import width_of
from benchproof.papers.placed import PlacedDimension, PlacedView, Stroke, Words, scale_text
from benchproof.papers.rows import Hand, NoRoom, Side, place_rows, side_of

_SIDES: tuple[Side, ...] = ("below", "above", "left", "right")
_LEAST_CIRCLE = 3.0  # [mm] on paper


def lay_view(
    view: View,
    scale: float,
    hand: Hand,
    *,
    circled: Sequence[Circled] = (),
    say_scale: bool = False,
) -> PlacedView:
    """Place all of a view about its own origin; raises NoRoom where something finds no place.

    ``circled``: where details are taken from it. ``say_scale``: its scale is not the sheet's.
    """
    k = 1000.0 * scale
    left, bottom, right, top = view.box
    outline = (k * left, k * bottom, k * right, k * top)
    board = Board(strokes=_strokes(view, k), gap=0.25 * hand.lettering)
    rest: list[Dimension | Mark] = [
        *(e for e in view.dimensions if not (_in_rows(e) or _slanting(e) or _angular(e))),
        *view.marks,
    ]
    # No lettering may cover what a leader has still to point at.
    board.put(None, [(tip, tip) for tip in (target(each, k) for each in rest)])
    placed: list[PlacedDimension] = []
    straight = [each for each in view.dimensions if _in_rows(each)]
    for side in _SIDES:
        row = [each for each in straight if side_of(each) == side]
        placed += place_rows(row, side, scale, outline, hand, board)
    placed += place_angles([e for e in view.dimensions if _angular(e)], scale, hand, board)
    placed += place_aligned(
        [each for each in view.dimensions if _slanting(each)], scale, hand, board
    )
    placed += place_callouts(rest, scale, outline, hand, board)
    placed += [_circle(each, k, hand, board) for each in circled]
    taken = around([outline, *(each.box for each in placed), *_stroke_boxes(placed)])
    caption = _caption(view, scale, outline, hand, board, say_scale=say_scale)
    return PlacedView(
        view, scale, (0.0, 0.0), around([taken, caption.box]), tuple(placed), (caption,)
    )


def _in_rows(dimension: Dimension) -> TypeGuard[Linear]:
    return (
        isinstance(dimension, Linear)
        and dimension.side != "leader"
        and dimension.direction != "aligned"
    )


def _angular(dimension: Dimension) -> TypeGuard[Angular]:
    return isinstance(dimension, Angular)


def _slanting(dimension: Dimension) -> TypeGuard[Linear]:
    return (
        isinstance(dimension, Linear)
        and dimension.side != "leader"
        and dimension.direction == "aligned"
    )


def _strokes(view: View, k: float) -> list[Segment]:
    """Outlines on paper, for lettering to keep clear of."""
    found: list[Segment] = []
    for shape in view.shapes:
        match shape:
            case Line():
                points = [shape.start, shape.end]
            case Polyline():
                points = [*shape.points, shape.points[0]] if shape.closed else [*shape.points]
            case Arc():
                points = [*arc_points(shape)]
            case Circle():
                points = [*arc_points(Arc(shape.centre, shape.radius, 0.0, 2.0 * math.pi))]
            case _:
                continue
        found += segments([(k * x, k * y) for x, y in points])
    return found


def _circle(circled: Circled, k: float, hand: Hand, board: Board) -> PlacedDimension:
    """A thin circle about a detail's place and its letter beside it."""
    centre = (k * circled.centre[0], k * circled.centre[1])
    radius = max(k * circled.radius, _LEAST_CIRCLE)
    ring = tuple(
        (
            centre[0] + radius * math.cos(math.pi * n / 18),
            centre[1] + radius * math.sin(math.pi * n / 18),
        )
        for n in range(37)
    )
    height = 1.2 * hand.lettering
    for tries in range(144):
        angle = math.pi * (0.25 + tries / 12)
        away = radius + (1.0 + 0.5 * (tries // 24)) * height
        at = (
            centre[0] + away * math.cos(angle) - 0.5 * width_of(circled.letter, height),
            centre[1] + away * math.sin(angle) - 0.5 * height,
        )
        letter = Words(at, circled.letter, height, role="detail")
        if board.free(letter.box):
            board.put(letter.box, ())
            return PlacedDimension(
                None,
                (Stroke(ring, closed=True),),
                (letter,),
                letter.box,
                centre,
                at,
                spoken=f"detail {circled.letter} is taken here",
            )
    raise NoRoom(f"no place for the letter of detail {circled.letter}")


def _stroke_boxes(placed: Sequence[PlacedDimension]) -> list[Box]:
    return [box_of(stroke.points) for each in placed for stroke in each.strokes]


def _caption(
    view: View, scale: float, outline: Box, hand: Hand, board: Board, *, say_scale: bool
) -> Words:
    """The view's name over it, as near as what stands there lets it."""
    text = view.title
    if view.kind == "scheme":
        text = f"{text} (not to scale)"
    elif say_scale:
        text = f"{text} ({scale_text(scale)})"
    height = hand.lettering
    x = 0.5 * (outline[0] + outline[2]) - 0.5 * width_of(text, height)
    level = outline[3] + 1.6 * height
    while True:
        words = Words((x, level), text, height, role="caption")
        if board.free(grown(words.box, 0.5 * height)):
            return words
        level += 0.5 * height
