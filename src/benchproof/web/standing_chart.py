"""How a process of a machine has come out over time: each part a mark, events across."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from benchproof.book.evidence import Witness
from benchproof.features import PROCESSES
from benchproof.quantities import ANGLE, LENGTH, System, show
from benchproof.web.axes import Axis, px
from benchproof.web.charts import Chart

WIDTH, HEIGHT = 480.0, 240.0
LEFT, RIGHT, TOP, BOTTOM = 52.0, 12.0, 24.0, 40.0
MOST_MARKS = 80  # more would run into each other


def standing_chart(
    found: Sequence[Witness], events: Sequence[tuple[str, str]], process: str, system: System
) -> Chart | None:
    """Size less aim of the parts of one process in the order of days.

    ``events`` are day and words of what changed the machine. Each mark stands at its place in the
    order, so that a year without work takes no room.
    """
    told = sorted((w for w in found if w.process == process), key=lambda w: (w.when, w.id))
    told = told[-MOST_MARKS:]
    if not told:
        return None
    kind = ANGLE if PROCESSES[process].unit == "rad" else LENGTH
    largest = max(abs(w.deviation) + w.u for w in told) or 1e-6
    unit = kind.display(largest, system)
    reach = 1.1 * unit.from_si(largest)
    up = Axis(-reach, reach, HEIGHT - BOTTOM, TOP)
    across = Axis(-0.5, len(told) - 0.5, LEFT, WIDTH - RIGHT)
    parts = [_rules(up, unit.symbol)]
    for when, words in events:
        place = sum(w.when < when for w in told) - 0.5
        parts.append(
            Markup(
                '<line class="event" x1="{0}" x2="{0}" y1="{1}" y2="{2}"><title>{3}</title></line>'
            ).format(px(across.at(place)), px(TOP), px(HEIGHT - BOTTOM), f"{when}: {words}")
        )
    for place, each in enumerate(told):
        x = px(across.at(place))
        low, high = (unit.from_si(each.deviation + side * each.u) for side in (-1.0, 1.0))
        parts.append(
            Markup(
                '<line class="doubt" x1="{0}" x2="{0}" y1="{1}" y2="{2}"/>'
                '<circle class="part" cx="{0}" cy="{3}" r="3.5"/>'
            ).format(x, px(up.at(low)), px(up.at(high)), px(up.at(unit.from_si(each.deviation))))
        )
    words = (
        f"{_count(len(told), PROCESSES[process].plural)}, {_days(told[0].when, told[-1].when)}: "
        "size less aim. Upright lines are what changed the machine."
    )
    ident = f"standing-{process.replace(' ', '-')}"
    picture = Markup(
        '<svg class="chart" viewBox="0 0 480 240" role="img" aria-labelledby="{0}-t {0}-d">'
        '<title id="{0}-t">{1}</title><desc id="{0}-d">{2}</desc>{3}</svg>'
    ).format(ident, PROCESSES[process].plural, words, Markup("").join(parts))
    rows = tuple(
        (w.when, show(w.scale, LENGTH, system=system), show(w.deviation, kind, system=system))
        for w in told
    )
    return Chart(picture, words, ("day", "size", "came out, less aim"), rows)


def _days(first: str, last: str) -> str:
    return first if first == last else f"from {first} to {last}"


def _count(number: int, plural: str) -> str:
    return f"One of the {plural}" if number == 1 else f"The last {number} {plural}"


def _rules(up: Axis, unit: str) -> Markup:
    parts = []
    decimals = up.decimals(4)
    for value in up.marks(4):
        y = px(up.at(value))
        parts.append(
            Markup(
                '<line class="{}" x1="{}" x2="{}" y1="{}" y2="{}"/>'
                '<text class="mark end" x="{}" y="{}">{}</text>'
            ).format(
                "level" if abs(value) < 1e-12 else "rule",
                px(LEFT),
                px(WIDTH - RIGHT),
                y,
                y,
                px(LEFT - 6),
                px(up.at(value) + 5),
                f"{value:+.{decimals}f}" if abs(value) > 1e-12 else "0",
            )
        )
    parts.append(
        Markup('<text class="mark start" x="4" y="16">{}, size less aim</text>').format(unit)
    )
    parts.append(
        Markup('<text class="mark middle" x="{}" y="{}">earlier → later</text>').format(
            px(0.5 * (LEFT + WIDTH - RIGHT)), px(HEIGHT - 10)
        )
    )
    return Markup("").join(parts)
