"""An answer as a page tells it: what to do, the odds, what spoils it, why, and what it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from benchproof.figures import in_hundred, in_hundreds, middle_and_span, size_text
from benchproof.quantities import System, show
from benchproof.reckon.answer import Answer, MeritRange
from benchproof.reckon.result import Result
from benchproof.telling import as_it_stands, beware, what_to_cut
from benchproof.web.bars import cause_bars, merit_bar
from benchproof.web.charts import Chart, odds_chart

WORTH_TELLING, MANY_CAUSES = 0.002, 6  # odds gained


@dataclass(frozen=True)
class ToldMerit:
    """A merit in words and as a bar; ``met`` is how many of 100 meet its need."""

    label: str
    figures: str
    need: str
    reason: str
    met: str
    bar: Markup


@dataclass(frozen=True)
class ToldAnswer:
    """Everything of an answer that a page shows; ``quick`` says that a fuller one is to come."""

    title: str
    lead: Sequence[str]
    deed: str
    size: str
    value: str
    fits: bool
    right: str
    correctable: str
    lost: str
    known_from: str
    chart: Chart | None
    needs: Sequence[ToldMerit]
    other: Sequence[ToldMerit]
    causes: Sequence[tuple[str, str, Markup]]
    work: Sequence[str]
    cautions: Sequence[str]
    flags: Sequence[str]
    theory: str
    sources: Sequence[str]
    rests: str
    quick: bool


def told_answer(
    answer: Answer, system: System, *, quick: bool = False, result: Result | None = None
) -> ToldAnswer:
    """Put an answer into words and pictures, in one measuring system."""
    best = answer.best
    if answer.already_cut:
        lead = [*(beware(result) if result is not None else ()), *as_it_stands(answer, system)]
    else:
        lead = what_to_cut(answer, system)
    # Size and odds stand above in large letters: said twice they only look like two things.
    lead = [text for text in lead if not text.startswith(("Odds in 100", "Cut the ", "The best "))]
    right, correctable, lost = in_hundreds([best.odds.right, best.odds.correctable, best.odds.lost])
    value = ""
    if answer.value_label is not None:
        short = "short of any " if best.value < 0.0 else ""
        value = f"{show(abs(best.value), best.kind, system=system)} {short}{answer.value_label}"
    told = [c for c in answer.causes if c.gain > max(WORTH_TELLING, 2.0 * c.sampling_error)]
    return ToldAnswer(
        title=answer.title,
        lead=lead,
        deed=f"{best.label}, as it is" if answer.already_cut else f"Cut the {best.label} to",
        size=size_text(best.size, best.kind, system),
        value=value,
        fits=answer.window.lower is not None,
        right=right,
        correctable=correctable,
        lost=lost,
        known_from=answer.known_from,
        chart=odds_chart(answer, system),
        needs=[_merit(merit, system) for merit in answer.merits if merit.need is not None],
        other=[_merit(merit, system) for merit in answer.merits if merit.need is None],
        causes=cause_bars(told[:MANY_CAUSES]),
        work=answer.work.get(system, ()),
        cautions=answer.cautions,
        flags=[
            flag.words + ("" if flag.share is None else f" (in {in_hundred(flag.share)} of 100)")
            for flag in answer.flags
        ],
        theory=answer.theory,
        sources=answer.sources,
        rests=f"{answer.draws} parts tried in figures, seed {answer.seed}",
        quick=quick,
    )


def _merit(merit: MeritRange, system: System) -> ToldMerit:
    figure, need = merit.range, merit.need
    return ToldMerit(
        label=figure.label,
        figures=middle_and_span(figure, system),
        need=f"{need.direction} {show(need.limit, figure.kind, system=system)}" if need else "",
        reason=need.reason if need else "",
        met=in_hundred(merit.met) if merit.met is not None else "",
        bar=merit_bar(merit, system),
    )
