"""Hatching of a cut face: parallel thin lines, clipped to the area on paper."""

from __future__ import annotations

import math
from collections.abc import Sequence

from benchproof.drawing import Hatched, Point
from benchproof.papers.boxes import Segment


def hatch_lines(face: Hatched, k: float, origin: Point, pitch: float) -> list[Segment]:
    """Hatching lines [mm on paper] of a face drawn at ``k`` [mm/m] from ``origin`` [mm].

    Lines lie on one lattice for the whole view, so that both halves of a section match.
    """
    rings = [_turned(ring, k, -face.angle) for ring in (face.outline, *face.holes)]
    levels = [y for ring in rings for _, y in ring]
    lines: list[Segment] = []
    cosine, sine = math.cos(face.angle), math.sin(face.angle)
    for number in range(math.ceil(min(levels) / pitch), math.floor(max(levels) / pitch) + 1):
        # A hair off the lattice, so that no line runs through a corner.
        level = number * pitch + 1e-7
        crossings = sorted(_crossings(rings, level))
        for start, end in zip(crossings[::2], crossings[1::2], strict=False):
            if end - start > 1e-3:
                lines.append(
                    (
                        (
                            origin[0] + start * cosine - level * sine,
                            origin[1] + start * sine + level * cosine,
                        ),
                        (
                            origin[0] + end * cosine - level * sine,
                            origin[1] + end * sine + level * cosine,
                        ),
                    )
                )
    return lines


def _turned(ring: Sequence[Point], k: float, angle: float) -> list[Point]:
    cosine, sine = math.cos(angle), math.sin(angle)
    return [(k * (x * cosine - y * sine), k * (x * sine + y * cosine)) for x, y in ring]


def _crossings(rings: Sequence[Sequence[Point]], level: float) -> list[float]:
    """Where a level line meets the edges; between odd and even ones lies the face."""
    found = []
    for ring in rings:
        for place, (x1, y1) in enumerate(ring):
            x0, y0 = ring[place - 1]
            if (y0 <= level) != (y1 <= level):
                found.append(x0 + (level - y0) / (y1 - y0) * (x1 - x0))
    return found
