"""Gauge study of a builder who works alone: occasions stand in the place of people.

What a study by repetition never sees is a zero error; for that a slip or a second instrument is
needed. Between occasions the gauge is put away and its zero set afresh.

Sources as in :mod:`benchproof.workshop.gauge_study`; the intervals are those of chi squared and
of Student's t.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtri, stdtr, stdtrit

from benchproof.workshop.gauge_study import GaugeStudy, analysis_of_variance

Array: TypeAlias = NDArray[np.float64]

LEAST_PARTS, LEAST_OCCASIONS, LEAST_TRIALS = 5, 2, 3
"""Smallest study by one person that says anything: 20 degrees of freedom (judgement)."""


@dataclass(frozen=True)
class Repeatability:
    """How far one person's readings of one part scatter: standard deviation and its interval.

    ``degrees`` of freedom stand behind it; ``lower`` and ``upper`` hold the true one with the
    confidence asked for.
    """

    sd: float
    degrees: int
    lower: float
    upper: float


@dataclass(frozen=True)
class AloneStudy:
    """A study by one person, occasions in the place of people.

    ``enough`` says whether it reaches 5 parts, 2 occasions and 3 readings; ``advice`` what would
    tell more. With one occasion nothing is known of how one day differs from the next.
    """

    repeatability: Repeatability
    study: GaugeStudy | None
    enough: bool
    advice: str

    @property
    def u(self) -> float:
        """Standard uncertainty of one reading as far as this study sees it: not the zero error."""
        return self.repeatability.sd if self.study is None else self.study.gauge


@dataclass(frozen=True)
class Bias:
    """A mean difference, the interval that holds the true one, and the chance of it by luck."""

    mean: float
    lower: float
    upper: float
    readings: int
    chance: float


def repeatability(readings: ArrayLike, *, confidence: float = 0.95) -> Repeatability:
    """Pool the scatter of repeated readings of some parts, shape (parts, trials).

    Readings of one part stand in one row; two or more of each. The interval is that of chi
    squared. Raises ``ValueError`` for fewer readings, or some that are no numbers.
    """
    taken = np.asarray(readings, dtype=float)
    if taken.ndim != 2 or taken.shape[0] < 1 or taken.shape[1] < 2:
        raise ValueError(f"one part or more, read twice or more each, not shape {taken.shape}")
    if not np.all(np.isfinite(taken)):
        raise ValueError("every reading of a gauge study must be a finite number")
    _check_confidence(confidence)
    degrees = taken.shape[0] * (taken.shape[1] - 1)
    squares = float(np.square(taken - taken.mean(axis=1, keepdims=True)).sum())
    tail = 0.5 * (1.0 - confidence)
    return Repeatability(
        sd=math.sqrt(squares / degrees),
        degrees=degrees,
        lower=math.sqrt(squares / float(chdtri(degrees, tail))),
        upper=math.sqrt(squares / float(chdtri(degrees, 1.0 - tail))),
    )


def alone(readings: ArrayLike, *, confidence: float = 0.95) -> AloneStudy:
    """Study by one person, readings of shape (parts, occasions, trials), two trials or more.

    Between occasions the gauge is put away and its zero set afresh, and the parts are shuffled.
    Raises ``ValueError`` for another shape, or readings that are no numbers.
    """
    taken = np.asarray(readings, dtype=float)
    if taken.ndim != 3:
        raise ValueError(f"readings come by part, occasion and trial, not shape {taken.shape}")
    parts, occasions, trials = taken.shape
    within = repeatability(taken.reshape(parts * occasions, trials), confidence=confidence)
    wanted = [
        f"{least} {what}"
        for count, least, what in (
            (parts, LEAST_PARTS, "parts"),
            (occasions, LEAST_OCCASIONS, "occasions"),
            (trials, LEAST_TRIALS, "readings of each"),
        )
        if count < least
    ]
    advice = "check the zero against a slip: no study by repetition sees it"
    if wanted:
        advice = f"take at least {', '.join(wanted)}; {advice}"
    crossed = min(parts, occasions) > 1
    study = analysis_of_variance(taken).study if crossed else None
    return AloneStudy(within, study, not wanted, advice)


def bias_between(first: ArrayLike, second: ArrayLike, *, confidence: float = 0.95) -> Bias:
    """How much a second instrument reads over a first, by the same parts read with both.

    Paired differences and Student's t, three parts or more, shape (parts,) each. Raises
    ``ValueError`` for unequal or shorter rows, or readings that are no numbers.
    """
    one, other = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    if one.ndim != 1 or one.shape != other.shape or one.size < 3:
        raise ValueError("two instruments want the same three parts or more, in the same order")
    return _mean_of(other - one, confidence)


def bias_against(readings: ArrayLike, *, reference: float, confidence: float = 0.95) -> Bias:
    """How much an instrument reads over a slip or master of known size, three readings or more.

    The reference's own uncertainty is not in the interval. Raises as :func:`bias_between` does.
    """
    taken = np.asarray(readings, dtype=float)
    if taken.ndim != 1 or taken.size < 3:
        raise ValueError(f"three readings of the reference or more, not shape {taken.shape}")
    return _mean_of(taken - reference, confidence)


def _mean_of(differences: Array, confidence: float) -> Bias:
    if not np.all(np.isfinite(differences)):
        raise ValueError("every reading of a gauge study must be a finite number")
    _check_confidence(confidence)
    count = differences.size
    mean = float(differences.mean())
    error = float(differences.std(ddof=1)) / math.sqrt(count)
    reach = float(stdtrit(count - 1.0, 0.5 * (1.0 + confidence))) * error
    if error > 0.0:
        chance = 2.0 * float(stdtr(count - 1.0, -abs(mean) / error))
    else:
        chance = 0.0 if mean else 1.0
    return Bias(mean, mean - reach, mean + reach, count, chance)


def _check_confidence(confidence: float) -> None:
    if not 0.0 < confidence < 1.0:
        raise ValueError(f"a confidence lies between 0 and 1, not {confidence}")
