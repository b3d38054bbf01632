"""What a bench test showed as a page tells it: figures, forecast, what to do, what it rests on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from benchproof.figures import middle_and_span
from benchproof.quantities import System
from benchproof.reckon.result import Forecast, Result
from benchproof.specs.layout import fields_of
from benchproof.web.answers import ToldAnswer, told_answer
from benchproof.web.typed import flat

FAR_OFF = 2.0  # standard deviations from what is foreseen: worth a second look


@dataclass(frozen=True)
class ToldResult:
    """Everything of a bench test's result that a page shows; ``grave``: not to be acted on."""

    title: str
    readings: int
    measured: Sequence[tuple[str, str]]
    forecast: str
    forecasts: Sequence[tuple[str, str]]
    held: str
    answer: ToldAnswer
    grave: bool
    learning: str


def told_result(result: Result, system: System, *, quick: bool = False) -> ToldResult:
    """Put a result into words and figures, in one measuring system."""
    before = {figure.name: figure for figure in result.before}
    needed = {merit.range.name for merit in result.answer.merits if merit.need is not None}
    told = next((each for each in result.forecasts if each.name in needed), None)
    rows = _forecast(told, system) if told is not None else []
    held = "; ".join(result.held.values()) if len(rows) > 2 else ""
    how = result.learning
    return ToldResult(
        title=result.title,
        readings=result.readings,
        measured=[
            (figure.label, middle_and_span(figure, system, before=before.get(figure.name)))
            for figure in result.measured
        ],
        forecast=told.label if told is not None else "",
        forecasts=rows,
        held=held,
        answer=told_answer(result.answer, system, quick=quick, result=result),
        grave=result.contradicted or result.spoilt,
        learning=f"{how.draws} possible parts that fit the readings, worth {how.effective:.0f} "
        f"found each by itself, after {how.steps} steps and {how.moves} moves",
    )


def _forecast(told: Forecast, system: System) -> list[tuple[str, str]]:
    held, left = (middle_and_span(each, system) for each in (told.tested_held, told.tested_open))
    sizes = middle_and_span(told.sizes_open, system)
    if held == left:
        return [("after the test", held), ("by the sizes alone", sizes)]
    return [
        ("after the test, service at its middle", held),
        ("after the test, service left open", left),
        ("by the sizes alone", sizes),
    ]


@dataclass(frozen=True)
class ToldReadings:
    """Set-up and readings as they were stated, each reading with how far it is from foreseen."""

    set_up: Sequence[tuple[str, str]]
    columns: Sequence[str]
    rows: Sequence[tuple[Sequence[str], str]]


def told_readings(
    record_type: Any, stated: Mapping[str, Any], residuals: Sequence[float]
) -> ToldReadings:
    """What was stated of one bench test; ``residuals`` are those of its own readings, if any."""
    layout = {each.name: each for each in fields_of(record_type)}
    set_up = [
        (layout[name].label if name in layout else name, text)
        for name, text in flat({k: v for k, v in stated.items() if k != "reading"}).items()
    ]
    readings = [flat(each) for each in stated.get("reading", ())]
    names = list(dict.fromkeys(name for each in readings for name in each))
    inner = layout["reading"].rows
    labels = {each.name: each.label for each in fields_of(inner)} if inner is not None else {}
    rows = [
        ([each.get(name, "") for name in names], _off(residuals, place))
        for place, each in enumerate(readings)
    ]
    return ToldReadings(set_up, [labels.get(name, _plain(name)) for name in names], rows)


def _plain(name: str) -> str:
    """A name such as ``marks.0.at`` for people, counted from one."""
    return " ".join(str(int(part) + 1) if part.isdecimal() else part for part in name.split("."))


def _off(residuals: Sequence[float], place: int) -> str:
    if place >= len(residuals):
        return ""
    off = residuals[place]
    doubt = ", look at it again" if abs(off) > FAR_OFF else ""
    return f"{off:+.1f} spreads{doubt}"
