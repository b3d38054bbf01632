"""What stands at the end of a leader: threads, tapers, chamfers, radii, holes, finish, notes.

Each is set in the nearest clear place about the view: outside the outline, on no line, and with
a leader that runs through no lettering.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from benchproof.drawing import (
    Angular,
    Datum,
    Diameter,
    Dimension,
    Finish,
    Linear,
    Mark,
    Note,
    Point,
    Radius,
)
from benchproof.drawing.dimensions import Chamfer, TaperOf, Thread
from benchproof.papers.boxes import Array, Board, Box, grown, segments, touching
from benchproof.papers.labels import Label, label_of
from benchproof.papers.placed import PlacedDimension, Stroke, arrow
from benchproof.papers.rows import Hand, NoRoom
from benchproof.papers.wording import spoken, wordings

_TIERS, _STEPS = 14, 22
_AT_A_TIME = 48
_FLATTEST = 15.0  # [degrees] to the level
_CROSSING = 6.0  # [mm] of leader that crossing another line is worth


def place_callouts(
    things: Sequence[Dimension | Mark], scale: float, outline: Box, hand: Hand, board: Board
) -> list[PlacedDimension]:
    """Place everything that has a leader; raises NoRoom where it cannot be done.

    Marks of the surface first, which stand on it or straight over it; then from the ends of the
    view inwards, so that leaders fan out and cross nothing.
    """
    k = 1000.0 * scale
    middle = 0.5 * (outline[0] + outline[2])

    def turn(each: Dimension | Mark) -> tuple[bool, float, Point]:
        tip = target(each, k)
        return not isinstance(each, Finish | Datum), -abs(tip[0] - middle), tip

    ordered = sorted(things, key=turn)
    return [_place(each, k, outline, hand, board) for each in ordered]


def place_angles(
    angles: Sequence[Angular], scale: float, hand: Hand, board: Board
) -> list[PlacedDimension]:
    """Place angles, each on an arc as wide as it takes for the figure to stand clear."""
    return [_angle(each, 1000.0 * scale, hand, board) for each in angles]


def _place(
    thing: Dimension | Mark, k: float, outline: Box, hand: Hand, board: Board
) -> PlacedDimension:
    label = label_of(thing, hand.units, hand.lettering)
    if isinstance(thing, Finish) and (sitting := _sitting(thing, k, label, outline, hand, board)):
        return sitting
    for upright, far in ((isinstance(thing, Finish | Datum), False), (False, True)):
        found = _best(thing, k, label, outline, hand, board, upright=upright, far=far)
        if found is not None:
            corner, tip, knee, end = found
            placed = label.at(corner)
            board.put(placed.box, [(tip, knee), (knee, end)])
            board.leaders.append((tip, knee))
            return _drawn(thing, placed, tip, knee, end, hand)
    raise NoRoom(f"no place for {spoken_of(thing, hand)!r}")


def _best(
    thing: Dimension | Mark,
    k: float,
    label: Label,
    outline: Box,
    hand: Hand,
    board: Board,
    *,
    upright: bool,
    far: bool,
) -> tuple[Point, Point, Point, Point] | None:
    """The label's corner and tip, knee and end of its leader, where it stands best."""
    best: tuple[float, Point, Point, Point, Point] | None = None
    offers = _offers(target(thing, k), label, outline, hand, board, upright=upright, far=far)
    for first in range(0, len(offers), _AT_A_TIME):
        if best is not None and offers[first][0] >= best[0]:
            break
        some = offers[first : first + _AT_A_TIME]
        tried = [
            _leader(thing, k, bend, corner, label, upright=upright) for _, bend, corner in some
        ]
        lines = np.array([[*tip, *knee, *knee, *end] for tip, knee, end in tried])
        passing = board.passing(lines.reshape(-1, 4)).reshape(-1, 2)
        crossings = board.crossings(np.array([_off_the_tip(tip, knee) for tip, knee, _ in tried]))
        for place, (cost, _, corner) in enumerate(some):
            score = cost + _CROSSING * float(crossings[place])
            if passing[place].all() and (best is None or score < best[0]):
                best = (score, corner, *tried[place])
    return best[1:] if best is not None else None


def _leader(
    thing: Dimension | Mark, k: float, bend: Point, corner: Point, label: Label, *, upright: bool
) -> tuple[Point, Point, Point]:
    """Tip, knee and end of a leader that bends here, to a label with this corner."""
    tip = target(thing, k, bend)
    if upright:
        knee = (bend[0], corner[1] + (label.height if tip[1] > corner[1] + label.height else 0.0))
        return tip, knee, knee
    return tip, bend, (corner[0] if corner[0] > bend[0] else corner[0] + label.width, bend[1])


