"""A duty of the book as it stands, or as it would stand with another spec."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from benchproof.book.model import Book
from benchproof.book.state import Binding, Tested
from benchproof.quantities import System
from benchproof.reckon.answer import Answer
from benchproof.reckon.learning import ImpossibleReadings
from benchproof.reckon.plan import Job
from benchproof.reckon.result import Result
from benchproof.web.answers import ToldAnswer, told_answer
from benchproof.web.reckoning import Reckoning, StillReckoning, last_test


@dataclass(frozen=True)
class Judged:
    """The answer about a duty, the bench test it rests on if any, or why nothing explains it.

    ``waiting``: the answer is still being reckoned.
    """

    job: Job[Any]
    answer: Answer | None
    result: Result | None
    test: Tested | None
    stands: bool
    impossible: str
    quick: bool
    waiting: bool = False

    def told(self, system: System) -> ToldAnswer | None:
        """The answer in words and pictures; None where the readings fit no part."""
        if self.answer is None:
            return None
        return told_answer(self.answer, system, quick=self.quick, result=self.result)


def judged(
    reckoning: Reckoning,
    book: Book,
    binding: Binding,
    *,
    spec: Any = None,
    quick: bool = False,
    patience: float | None = None,
) -> Judged:
    """Judge a duty by its last bench test where that still stands, else by what is known.

    A ``quick`` answer is waited for no longer than ``patience`` [s].
    """
    job = book.job(binding)
    if spec is not None:
        job = replace(job, spec=spec)
    test, stands = last_test(book, binding)
    try:
        if test is None or not stands:
            answer, in_full = reckoning.answer(job, quick=quick, patience=patience)
            return Judged(job, answer, None, test, stands, "", not in_full)
        result, in_full = reckoning.result(job, test, quick=quick, patience=patience)
    except StillReckoning:
        return Judged(job, None, None, test, stands, "", True, waiting=True)
    except ImpossibleReadings as impossible:
        return Judged(job, None, None, test, True, str(impossible), False)
    return Judged(job, result.answer, result, test, True, "", not in_full)
