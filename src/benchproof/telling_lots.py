"""Plain words for lots: the plan, how far it is, what a column brought, which goes with which."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from benchproof.columns import item, page, section, sentence, wrapped
from benchproof.figures import best_unit, in_hundred, sizes_within, span, together
from benchproof.quantities import LENGTH, System, show
from benchproof.reckon.lot_entries import LotPiece
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_report import Decided, LotReport, do_next, numbers_told
from benchproof.reckon.pairing import MatingOdds, Pairing
from benchproof.workshop.guard_band import Decision

if TYPE_CHECKING:
    from benchproof.book.lots import LotVerdict, Taken
    from benchproof.workshop.capability import Estimate

_MOST_LISTED: Final = 60


def tell_lot_plan(plan: LotPlan, name: str, lathe: str, system: System = "metric") -> str:
    """Tell how many blanks to prepare and how to run them."""
    short = 1.0 - plan.chance_with(plan.binomial)
    alone = (
        f"Were each piece right or wrong by itself, {plan.binomial} would do; pieces share their "
        f"setting, and {in_hundred(short)} lots in 100 would end short with so few."
        if plan.binomial < plan.blanks
        else "That is no more than if each piece were right or wrong by itself."
    )
    lower, upper = plan.limits.lower, plan.limits.upper
    lines = [
        *wrapped(f"{name}: {plan.wanted} good ones of {_between(lower, upper, system)}", ""),
        "",
        *wrapped(
            f"Prepare {plan.blanks} blanks: they give {plan.wanted} good ones in "
            f"{in_hundred(plan.reached)} lots of 100. {alone}"
        ),
    ]
    lines += section("ORDER OF WORK", _numbered(plan.steps))
    behind = plan.process.standing.parts
    known = f"{lathe}: shown by {behind} part" + ("" if behind == 1 else "s")
    if not behind:
        known = f"{lathe}: no part of this process is behind it"
    lines += section(
        "WHAT COMES OF IT",
        [
            *wrapped(
                f"{in_hundred(plan.share_good)} pieces in 100 come out good; expect "
                f"{plan.scrap:.0f} scrapped"
                + (f", {plan.recuts:.0f} cut once more" if plan.limits.correction else "")
                + f", and {_few(plan.escapes)} accepted that is out of limits."
            ),
            *wrapped(_fewer(plan)),
        ],
    )
    lines += section("KNOWN FROM", wrapped(known))
    lines += section("TAKEN ON TRUST", [line for each in plan.assumed for line in item(each)])
    return page(lines)


def tell_lot_report(report: LotReport, name: str, system: System = "metric") -> str:
    """Tell how a lot stands, and what to do next."""
    plan, so_far = report.plan, report.so_far
    lines = wrapped(f"{name}: {so_far.made} made, {plan.wanted} good ones wanted", "")
    lines += ["", *wrapped(sentence(do_next(report, system)))]
    settings = f"{report.settings} setting" + ("" if report.settings == 1 else "s")
    lines += wrapped(
        f"{so_far.accepted} of {so_far.made} accepted, cut in {settings}; {so_far.good:.1f} of "
        "them are expected to be truly within limits."
    )
    if so_far.left and not report.done:
        lines += wrapped(
            f"The plan leaves {so_far.left} blank{'' if so_far.left == 1 else 's'}: enough in "
            f"{in_hundred(so_far.chance)} lots of 100 that read like this."
        )
    if so_far.rough:
        lines += wrapped(
            "These readings contradict what was believed of the lathe, so the figures are rough. "
            "Look for the reason first: a slipped stop, a warm piece, a wrong zero."
        )
    lines += section("PIECES", _pieces(report, system))
    lines += section("RUN CHART", _chart(report, system))
    lines += section("WHAT THE READINGS SAY", _shown(report, system))
    return page(lines)


def tell_taken(taken: Taken, lot: str, system: System = "metric") -> str:
    """Tell what became of a column of readings."""
    new, held = len(taken.new), len(taken.held)
    lines = wrapped(
        f"Entered {new} reading{'' if new == 1 else 's'} of {lot}"
        + (f": pieces {numbers_told([p.number for p in taken.new])}" if new else "")
        + (f"; {held} held already" if held else ""),
        "",
        "  ",
    )
    for each in taken.corrected[:_MOST_LISTED]:
        lines += wrapped(f"Corrected: piece {each.number}, {_change(each.before, each.after)}")
    if len(taken.corrected) > _MOST_LISTED:
        lines += wrapped(f"and {len(taken.corrected) - _MOST_LISTED} more")
    if taken.struck:
        lines += wrapped(
            f"Left out, since they were struck out before: pieces {numbers_told(taken.struck)}; "
            "to take them all the same, add --struck-too"
        )
    settings: dict[tuple[int, float], list[int]] = {}
    for piece in taken.new:
        settings.setdefault((piece.setting, piece.set_for), []).append(piece.number)
    for (setting, stop), numbers in list(settings.items())[:_MOST_LISTED]:
        lines += wrapped(
            f"Setting {setting}, the stop set for {_size(stop, system)}: pieces "
            f"{numbers_told(numbers)}"
        )
    return page(lines)


def tell_unmarked() -> str:
    """Tell that a column says nothing of settings."""
    return page(
        wrapped(
            "No re-set is marked, so new pieces are of one setting. Where the stop was set afresh, "
            "write re-set on a line of its own, or say --every 10."
        )
    )


def tell_lots(verdicts: Sequence[LotVerdict], system: System = "metric") -> str:
    """Tell every lot that is not done, and what to do next with it."""
    if not verdicts:
        return ""
    lines = ["", f"{'lot':<34}  {'state':<11}{'made':>8}{'accepted':>14}{'wanted':>10}"]
    for each in verdicts:
        lines += [
            f"{each.name[:34]:<34}  {each.state:<11}{each.made:>8}{each.accepted:>14}"
            f"{each.wanted:>10}",
            *wrapped(sentence(each.do_next[system]), "    ", "    "),
        ]
    lines += ["", f'All about one: benchproof lot "{verdicts[0].name}"']
    return page(lines)


def tell_pairing(
    pairing: Pairing, odds: MatingOdds, limits: tuple[float, float], system: System = "metric"
) -> str:
    """Tell the best pairs of measured pieces, what is left over, and any with any."""
    pairs, expected = len(pairing.fits), pairing.expected
    count = "1 pair" if pairs == 1 else f"{pairs} pairs"
    lines = wrapped(
        f"{count} of {_clearance(*limits, system)}: expect {expected:.1f} right; all of them in "
        f"{in_hundred(pairing.all_right)} cases of 100."
        if pairs
        else f"No two of these go together with {_clearance(*limits, system)}.",
        "",
        "  ",
    )
    if pairs:
        unit = best_unit(max(abs(fit.clearance) for fit in pairing.fits), LENGTH, system)
        numbers = together([fit.clearance for fit in pairing.fits], LENGTH, unit)
        heading = f"clearance [{unit.symbol}]"
        lines += ["", f"  {'hole':<14}{'shaft':<14}{heading:>16}{'right in 100':>16}"]
        for fit, told in zip(pairing.fits, numbers, strict=True):
            lines.append(f"  {fit.hole:<14}{fit.shaft:<14}{told:>16}{in_hundred(fit.chance):>16}")
    if pairing.spare:
        lines += ["", *wrapped(f"Left over: {', '.join(pairing.spare)}.")]
    return page(lines) + tell_mating(odds, "these pieces", system)


def tell_mating(odds: MatingOdds, what: str, system: System = "metric") -> str:
    """Tell the odds that any goes with any."""
    tight, loose = odds.tightest, odds.loosest
    return page(
        [
            "",
            "ANY WITH ANY",
            *wrapped(
                f"Of {what}, any one tried with any other is right in "
                f"{in_hundred(odds.one)} cases of 100; every one goes with every other in "
                f"{in_hundred(odds.every)} of 100."
            ),
            *wrapped(
                f"The tightest two leave {_range(tight, system)} of clearance, the loosest "
                f"{_range(loose, system)}."
            ),
        ]
    )


def _pieces(report: LotReport, system: System) -> list[str]:
    lines = []
    words = {
        Decision.ACCEPT: "Accept",
        Decision.MEASURE_AGAIN: "Measure again, and take the mean",
        Decision.REJECT: "Reject",
    }
    for decision, told in words.items():
        those = [each for each in report.decided if each.decision is decision]
        if not those:
            continue
        numbers = numbers_told([each.number for each in those])
        if decision is not Decision.ACCEPT:
            numbers = ", ".join(_with_size(each, system) for each in those[:_MOST_LISTED])
            if len(those) > _MOST_LISTED:
                numbers += f" and {len(those) - _MOST_LISTED} more"
        lines += wrapped(f"{told}: {numbers}", after="    ")
    again = [each.number for each in report.decided if each.cut_again]
    if again:
        middle = _size(0.5 * sum(report.plan.accept), system)
        lines += wrapped(
            f"Cut once more, to {middle}, where it still reads so: {numbers_told(again)}",
            after="    ",
        )
    if report.missing:
        lines += wrapped(
            f"No reading is held of {numbers_told(report.missing)}. Enter every piece made, "
            "scrapped ones too: what is left out flatters the rest.",
            after="    ",
        )
    lines += wrapped(f"Accepted is {_between(*report.plan.accept, system)}.", after="    ")
    return lines


def _with_size(each: Decided, system: System) -> str:
    return f"{each.number} ({_size(each.reading, system)})"


def _chart(report: LotReport, system: System) -> list[str]:
    plan, found = report.plan, report.signals
    lines = []
    if found.reset:
        lines += wrapped(
            f"Asked for a re-set at {numbers_told(found.reset)}: there the level leaves what the "
            "part needs."
        )
    elif plan.chart.useful:
        lines += wrapped("Nowhere did the level leave what the part needs.")
    if found.changed:
        lines += wrapped(
            f"Something changed at {numbers_told(found.changed)}, beyond the scatter of its "
            "setting."
        )
    for run in found.runs:
        lines += wrapped(f"Present setting: {run}.")
    if found.present is not None:
        lower, upper = found.present.lower, found.present.upper
        lines += wrapped(
            f"Present setting: mean {_fine(found.present.centre, system)}, limits of its own "
            f"scatter {_fine(lower, system)} to {_fine(upper, system)}."
        )
    due = plan.interval - report.since_reset
    if report.reset_due:
        lines += wrapped(f"{report.since_reset} pieces at this setting: a re-set is due.")
    elif due < plan.blanks:
        lines += wrapped(f"{due} more before the next re-set.")
    return lines


def _shown(report: LotReport, system: System) -> list[str]:
    so_far = report.so_far
    off, doubt = (show(abs(v), LENGTH, system=system) for v in (report.off, so_far.offset_sd))
    way = "over" if report.off > 0.0 else "under"
    leave = "; leave the stop alone" if not report.move and not report.reset_due else ""
    lines = wrapped(
        f"The present setting runs {off} {way} the aim, known within {doubt}{leave}.",
        after="    ",
    )
    shared, own = (
        show(so_far.spread[1] * math.sqrt(share), LENGTH, system=system)
        for share in (so_far.setting_share[1], 1.0 - so_far.setting_share[1])
    )
    lines += wrapped(
        f"Of pieces each set up afresh two in three lie within ± {_range(so_far.spread, system)}: "
        f"about ± {shared} comes of the setting, alike for all its pieces, and ± {own} of each "
        "piece's own cut.",
        after="    ",
    )
    if so_far.wear[0] != so_far.wear[2] or so_far.wear[1]:
        lines += wrapped(f"Wear by piece: {_range(so_far.wear, system)}.", after="    ")
    known = report.capability
    if known is not None:
        indices = f"Cpk {_index(known.cpk)}"
        if known.cp is not None:
            indices = f"Cp {_index(known.cp)}, {indices}"
        lines += wrapped(
            f"Capability of the {known.parts} readings: {indices}. In brackets where it may "
            "well lie, were every piece set up afresh; with few settings it is less sure.",
            after="    ",
        )
    return lines


def _index(found: Estimate) -> str:
    return f"{found.value:.2f} ({found.lower:.2f} to {found.upper:.2f})"


def _fewer(plan: LotPlan) -> str:
    """The chance with fewer blanks, where they would be wanted."""
    steps = sorted(
        {round(plan.blanks - share * (plan.blanks - plan.wanted)) for share in (0.3, 0.6)}
    )
    told = [
        f"{blanks} in {in_hundred(plan.chance_with(blanks))}"
        for blanks in reversed(steps)
        if plan.wanted <= blanks < plan.blanks
    ]
    if not told:
        return ""
    return f"With fewer blanks enough come out less often: {', '.join(told)} of 100 lots."


def _few(number: float) -> str:
    return "hardly one" if number < 0.5 else f"{number:.0f}"


def _numbered(steps: Sequence[str]) -> list[str]:
    return [line for place, each in enumerate(steps, 1) for line in item(each, f"{place}. ")]


def _change(before: LotPiece, after: LotPiece) -> str:
    told = []
    if before.value != after.value:
        told.append(f"{_fine(before.value, 'metric')} is now {_fine(after.value, 'metric')}")
    if before.again != after.again and after.again is not None:
        told.append(f"cut again it reads {_fine(after.again, 'metric')}")
    if before.setting != after.setting:
        told.append(f"setting {before.setting} is now {after.setting}")
    if before.set_for != after.set_for:
        told.append(
            f"the stop at {_fine(before.set_for, 'metric')} is now at "
            f"{_fine(after.set_for, 'metric')}"
        )
    return ", ".join(told)


def _between(lower: float, upper: float, system: System) -> str:
    return sizes_within(lower, upper, LENGTH, system)


def _clearance(least: float, most: float, system: System) -> str:
    return f"{span(least, most, LENGTH, system)} clearance"


def _size(value: float, system: System) -> str:
    unit = LENGTH.named("mm" if system == "metric" else "in")
    return show(value, LENGTH, unit=unit.symbol, digits=unit.decimals)


def _fine(value: float, system: System) -> str:
    unit = LENGTH.named("mm" if system == "metric" else "in")
    return show(value, LENGTH, unit=unit.symbol, digits=unit.decimals + 1)


def _range(three: tuple[float, float, float], system: System) -> str:
    unit = best_unit(max(abs(each) for each in three), LENGTH, system)
    low, middle, high = together(list(three), LENGTH, unit, middle=abs(three[1]))
    told = f"{middle} {unit.symbol}"
    return told if low == high else f"{told} ({low} to {high})"
