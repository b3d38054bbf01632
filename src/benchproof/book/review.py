"""Every duty of an engine judged: as planned, as made, as tested; the worst first.

Each duty is reckoned once from what the book says, and kept in a cache beside the book under a
hash of everything it was reckoned from. The cache is never evidence and can be thrown away.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from benchproof.book.cache import Cache
from benchproof.book.model import Book
from benchproof.book.state import Binding, Tested
from benchproof.book.tested import REVIEW_DRAWS, judged_as_now, key_of, result_of, standing_test
from benchproof.quantities import Kind, System, show
from benchproof.reckon.answer import Answer
from benchproof.reckon.learning import ImpossibleReadings
from benchproof.reckon.plan import Job, plan
from benchproof.reckon.result import Result
from benchproof.specs import SpecError

THREADS = 2
PLANNED, MADE, TESTED, IN_TROUBLE = "planned", "made", "tested", "in trouble"
HOPELESS, GOOD = 0.1, 0.9


@dataclass(frozen=True)
class Verdict:
    """One duty: its state, the odds as it stands, what can still be corrected, what to do next."""

    binding: str
    name: str
    duty: str
    state: str
    right: float
    correctable: float
    lost: float
    do_next: Mapping[System, str]
    known_from: str

    @property
    def trouble(self) -> float:
        """How much it holds the engine back: chance lost first, then chance not right."""
        return self.lost + 0.5 * (1.0 - self.right)


Progress = Callable[[int, int, str], None]
Noted = Callable[[str, Answer | Result], None]


def review(
    book: Book,
    engine: str | None = None,
    *,
    cache: Cache | None = None,
    progress: Progress | None = None,
    noted: Noted | None = None,
) -> list[Verdict]:
    """Judge every duty of an engine, or of all; those that hold it back most come first.

    ``progress`` is told how many are done, of how many, and which is next. ``noted`` is handed
    every answer or result that had to be reckoned, with its key, from any thread.
    """
    owner = None if engine is None else book.find("engine", engine).id
    wanted = [b for b in book.state.bindings.values() if owner in {None, b.engine}]
    questions: dict[str, _Question] = {}
    broken: dict[str, dict[str, Any]] = {}
    for each in wanted:
        try:
            questions[each.id] = _question(book, each)
        except SpecError as refused:  # one that cannot be read must not hide the others
            broken[each.id] = _unreadable(refused)
    known = {}
    for question in questions.values():
        kept = None if cache is None else cache.get(question.key)
        if kept is not None and _is_whole(kept):
            known[question.key] = kept
    # Left and right are often alike: each question is reckoned once, two at a time.
    fresh = {q.key: q for q in questions.values() if q.key not in known}
    done = len(wanted) - len(fresh)

    def reckoned(question: _Question) -> dict[str, Any]:
        note = _forget if noted is None else partial(noted, question.key)
        return _reckon(question.job, question.test, note)

    with ThreadPoolExecutor(THREADS) as pool:
        answers = pool.map(reckoned, fresh.values())
        for question, kept in zip(fresh.values(), answers, strict=True):
            if progress is not None:
                progress(done, len(wanted), question.name)
            known[question.key] = kept
            if cache is not None:
                cache.put(question.key, kept)
            done += 1
    if progress is not None:
        progress(len(wanted), len(wanted), "")
    found = [
        _verdict(book, b, broken[b.id] if b.id in broken else known[questions[b.id].key])
        for b in wanted
    ]
    return sorted(found, key=lambda verdict: (-verdict.trouble, verdict.name))


def _unreadable(refused: SpecError) -> dict[str, Any]:
    """What is said of a duty whose spec was refused: a table or a field was changed since."""
    told = "; ".join(f"{problem.label} {problem.message}" for problem in refused.problems[:3])
    words = f"mend its spec, which cannot be read: {told}"
    return {
        "state": IN_TROUBLE,
        "right": 0.0,
        "correctable": 0.0,
        "lost": 0.0,
        "do_next": {"metric": words, "inch": words},
        "known_from": "nothing: its spec cannot be read",
    }


def _verdict(book: Book, binding: Binding, kept: Mapping[str, Any]) -> Verdict:
    found = Verdict(binding.id, binding.name, binding.duty, **kept)
    lost = " and ".join(to_make_again(book, binding))
    if not lost:
        return found
    again = {system: f"make the {lost} again: {words}" for system, words in found.do_next.items()}
    return replace(found, do_next=again)


@dataclass(frozen=True)
class _Question:
    """What one duty is reckoned from, and the key of all that."""

    name: str
    job: Job[Any]
    test: Tested | None
    key: str


def _question(book: Book, binding: Binding) -> _Question:
    job = book.job(binding)
    last = standing_test(book, binding)
    return _Question(binding.name, job, last, key_of(job, last))


def _is_whole(kept: dict[str, Any]) -> bool:
    """Whether what a cache held is a verdict at all."""
    shares = ("right", "correctable", "lost")
    return (
        set(kept) == {"state", "do_next", "known_from", *shares}
        and kept["state"] in {PLANNED, MADE, TESTED, IN_TROUBLE}
        and isinstance(kept["known_from"], str)
        and isinstance(kept["do_next"], dict)
        and set(kept["do_next"]) == {"metric", "inch"}
        and all(isinstance(kept[name], int | float) and 0.0 <= kept[name] <= 1.0 for name in shares)
    )


def to_make_again(book: Book, binding: Binding) -> list[str]:
    """Names of pieces of a duty that were scrapped and not made again since."""
    state = book.state
    return [
        state.things[piece].name
        for role, piece in binding.roles.items()
        if (lost := state.lost(piece))
        and not any(size.order > lost[-1] for size in state.sizes_of(piece, role))
    ]


def _forget(_: Answer | Result) -> None:
    pass


def _reckon(
    job: Job[Any], test: Tested | None, note: Callable[[Answer | Result], None]
) -> dict[str, Any]:
    if test is None:
        answer = plan(job, draws=REVIEW_DRAWS, brief=True)
        note(answer)
        state = MADE if answer.already_cut else PLANNED
        return _kept(
            state,
            answer,
            lambda system: (
                _next_after_making(answer, system)
                if answer.already_cut
                else _next_to_make(answer, job, system)
            ),
        )
    repeat = f"repeat the {test.test}: as it was done it proves nothing"
    try:
        found = result_of(job, test, brief=True)
    except ImpossibleReadings:
        return _without_odds(repeat, f"the {test.test}")
    note(found)
    if found.stop:
        return _without_odds(found.stop[:1].lower() + found.stop[1:], f"the {test.test}")
    if found.contradicted or found.spoilt:
        return _kept(IN_TROUBLE, found.answer, lambda _: repeat)
    changed = (
        ""
        if judged_as_now(job, test)
        else "; this is by the spec as it was when tested, of another part than now: test again"
    )
    return _kept(
        TESTED, found.answer, lambda system: _next_after_test(found.answer, system) + changed
    )


def _without_odds(words: str, known_from: str) -> dict[str, Any]:
    """In trouble, whatever the odds: counted as lost, so that it comes first."""
    return {
        "state": IN_TROUBLE,
        "right": 0.0,
        "correctable": 0.0,
        "lost": 1.0,
        "do_next": _in_both(lambda _: words),
        "known_from": known_from,
    }


def _in_both(words: Callable[[System], str]) -> dict[System, str]:
    """What to do next, in each measuring system."""
    return {"metric": words("metric"), "inch": words("inch")}


def _kept(state: str, answer: Answer, words: Callable[[System], str]) -> dict[str, Any]:
    odds = answer.best.odds
    trouble = state != PLANNED and odds.right < GOOD and odds.correctable < HOPELESS
    return {
        "state": IN_TROUBLE if trouble else state,
        "right": odds.right,
        "correctable": odds.correctable,
        "lost": odds.lost,
        "do_next": _in_both(words),
        "known_from": answer.known_from,
    }


def _size(metres: float, kind: Kind, system: System) -> str:
    unit = kind.display(metres, system)
    return show(metres, kind, unit=unit.symbol, digits=unit.decimals)


def _next_to_make(answer: Answer, job: Job[Any], system: System) -> str:
    if answer.window.lower is None:
        return f"no window: {answer.no_window_advice}"
    best, tight = answer.best, answer.steps
    first = [
        f.label for f in job.duty.features(job.spec) if f.name not in job.made and not f.cut_last
    ]
    if first:
        return f"make and measure the {', '.join(first)}; then cut the {best.label} to suit"
    if tight is None:
        return f"cut the {best.label} to {_size(best.size, best.kind, system)}"
    start = _size(tight.start_size, best.kind, system)
    return f"cut the {best.label} to {start}, then {tight.test}, {tight.step} and test again"


def _next_after_making(answer: Answer, system: System) -> str:
    return _next_cut(answer, system) or "a bench test would tell what the sizes leave open"


def _next_after_test(answer: Answer, system: System) -> str:
    if answer.best.odds.right >= GOOD:
        return "leave it as it is"
    advice = f"more cutting does not help: {answer.no_window_advice}, or make it again"
    return _next_cut(answer, system) or advice


def _next_cut(answer: Answer, system: System) -> str:
    then = answer.likeliest
    if answer.best.odds.right >= GOOD or then.offset == 0.0:
        return ""
    if then.odds.right < answer.best.odds.right + 0.02:
        return ""
    more = show(abs(then.offset), then.kind, system=system)
    return f"take {more} more off the {then.label} and test again"


def holds_back(verdicts: Sequence[Verdict]) -> Verdict | None:
    """The duty that holds the engine back most, unless all are good."""
    worst = [v for v in verdicts if v.right < GOOD]
    return worst[0] if worst else None
