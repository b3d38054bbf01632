"""Views on one sheet: about the first as the projection puts them, the rest in shelves below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from benchproof.drawing.views import Projection
from benchproof.papers.boxes import Box
from benchproof.papers.placed import PlacedView

_BETWEEN = 6.0


def arranged(
    views: Sequence[PlacedView], room: Box, projection: Projection
) -> tuple[PlacedView, ...] | None:
    """Views with their origins on the sheet, or None where they do not fit in the room."""
    width, height = room[2] - room[0], room[3] - room[1]
    shelves = _shelves(views, width, projection)
    if shelves is None:
        return None
    heights = [_reach(shelf)[0] + _reach(shelf)[1] for shelf in shelves]
    spare = height - sum(heights) - _BETWEEN * (len(shelves) - 1)
    if spare < 0.0:
        return None
    gap = _BETWEEN + spare / (len(shelves) + 1)
    top = room[3] - spare / (len(shelves) + 1)
    found: dict[int, PlacedView] = {}
    for shelf, tall in zip(shelves, heights, strict=True):
        up, _ = _reach(shelf)
        line = top - up
        widths = [each.box[2] - each.box[0] for each in shelf]
        free = (width - sum(widths)) / (len(shelf) + 1)
        x = room[0] + free
        for each, wide in zip(shelf, widths, strict=True):
            found[id(each)] = replace(each, origin=(x - each.box[0], line - _level(each)))
            x += wide + free
        top -= tall + gap
    return tuple(found[id(each)] for each in views)


def _shelves(
    views: Sequence[PlacedView], width: float, projection: Projection
) -> list[list[PlacedView]] | None:
    """Rows of views: those in line with the first about it, the rest in order below."""
    first_angle = projection == "first angle"
    by_side: dict[str, list[PlacedView]] = {}
    rest: list[PlacedView] = []
    for place, each in enumerate(views):
        if each.view.kind == "detail" or (each.view.seen_from == "front" and place):
            rest.append(each)
        else:
            by_side.setdefault(each.view.seen_from, []).append(each)
    front = by_side.get("front", [])
    left, right = by_side.get("left", []), by_side.get("right", [])
    above, below = by_side.get("above", []), by_side.get("below", [])
    middle = [*right, *front, *left] if first_angle else [*left, *front, *right]
    rows = [below, middle, above] if first_angle else [above, middle, below]
    shelves: list[list[PlacedView]] = []
    for row in rows:
        if row and sum(e.box[2] - e.box[0] for e in row) + _BETWEEN * (len(row) - 1) > width:
            return None
        if row:
            shelves.append(row)
    for each in rest:
        wide = sum(e.box[2] - e.box[0] + _BETWEEN for e in shelves[-1]) if shelves else width
        own = each.box[2] - each.box[0]
        if own > width:
            return None
        if shelves and wide + own <= width:
            shelves[-1].append(each)
        else:
            shelves.append([each])
    return shelves


def _level(each: PlacedView) -> float:
    """What of a view stands on its shelf's line: its axis, or for a detail its middle."""
    return 0.5 * (each.box[1] + each.box[3]) if each.view.kind == "detail" else 0.0


def _reach(shelf: Sequence[PlacedView]) -> tuple[float, float]:
    """How far a shelf reaches up and down from its line."""
    ups = (each.box[3] - _level(each) for each in shelf)
    downs = (_level(each) - each.box[1] for each in shelf)
    return max(ups), max(downs)
