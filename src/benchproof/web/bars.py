"""Bars: where a merit lies against its need, and what spoils the odds most."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from benchproof.figures import best_unit, together
from benchproof.quantities import System
from benchproof.reckon.answer import MeritRange
from benchproof.reckon.causes import Cause
from benchproof.web.axes import Axis, px

WIDTH, HEIGHT = 480.0, 64.0


def merit_bar(merit: MeritRange, system: System) -> Markup:
    """Where nine in ten lie, the middle, and the limit with its side that will not do hatched.

    The figures stand beside it as text, so the picture itself says nothing to those who listen.
    """
    figure, need = merit.range, merit.need
    ends = [figure.p5, figure.p95, *([need.limit] if need else [])]
    low, high = min(ends), max(ends)
    room = 0.12 * (high - low) or 1.0
    if low >= 0.0:
        low = min(low, room)
    across = Axis(low - room, high + room, 6.0, WIDTH - 6.0)
    unit = best_unit(max(abs(end) for end in ends), figure.kind, system)
    parts = []
    if need is not None:
        limit = across.at(need.limit)
        bad = (across.start, limit) if need.direction == "at least" else (limit, across.end)
        parts.append(
            Markup('<rect class="bad" x="{}" y="8" width="{}" height="26"/>').format(
                px(bad[0]), px(max(bad[1] - bad[0], 0.0))
            )
        )
    x5, x50, x95 = (across.at(value) for value in (figure.p5, figure.median, figure.p95))
    parts.append(
        Markup(
            '<line class="base" x1="6" x2="474" y1="34" y2="34"/>'
            '<rect class="range" x="{}" y="14" width="{}" height="14"/>'
            '<line class="median" x1="{}" x2="{}" y1="9" y2="33"/>'
        ).format(px(x5), px(max(x95 - x5, 2.0)), px(x50), px(x50))
    )
    if need is not None:
        x = across.at(need.limit)
        (told,) = together([need.limit], figure.kind, unit)
        word = f"{need.direction} {told} {unit.symbol}".rstrip()
        side = "end" if x > 0.5 * WIDTH else "start"
        parts.append(
            Markup(
                '<line class="limit" x1="{0}" x2="{0}" y1="2" y2="42"/>'
                '<text class="mark {1}" x="{0}" y="58">{2}</text>'
            ).format(px(x), side, word)
        )
    return Markup(
        '<svg class="bar" viewBox="0 0 480 64" aria-hidden="true" focusable="false">{}</svg>'
    ).format(Markup("").join(parts))


def cause_bars(causes: Sequence[Cause]) -> list[tuple[str, str, Markup]]:
    """Of each cause its label, the odds gained in 100 if it were held twice as well, and a bar."""
    most = max((cause.gain for cause in causes), default=0.0)
    return [
        (
            cause.label,
            f"{100.0 * cause.gain:+.1f}",
            Markup(
                '<svg class="cause" viewBox="0 0 200 12" aria-hidden="true" focusable="false">'
                '<rect x="0" y="1" width="{}" height="10"/></svg>'
            ).format(px(200.0 * max(cause.gain, 0.0) / most)),
        )
        for cause in causes
    ]
