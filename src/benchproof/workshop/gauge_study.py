"""Gauge study: how far readings of the same parts agree, by several people or on several days.

Some parts are each read a few times by each of several people. What differs between readings of
one part by one person is *repeatability*, what differs between people is *reproducibility*; both
together are the doubt the gauge leaves in one reading. A builder who works alone takes several
days for several people.

Sources: Automotive Industry Action Group, Measurement Systems Analysis, 4th ed., 2010, ch. III
(average and range, analysis of variance); E. L. Cano, J. M. Moguerza and A. Redchuk, Six Sigma
with R, 2012, ch. 5, for the worked example in the tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import fdtrc

from benchproof.tables.control_charts import range_constants

Array: TypeAlias = NDArray[np.float64]

INTERACTION_LEVEL = 0.05


@dataclass(frozen=True)
class GaugeStudy:
    """Standard deviations in the unit of the readings.

    ``repeatability`` of one person on one part; ``reproducibility`` between people, with what
    they do differently from part to part; ``parts`` between true sizes of the parts.
    """

    repeatability: float
    reproducibility: float
    parts: float

    @property
    def gauge(self) -> float:
        """Repeatability and reproducibility together: the gauge's part in one reading."""
        return math.hypot(self.repeatability, self.reproducibility)

    @property
    def total(self) -> float:
        """Gauge and parts together: how far readings of different parts spread."""
        return math.hypot(self.gauge, self.parts)

    @property
    def share(self) -> float:
        """Gauge over total, 0 to 1; zero when all readings agree.

        Under 0.1 is called good, over 0.3 unfit for telling such parts apart (the manual named
        above, from memory).
        """
        return self.gauge / self.total if self.total > 0.0 else 0.0

    def share_of_tolerance(self, *, lower: float, upper: float) -> float:
        """Six standard deviations of the gauge over the width of the limits.

        Under 0.1 is called good, over 0.3 unfit to judge by those limits (as above). Raises
        ``ValueError`` for limits upside down.
        """
        if not lower < upper:
            raise ValueError(f"the lower limit {lower} must be under the upper limit {upper}")
        return 6.0 * self.gauge / (upper - lower)

    @property
    def categories(self) -> int | None:
        """How many classes of size the gauge tells apart; ``None`` when it leaves no doubt."""
        return math.floor(1.41 * self.parts / self.gauge) if self.gauge > 0.0 else None


@dataclass(frozen=True)
class Variance:
    """Sums of squares of a study in the squared unit of the readings, and what they say.

    ``interaction_chance`` is the chance of so large an interaction if there were none, in
    [0, 1]; ``pooled`` says whether interaction was therefore counted as repeatability.
    """

    squares_parts: float
    squares_people: float
    squares_interaction: float
    squares_error: float
    interaction_chance: float
    pooled: bool
    study: GaugeStudy


def average_and_range(readings: ArrayLike) -> GaugeStudy:
    """Study by averages and ranges, as one does with pencil and paper.

    ``readings`` has shape (parts, people, trials), 2 to 25 of each; ``ValueError`` outside.
    """
    taken = _checked(readings)
    parts, people, trials = taken.shape
    repeatability = float(np.ptp(taken, axis=2).mean()) / range_constants(trials).d2
    between_people = float(np.ptp(taken.mean(axis=(0, 2)))) / _single(people)
    seen_as_people = repeatability**2 / (parts * trials)
    return GaugeStudy(
        repeatability=repeatability,
        reproducibility=math.sqrt(max(0.0, between_people**2 - seen_as_people)),
        parts=float(np.ptp(taken.mean(axis=(1, 2)))) / _single(parts),
    )


def analysis_of_variance(readings: ArrayLike, *, level: float = INTERACTION_LEVEL) -> Variance:
    """Study by analysis of variance, people and parts crossed and both taken at random.

    ``readings`` has shape (parts, people, trials), 2 to 25 of each; ``ValueError`` outside. When
    an interaction as large as this has a chance above ``level`` [0 to 1] of coming by luck alone,
    it is pooled with the error.
    """
    taken = _checked(readings)
    parts, people, trials = taken.shape
    middle = taken.mean()
    by_part, by_person = taken.mean(axis=(1, 2)), taken.mean(axis=(0, 2))
    cell = taken.mean(axis=2)
    of_parts = people * trials * float(np.square(by_part - middle).sum())
    of_people = parts * trials * float(np.square(by_person - middle).sum())
    crossed = cell - by_part[:, None] - by_person + middle
    of_interaction = trials * float(np.square(crossed).sum())
    of_error = float(np.square(taken - cell[:, :, None]).sum())

    free_interaction, free_error = (parts - 1) * (people - 1), parts * people * (trials - 1)
    mean_interaction, mean_error = of_interaction / free_interaction, of_error / free_error
    chance = 0.0 if mean_interaction > 0.0 else 1.0
    if mean_error > 0.0:
        chance = float(fdtrc(free_interaction, free_error, mean_interaction / mean_error))
    pooled = chance > level
    within = mean_error
    if pooled:
        within = (of_interaction + of_error) / (free_interaction + free_error)
    beside = within if pooled else mean_interaction
    between_people = max(0.0, of_people / (people - 1) - beside) / (parts * trials)
    interaction = 0.0 if pooled else max(0.0, mean_interaction - mean_error) / trials
    between_parts = max(0.0, of_parts / (parts - 1) - beside) / (people * trials)
    return Variance(
        of_parts,
        of_people,
        of_interaction,
        of_error,
        chance,
        pooled,
        GaugeStudy(
            math.sqrt(within), math.sqrt(between_people + interaction), math.sqrt(between_parts)
        ),
    )


def _single(count: int) -> float:
    """Divisor of a single range: root mean square, where d2 is the mean of many."""
    known = range_constants(count)
    return math.hypot(known.d2, known.d3)


def _checked(readings: ArrayLike) -> Array:
    taken = np.asarray(readings, dtype=float)
    if taken.ndim != 3 or not all(2 <= count <= 25 for count in taken.shape):
        raise ValueError(
            "a gauge study wants 2 to 25 parts, people and trials each, "
            f"not readings of shape {taken.shape}"
        )
    if not np.all(np.isfinite(taken)):
        raise ValueError("every reading of a gauge study must be a finite number")
    return taken