def _off_the_tip(tip: Point, knee: Point) -> tuple[float, float, float, float]:
    """The leader less the half millimetre in which it touches what it points to."""
    share = min(0.5, 0.5 / max(math.dist(tip, knee), 1e-9))
    return (
        tip[0] + share * (knee[0] - tip[0]),
        tip[1] + share * (knee[1] - tip[1]),
        knee[0],
        knee[1],
    )


def _sitting(
    finish: Finish, k: float, label: Label, outline: Box, hand: Hand, board: Board
) -> PlacedDimension | None:
    """A finish mark standing on its surface, where the surface faces up and has room above it."""
    if finish.at[1] <= 0.5 * (outline[1] + outline[3]) / k:
        return None
    foot = target(finish, k)
    tick = 0.45 * hand.lettering - label.box[0]
    placed = label.at((foot[0] - tick, foot[1]))
    clear = (placed.box[0], placed.box[1] + 2.0 * board.gap, placed.box[2], placed.box[3])
    if clear[3] < outline[3] or not board.free(clear):
        return None
    board.put(placed.box, ())
    box = placed.box
    return PlacedDimension(
        finish,
        placed.strokes,
        placed.words,
        box,
        foot,
        (0.5 * (box[0] + box[2]), 0.5 * (box[1] + box[3])),
        spoken=spoken_of(finish, hand),
    )


def _offers(
    tip: Point,
    label: Label,
    outline: Box,
    hand: Hand,
    board: Board,
    *,
    upright: bool,
    far: bool,
) -> list[tuple[float, Point, Point]]:
    """Clear places for a label, best first: cost, where the leader bends, the label's corner.

    Best is short, neither steep nor flat (``upright``: straight up or down), and within the
    width of the view; where nothing is clear, anything goes, and ``far`` away too.
    """
    bends = _bends(tip, label, outline, hand, 3 * _TIERS if far else _TIERS)
    across, up = bends[:, 0] - tip[0], bends[:, 1] - tip[1]
    length = np.hypot(across, up)
    right = across >= 0.0
    shelf = 0.8 * hand.lettering
    left = np.where(right, bends[:, 0] + shelf, bends[:, 0] - shelf - label.width)
    if upright:
        left = bends[:, 0] - 0.5 * label.width
    foot = bends[:, 1] - 0.5 * label.height
    boxes = np.stack([left, foot, left + label.width, foot + label.height], axis=1)
    rise = np.degrees(np.arctan2(np.abs(up), np.abs(across)))
    slope = np.abs(np.radians(rise - (90.0 if upright else 60.0)))
    # A level or plumb leader would be taken for an outline.
    slanting = (upright or far) | ((rise > _FLATTEST) & (rise < 90.0 - 0.5 * _FLATTEST))
    inwards = right == (tip[0] < 0.5 * (outline[0] + outline[2]))
    overhang = np.maximum(0.0, np.maximum(boxes[:, 2] - outline[2], outline[0] - boxes[:, 0]))
    cost = length + 8.0 * slope + 0.3 * overhang + 3.0 * hand.lettering * (inwards & ~upright)
    clear = ~touching(boxes, grown(outline, 0.5)) & (length > 1.0) & slanting
    clear[clear] = board.clear(boxes[clear])
    best = [place for place in np.argsort(cost, kind="stable") if clear[place]]
    return [
        (
            float(cost[place]),
            (float(bends[place, 0]), float(bends[place, 1])),
            (float(left[place]), float(foot[place])),
        )
        for place in best
    ]


def _bends(tip: Point, label: Label, outline: Box, hand: Hand, tiers: int) -> Array:
    """Where a leader may bend: over and under the view, and beside it at the target's level."""
    pitch, half = 0.5 * (label.height + hand.lettering), 0.5 * label.height
    away = 1.2 * hand.lettering + half + pitch * np.arange(tiers)
    levels = np.concatenate([outline[3] + away, outline[1] - away])
    along = tip[0] + 1.4 * hand.lettering * np.arange(-_STEPS, _STEPS + 1)
    about = np.stack(np.meshgrid(along, levels), axis=-1).reshape(-1, 2)
    away = 2.0 * hand.lettering * np.arange(1, 9)
    beside = np.concatenate([outline[2] + away, outline[0] - away])
    heights = tip[1] + 1.5 * hand.lettering * np.arange(-6, 7)
    return np.concatenate([about, np.stack(np.meshgrid(beside, heights), axis=-1).reshape(-1, 2)])


