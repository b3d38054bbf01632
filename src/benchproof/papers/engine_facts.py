"""What a book knows of one engine, gathered for its file: duties judged, tests, sizes, sources.

Whatever is reckoned is kept in the cache beside the book, so that a file that was set once is
set again in no time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass
from functools import partial
from typing import Any, Final

from benchproof.book.cache import Cache
from benchproof.book.model import Book
from benchproof.book.review import THREADS, Progress, Verdict, review
from benchproof.book.state import Binding, Tested, Thing
from benchproof.book.tested import REVIEW_DRAWS, key_of, result_of, standing_test
from benchproof.drawing import Sized
from benchproof.papers.bench_sheet import showed
from benchproof.quantities import System
from benchproof.reckon.answer import Answer
from benchproof.reckon.learning import ImpossibleReadings
from benchproof.reckon.plan import Job, plan
from benchproof.reckon.result import Result
from benchproof.reckon.sized import sized
from benchproof.specs import SpecError, Understood

IMPOSSIBLE: Final = "impossible"


@dataclass(frozen=True)
class DutyFacts:
    """One duty of an engine: its job, its verdict, the sizes to draw, and its last bench test.

    ``stands`` is the bench test that speaks of the pieces as they are; ``showed`` what it found,
    as :func:`benchproof.papers.bench_sheet.showed` tells it, and None without such a test.
    """

    binding: Binding
    understood: Understood[Any]
    job: Job[Any]
    verdict: Verdict
    sizes: Mapping[str, Sized]
    stands: Tested | None
    showed: Mapping[str, Any] | None

    @property
    def features(self) -> Iterable[Any]:
        """Features of the duty, in their order."""
        return self.job.duty.features(self.job.spec)


@dataclass(frozen=True)
class EngineFacts:
    """All of an engine: itself, its duties, the worst first, and those that cannot be read."""

    engine: Thing
    duties: tuple[DutyFacts, ...]
    unread: tuple[Verdict, ...] = ()


def engine_facts(
    book: Book,
    engine: str,
    *,
    system: System = "metric",
    cache: Cache | None = None,
    progress: Progress | None = None,
) -> EngineFacts:
    """Judge every duty of an engine and look up what its file tells; two at a time.

    ``progress`` is told how many steps are done, of how many, and what comes next.
    """
    owner = book.find("engine", engine)
    seen: dict[str, Answer | Result] = {}
    verdicts = review(book, engine, cache=cache, progress=progress, noted=seen.__setitem__)
    whole = len(verdicts)
    bindings = book.state.bindings
    read, unread = {}, []
    for verdict in verdicts:
        try:
            read[verdict.binding] = book.understood(bindings[verdict.binding])
        except SpecError:  # one that cannot be read must not keep the others from being told
            unread.append(verdict)
    jobs = {key: book.job(bindings[key]) for key in read}
    stands = {key: standing_test(book, bindings[key]) for key in jobs}
    wanted: dict[str, Callable[[], dict[str, Any]]] = {}
    keys = {}
    for key, job in jobs.items():
        test = stands[key]
        asked = key_of(job, test)
        keys[key] = f"engine file {system} {asked}"
        wanted.setdefault(keys[key], partial(_reckoned, job, test, system, seen.get(asked)))
    known = _answered(wanted, cache, progress, whole)
    duties = []
    for verdict in (each for each in verdicts if each.binding in read):
        key = verdict.binding
        found = known[keys[key]]
        sizes = {name: Sized(*values) for name, values in found["sizes"].items()}
        duties.append(
            DutyFacts(
                binding=bindings[key],
                understood=read[key],
                job=jobs[key],
                verdict=verdict,
                sizes=sizes,
                stands=stands[key],
                showed=found["showed"],
            )
        )
    return EngineFacts(owner, tuple(duties), tuple(unread))


def _answered(
    wanted: Mapping[str, Callable[[], dict[str, Any]]],
    cache: Cache | None,
    progress: Progress | None,
    whole: int,
) -> dict[str, dict[str, Any]]:
    """Answers by key: from the cache, else reckoned, two at a time, and put in the cache."""
    known = {}
    for key in wanted:
        kept = None if cache is None else cache.get(key)
        if kept is not None and set(kept) == {"sizes", "showed"}:
            known[key] = kept
    fresh = [key for key in wanted if key not in known]
    with ThreadPoolExecutor(THREADS) as pool:
        answers = pool.map(lambda key: wanted[key](), fresh)
        for done, (key, found) in enumerate(zip(fresh, answers, strict=True)):
            if progress is not None:
                progress(min(done, whole), whole, "sizes for the drawings")
            known[key] = found
            if cache is not None:
                cache.put(key, found)
    return known


def _reckoned(
    job: Job[Any], test: Tested | None, system: System, seen: Answer | Result | None
) -> dict[str, Any]:
    """Sizes to draw and what a test showed; ``seen`` is what the review has just reckoned of it."""
    if isinstance(seen, Result):
        return _plain(sized(job, seen.answer), showed(seen, system))
    if test is None:
        cut_last = next(f for f in job.duty.features(job.spec) if f.cut_last)
        if cut_last.name in job.made:
            # Nothing is left to aim for: what was made is what is drawn.
            sizes = {
                f.name: Sized(job.made[f.name].size if f.name in job.made else f.aim)
                for f in job.duty.features(job.spec)
            }
        else:
            sizes = sized(job, seen or plan(job, draws=REVIEW_DRAWS, brief=True))
        return _plain(sizes, None)
    try:
        found = result_of(job, test, brief=True)
    except ImpossibleReadings as impossible:
        return _plain({}, {IMPOSSIBLE: str(impossible)})
    return _plain(sized(job, found.answer), showed(found, system))


def _plain(sizes: Mapping[str, Sized], told: dict[str, Any] | None) -> dict[str, Any]:
    return {
        "sizes": {name: list(asdict(size).values()) for name, size in sizes.items()},
        "showed": told,
    }
