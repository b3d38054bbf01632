"""Plain words for a terminal, 80 columns: first what to do, then the odds, then why."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from benchproof.columns import item, page, paragraphs, section, sentence, table, wrapped
from benchproof.duties.contract import PlainWindow
from benchproof.figures import (
    best_unit,
    in_hundred,
    in_hundreds,
    middle_and_span,
    size_text,
    sizes_within,
    span,
    unit_of,
)
from benchproof.quantities import ANGLE, LENGTH, Kind, System, Unit, show
from benchproof.reckon.answer import (
    BEST_ALL_THE_SAME,
    CUT_NOTHING,
    Answer,
    Bounds,
    MeritRange,
    Target,
)
from benchproof.reckon.odds import Odds
from benchproof.reckon.result import Forecast, Result

_MANY_CAUSES: Final = 6
_WORTH_TELLING, _WORTH_A_CUT = 0.002, 0.02  # odds gained
_LIKELY: Final = 0.5
_BESIDE: Final = 3  # lines of a forecast where service changes nothing
_TOO_MUCH_ALIKE: Final = 0.5  # share of the imagined parts that differ
_NO_ANGLE: Final = "0'"


def tell_plan(answer: Answer, system: System = "metric", *, all_sources: bool = False) -> str:
    """Tell what to cut and whether it will hold."""
    to_do = as_it_stands(answer, system) if answer.already_cut else what_to_cut(answer, system)
    return page(
        [
            answer.title,
            *paragraphs(to_do),
            *section("WHAT IT BEARS", _window(answer, system)),
            *section(_worth_title(answer, system), _merits(answer.merits, system)),
            *section("WHAT SPOILS IT", _causes(answer)),
            *section("ORDER OF WORK", [] if answer.hopeless else _work(answer, system)),
            *section("MIND", _minds(answer)),
            *section("RESTS ON", _rests(answer, all_sources)),
        ]
    )


def tell_result(result: Result, system: System = "metric", *, all_sources: bool = False) -> str:
    """Tell what a bench test showed and what it leaves open."""
    answer = result.answer
    return page(
        [
            f"{result.title}: {answer.title.lower()}",
            *paragraphs([*beware(result), *as_it_stands(answer, system)]),
            *section("WHAT THE TEST SHOWED", _measured(result, system)),
            *section("WHAT IT MEANS IN SERVICE", _forecasts(result, system)),
            *section("AGAINST THE NEEDS", _merits(answer.merits, system)),
            *section("WHAT SPOILS IT", _causes(answer)),
            *section("MIND", _minds(answer)),
            *section("RESTS ON", [*_learning(result), *_rests(answer, all_sources)]),
        ]
    )


def _work(answer: Answer, system: System) -> list[str]:
    return [
        line
        for number, step in enumerate(answer.work.get(system, ()), 1)
        for line in wrapped(step, f"  {number:>2}. ", "      ")
    ]


def _odds(odds: Odds) -> str:
    right, correctable, lost = in_hundreds([odds.right, odds.correctable, odds.lost])
    return f"{right} right first time, {correctable} still correctable, {lost} lost"


def _target(target: Target, answer: Answer, system: System) -> str:
    text = size_text(target.size, target.kind, system)
    return text if answer.value_label is None else f"{text}: {_value(target.value, answer, system)}"


def _value(value: float, answer: Answer, system: System) -> str:
    kind, label = answer.best.kind, answer.value_label
    if kind is ANGLE and size_text(value, kind, system) == _NO_ANGLE:
        return f"no {label}"
    if kind is not LENGTH:  # a difference that may well be below zero
        return f"{size_text(value, kind, system)} {label}"
    return (
        f"{show(abs(value), kind, system=system)} {'short of any ' if value < 0.0 else ''}{label}"
    )


def what_to_cut(answer: Answer, system: System) -> list[str]:
    """What to cut, the odds, and how to go about it: a sentence or two in each paragraph."""
    best = answer.best
    if answer.hopeless:
        return [
            f"No window: {answer.no_window_advice}. {sentence(answer.window.reason)}",
            f"{answer.no_size}: {CUT_NOTHING}, change what is told to fail.",
        ]
    if answer.window.lower is None:
        return [
            f"No window: {answer.no_window_advice}. {sentence(answer.window.reason)}",
            f"{BEST_ALL_THE_SAME} {best.label} to "
            f"{_target(best, answer, system)}. Odds in 100: {_odds(best.odds)} "
            f"({answer.known_from}).",
        ]
    texts = [
        f"Cut the {best.label} to {_target(best, answer, system)}.",
        f"Odds in 100: {_odds(best.odds)} ({answer.known_from}).",
    ]
    if best.odds.right < answer.level:
        texts.append(_no_one_cut(answer, system))
    if answer.steps is not None:
        texts.append(_step_by_step(answer, system))
    if answer.size_limits is not None:
        low, high = answer.size_limits
        texts.append(
            f"Accept it when it gauges {sizes_within(low, high, best.kind, system)}; then the "
            f"needs hold at least {in_hundred(answer.level)} times in 100."
        )
        if not low <= best.size <= high:
            texts.append("The aim lies outside that on purpose: metal comes off, not on.")
    else:
        texts.append(
            "No gauge reading alone makes it sure enough: what the gauges leave open is more "
            "than the window bears."
            + (f" Only the {answer.steps.test} tells." if answer.steps is not None else "")
        )
    return texts


def _no_one_cut(answer: Answer, system: System) -> str:
    best, likeliest = answer.best, answer.likeliest
    size = size_text(likeliest.size, best.kind, system)
    right, lost = in_hundred(likeliest.odds.right), in_hundred(likeliest.odds.lost)
    level = in_hundred(answer.level)
    if likeliest.odds.right >= answer.level:
        return f"Aimed at {size} it would come right in {right} of 100, but be lost in {lost}."
    if likeliest.odds.right <= best.odds.right + 0.01:
        return f"No one cut reaches {level} in 100 on this lathe."
    return (
        f"No one cut reaches {level} in 100 on this lathe; the likeliest, {size}, reaches {right} "
        f"but loses {lost}."
    )


def _step_by_step(answer: Answer, system: System) -> str:
    steps = answer.steps
    assert steps is not None
    lead = "Or creep up on it" if answer.likeliest.odds.right >= answer.level else "What does work"
    start = size_text(steps.start_size, answer.best.kind, system)
    return (
        f"{lead}: {steps.cut}, to {start} ({_value(steps.start_value, answer, system)}), then "
        f"{steps.test}, {steps.step}, and test again until it is in the window. Expect "
        f"{_count(steps.median, steps.step)} (9 times in 10 no more than {steps.p90:.0f}); "
        f"{in_hundred(steps.missed)} in 100 overshoot."
    )


def _count(number: float, step: str) -> str:
    whole = round(number)
    return f"{whole or 'no'} {step}" + ("" if whole == 1 else "s")


def beware(result: Result) -> list[str]:
    """Say at the top what makes a result unfit to act on."""
    if result.stop:
        return [result.stop, "No odds outweigh that. Were it not so:"]
    if result.contradicted:
        return [
            "Do not cut by this: the readings contradict each other, or what was known before. "
            "See MIND, clear that up and test again. Should they be right after all:"
        ]
    if result.spoilt:
        return [
            "Do not cut by this: the set-up spoils the readings. See MIND, put that right and "
            "test again. Should they be right after all:"
        ]
    return []


def as_it_stands(answer: Answer, system: System) -> list[str]:
    """What to do with a finished piece, and its odds: a sentence or two in each paragraph."""
    now, then = answer.best.odds, answer.likeliest
    if now.right >= answer.level:
        advice = "It could stay as it is." if _in_doubt(answer) else "Leave it as it is."
    elif then.odds.right > now.right + _WORTH_A_CUT and then.offset != 0.0:
        kind = answer.best.kind
        taken = show(abs(then.offset), kind, system=system)
        taken = size_text(abs(then.offset), kind, system) if kind is ANGLE else taken
        across = ", on diameter," if "diametral" in (answer.value_label or "") else ""
        advice = (
            f"Take {taken} more off the {then.label}{across} and test again: that makes it "
            f"{in_hundred(then.odds.right)} in 100."
        )
    else:
        leave = "leave it at these odds, or " if now.right >= _LIKELY else ""
        advice = (
            f"Taking more off the {then.label} does not help: {leave}{answer.no_window_advice}, or "
            "make it again."
        )
    right, correctable, lost = in_hundreds([now.right, now.correctable, now.lost])
    return [
        advice,
        f"Odds in 100: {right} that it meets every need, {correctable} still correctable, "
        f"{lost} lost ({answer.known_from}).",
    ]


def _in_doubt(answer: Answer) -> bool:
    """Whether a test's own flags forbid to act on what it showed."""
    return any(
        flag.weight in {"spoilt", "stop"} or flag.name in {"contradicts", "bends belief"}
        for flag in answer.flags
    )


