"""The sheet of a bench test: blank to take to the bench, or with what it showed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from benchproof.bench_tests.contract import BenchTest
from benchproof.columns import sentence
from benchproof.figures import in_hundred, middle_and_span
from benchproof.papers.cards import About, CardPaper
from benchproof.papers.pictures import code
from benchproof.papers.readings import as_taken, to_fill_in
from benchproof.papers.typesetting import typeset
from benchproof.quantities import System, show
from benchproof.reckon.answer import Flagged, MeritRange
from benchproof.reckon.result import Result

SIGNING: Final = (
    "Who signs says that the test was seen to be done as written here, and that the readings are "
    "those seen; nothing is passed by it. A boiler and its fittings are for the boiler inspector "
    "and the code in force where you live."
)


def bench_sheet(
    test: BenchTest[Any],
    *,
    about: About,
    spec: Any = None,
    record: Any = None,
    result: Result | None = None,
    lead: Sequence[str] = (),
    when: str = "",
    paper: CardPaper = "A4",
    system: System = "metric",
) -> bytes:
    """Set the sheet of a bench test; with ``record`` and ``result`` it says what was found.

    ``lead`` are the words of the result, as the terminal tells them.
    """
    return typeset(
        "bench_sheet",
        *for_type(
            test,
            about=about,
            spec=spec,
            record=record,
            result=result,
            lead=lead,
            when=when,
            paper=paper,
            system=system,
        ),
    )


def for_type(
    test: BenchTest[Any],
    *,
    about: About,
    spec: Any = None,
    record: Any = None,
    result: Result | None = None,
    lead: Sequence[str] = (),
    when: str = "",
    paper: CardPaper = "A4",
    system: System = "metric",
) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Data and pictures of a sheet, for the typesetter."""
    scanned = [code(about.address)] if about.address else []
    table = to_fill_in(test, whole=True) if record is None else as_taken(test, record, system)
    data = {
        "title": test.title,
        "paper": paper,
        "above": " · ".join(filter(None, [about.engine, about.title, when])) or "Bench test",
        "subtitle": test.summary,
        "roles": [list(role) for role in about.roles],
        "code": scanned[0].plain if scanned else None,
        "warnings": [],
        "lead": list(lead),
        "steps": [{"words": step, "cautions": []} for step in test.procedure(spec)],
        "table": table.plain,
        "result": None if result is None else showed(result, system),
        "signing": SIGNING,
        "foot": _foot(test, result),
    }
    return data, {each.name: each.data for each in scanned}


def showed(result: Result, system: System) -> dict[str, Any]:
    """What a test showed, as plain text: figures, needs, what is doubtful, what it leaves open."""
    before = {figure.name: figure for figure in result.before}
    held = "; ".join(result.held.values())
    return {
        "measured": [
            {
                "label": sentence(figure.label)[:-1],
                "after": middle_and_span(figure, system),
                "before": middle_and_span(before[figure.name], system)
                if figure.name in before
                else "",
            }
            for figure in result.measured
        ],
        "needs": [needed(merit, system) for merit in result.answer.merits if merit.need],
        "flags": [_flag(flag) for flag in result.answer.flags],
        "open": f"Service is what no bench test can tell: {held}. Left open in these figures."
        if held
        else "",
    }


def _flag(flag: Flagged) -> str:
    share = "" if flag.share is None else f" (in {in_hundred(flag.share)} cases of 100)"
    return sentence(f"{flag.words.rstrip('.')}{share}")


def needed(merit: MeritRange, system: System) -> dict[str, str]:
    """A merit against its need, as plain text."""
    need, kind = merit.need, merit.range.kind
    return {
        "label": sentence(merit.range.label)[:-1],
        "figures": middle_and_span(merit.range, system),
        "need": f"{need.direction} {show(need.limit, kind, system=system)}" if need else "",
        "met": in_hundred(merit.met) if merit.met is not None else "",
    }


def _foot(test: BenchTest[Any], result: Result | None) -> str:
    sources = "; ".join(test.sources)
    if result is None:
        return sentence(f"Rests on: {sources}")
    versions: Mapping[str, str] = result.answer.versions
    return (
        f"Reckoned with benchproof {versions.get('benchproof', '')}, {result.learning.draws} draws "
        f"worth {result.learning.effective:.0f}, seed {result.answer.seed}. "
        + sentence(f"Rests on: {sources}")
    )
