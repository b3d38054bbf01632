"""Plain words for a terminal, 80 columns: first what to do, then the odds, then why."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from benchproof.columns import WIDTH, page, wrapped
from benchproof.quantities import Kind, System, show
from benchproof.reckon.answer import Answer, Bounds, MeritRange, Range, Target
from benchproof.reckon.result import Forecast, Result

_MANY_CAUSES = 6


def tell_plan(answer: Answer, system: System = "metric", *, all_sources: bool = False) -> str:
    """Tell what to cut and whether it will hold."""
    return page(
        [
            answer.title,
            *_paragraphs(_what_to_do(answer, system)),
            *_section("WHAT IT BEARS", _window(answer, system)),
            *_section(_worth_title(answer), _merits(answer.merits, system)),
            *_section("WHAT SPOILS IT", _causes(answer)),
            *_section("MIND", _minds(answer)),
            *_section("RESTS ON", _rests(answer, all_sources)),
        ]
    )


def tell_result(result: Result, system: System = "metric", *, all_sources: bool = False) -> str:
    """Tell what a bench test showed and what it leaves open."""
    answer = result.answer
    return page(
        [
            f"{result.title}: {answer.title.lower()}",
            *_paragraphs(_what_to_do(answer, system)),
            *_section("WHAT THE TEST SHOWED", _measured(result, system)),
            *_section("WHAT IT MEANS IN SERVICE", _forecasts(result, system)),
            *_section("AGAINST THE NEEDS", _merits(answer.merits, system)),
            *_section("WHAT SPOILS IT", _causes(answer)),
            *_section("MIND", _minds(answer)),
            *_section("RESTS ON", [*_learning(result), *_rests(answer, all_sources)]),
        ]
    )


def _paragraphs(texts: Iterable[str]) -> list[str]:
    lines = [""]
    for text in texts:
        lines += wrapped(text)
    return lines


def _section(title: str, lines: Sequence[str]) -> list[str]:
    return ["", title, *lines] if lines else []


def _item(text: str, bullet: str = "- ") -> list[str]:
    return wrapped(text, f"  {bullet}", " " * (2 + len(bullet)))


def _in_hundred(share: float) -> str:
    if 0.0 < share < 0.005:
        return "under 1"
    if 0.995 < share < 1.0:
        return "over 99"
    return f"{100.0 * share:.0f}"


def _odds(target: Target) -> str:
    odds = target.odds
    return (
        f"{_in_hundred(odds.right)} in 100 right first time, {_in_hundred(odds.correctable)} "
        f"still correctable, {_in_hundred(odds.lost)} lost"
    )


def _what_to_do(answer: Answer, system: System) -> list[str]:
    if answer.already_cut:
        return _what_to_do_next(answer, system)
    if answer.window.lower is None:
        return [f"No window: {answer.no_window_advice}. {_sentence(answer.window.reason)}"]
    best, likeliest = answer.best, answer.likeliest
    texts = [
        f"Cut the {best.label} to {_size(best.size, best.kind, system)}"
        f"{_as_value(best, answer, system)}.",
        f"Odds: {_odds(best)} ({answer.known_from}).",
    ]
    if best.odds.right < answer.level:
        better = likeliest.odds.right > best.odds.right + 0.01
        texts.append(
            f"No one cut reaches {_in_hundred(answer.level)} in 100 on this lathe"
            + (
                f"; the likeliest, {_size(likeliest.size, best.kind, system)}, reaches "
                f"{_in_hundred(likeliest.odds.right)} but loses {_in_hundred(likeliest.odds.lost)}."
                if better
                else "."
            )
        )
    if answer.steps is not None:
        steps = answer.steps
        texts.append(
            f"What does work: {steps.cut}, to {_size(steps.start_size, best.kind, system)}"
            f" ({_value_text(steps.start_value, answer, system)}), then {steps.test}, "
            f"{steps.step}, and test again. Expect {_count(steps.median, steps.step)} (9 times "
            f"in 10 no more than {steps.p90:.0f}); {_in_hundred(steps.missed)} in 100 overshoot."
        )
    if answer.size_limits is not None:
        texts.append(
            f"Accept it when it gauges {_sizes(answer, system)}; then the needs hold at least "
            f"{_in_hundred(answer.level)} times in 100."
        )
    else:
        texts.append(
            "No gauge reading alone makes it sure enough: what the gauges leave open is more "
            "than the window bears."
            + (f" Only the {answer.steps.test} tells." if answer.steps is not None else "")
        )
    return texts


def _sizes(answer: Answer, system: System) -> str:
    assert answer.size_limits is not None
    low, high = (_size(size, answer.best.kind, system) for size in answer.size_limits)
    return f"{low} to {high}"


def _count(number: float, step: str) -> str:
    return f"{number:.0f} {step}" + ("" if round(number) == 1 else "s")


def _what_to_do_next(answer: Answer, system: System) -> list[str]:
    now, then = answer.best.odds, answer.likeliest
    texts = [
        f"As it stands it meets every need in {_in_hundred(now.right)} of 100; in "
        f"{_in_hundred(now.correctable)} it is still too tight and can be corrected, in "
        f"{_in_hundred(now.lost)} it is lost ({answer.known_from})."
    ]
    if now.right >= answer.level:
        texts.insert(0, "Leave it as it is.")
    elif then.odds.right > now.right + 0.02 and then.offset != 0.0:
        taken = show(abs(then.offset), answer.best.kind, system=system)
        texts.insert(
            0,
            f"Take {taken} more off the {then.label} and test again: that makes it "
            f"{_in_hundred(then.odds.right)} in 100.",
        )
    else:
        texts.insert(
            0,
            f"Taking more off the {then.label} does not help: {answer.no_window_advice}, or make "
            "it again.",
        )
    return texts


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:].rstrip(".") + "."


def _value_text(value: float, answer: Answer, system: System) -> str:
    return f"{show(value, answer.best.kind, system=system)} {answer.value_label or ''}".rstrip()


def _as_value(target: Target, answer: Answer, system: System) -> str:
    if answer.value_label is None:
        return ""
    return f": {_value_text(target.value, answer, system)}"


def _window(answer: Answer, system: System) -> list[str]:
    kind = answer.best.kind
    rows = []
    if answer.plain_window is not None:
        plain = answer.plain_window
        rows.append(("window, plain rule", _span(plain.lower, plain.upper, kind, system)))
        if plain.lower is None:
            rows.append(("", plain.reason))
    hundred = _in_hundred(answer.level)
    rows += [
        (f"window, {hundred} in 100", _bounds(answer.window, kind, system)),
        (f"limits as gauged, {hundred} in 100", _bounds(answer.limits, kind, system)),
    ]
    if answer.size_limits is not None:
        rows.append((f"so the {answer.best.label}", _sizes(answer, system)))
    head = (
        f"  {answer.value_label}, cold; a window takes sizes as exact" if answer.value_label else ""
    )
    return [*([head] if head else []), *_table(rows)]


def _span(lower: float | None, upper: float | None, kind: Kind, system: System) -> str:
    if lower is None or upper is None:
        return "none"
    return f"{show(lower, kind, system=system)} to {show(upper, kind, system=system)}"


def _bounds(found: Bounds, kind: Kind, system: System) -> str:
    if found.lower is None:
        return f"none ({found.reason})" if found.reason else "none"
    return _span(found.lower, found.upper, kind, system)


def _table(rows: Sequence[tuple[str, str]], gap: int = 2) -> list[str]:
    if not rows:
        return []
    width = min(max(len(left) for left, _ in rows), 46)
    lines: list[str] = []
    for left, right in rows:
        space = " " * (2 + width + gap)
        beside = wrapped(right, "", "", width=WIDTH - len(space)) or [""]
        lines.append(f"  {left:<{width}}{' ' * gap}{beside[0]}")
        lines += [space + line for line in beside[1:]]
    return lines


def _range(figure: Range, system: System) -> str:
    largest = max(abs(figure.p5), abs(figure.p95))
    unit = figure.kind.display(largest, system).symbol
    low, middle, high = (
        show(value, figure.kind, unit=unit) for value in (figure.p5, figure.median, figure.p95)
    )
    return f"{middle} ({low.removesuffix(unit).rstrip()} to {high})"


def _size(value: float, kind: Kind, system: System) -> str:
    """A size to cut, to the last figure a machinist reads, zeros kept."""
    unit = kind.display(value, system)
    return show(value, kind, unit=unit.symbol, digits=unit.decimals)


def _worth_title(answer: Answer) -> str:
    return "AS IT STANDS" if answer.already_cut else "HOW WELL IT WORKS, CUT SO"


def _merits(merits: Sequence[MeritRange], system: System) -> list[str]:
    lines = ["  middle, and 5 to 95 in 100"]
    for merit in merits:
        figure = merit.range
        lines.append(f"  {_sentence(figure.label)[:-1]}")
        text = _range(figure, system)
        if merit.need is not None and merit.met is not None:
            limit = show(merit.need.limit, figure.kind, system=system)
            text += f"; {merit.need.direction} {limit}: met in {_in_hundred(merit.met)} of 100"
        lines += wrapped(text, " " * 6, " " * 6)
    return lines


def _causes(answer: Answer) -> list[str]:
    told = [c for c in answer.causes if abs(c.gain) > max(0.002, 2.0 * c.sampling_error)]
    if not told:
        return []
    lines = ["  odds in 100 gained if it were held, or known, twice as well"]
    lines += [f"  {100.0 * c.gain:+5.1f}  {c.label}" for c in told[:_MANY_CAUSES]]
    return lines


def _minds(answer: Answer) -> list[str]:
    lines: list[str] = []
    for flag in answer.flags:
        share = "" if flag.share is None else f" ({_in_hundred(flag.share)} of 100 draws)"
        lines += _item(f"{_sentence(flag.words)[:-1]}{share}.")
    for caution in answer.cautions:
        lines += _item(caution, "! ")
    return lines


def _rests(answer: Answer, all_sources: bool) -> list[str]:
    lines = _item(answer.theory)
    if all_sources:
        for source in answer.sources:
            lines += _item(source)
    else:
        lines += _item("Sources of every figure: benchproof sources.")
    return lines


def _measured(result: Result, system: System) -> list[str]:
    before = {figure.name: figure for figure in result.before}
    lines = [f"  {result.readings} readings; middle, and 5 to 95 in 100 (before the test)"]
    for figure in result.measured:
        lines.append(f"  {_sentence(figure.label)[:-1]}")
        text = _range(figure, system)
        if figure.name in before:
            earlier = before[figure.name]
            text += (
                f"  (before: {show(earlier.p5, figure.kind, system=system)} to "
                f"{show(earlier.p95, figure.kind, system=system)})"
            )
        lines += wrapped(text, " " * 6, " " * 6)
    return lines


def _forecasts(result: Result, system: System) -> list[str]:
    told = [f for f in result.forecasts if f.name in _needed(result)][:1]
    lines: list[str] = []
    for forecast in told:
        lines += _forecast(forecast, system)
    held = "; ".join(result.held.values())
    lines += _item(
        f"Held at their middles, then left open, because no bench test can tell: {held}."
    )
    return lines


def _needed(result: Result) -> set[str]:
    return {m.range.name for m in result.answer.merits if m.need is not None}


def _forecast(forecast: Forecast, system: System) -> list[str]:
    rows = [
        ("the test, service held", _range(forecast.tested_held, system)),
        ("the test, service open", _range(forecast.tested_open, system)),
        ("sizes alone, service held", _range(forecast.sizes_held, system)),
        ("sizes alone, service open", _range(forecast.sizes_open, system)),
    ]
    return [f"  {_sentence(forecast.label)[:-1]}", *_table(rows)]


def _learning(result: Result) -> list[str]:
    how = result.learning
    return _item(
        f"{how.draws} draws worth {how.effective:.0f} independent ones, after {how.steps} steps "
        f"and {how.moves} moves; seed {result.answer.seed}."
    )