def _window(answer: Answer, system: System) -> list[str]:
    kind = answer.best.kind
    unit = _unit_of_window(answer, system)
    rows = []
    if answer.plain_window is not None:
        plain = answer.plain_window
        if plain.lower is None or plain.upper is None:
            rows.append(("window, plain rule", f"none: {_plain_reason(plain, kind, unit)}"))
        else:
            told = span(plain.lower, plain.upper, kind, system, unit=unit)
            rows.append(("window, plain rule", told))
    hundred = in_hundred(answer.level)
    rows += [
        (f"window, {hundred} in 100", _bounds(answer.window, kind, system, unit)),
        (f"limits as gauged, {hundred} in 100", _bounds(answer.limits, kind, system, unit)),
    ]
    if answer.size_limits is not None:
        rows.append(
            (f"so the {answer.best.label}", sizes_within(*answer.size_limits, kind, system))
        )
    head = (
        f"  {answer.value_label}, cold; a window takes sizes as exact" if answer.value_label else ""
    )
    return [*([head] if head else []), *table(rows)]


def _unit_of_window(answer: Answer, system: System) -> Unit:
    """One unit for all rows of the table: what stands together is compared."""
    plain = answer.plain_window
    ends = [answer.window.lower, answer.window.upper, answer.limits.lower, answer.limits.upper]
    if plain is not None:
        ends += [plain.lower, plain.upper, plain.wanted, plain.allowed]
    largest = max((abs(end) for end in ends if end is not None), default=0.0)
    return best_unit(largest, answer.best.kind, system)


