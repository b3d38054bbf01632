"""Odds against aim as a picture, with its figures in a table behind it.

Drawn here as SVG, so that it is there without a script; a small script adds the reading under a
finger. Every line differs by its stroke and carries its name, so that no colour is needed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from benchproof.figures import in_hundred, in_hundreds, size_text, sizes_within
from benchproof.quantities import System, Unit, show
from benchproof.reckon.answer import Answer, Target
from benchproof.web.axes import Axis, px

WIDTH, HEIGHT = 480.0, 290.0
LEFT, RIGHT, TOP, BOTTOM = 40.0, 12.0, 30.0, 46.0
HALF_A_DIGIT = 4.5  # px
MOST_ROWS = 21


@dataclass(frozen=True)
class Chart:
    """A picture, what it says in a sentence, and the figures behind it."""

    picture: Markup
    words: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    points: tuple[tuple[str, ...], ...] = ()


def odds_chart(answer: Answer, system: System, *, ident: str = "odds") -> Chart | None:
    """Odds against aim: right, still correctable, lost; the aim, and the sizes to accept."""
    curve = answer.curve
    if len(curve) < 2:
        return None
    unit = answer.best.kind.display(answer.best.size, system)
    across = Axis(unit.from_si(curve[0].size), unit.from_si(curve[-1].size), LEFT, WIDTH - RIGHT)
    up = Axis(0.0, 1.0, HEIGHT - BOTTOM, TOP)
    places = [across.at(unit.from_si(point.size)) for point in curve]
    shares = {
        "right": [point.odds.right for point in curve],
        "correctable": [point.odds.correctable for point in curve],
        "lost": [point.odds.lost for point in curve],
    }
    parts = [_paper(across, up, unit.symbol, answer.best.label)]
    accepted = _accepted(answer, across, unit)
    parts += accepted
    parts.append(_level(answer.level, up))
    parts += [_line(name, places, values, up) for name, values in shares.items()]
    parts += _names(places, shares, up)
    parts.append(_aim(answer, across, up, unit, system))
    words = _words(answer, system, hatched=bool(accepted))
    return Chart(
        picture=_svg(ident, "Odds against aim", words, parts),
        words=words,
        columns=_columns(answer),
        rows=tuple(_row(point, answer, system) for point in _some(curve)),
        points=tuple(
            (px(x), *_row(point, answer, system)) for x, point in zip(places, curve, strict=True)
        ),
    )


def _svg(ident: str, title: str, words: str, parts: Sequence[Markup]) -> Markup:
    head = Markup(
        '<svg class="chart" viewBox="0 0 {} {}" role="img" aria-labelledby="{}-t {}-d">'
        '<title id="{}-t">{}</title><desc id="{}-d">{}</desc>'
        '<defs><pattern id="{}-hatch" class="hatch" width="7" height="7" '
        'patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        '<line x1="0" y1="0" x2="0" y2="7"/></pattern></defs>'
    ).format(px(WIDTH), px(HEIGHT), ident, ident, ident, title, ident, words, ident)
    body = Markup("").join(parts).replace("HATCH", f"{ident}-hatch")
    return head + Markup(body) + Markup("</svg>")


def _paper(across: Axis, up: Axis, unit: str, label: str) -> Markup:
    parts = []
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        y = px(up.at(share))
        parts.append(
            Markup('<line class="rule" x1="{}" x2="{}" y1="{}" y2="{}"/>').format(
                px(across.start), px(across.end), y, y
            )
        )
        parts.append(
            Markup('<text class="mark end" x="{}" y="{}">{}</text>').format(
                px(LEFT - 6), px(up.at(share) + 5), f"{100 * share:.0f}"
            )
        )
    decimals = across.decimals()
    for value in across.marks():
        x, words = px(across.at(value)), f"{value:.{decimals}f}"
        parts.append(
            Markup('<line class="rule" x1="{}" x2="{}" y1="{}" y2="{}"/>').format(
                x, x, px(up.start), px(up.start + 5)
            )
        )
        # Words over the edge would be cut off.
        over = across.at(value) + HALF_A_DIGIT * len(words) > WIDTH
        parts.append(
            Markup('<text class="mark {}" x="{}" y="{}">{}</text>').format(
                "end" if over else "middle",
                px(WIDTH - 3) if over else x,
                px(up.start + 20),
                words,
            )
        )
    parts.append(
        Markup('<text class="mark middle" x="{}" y="{}">{}</text>').format(
            px(0.5 * (across.start + across.end)), px(HEIGHT - 6), f"{label} cut to, {unit}"
        )
    )
    return Markup("").join(parts)


def _accepted(answer: Answer, across: Axis, unit: Unit) -> list[Markup]:
    if answer.size_limits is None:
        return []
    low, high = (across.at(unit.from_si(size)) for size in answer.size_limits)
    if high - low < 1.0:
        return []
    return [
        Markup(
            '<rect class="accepted" x="{}" y="{}" width="{}" height="{}" fill="url(#HATCH)"/>'
        ).format(px(low), px(TOP), px(high - low), px(HEIGHT - BOTTOM - TOP))
    ]


def _level(level: float, up: Axis) -> Markup:
    y = px(up.at(level))
    return Markup('<line class="level" x1="{}" x2="{}" y1="{}" y2="{}"/>').format(
        px(LEFT), px(WIDTH - RIGHT), y, y
    )


def _line(name: str, places: Sequence[float], values: Sequence[float], up: Axis) -> Markup:
    points = " ".join(f"{px(x)},{px(up.at(y))}" for x, y in zip(places, values, strict=True))
    return Markup('<polyline class="line {}" points="{}"/>').format(name, points)


def _names(places: Sequence[float], shares: dict[str, list[float]], up: Axis) -> list[Markup]:
    """Each line's name where that line is highest and stands clear of the names before."""
    taken: list[tuple[float, float]] = []
    found = []
    for name, values in shares.items():
        if max(values) < 0.04:
            continue
        highest = [i for i, value in enumerate(values) if value > max(values) - 0.01]
        middle = highest[len(highest) // 2]  # of a line that is level on top
        order = sorted(range(len(values)), key=lambda i: (-values[i] // 0.01, abs(i - middle)))
        for place in order:
            half = 4.2 * len(name)
            x = min(max(places[place], LEFT + half), WIDTH - RIGHT - half)
            y = max(up.at(values[place]) - 7.0, TOP + 12.0)
            if all(abs(x - other[0]) > 90.0 or abs(y - other[1]) > 16.0 for other in taken):
                break
        taken.append((x, y))
        found.append(
            Markup('<text class="name {} middle" x="{}" y="{}">{}</text>').format(
                name, px(x), px(y), name
            )
        )
    return found


def _aim(answer: Answer, across: Axis, up: Axis, unit: Unit, system: System) -> Markup:
    best = answer.best
    x = across.at(unit.from_si(best.size))
    text = size_text(best.size, best.kind, system)
    word = "as it is" if answer.already_cut else "aim"
    half = 4.2 * (len(text) + len(word))
    place = min(max(x, LEFT + half), WIDTH - RIGHT - half)
    return Markup(
        '<line class="aim" x1="{0}" x2="{0}" y1="{1}" y2="{2}"/>'
        '<circle class="aim" cx="{0}" cy="{3}" r="5"/>'
        '<text class="name aim middle" x="{4}" y="{5}">{6} {7}</text>'
    ).format(
        px(x),
        px(TOP - 8),
        px(up.start),
        px(up.at(best.odds.right)),
        px(place),
        px(TOP - 12),
        word,
        text,
    )


def _words(answer: Answer, system: System, *, hatched: bool) -> str:
    best = answer.best
    where = "As it is" if answer.already_cut else "At the aim"
    told = (
        f"{where}, {size_text(best.size, best.kind, system)}, "
        f"{in_hundred(best.odds.right)} of 100 come right."
    )
    if hatched and answer.size_limits is not None:
        low, high = answer.size_limits
        told += (
            f" Hatched: sizes to accept, {sizes_within(low, high, best.kind, system)}, at which at "
            f"least {in_hundred(answer.level)} of 100 do."
        )
    return told


def _columns(answer: Answer) -> tuple[str, ...]:
    value = (answer.value_label,) if answer.value_label else ()
    return (answer.best.label, *value, "right", "correctable", "lost")


def _row(point: Target, answer: Answer, system: System) -> tuple[str, ...]:
    odds = point.odds
    value = (show(point.value, point.kind, system=system),) if answer.value_label else ()
    return (
        size_text(point.size, point.kind, system),
        *value,
        *in_hundreds([odds.right, odds.correctable, odds.lost]),
    )


def _some(curve: Sequence[Target]) -> Sequence[Target]:
    """So many points, evenly, that a table of them can be read."""
    step = max(1, -(-len(curve) // MOST_ROWS))
    return curve[::step]
