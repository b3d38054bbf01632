"""What every duty answers: the one vectorised function from true sizes to how well a part works.

A *duty* is what a part must do. Everything else (odds, aims, causes, learning) is generic and is
reckoned elsewhere from what stands here.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Generic, Literal, Protocol, Self, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from benchproof.features import Error, Feature
from benchproof.quantities import Kind, System
from benchproof.specs import Spec
from benchproof.spread import Spread

if TYPE_CHECKING:
    from benchproof.drawing import Drawing, Sized

Array: TypeAlias = NDArray[np.float64]
Samples: TypeAlias = Mapping[str, Array]
Belongs = Literal["builder", "part", "bench test", "reading"]
SpecT = TypeVar("SpecT", bound=Spec)
SpecT_contra = TypeVar("SpecT_contra", bound=Spec, contravariant=True)


@dataclass(frozen=True)
class Unknown:
    """A physical quantity nobody has measured, as a spread.

    ``belongs`` says who shares one value of it: every part of this builder, this part, this
    bench test, or the single reading.
    """

    name: str
    spread: Spread
    label: str
    belongs: Belongs = "part"
    source: str = "judgement"


@dataclass(frozen=True)
class CorrelatedUnknowns:
    """A block of quantities known together: joint normal with means and covariance (k by k)."""

    names: tuple[str, ...]
    means: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    label: str
    belongs: Belongs = "builder"
    source: str = "judgement"

    def __post_init__(self) -> None:
        matrix = np.asarray(self.covariance)
        count = len(self.names)
        if matrix.shape != (count, count) or len(self.means) != count:
            raise ValueError(f"{self.label}: {count} names need {count} means and a square matrix")
        if not np.allclose(matrix, matrix.T) or np.linalg.eigvalsh(matrix)[0] < -1e-12 * np.max(
            np.abs(matrix)
        ):
            raise ValueError(f"{self.label}: a covariance is symmetric and never negative")


@dataclass(frozen=True)
class Merit:
    """One figure of how well the part works: what it is called and how it is written."""

    name: str
    label: str
    kind: Kind


@dataclass(frozen=True)
class Need:
    """The limit a merit must meet, and why, in a builder's words."""

    merit: str
    limit: float
    direction: Literal["at most", "at least"]
    reason: str

    def met(self, values: Array) -> NDArray[np.bool_]:
        """Whether each sample meets the need; a value that is not a number never does."""
        if self.direction == "at most":
            return np.less_equal(values, self.limit)
        return np.greater_equal(values, self.limit)


@dataclass(frozen=True)
class Outcome:
    """Merits and flags of every sample: arrays of one common shape."""

    merits: Mapping[str, Array]
    flags: Mapping[str, NDArray[np.bool_]] = field(default_factory=dict)


class ForwardModel(Protocol):
    """What :meth:`Duty.prepare` hands out: tables and invariants are worked out by then."""

    def perform(self, samples: Samples, *, only: Collection[str] | None = None) -> Outcome:
        """Merits of every sample, from true feature values and unknowns (SI arrays of shape n).

        ``only`` names the merits wanted, for sweeps that need no more. A sample outside the
        model's range fails its needs and is flagged; it never raises.
        """
        ...


@dataclass(frozen=True)
class PlainWindow:
    """The window by the plain rule of the trade: one lower and one upper figure, or a reason.

    Where there is none, ``wanted`` and ``allowed`` are the two figures that do not meet.
    """

    lower: float | None
    upper: float | None
    reason: str = ""
    wanted: float | None = None
    allowed: float | None = None


@dataclass(frozen=True)
class Stepwise:
    """How a fit is crept up on: cut on the near side, test, take a little, test again.

    Each ``step`` is planned to take ``fraction`` of what is left, and takes that times a factor
    of log-standard deviation ``spread``.
    """

    cut: str
    step: str
    test: str
    fraction: float
    spread: float
    source: str