def _bounds(found: Bounds, kind: Kind, system: System, unit: Unit) -> str:
    if found.lower is None or found.upper is None:
        return f"none; at best {in_hundred(found.best)} in 100"
    return span(found.lower, found.upper, kind, system, unit=unit)


def _plain_reason(plain: PlainWindow, kind: Kind, unit: Unit) -> str:
    if plain.wanted is None or plain.allowed is None:
        return plain.reason
    wanted = show(plain.wanted, kind, unit=unit.symbol)
    allowed = show(plain.allowed, kind, unit=unit.symbol) if plain.allowed > 0.0 else "nothing"
    return f"{plain.reason} ({wanted} wanted, {allowed} allowed)"


def _worth_title(answer: Answer, system: System) -> str:
    if answer.already_cut:
        return "AS IT STANDS"
    if answer.hopeless:
        size = size_text(answer.best.size, answer.best.kind, system)
        return f"WHY NOT: AS IF CUT TO {size}"
    return f"HOW WELL IT WORKS, CUT TO {size_text(answer.best.size, answer.best.kind, system)}"


def _merits(merits: Sequence[MeritRange], system: System) -> list[str]:
    lines = ["  the middle, and in brackets where 90 of 100 lie"]
    for merit in merits:
        figure = merit.range
        lines.append(f"  {sentence(figure.label)[:-1]}")
        text = middle_and_span(figure, system)
        if merit.need is not None and merit.met is not None:
            limit = show(merit.need.limit, figure.kind, unit=unit_of(figure, system).symbol)
            text += f"; {merit.need.direction} {limit}: met in {in_hundred(merit.met)} of 100"
        lines += wrapped(text, " " * 6, " " * 6)
    return lines


def _causes(answer: Answer) -> list[str]:
    told = [c for c in answer.causes if c.gain > max(_WORTH_TELLING, 2.0 * c.sampling_error)]
    if not told:
        return []
    lines = ["  odds in 100 gained if it were held, or known, twice as well"]
    return lines + [f"  {100.0 * c.gain:+5.1f}  {c.label}" for c in told[:_MANY_CAUSES]]


def _minds(answer: Answer) -> list[str]:
    lines: list[str] = []
    for flag in answer.flags:
        share = "" if flag.share is None else f" (in {in_hundred(flag.share)} cases of 100)"
        lines += item(f"{sentence(flag.words)[:-1]}{share}.")
    for caution in answer.cautions:
        lines += item(caution, "! ")
    return lines


def _rests(answer: Answer, all_sources: bool) -> list[str]:
    lines = item(answer.theory)
    if all_sources:
        for source in answer.sources:
            lines += item(source)
    else:
        lines += item("What the figures rest on: add --sources. Every check: benchproof sources.")
    return lines


def _measured(result: Result, system: System) -> list[str]:
    before = {figure.name: figure for figure in result.before}
    count = f"{result.readings} reading" + ("" if result.readings == 1 else "s")
    lines = [f"  {count}; the middle, and in brackets where 90 of 100 lie"]
    for figure in result.measured:
        lines.append(f"  {sentence(figure.label)[:-1]}")
        text = middle_and_span(figure, system, before=before.get(figure.name))
        lines += wrapped(text, " " * 6, " " * 6)
    return lines


def _forecasts(result: Result, system: System) -> list[str]:
    needed = {m.range.name for m in result.answer.merits if m.need is not None}
    lines: list[str] = []
    for forecast in [f for f in result.forecasts if f.name in needed][:1]:
        lines += _forecast(forecast, system)
    if result.held and len(lines) > _BESIDE:
        lines += item(
            "Service is what no bench test can tell: "
            f"{'; '.join(result.held.values())}. Taken at its middle, then left open."
        )
    return lines


def _forecast(forecast: Forecast, system: System) -> list[str]:
    rows = [
        ("after the test, service at its middle", forecast.tested_held),
        ("after the test, service left open", forecast.tested_open),
        ("before the test, service at its middle", forecast.sizes_held),
        ("before the test, service left open", forecast.sizes_open),
    ]
    unit = unit_of(forecast.tested_open, system)
    told = [(left, middle_and_span(figure, system, unit=unit)) for left, figure in rows]
    if told[0][1] == told[1][1] and told[2][1] == told[3][1]:
        told = [("after the test", told[0][1]), ("before the test", told[2][1])]
    return [f"  {sentence(forecast.label)[:-1]}", *table(told)]


def _learning(result: Result) -> list[str]:
    how = result.learning
    told = f"{how.draws} imagined parts that agree with the readings, out of all that might be."
    if how.effective < _TOO_MUCH_ALIKE * how.draws:
        told = told[:-1] + f"; many are alike, so they tell no more than {how.effective:.0f} would."
    return item(told)
