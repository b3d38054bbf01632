"""Boxes and strokes on paper [mm], and whether one is in the other's way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.drawing import Point

Box: TypeAlias = tuple[float, float, float, float]
Segment: TypeAlias = tuple[Point, Point]
Array: TypeAlias = NDArray[np.float64]

_SAME = 1e-6


def grown(box: Box, by: float) -> Box:
    """Return the box, larger by ``by`` [mm] all round."""
    return (box[0] - by, box[1] - by, box[2] + by, box[3] + by)


def shifted(box: Box, right: float, up: float) -> Box:
    """Return the box shifted [mm]."""
    return (box[0] + right, box[1] + up, box[2] + right, box[3] + up)


def around(boxes: Iterable[Box]) -> Box:
    """Smallest box about all of some."""
    left, bottom, right, top = zip(*boxes, strict=True)
    return (min(left), min(bottom), max(right), max(top))


def box_of(points: Iterable[Point]) -> Box:
    """Smallest box about some points."""
    across, up = zip(*points, strict=True)
    return (min(across), min(up), max(across), max(up))


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes share more than an edge."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def touching(boxes: Array, other: Box) -> NDArray[np.bool_]:
    """Which of some boxes (m by 4) overlap another."""
    return _overlaps(boxes, np.array([other]))[:, 0]


def within(inner: Box, outer: Box, slack: float = 1e-9) -> bool:
    """Whether one box lies in another."""
    return (
        inner[0] >= outer[0] - slack
        and inner[1] >= outer[1] - slack
        and inner[2] <= outer[2] + slack
        and inner[3] <= outer[3] + slack
    )


def segments(points: Sequence[Point]) -> list[Segment]:
    """Strokes from point to point."""
    return list(pairwise(points))


def meet(one: Segment, other: Segment) -> bool:
    """Whether two strokes cross, ends that only touch left out."""

    def side(a: Point, b: Point, c: Point) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    return (
        side(*one, other[0]) * side(*one, other[1]) < 0.0
        and side(*other, one[0]) * side(*other, one[1]) < 0.0
    )


@dataclass
class Board:
    """What stands on the paper so far: boxes of text, and strokes no text may lie on."""

    boxes: list[Box] = field(default_factory=list)
    strokes: list[Segment] = field(default_factory=list)
    leaders: list[Segment] = field(default_factory=list)
    gap: float = 0.7

    def clear(self, boxes: Array, *, also: Sequence[Segment] = ()) -> NDArray[np.bool_]:
        """Which of some boxes for text (m by 4) are on no other text and no stroke.

        ``also``: strokes still to come, which the text must leave room for.
        """
        about = boxes + self.gap * np.array([-1.0, -1.0, 1.0, 1.0])
        clear = np.ones(len(about), dtype=np.bool_)
        if self.boxes:
            clear &= ~_overlaps(about, np.array(self.boxes)).any(axis=1)
        strokes = [*self.strokes, *also]
        if strokes and clear.any():
            lines = np.array(strokes).reshape(-1, 4)
            clear[clear] = ~_crossed(about[clear], lines).any(axis=1)
        return clear

    def passing(self, strokes: Array) -> NDArray[np.bool_]:
        """Which of some strokes (m by 4) run through no text."""
        if not self.boxes or not len(strokes):
            return np.ones(len(strokes), dtype=np.bool_)
        tight = np.array(self.boxes) + 0.3 * np.array([-1.0, -1.0, 1.0, 1.0])
        return np.asarray(~_crossed(tight, strokes).any(axis=0))

    def free(
        self, box: Box, strokes: Sequence[Segment] = (), *, also: Sequence[Segment] = ()
    ) -> bool:
        """Whether a text and its own strokes would be in nobody's way."""
        lines = np.array(list(strokes)).reshape(-1, 4)
        return bool(self.clear(np.array([box]), also=also)[0] and self.passing(lines).all())

    def drawn_already(self, stroke: Segment) -> bool:
        """Whether a level or upright stroke lies within one that is there already."""
        for along, across in ((0, 1), (1, 0)):
            level = stroke[0][across]
            if abs(level - stroke[1][across]) > _SAME:
                continue
            low, high = sorted(end[along] for end in stroke)
            for one, other in self.strokes:
                if abs(one[across] - level) < _SAME and abs(other[across] - level) < _SAME:
                    first, last = sorted((one[along], other[along]))
                    if first <= low + _SAME and high <= last + _SAME:
                        return True
        return False

    def crossings(self, strokes: Array) -> Array:
        """How much some strokes (m by 4) cross what is there; a leader counts for three lines."""
        return _meetings(strokes, self.strokes) + 2.0 * _meetings(strokes, self.leaders)

    def put(self, box: Box | None, strokes: Iterable[Segment]) -> None:
        """Set a text and its strokes down."""
        if box is not None:
            self.boxes.append(box)
        self.strokes.extend(strokes)


def _overlaps(some: Array, others: Array) -> NDArray[np.bool_]:
    """Which of some boxes (m) overlap which of others (n): m by n."""
    one, other = some[:, None, :], others[None, :, :]
    return np.asarray(
        (one[..., 0] < other[..., 2])
        & (other[..., 0] < one[..., 2])
        & (one[..., 1] < other[..., 3])
        & (other[..., 1] < one[..., 3])
    )


def _crossed(boxes: Array, lines: Array) -> NDArray[np.bool_]:
    """Which boxes (m) are run through by which strokes (n): m by n (Liang and Barsky)."""
    enter = np.zeros((len(boxes), len(lines)))
    leave = np.ones_like(enter)
    outside = np.zeros(enter.shape, dtype=np.bool_)
    for axis in (0, 1):
        start = lines[None, :, axis]
        change = lines[None, :, axis + 2] - start
        low, high = boxes[:, axis, None], boxes[:, axis + 2, None]
        flat = np.abs(change) < 1e-12
        outside |= flat & ((start <= low) | (start >= high))
        over = np.where(flat, 1.0, change)
        first, last = (low - start) / over, (high - start) / over
        enter = np.where(flat, enter, np.maximum(enter, np.minimum(first, last)))
        leave = np.where(flat, leave, np.minimum(leave, np.maximum(first, last)))
    return np.asarray(~outside & (enter < leave))


def _meetings(strokes: Array, others: Sequence[Segment]) -> Array:
    """How many of the others each of some strokes (m by 4) crosses, mere touching left out."""
    if not others:
        return np.zeros(len(strokes))
    there = np.array(others).reshape(-1, 2, 2)
    a, b = strokes[:, None, :2], strokes[:, None, 2:]
    c, d = there[None, :, 0, :], there[None, :, 1, :]

    def side(start: Array, end: Array, point: Array) -> Array:
        along, to = end - start, point - start
        return np.asarray(along[..., 0] * to[..., 1] - along[..., 1] * to[..., 0])

    apart = side(a, b, c) * side(a, b, d) < 0.0
    return np.asarray((apart & (side(c, d, a) * side(c, d, b) < 0.0)).sum(axis=1), dtype=float)
