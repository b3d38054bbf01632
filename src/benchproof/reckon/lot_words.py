"""The order of work of a lot, in words."""

from __future__ import annotations

import math

from benchproof.quantities import LENGTH, System, show
from benchproof.reckon.lot_given import GAUGE_ZERO_SHARE, NO_WEAR, SETTING_SHARE
from benchproof.reckon.lot_plan import FirstOff, LotPlan


def steps_of(plan: LotPlan, system: System = "metric") -> tuple[str, ...]:
    """Steps a builder follows, repeats sharing one setting of the stop."""
    words = _Words(system)
    steps = [
        f"Prepare {plan.blanks} blanks for {plan.wanted} good ones, alike and from one bar where "
        "that can be. Do each operation on all of them before the next, so that repeats share one "
        "setting of the stop.",
        _start(plan, words),
        *([_first_off(plan.first_off, words)] if plan.first_off else []),
        _reading(plan, words),
    ]
    if plan.limits.correction is not None:
        over = "above" if plan.limits.correction == "smaller" else "below"
        middle = words.size(0.5 * sum(plan.accept))
        steps.append(
            f"Lay pieces that read {over} that aside. At the end cut each of them once more, to "
            f"{middle}; expect {_about(plan.recuts)}."
        )
    steps.append(_chart(plan, words))
    if plan.interval < plan.blanks:
        steps.append(
            f"Set the stop afresh after every {_pieces(plan.interval)} and check the first ones "
            "again."
        )
    steps.append(
        f"Expect {_about(plan.scrap)} scrapped. {100.0 * plan.share_failing:.0f} lots in 100 "
        f"still end with fewer than {plan.wanted}: keep stock for a few more."
    )
    return tuple(steps)


class _Words:
    """Sizes as a machinist reads them, in one measuring system."""

    def __init__(self, system: System) -> None:
        self.unit = LENGTH.named("mm" if system == "metric" else "in")
        self.fine = "µm" if system == "metric" else "thou"

    def size(self, value: float) -> str:
        return show(value, LENGTH, unit=self.unit.symbol, digits=self.unit.decimals)

    def small(self, value: float) -> str:
        digits = 1 if self.fine == "µm" else 2
        return show(value, LENGTH, unit=self.fine, digits=digits)

    def between(self, lower: float, upper: float, *, finer: int = 0) -> str:
        """Rounded inwards: what is read off never lies outside."""
        digits = self.unit.decimals + finer
        step = 10**digits
        low = math.ceil(self.unit.from_si(lower) * step - 1e-6) / step
        high = math.floor(self.unit.from_si(upper) * step + 1e-6) / step
        return f"{low:.{digits}f} to {high:.{digits}f} {self.unit.symbol}"


def _start(plan: LotPlan, words: _Words) -> str:
    bias = plan.process.known_bias
    text = f"Set the stop for {words.size(plan.set_for)}"
    if words.size(plan.set_for) != words.size(plan.aim):
        text += (
            f". This lathe cuts {words.small(abs(bias))} {'over' if bias > 0.0 else 'under'} what "
            f"it is set for, so a first piece should come to {words.size(plan.aim)}"
        )
    if plan.wear:
        text += (
            f". Pieces come out {'larger' if plan.wear > 0.0 else 'smaller'} as the tool wears, so "
            "the start lies off the middle"
        )
    return text + "."


def _first_off(first: FirstOff, words: _Words) -> str:
    one = first.pieces == 1
    left = f"; leave it alone for less than {words.small(first.least / first.move)} off"
    return (
        f"Read the first {_pieces(first.pieces)}. {'It' if one else 'Their mean'} should be "
        f"{words.size(first.expected)}, and is usually within {words.small(first.usual)}. Move the "
        f"stop back by {100.0 * first.move:.0f} % of what {'it is' if one else 'they are'} off, "
        f"for the rest is scatter{left if first.least > 0.0 else ''}. Look for the reason first "
        f"where it is more than {words.small(3.0 * first.usual)}."
    )


def _reading(plan: LotPlan, words: _Words) -> str:
    guard = plan.gauge.u * plan.gauge.guard
    kept = f", {words.small(guard)} inside the limits for what the gauge may be wrong"
    return (
        "Read every piece once it is as cool as the gauge. Accept it from "
        f"{words.between(*plan.accept)}{kept if guard > 0.0 else ''}."
    )


def _chart(plan: LotPlan, words: _Words) -> str:
    chart = plan.chart
    if not chart.useful:
        return (
            "No run chart can warn in time: the scatter of single pieces fills the limits. Go by "
            "the reading of each piece."
        )
    mean = "a piece" if chart.count == 1 else f"the mean of {chart.count} neighbours"
    return (
        f"Enter {'every' if plan.measure_every == 1 else f'one in {plan.measure_every}'} on the "
        f"run chart{'' if chart.count == 1 else ' with its neighbours'}. Set the stop afresh when "
        f"{mean} leaves {words.between(chart.lower, chart.upper, finer=1)}."
    )


def assumed_in(plan: LotPlan, system: System = "metric") -> tuple[str, ...]:
    """What the plan rests on that nobody has measured here."""
    process, found = plan.process, []
    if process.standing.parts < 3:
        found.append(
            "the scatter of this process: a careful builder is assumed, fewer than three parts "
            "are behind it"
        )
    if process.setting_share == SETTING_SHARE:
        found.append(
            "how much of the scatter comes of the setting, alike for all its pieces: taken as "
            "anything between little and most of it (20 to 80 % of its square), a judgement; two "
            "settings of five pieces each would tell"
        )
    if process.wear == NO_WEAR:
        found.append("that the tool does not wear within the lot")
    if plan.gauge.u > 0.0 and plan.gauge.zero_share == GAUGE_ZERO_SHARE and plan.gauge.guard:
        share = show(plan.gauge.zero, LENGTH, system=system)
        found.append(f"that {share} of the gauge's doubt is common to all its readings")
    return tuple(found)


def _about(number: float) -> str:
    return "hardly one" if number < 0.5 else f"about {number:.0f}"


def _pieces(number: int) -> str:
    return "piece" if number == 1 else f"{number} pieces"
