"""What every bench test answers: from true sizes and unknowns to the readings they would give.

A *bench test* measures the function of a finished part. It foresees, from the same draws as the
duty it serves, what each reading would be; the likelihood of the real readings then reshapes the
draws. A micrometer measurement is the simplest such evidence.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Generic, Literal, Protocol, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from benchproof.duties.contract import CorrelatedUnknowns, Samples, Unknown
from benchproof.quantities import Kind
from benchproof.specs import Spec
from benchproof.spread import Uniform

Array: TypeAlias = NDArray[np.float64]

# Flow over that of a centred piston, however it lies: about 0.5 cocked, 2.5 on one wall. A little
# room beyond keeps a piston that lies on the wall off the very edge of what is believed.
LAY = Uniform(0.5, 2.6)
Weight = Literal["note", "doubt", "spoilt", "stop"]
RecordT = TypeVar("RecordT", bound=Spec)


@dataclass(frozen=True)
class Figure:
    """One thing the test measures, in every sample: what it is called and how it is written."""

    name: str
    label: str
    kind: Kind
    values: Array


@dataclass(frozen=True)
class Flag:
    """Something seen in the readings that the builder should know, and what to do about it.

    A note changes nothing; a doubt weakens the result; a spoilt test proves nothing. Stop is
    what was seen with one's own eyes and outweighs any odds: its words say what to do at once.
    """

    name: str
    words: str
    weight: Weight = "doubt"


class Foresight(Protocol):
    """What :meth:`BenchTest.prepare` hands out for one set-up and its readings."""

    def log_likelihood(self, samples: Samples) -> Array:
        """Log-likelihood of the readings as taken, nuisances of single runs integrated out."""
        ...

    def residuals(self, samples: Samples) -> Array:
        """Readings less what is foreseen, in standard deviations; shape (n, readings)."""
        ...

    def figures(self, samples: Samples) -> Sequence[Figure]:
        """What the test measures, in every sample."""
        ...


class BenchTest(ABC, Generic[RecordT]):
    """A test of the function, done on the bench.

    ``serves`` names duties. ``record_type`` is a Spec of the set-up's conditions that holds the
    readings, each a Spec of its own, in a tuple under ``reading``. ``assembled``: the test is done
    on parts joined for good, so that nothing more can be cut off them. ``bears_on`` names the
    duty's merits the test tells most of, foremost first: what it means in service is told of them.
    """

    key: str
    title: str
    summary: str
    serves: tuple[str, ...]
    record_type: type[RecordT]
    theory: str
    sources: tuple[str, ...]
    assembled: bool = False
    bears_on: tuple[str, ...] = ()

    @abstractmethod
    def procedure(self, spec: Any) -> Sequence[str]:
        """Numbered steps, also for print; each caution stands at its step.

        ``spec`` is that of a duty it serves, or ``None`` where nothing is known of the part.
        """

    @abstractmethod
    def unknowns(self, spec: Any, record: RecordT) -> Sequence[Unknown | CorrelatedUnknowns]:
        """Coefficients of this test; a name is shared with the duty only for the same thing."""

    @abstractmethod
    def prepare(self, spec: Any, record: RecordT) -> Foresight:
        """Invariants, once per set-up. The duty's spec says what lies on the bench."""

    @abstractmethod
    def screen(self, spec: Any, record: RecordT) -> Sequence[Flag]:
        """What the readings alone give away, before anything is inferred."""

    def afterwards(self, spec: Any, record: RecordT, samples: Samples) -> Sequence[Flag]:
        """What stands out once the readings have reshaped the draws; by default nothing."""
        return ()
