"""The run chart of a lot: each piece a mark whose shape says what to do with it."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from markupsafe import Markup

from benchproof.quantities import LENGTH, System, Unit, show
from benchproof.reckon.lot_entries import LotPiece
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_report import Decided, LotReport
from benchproof.web.axes import Axis, px
from benchproof.web.charts import Chart
from benchproof.workshop.guard_band import Decision

WIDTH, HEIGHT = 520.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 66.0, 84.0, 26.0, 42.0
FEWEST, MOST = 10, 80  # pieces across; more would run into each other

WORDS: Final = {
    Decision.ACCEPT: "accept",
    Decision.MEASURE_AGAIN: "measure again",
    Decision.REJECT: "reject",
}
CUT_AGAIN: Final = "cut once more"
# Each decision has a mark of its own: a disc, an open square, a cross.
MARKS: Final = {
    "accept": Markup('<circle class="mark-of accept" cx="{0}" cy="{1}" r="5"/>'),
    "measure again": Markup(
        '<rect class="mark-of again" x="{2}" y="{3}" width="11" height="11" '
        'transform="rotate(45 {0} {1})"/>'
    ),
    "reject": Markup('<path class="mark-of reject" d="M{2} {3}l11 11m0 -11l-11 11"/>'),
    CUT_AGAIN: Markup('<path class="mark-of cut" d="M{2} {3}h11l-5.5 10.5z"/>'),
}


def word_of(decided: Decided) -> str:
    """What to do with a piece, in a word or two."""
    return CUT_AGAIN if decided.cut_again else WORDS[decided.decision]


def mark_of(word: str) -> Markup:
    """The mark of a decision by itself, beside its word."""
    return Markup(
        '<svg class="shape" viewBox="0 0 16 16" aria-hidden="true" focusable="false">{}</svg>'
    ).format(MARKS[word].format("8", "8", "2.5", "2.5"))


def run_chart(
    plan: LotPlan, report: LotReport | None, pieces: list[LotPiece], system: System
) -> Chart:
    """Readings by number, the limits, what to accept, the aim, re-sets, and each decision."""
    unit = LENGTH.named("mm" if system == "metric" else "in")
    lower, upper = plan.limits.lower, plan.limits.upper
    shown = pieces[-MOST:]
    values = [unit.from_si(each.last) for each in shown]
    room = 0.35 * unit.from_si(upper - lower)
    low = min([unit.from_si(lower) - room, *values])
    high = max([unit.from_si(upper) + room, *values])
    up = Axis(low - 0.02 * (high - low), high + 0.02 * (high - low), HEIGHT - BOTTOM, TOP)
    first = shown[0].number if shown else 1
    last = max(first + FEWEST - 1, shown[-1].number if shown else 0)
    across = Axis(first - 0.7, last + 0.7, LEFT, WIDTH - RIGHT)
    parts = [_limits(plan, up, unit), _numbers(across)]
    parts += _settings(shown, across)
    line = " ".join(
        f"{px(across.at(each.number))},{px(up.at(value))}"
        for each, value in zip(shown, values, strict=True)
    )
    if len(shown) > 1:
        parts.append(Markup('<polyline class="run" points="{}"/>').format(line))
    decided = {each.number: each for each in report.decided} if report is not None else {}
    for each, value in zip(shown, values, strict=True):
        x, y = across.at(each.number), up.at(value)
        word = word_of(decided[each.number])
        places = (px(x), px(y), px(x - 5.5), px(y - 5.5))
        parts.append(
            Markup("<g><title>{}</title>{}</g>").format(
                f"{each.number}: {_size(each.last, system)}, {word}", MARKS[word].format(*places)
            )
        )
    words = _words(plan, report, system)
    picture = Markup(
        '<svg class="chart run-chart" viewBox="0 0 {} {}" role="img" aria-labelledby="run-t run-d">'
        '<title id="run-t">Run chart</title><desc id="run-d">{}</desc>{}</svg>'
    ).format(px(WIDTH), px(HEIGHT), words, Markup("").join(parts))
    rows = tuple(
        (
            str(each.number),
            str(each.setting),
            _size(each.value, system),
            _size(each.again, system) if each.again is not None else "",
            word_of(decided[each.number]),
        )
        for each in pieces
    )
    return Chart(picture, words, ("piece", "setting", "read", "cut again", "what to do"), rows)


def _limits(plan: LotPlan, up: Axis, scale: Unit) -> Markup:
    lower, upper = plan.limits.lower, plan.limits.upper
    accept_low, accept_high = plan.accept
    parts = [
        Markup('<rect class="accept-band" x="{}" y="{}" width="{}" height="{}"/>').format(
            px(LEFT),
            px(up.at(scale.from_si(accept_high))),
            px(WIDTH - RIGHT - LEFT),
            px(max(up.at(scale.from_si(accept_low)) - up.at(scale.from_si(accept_high)), 0.0)),
        )
    ]
    gap = up.at(scale.from_si(lower)) - up.at(scale.from_si(upper))
    told = [("limit", upper, "upper limit"), ("limit", lower, "lower limit")]
    if gap > 40.0:  # else the three names run into each other
        told.append(("aim-line", plan.aim, "aim"))
    for name, value, word in told:
        y = up.at(scale.from_si(value))
        parts.append(
            Markup(
                '<line class="{0}" x1="{1}" x2="{2}" y1="{3}" y2="{3}"/>'
                '<text class="mark end" x="{4}" y="{5}">{6}</text>'
                '<text class="mark start" x="{7}" y="{5}">{8}</text>'
            ).format(
                name,
                px(LEFT),
                px(WIDTH - RIGHT),
                px(y),
                px(LEFT - 6),
                px(y + 5),
                f"{scale.from_si(value):.{scale.decimals}f}",
                px(WIDTH - RIGHT + 6),
                word,
            )
        )
    parts.append(
        Markup('<text class="mark start" x="4" y="16">{}</text>').format(f"{scale.symbol}, read")
    )
    return Markup("").join(parts)


def _numbers(across: Axis) -> Markup:
    parts = [
        Markup('<text class="mark middle" x="{}" y="{}">{}</text>').format(
            px(across.at(value)), px(HEIGHT - BOTTOM + 18), f"{value:.0f}"
        )
        for value in across.marks(10)
        if abs(value - round(value)) < 1e-9
    ]
    parts.append(
        Markup('<text class="mark middle" x="{}" y="{}">piece</text>').format(
            px(0.5 * (LEFT + WIDTH - RIGHT)), px(HEIGHT - 6)
        )
    )
    return Markup("").join(parts)


def _settings(shown: list[LotPiece], across: Axis) -> list[Markup]:
    """A line before the first piece of each setting but the first."""
    return [
        Markup(
            '<line class="event" x1="{0}" x2="{0}" y1="{1}" y2="{2}"><title>set afresh</title>'
            "</line>"
        ).format(px(across.at(after.number - 0.5)), px(TOP), px(HEIGHT - BOTTOM))
        for before, after in pairwise(shown)
        if after.setting != before.setting
    ]


def _words(plan: LotPlan, report: LotReport | None, system: System) -> str:
    low, high = plan.accept
    told = (
        f"Accepted is {_size(low, system)} to {_size(high, system)}, shaded. A disc is accepted, "
        "an open square to be measured again, a cross rejected, a triangle cut once more. "
        "Upright lines: the stop set afresh."
    )
    if report is None:
        return f"No piece is read yet. {told}"
    return f"{report.so_far.made} read, {report.so_far.accepted} accepted. {told}"


def _size(value: float, system: System) -> str:
    unit = LENGTH.named("mm" if system == "metric" else "in")
    return show(value, LENGTH, unit=unit.symbol, digits=unit.decimals)