def target(thing: Dimension | Mark, k: float, knee: Point | None = None) -> Point:
    """Where a leader points [mm]; on a circle, the point that faces its knee."""
    match thing:
        case Diameter() | Radius():
            x, y, r = k * thing.centre[0], k * thing.centre[1], k * thing.radius
            angle = thing.angle
            if knee is not None and isinstance(thing, Diameter):
                angle = math.atan2(knee[1] - y, knee[0] - x)
            return (x + r * math.cos(angle), y + r * math.sin(angle))
        case Linear():
            return (k * thing.start[0], k * thing.start[1])
        case Angular():
            return (k * thing.vertex[0], k * thing.vertex[1])
        case Finish() | Datum() | Note() | Chamfer() | TaperOf() | Thread():
            return (k * thing.at[0], k * thing.at[1])


def spoken_of(thing: Dimension | Mark, hand: Hand) -> str:
    """A mark or a dimension in a line of plain text."""
    match thing:
        case Finish():
            return f"finish {label_of(thing, hand.units, 1.0).words[0].text}"
        case Datum():
            return f"datum {thing.letter}"
        case Note():
            return thing.text
        case _:
            return spoken(thing, hand.units)


def _drawn(
    thing: Dimension | Mark, label: Label, tip: Point, knee: Point, end: Point, hand: Hand
) -> PlacedDimension:
    toward = math.atan2(tip[1] - knee[1], tip[0] - knee[0])
    if isinstance(thing, Datum):
        # The triangle stands square on its surface, however the leader runs.
        up = tip[1] > knee[1]
        head = _datum_foot(tip, up, hand.arrow)
        foot = (tip[0], tip[1] - hand.arrow if up else tip[1] + hand.arrow)
        return _marked(thing, label, Stroke((foot, knee)), head, knee, hand)
    head = arrow(tip, toward, hand.arrow)
    leader = Stroke((tip, knee) if knee == end else (tip, knee, end))
    return _marked(thing, label, leader, head, knee, hand)


def _marked(
    thing: Dimension | Mark, label: Label, leader: Stroke, head: Stroke, knee: Point, hand: Hand
) -> PlacedDimension:
    box = label.box
    return PlacedDimension(
        thing,
        (leader, head, *label.strokes),
        label.words,
        box,
        knee,
        (0.5 * (box[0] + box[2]), 0.5 * (box[1] + box[3])),
        says=() if isinstance(thing, Finish | Datum | Note) else wordings(thing, hand.units),
        spoken=spoken_of(thing, hand),
    )


def _datum_foot(tip: Point, up: bool, size: float) -> Stroke:
    """A filled triangle that stands on the datum surface, from below or from above it."""
    half, apex = 0.55 * size, tip[1] - size if up else tip[1] + size
    return Stroke(
        ((tip[0] - half, tip[1]), (tip[0] + half, tip[1]), (tip[0], apex)), closed=True, filled=True
    )


def _angle(angle: Angular, k: float, hand: Hand, board: Board) -> PlacedDimension:
    label = label_of(angle, hand.units, hand.lettering)
    vertex = (k * angle.vertex[0], k * angle.vertex[1])
    middle = 0.5 * (angle.start_angle + angle.end_angle)

    def at(radius: float, direction: float) -> Point:
        return (vertex[0] + radius * math.cos(direction), vertex[1] + radius * math.sin(direction))

    legs = k * angle.radius
    smallest = max(legs + hand.first_row, 4.0 * hand.lettering)
    for step in range(40):
        radius = smallest + step * hand.lettering
        centre = at(radius + 0.5 * math.hypot(label.width, label.height) + 0.5, middle)
        placed = label.at((centre[0] - 0.5 * label.width, centre[1] - 0.5 * label.height))
        past = radius + 0.6 * hand.lettering
        arc = tuple(at(radius, angle.start_angle + angle.measured * n / 12.0) for n in range(13))
        rays = [
            (at(legs + 0.3 * hand.lettering, side), at(past, side))
            for side in (angle.start_angle, angle.end_angle)
        ]
        lines = [*segments(arc), *rays]
        if not board.free(placed.box, lines):
            continue
        board.put(placed.box, lines)
        inside = angle.measured * radius > 3.0 * hand.arrow
        turn = 0.0 if inside else math.pi
        lean = 0.5 * hand.arrow / radius
        heads = (
            arrow(arc[0], angle.start_angle - math.pi / 2 + lean + turn, hand.arrow),
            arrow(arc[-1], angle.end_angle + math.pi / 2 - lean + turn, hand.arrow),
        )
        return PlacedDimension(
            angle,
            (Stroke(arc), *(Stroke(ray) for ray in rays), *heads, *placed.strokes),
            placed.words,
            placed.box,
            at(radius, middle),
            centre,
            says=wordings(angle, hand.units),
            spoken=spoken(angle, hand.units),
        )
    raise NoRoom(f"no place for {spoken(angle, hand.units)!r}")
