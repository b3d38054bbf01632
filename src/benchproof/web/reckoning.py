"""Reckoning for the screens: answers kept while they hold, long reviews in the background."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any, TypeVar

from benchproof.bench_tests.contract import BenchTest
from benchproof.book.cache import Cache
from benchproof.book.lots import LotVerdict, lot_plan, lots_under_way, progress
from benchproof.book.model import Book
from benchproof.book.review import Verdict, review
from benchproof.book.state import Binding, Tested, Thing
from benchproof.book.store import canonical
from benchproof.book.tested import key_of, result_of, standing_test, taken_together
from benchproof.quantities import System
from benchproof.reckon.answer import Answer
from benchproof.reckon.finished import still_to_make
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_report import LotReport
from benchproof.reckon.plan import Job, plan
from benchproof.reckon.result import LEARNING_DRAWS, Result, bench_result

T = TypeVar("T")
QUICK_DRAWS = 4096  # an answer while somebody types: odds to within a point or two
QUICK_LEARNING = 1024  # draws while readings come in
MOST_KEPT = 256  # answers in memory
THREADS = 2


@dataclass
class Progress:
    """How far a review is: of how many duties, which is next, and what it found at the end."""

    head: bytes
    done: int = 0
    whole: int = 0
    name: str = ""
    running: bool = True
    failed: bool = False
    verdicts: Sequence[Verdict] = field(default_factory=tuple)
    lots: Sequence[LotVerdict] = field(default_factory=tuple)


class StillReckoning(Exception):
    """The answer is not there yet; it is being reckoned, and is there when asked again."""


class Reckoning:
    """A few threads, and what they have worked out; the same question is reckoned once."""

    def __init__(self) -> None:
        self._pool = ThreadPoolExecutor(THREADS, thread_name_prefix="reckoning")
        self._reviews = ThreadPoolExecutor(1, thread_name_prefix="review")
        self._kept: OrderedDict[str, Future[Any]] = OrderedDict()
        self._lock = threading.Lock()
        self._review: Progress | None = None
        self._before: Progress = Progress(b"")

    def close(self) -> None:
        """Drop what is waiting; what is being reckoned comes to its end."""
        for pool in (self._pool, self._reviews):
            pool.shutdown(wait=False, cancel_futures=True)

    def answer(
        self, job: Job[Any], *, quick: bool = False, patience: float | None = None
    ) -> tuple[Answer, bool]:
        """What to cut, and whether that is in full.

        ``quick`` takes the full answer where it is there already; else a rough one at once.
        Raises :class:`StillReckoning` when even that takes longer than ``patience`` [s].
        """

        def work(brief: bool) -> Answer:
            return _planned(job, quick=brief)

        return self._asked(key_of(job, None), quick, patience, work)

    def result(
        self, job: Job[Any], test: Tested, *, quick: bool = False, patience: float | None = None
    ) -> tuple[Result, bool]:
        """What a bench test showed, and whether that is in full, as :meth:`answer` has it.

        Raises ``ImpossibleReadings`` when no part explains the readings.
        """

        def work(brief: bool) -> Result:
            return result_of(job, test, brief=brief)

        return self._asked(key_of(job, test), quick, patience, work)

    def readings(
        self,
        job: Job[Any],
        bench: BenchTest[Any],
        record: Any,
        *,
        beside: Sequence[Tested] = (),
        quick: bool = False,
    ) -> tuple[Result, bool]:
        """What readings that are in no book yet would show, as :meth:`result` has it.

        ``beside`` are tests of other kinds that are in the book and count together with them.
        """
        whole, records = taken_together(bench, record, beside)

        def work(brief: bool) -> Result:
            draws = QUICK_LEARNING if brief else LEARNING_DRAWS
            return bench_result(job, whole, records, draws=draws, brief=brief)

        said = {
            "test": bench.key,
            "record": record.model_dump(mode="json"),
            "beside": [each.record.id for each in beside],
        }
        return self._asked(f"{key_of(job, None)} {canonical(said)}", quick, None, work)

    def lot(self, book: Book, lot: Thing, system: System) -> tuple[LotPlan, LotReport | None]:
        """The plan of a lot and how far it is; raises ``NoLotPlanError`` where there is none."""

        def work() -> tuple[LotPlan, LotReport | None]:
            plan = lot_plan(book, lot, system=system)
            return plan, progress(book, lot, plan)

        return self._once(f"lot {lot.id} {system} {book.store.head.hex()}", work)

    def kept(self, key: str, work: Callable[[], T]) -> T:
        """Anything else that is worth keeping, worked out once for its key."""
        return self._once(key, work)

    def _asked(
        self, key: str, quick: bool, patience: float | None, work: Callable[[bool], T]
    ) -> tuple[T, bool]:
        if quick:
            with self._lock:
                kept = self._kept.get(f"full {key}")
            if kept is None or not kept.done():
                return self._once(f"quick {key}", lambda: work(True), patience), False
        return self._once(f"full {key}", lambda: work(False)), True

    def _once(self, key: str, work: Callable[[], T], patience: float | None = None) -> T:
        with self._lock:
            waiting = self._kept.get(key)
            if waiting is None:
                waiting = self._kept[key] = self._pool.submit(work)
                while len(self._kept) > MOST_KEPT:
                    self._kept.popitem(last=False)
            self._kept.move_to_end(key)
        try:
            found: T = waiting.result(patience)
        except TimeoutError as late:
            raise StillReckoning from late
        except BaseException:
            with self._lock:
                if self._kept.get(key) is waiting:
                    del self._kept[key]
            raise
        return found

    def review(self, book: Book) -> Progress:
        """How far the review of a book held still is; begun if there is none of this book yet.

        Verdicts of the book as it was before stand in until the new ones are there.
        """
        with self._lock:
            now = self._review
            if now is None or (now.head != book.store.head and not now.running):
                now = self._review = Progress(
                    book.store.head, verdicts=self._before.verdicts, lots=self._before.lots
                )
                self._reviews.submit(self._judge, book, now)
            return now

    def _judge(self, book: Book, now: Progress) -> None:
        def told(done: int, whole: int, name: str) -> None:
            now.done, now.whole, now.name = done, whole, name

        cache = Cache.beside(book.store.path)
        try:
            now.verdicts = review(book, cache=cache, progress=told)
            now.lots = lots_under_way(book, cache=cache)
            self._before = now
        except Exception:
            # One duty that cannot be judged (its table was changed since) must not hide the rest
            # of the book: the page says that there is no review, and everything else is shown.
            now.failed = True
        finally:
            cache.close()
            now.running = False


def _planned(job: Job[Any], *, quick: bool) -> Answer:
    flags = still_to_make(job.duty, job.spec, job.made)
    if quick:
        return plan(job, draws=QUICK_DRAWS, more_flags=flags, brief=True)
    return plan(job, more_flags=flags)


def last_test(book: Book, binding: Binding) -> tuple[Tested | None, bool]:
    """The last bench test of a duty, and whether it speaks of the pieces as they are now."""
    last = standing_test(book, binding)
    if last is not None:
        return last, True
    tests = book.state.tests_of(binding.id)
    return (tests[-1] if tests else None), False
