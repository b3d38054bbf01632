"""Every duty of an engine judged: as planned, as made, as tested; the worst first.

Each duty is reckoned once from what the book says, and kept in a cache beside the book under a
hash of everything it was reckoned from. The cache is never evidence and can be thrown away.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from benchproof.bench_tests import load_bench_test
from benchproof.bench_tests.contract import BenchTest
from benchproof.bench_tests.together import Records, Together
from benchproof.book.cache import Cache
from benchproof.book.model import Book
from benchproof.book.state import Binding, Tested
from benchproof.book.store import canonical
from benchproof.duties import load_duty
from benchproof.duties.contract import Unknown
from benchproof.quantities import Kind, System, show
from benchproof.reckon.answer import Answer
from benchproof.reckon.joint import Made
from benchproof.reckon.learning import ImpossibleReadings
from benchproof.reckon.plan import Job, plan, versions
from benchproof.reckon.result import Result, bench_result, judges_alike
from benchproof.specs import SpecError, spread_from_json
from benchproof.workshop.standing import Standing

REVIEW_DRAWS = 8192
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


def still_stands(book: Book, binding: Binding, test: Tested) -> bool:
    """Whether no piece was cut, measured anew or scrapped after a bench test."""
    state, pieces = book.state, binding.roles
    cut = [size.order for role, piece in pieces.items() for size in state.sizes_of(piece, role)]
    lost = [order for piece in pieces.values() for order in state.lost(piece)]
    return all(order < test.order for order in (*cut, *lost))


def standing_test(book: Book, binding: Binding) -> Tested | None:
    """The last bench test that still speaks of the pieces, beside it the last of each other kind.

    Tests are taken together only when they were reckoned with the same spec and sizes. Of two of
    one kind the later one counts: the earlier is as a rule why it was done again.
    """
    tests = [t for t in book.state.tests_of(binding.id) if still_stands(book, binding, t)]
    if not tests:
        return None
    last, others = tests[-1], dict[str, Tested]()
    for test in tests[:-1]:
        same = all(test.resolved[name] == last.resolved[name] for name in ("spec", "sizes"))
        if test.test != last.test and same:
            others[test.test] = test
    return replace(last, beside=tuple(others.values()))


def to_make_again(book: Book, binding: Binding) -> list[str]:
    """Names of pieces of a duty that were scrapped and not made again since."""
    state = book.state
    return [
        state.things[piece].name
        for role, piece in binding.roles.items()
        if (lost := state.lost(piece))
        and not any(size.order > lost[-1] for size in state.sizes_of(piece, role))
    ]


def key_of(job: Job[Any], test: Tested | None) -> str:
    """Hash of everything a duty is judged from: equal for equal answers only."""
    duty, spec, lathe = job.duty, job.spec, job.lathe
    standings = lathe.standings
    used = sorted({e.process for e in duty.errors(spec)})
    shown = [[key, *fingerprint(standings[key])] for key in used]
    material = {
        "duty": duty.key,
        "spec": spec.model_dump(mode="json"),
        "made": {name: [m.size, m.u, m.aim] for name, m in job.made.items()},
        "lathe": lathe.name,
        "standing": shown,
        "instruments": {key: i.u for key, i in sorted(lathe.instruments.items())},
        "test": None
        if test is None
        else [[t.test, t.stated, t.resolved] for t in (test, *test.beside)],
        "unknowns": [repr(u) for u in duty.unknowns(spec)],
        "versions": versions(),
        "draws": REVIEW_DRAWS,
    }
    return hashlib.sha256(canonical(material).encode()).hexdigest()


def fingerprint(standing: Standing) -> list[object]:
    """All of a standing, in short."""
    held = (standing.spread_grid, standing.probability, standing.bias_mean, standing.bias_sd)
    digest = hashlib.sha256(b"".join(array.tobytes() for array in held)).hexdigest()
    return [standing.parts, digest]


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


def result_of(job: Job[Any], test: Tested, *, brief: bool = False) -> Result:
    """Infer a bench test again from what was recorded with it, and judge it by the spec of now.

    Where the spec of now is of another part, it is judged by the one it was tested under.
    """
    bench, record, then, now = _then_and_now(job, test)
    alike = now is not None and judges_alike(then, now, bench, record)
    return bench_result(then, bench, record, brief=brief, judged_by=now if alike else None)


def judged_as_now(job: Job[Any], test: Tested) -> bool:
    """Whether a bench test is judged by the spec of now, changed or not since it was done."""
    bench, record, then, now = _then_and_now(job, test)
    return now is None or judges_alike(then, now, bench, record)


def _then_and_now(
    job: Job[Any], test: Tested
) -> tuple[BenchTest[Any], Any, Job[Any], Job[Any] | None]:
    """A test and its record; the job as it was tested; the same part under a spec changed since.

    What was recorded of an unknown holds, unless the builder has stated it anew since.
    """
    bench = load_bench_test(test.test)
    duty = load_duty(test.resolved["duty"])
    spec = duty.spec_type.model_validate(test.resolved["spec"])
    recorded = {
        name: spread_from_json(spread) for name, spread in test.resolved["unknowns"].items()
    }
    made = {name: Made(*values) for name, values in test.resolved["sizes"].items()}
    then = Job(duty, spec, job.lathe, made, recorded=recorded)
    record = bench.record_type.from_text(test.stated).spec
    if test.beside:
        every = [load_bench_test(each.test) for each in (test, *test.beside)]
        taken = zip(every[1:], test.beside, strict=True)
        read = (other.record_type.from_text(each.stated).spec for other, each in taken)
        bench, record = Together(every), Records((record, *read))
    if job.duty.key != duty.key or job.spec == spec:
        return bench, record, then, None
    before, after = (
        {u.name: u.spread for u in duty.unknowns(each) if isinstance(u, Unknown)}
        for each in (spec, job.spec)
    )
    kept = {name: held for name, held in recorded.items() if before.get(name) == after.get(name)}
    return bench, record, then, replace(then, spec=job.spec, recorded=kept)


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
