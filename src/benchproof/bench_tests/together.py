"""Several bench tests of one part taken as one: what all their readings say together.

Each is done once on the same pieces, so they share what belongs to the part and differ in what
belongs to the test. The first one leads: it names the result.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from benchproof.bench_tests.contract import Array, BenchTest, Figure, Flag, Foresight
from benchproof.duties.contract import CorrelatedUnknowns, Samples, Unknown


@dataclass(frozen=True)
class Records:
    """One record of each test, in their order."""

    each: tuple[Any, ...]

    @property
    def reading(self) -> tuple[Any, ...]:
        """The readings of all."""
        return tuple(reading for record in self.each for reading in record.reading)


class TogetherForesight:
    """What the readings of every test would be, in every sample."""

    def __init__(self, parts: Sequence[Foresight]) -> None:
        self._parts = tuple(parts)

    def log_likelihood(self, samples: Samples) -> Array:
        """Log-likelihood of all readings: tests err apart from one another."""
        fits = np.stack([part.log_likelihood(samples) for part in self._parts])
        total: Array = fits.sum(axis=0)
        return total

    def residuals(self, samples: Samples) -> Array:
        """Readings of each test in turn less what is foreseen, in standard deviations."""
        return np.concatenate([part.residuals(samples) for part in self._parts], axis=1)

    def figures(self, samples: Samples) -> Sequence[Figure]:
        """What any of the tests measures; a figure that several tell is told once."""
        found = [figure for part in self._parts for figure in part.figures(samples)]
        return list({figure.name: figure for figure in reversed(found)}.values())[::-1]


class Together(BenchTest[Any]):
    """Different bench tests of one part; their record is a :class:`Records`."""

    summary = "Several tests of one part, taken together."

    def __init__(self, tests: Sequence[BenchTest[Any]]) -> None:
        first, *others = tests
        self.tests = tuple(tests)
        self.key = first.key
        self.title = " and ".join([first.title, *(other.title.lower() for other in others)])
        self.serves = first.serves
        self.record_type = first.record_type
        self.assembled = any(test.assembled for test in tests)
        self.theory = " ".join(test.theory for test in tests)
        self.sources = tuple(dict.fromkeys(source for test in tests for source in test.sources))

    def _pairs(self, record: Records) -> list[tuple[BenchTest[Any], Any]]:
        return list(zip(self.tests, record.each, strict=True))

    def procedure(self, spec: Any) -> Sequence[str]:
        """Steps of each test in turn."""
        return [step for test in self.tests for step in test.procedure(spec)]

    def unknowns(self, spec: Any, record: Records) -> Sequence[Unknown | CorrelatedUnknowns]:
        """Unknowns of every test; one that two name alike is one and the same."""
        found = [u for test, taken in self._pairs(record) for u in test.unknowns(spec, taken)]
        names = [u.name if isinstance(u, Unknown) else " ".join(u.names) for u in found]
        return list(dict(zip(names[::-1], found[::-1], strict=True)).values())[::-1]

    def prepare(self, spec: Any, record: Records) -> TogetherForesight:
        """Invariants of every test."""
        return TogetherForesight([t.prepare(spec, taken) for t, taken in self._pairs(record)])

    def screen(self, spec: Any, record: Records) -> Sequence[Flag]:
        """What the readings of any of them give away."""
        return [flag for test, taken in self._pairs(record) for flag in test.screen(spec, taken)]

    def afterwards(self, spec: Any, record: Records, samples: Samples) -> Sequence[Flag]:
        """What stands out to any of them."""
        pairs = self._pairs(record)
        return [flag for test, taken in pairs for flag in test.afterwards(spec, taken, samples)]
