"""The run chart of a lot for papers: readings in order between what is allowed and accepted."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from benchproof.figures import size_text
from benchproof.papers.typesetting import FONT_FAMILY
from benchproof.quantities import LENGTH, System
from benchproof.reckon.lot_entries import LotPiece
from benchproof.reckon.lot_plan import LotPlan

WIDTH, HEIGHT = 180.0, 62.0  # [mm]
_LEFT, _RIGHT, _TOP, _BOTTOM = 22.0, 4.0, 4.0, 8.0
_EVERY: Final = (1, 2, 5, 10, 20, 50, 100)
_MOST_NUMBERS: Final = 20


def lot_chart(plan: LotPlan, pieces: Sequence[LotPiece], system: System) -> str:
    """Readings by number as SVG of ``WIDTH`` by ``HEIGHT`` [mm]; a gap where the stop was moved."""
    lower, upper = plan.limits.lower, plan.limits.upper
    last = [piece.last for piece in pieces]
    room = 0.25 * (upper - lower)
    low, high = min([lower - room, *last]), max([upper + room, *last])
    first, final = pieces[0].number, max(pieces[-1].number, pieces[0].number + 9)

    def x(number: float) -> float:
        share = (number - first + 0.5) / (final - first + 1)
        return _LEFT + share * (WIDTH - _LEFT - _RIGHT)

    def y(size: float) -> float:
        return _TOP + (high - size) / (high - low) * (HEIGHT - _TOP - _BOTTOM)

    parts = []
    for size, dash in (
        (upper, ""),
        (lower, ""),
        (plan.accept[1], "2 1"),
        (plan.accept[0], "2 1"),
        (plan.aim, "6 1 1 1"),
    ):
        parts.append(
            f'<line x1="{_LEFT}" x2="{WIDTH - _RIGHT}" y1="{y(size):.2f}" y2="{y(size):.2f}" '
            f'stroke-width="0.25" stroke-dasharray="{dash or "none"}"/>'
        )
    parts += [
        _text(_LEFT - 1.0, y(size) + 0.9, size_text(size, LENGTH, system), "end")
        for size in (upper, plan.aim, lower)
    ]
    parts += [
        f'<line x1="{x(a.number):.2f}" y1="{y(a.last):.2f}" x2="{x(b.number):.2f}" '
        f'y2="{y(b.last):.2f}" stroke-width="0.2"/>'
        for a, b in pairwise(pieces)
        if a.setting == b.setting
    ]
    parts += [
        f'<circle cx="{x(each.number):.2f}" cy="{y(each.last):.2f}" r="0.8" fill="#1c242d"/>'
        for each in pieces
    ]
    every = next((e for e in _EVERY if (final - first + 1) / e <= _MOST_NUMBERS), _EVERY[-1])
    parts += [
        _text(x(number), HEIGHT - 2.5, str(number), "middle")
        for number in range(first, final + 1)
        if number == first or number % every == 0
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}mm" height="{HEIGHT}mm" '
        f'viewBox="0 0 {WIDTH} {HEIGHT}" stroke="#1c242d" fill="none">{"".join(parts)}</svg>'
    )


def _text(x: float, y: float, words: str, anchor: str) -> str:
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="{anchor}" font-family="{FONT_FAMILY}" '
        f'font-size="2.6" fill="#1c242d" stroke="none">{words}</text>'
    )