class Caution(str):
    """Something to mind that belongs to one step of the work and is told beside it.

    ``at`` are the first words of that step. Where no step begins so, because the spec asks for
    none or its features are made, the caution stands before the work with those that belong to
    no step.
    """

    at: str

    def __new__(cls, text: str, *, at: str) -> Self:
        """Return the caution of the step that begins with ``at``."""
        caution = super().__new__(cls, text)
        caution.at = at
        return caution

    def __getnewargs_ex__(self) -> tuple[tuple[str], dict[str, str]]:
        """Return what a copy is made from."""
        return (str(self),), {"at": self.at}


class Making(str):
    """A step of the order of work that makes features: it is left out once all are made."""

    makes: frozenset[str]

    def __new__(cls, text: str, *makes: str) -> Self:
        """Return the step; ``makes`` names features."""
        step = super().__new__(cls, text)
        step.makes = frozenset(makes)
        return step


class Duty(ABC, Generic[SpecT]):
    """What a part must do.

    ``window_of`` names the difference of two features that a fit is judged by (outer, inner), so
    that one clearance can stand for the pair; ``None`` when the swept feature stands for itself.
    ``value_label`` names that difference. ``stepwise`` says how such a fit is crept up on when no
    cut hits it outright.
    ``service_unknowns`` are those that only service can settle, never a bench test.
    ``for_the_next`` are unknowns that all parts of one builder share and that bench tests narrow:
    what the tests of one part showed of them holds for the next.
    ``until_assembled`` are merits whose needs are behind once the parts are joined for good.
    ``tests_tell_fit``: a bench test tells the fit itself, so it can stand for a size of the part
    as it was cut; not where a coefficient that all parts of a builder share would be taken for it.
    ``draws`` is how many samples an answer is reckoned with, and the most that any of its sweeps
    takes: fewer where a sample costs much.
    """

    key: str
    title: str
    summary: str
    spec_type: type[SpecT]
    merits: tuple[Merit, ...]
    flag_words: Mapping[str, str]
    theory: str
    sources: tuple[str, ...]
    window_of: tuple[str, str] | None = None
    value_label: str | None = None
    no_window_advice: str = "change the spec"
    service_unknowns: tuple[str, ...] = ()
    for_the_next: tuple[str, ...] = ()
    until_assembled: tuple[str, ...] = ()
    stepwise: Stepwise | None = None
    tests_tell_fit: bool = True
    draws: int = 65_536

    @abstractmethod
    def features(self, spec: SpecT) -> Sequence[Feature]:
        """What must be held, by the default route; exactly one is cut last."""

    @abstractmethod
    def errors(self, spec: SpecT) -> Sequence[Error]:
        """The independent causes of variation of the default route."""

    @abstractmethod
    def unknowns(self, spec: SpecT) -> Sequence[Unknown | CorrelatedUnknowns]:
        """Uncertain physical coefficients; names never clash with features."""

    @abstractmethod
    def prepare(self, spec: SpecT) -> ForwardModel:
        """Tables and invariants, once per spec."""

    @abstractmethod
    def needs(self, spec: SpecT) -> Sequence[Need]:
        """Limits the merits must meet."""

    @abstractmethod
    def cautions(self, spec: SpecT) -> Sequence[str]:
        """What to mind; what belongs to one step of the work is a ``Caution``."""

    @abstractmethod
    def aims_to_try(self, spec: SpecT) -> tuple[float, float]:
        """Range of the last-cut feature's offset from its aim [SI] worth sweeping."""

    def plain_window(self, spec: SpecT) -> PlainWindow | None:
        """Return the trade's plain rule for the window, where there is one."""
        return None

    def unmeasured(self, spec: SpecT) -> Mapping[str, Spread]:
        """Deviation from aim believed of features of a finished piece that nobody measured."""
        return {}

    def steps(
        self, spec: SpecT, sizes: Mapping[str, float], system: System = "metric"
    ) -> Sequence[str]:
        """Return the order of work in a builder's words and units, by size [SI] of each feature.

        A feature that ``sizes`` lacks is told at its planned size. Empty where nothing needs
        saying. A step that makes features is a ``Making``.
        """
        return ()

    def drawing(self, spec: SpecT, sizes: Mapping[str, Sized]) -> Drawing | None:
        """What the part looks like, drawn to the answer's own sizes, by name of the feature.

        A feature that ``sizes`` lacks is drawn to its planned size without limits. ``None``
        where there is nothing to draw.
        """
        return None
