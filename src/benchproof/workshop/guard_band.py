"""Decisions near a limit: accept, measure again, reject, and what each way may get wrong.

A reading is not the size. Where it lies close to a limit, the piece may be out although it reads
in. A *guard band* keeps the reading so many standard uncertainties inside the limits before the
piece is accepted. What is lost by it are good pieces that read too close: both risks are stated.

Sources: JCGM 106:2012, Evaluation of measurement data - The role of measurement uncertainty in
conformity assessment, 7 (chance of conformity), 8 (guard bands), 9 (consumer's and producer's
risk); ISO 14253-1:2017, decision rules for verifying conformity, from memory: the default keeps
the chance of a wrong acceptance at a limit to 5 %, a one-sided factor of 1.645.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr

Array: TypeAlias = NDArray[np.float64]
Density: TypeAlias = Callable[[Array], Array]

ISO_14253_FACTOR = 1.645
"""Guard band in standard uncertainties: 5 % at one limit (ISO 14253-1:2017, from memory)."""

TWO_SIGMA_FACTOR = 2.0
"""Guard band of the edition of 2013: the expanded uncertainty, k = 2 (from memory)."""

_NODES = 400  # of Gauss and Legendre, over each stretch between limits
_STEPS = 60  # halvings of an interval


class CannotProve(ValueError):
    """The guard bands meet: no reading with this instrument proves the size."""


class Decision(Enum):
    """What to do with a piece that was read."""

    ACCEPT = "accept"
    MEASURE_AGAIN = "measure again"
    REJECT = "reject"


@dataclass(frozen=True)
class Risks:
    """Chances, for a piece taken at random, before it is read.

    ``consumer``: it is out of limits and accepted; ``producer``: in limits and rejected;
    ``out``: it is out of limits at all; ``accepted``: it is accepted, rightly or not.
    """

    consumer: float
    producer: float
    out: float
    accepted: float

    @property
    def out_among_accepted(self) -> float:
        """Chance that an accepted piece is out of limits; zero when none is accepted."""
        return self.consumer / self.accepted if self.accepted > 0.0 else 0.0


def acceptance_limits(
    *, lower: float, upper: float, u: float, factor: float = ISO_14253_FACTOR
) -> tuple[float, float]:
    """Readings between which a piece is accepted [unit of the limits].

    ``lower`` and ``upper`` are the limits of size (infinite where there is none), ``u`` the
    standard uncertainty of a reading, ``factor`` how many of them the guard band is wide (zero
    accepts up to the limit itself). Raises ``CannotProve`` when nothing is left between them,
    ``ValueError`` for limits upside down or a negative uncertainty or factor.
    """
    _check(lower, upper, u)
    if not (math.isfinite(factor) and factor >= 0.0):
        raise ValueError(f"a guard band is zero or more standard uncertainties, not {factor}")
    guard = factor * u
    if not lower + guard < upper - guard:
        raise CannotProve(
            f"this instrument cannot prove it: a guard band of {factor:g} times {u:.3g} at each "
            f"limit leaves nothing of {upper - lower:.3g}; use a finer gauge, take the mean of "
            "several readings, or a smaller guard band and its risk"
        )
    return lower + guard, upper - guard


def decide(
    reading: float, *, lower: float, upper: float, u: float, factor: float = ISO_14253_FACTOR
) -> Decision:
    """Decide on a piece by its reading; arguments and refusals as in :func:`acceptance_limits`.

    Inside both limits by the guard band it is accepted, outside either by the guard band it is
    rejected; between them a further reading (the mean of several has a smaller ``u``) decides.
    """
    inner = acceptance_limits(lower=lower, upper=upper, u=u, factor=factor)
    if not math.isfinite(reading):
        raise ValueError(f"a reading must be a finite number, not {reading}")
    if inner[0] <= reading <= inner[1]:
        return Decision.ACCEPT
    guard = factor * u
    if reading < lower - guard or reading > upper + guard:
        return Decision.REJECT
    return Decision.MEASURE_AGAIN


def chance_in_limits(
    reading: ArrayLike,
    *,
    lower: float,
    upper: float,
    u: float,
    mean: float = 0.0,
    spread: float = math.inf,
) -> Array:
    """Chance that a piece is in limits given its reading, shape of ``reading``.

    ``mean`` and ``spread`` are those of the sizes before any was read, normal; infinite when
    nothing is known of them. Source: JCGM 106:2012, 7.2 to 7.4.
    """
    _check(lower, upper, u)
    if not spread > 0.0:
        raise ValueError(f"sizes spread by more than zero, not {spread}")
    read = np.asarray(reading, dtype=float)
    if u == 0.0:
        return np.asarray((lower <= read) & (read <= upper), dtype=float)
    weight = 1.0 if math.isinf(spread) else spread**2 / (spread**2 + u**2)
    middle = read if math.isinf(spread) else mean + weight * (read - mean)
    sd = u * math.sqrt(weight)
    inside: Array = ndtr((upper - middle) / sd) - ndtr((lower - middle) / sd)
    return np.asarray(inside)


def risks(
    *,
    mean: float,
    spread: float,
    lower: float,
    upper: float,
    u: float,
    accept: tuple[float, float] | None = None,
) -> Risks:
    """Risks for sizes that are normal about ``mean`` with standard deviation ``spread``.

    ``accept`` are the readings between which a piece is accepted, the limits themselves when left
    out. Source: JCGM 106:2012, 9.5.2 (equations 17 and 19).
    """
    if not (math.isfinite(spread) and spread > 0.0):
        raise ValueError(f"sizes spread by more than zero, not {spread}")

    def density(size: Array) -> Array:
        scaled = (size - mean) / spread
        return np.exp(-0.5 * scaled**2) / (spread * math.sqrt(2.0 * math.pi))

    return risks_of(
        density,
        support=(mean - 9.0 * spread, mean + 9.0 * spread),
        lower=lower,
        upper=upper,
        u=u,
        accept=accept,
    )


def risks_of(
    density: Density,
    *,
    support: tuple[float, float],
    lower: float,
    upper: float,
    u: float,
    accept: tuple[float, float] | None = None,
) -> Risks:
    """Risks for sizes of any smooth ``density`` [1 / unit of size] over a finite ``support``.

    The density need not be normed. Other arguments as in :func:`risks`.
    """
    _check(lower, upper, u)
    low, high = (lower, upper) if accept is None else accept
    edges = sorted({*support, *(e for e in (lower, upper, low, high) if _within(e, support))})
    totals = np.zeros(4)  # all, out, out and accepted, accepted
    nodes, weights = _legendre()
    for begin, end in pairwise(edges):
        half = 0.5 * (end - begin)
        size = begin + half * (nodes + 1.0)
        share = density(size) * weights * half
        taken = _accepted(size, low, high, u)
        out = 0.0 if lower <= 0.5 * (begin + end) <= upper else 1.0
        totals += [
            share.sum(),
            out * share.sum(),
            out * float(share @ taken),
            float(share @ taken),
        ]
    whole, out, consumer, accepted = (float(each) for each in totals)
    in_and_accepted = accepted - consumer
    return Risks(
        consumer=consumer / whole,
        producer=max(0.0, (whole - out - in_and_accepted) / whole),
        out=out / whole,
        accepted=accepted / whole,
    )


def upper_acceptance_for_risk(
    density: Density,
    *,
    support: tuple[float, float],
    upper: float,
    u: float,
    consumer: float,
) -> float:
    """Highest reading to accept so that the consumer's risk is as stated; one upper limit.

    ``consumer`` [0 to 1] is the chance wanted of "out and accepted" for a piece taken at random.
    Raises ``ValueError`` when even accepting all keeps it (then no limit is needed).
    """

    def risk(limit: float) -> float:
        return risks_of(
            density,
            support=support,
            lower=-math.inf,
            upper=upper,
            u=u,
            accept=(-math.inf, limit),
        ).consumer

    low, high = support[0] - 10.0 * u, support[1] + 10.0 * u
    if not 0.0 < consumer < risk(high):
        raise ValueError(f"no reading limits the risk to {consumer}: it lies outside its range")
    for _ in range(_STEPS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if risk(middle) < consumer else (low, middle)
    return 0.5 * (low + high)


@lru_cache(maxsize=1)
def _legendre() -> tuple[Array, Array]:
    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    return nodes, weights


def _accepted(size: Array, low: float, high: float, u: float) -> Array:
    """Chance that a piece of a true size reads between two limits."""
    if u == 0.0:
        return np.asarray((low <= size) & (size <= high), dtype=float)
    taken: Array = ndtr((high - size) / u) - ndtr((low - size) / u)
    return taken


def _within(edge: float, support: tuple[float, float]) -> bool:
    return support[0] < edge < support[1]


def _check(lower: float, upper: float, u: float) -> None:
    if not lower < upper:
        raise ValueError(f"the lower limit {lower} must be under the upper limit {upper}")
    if not (math.isfinite(u) and u >= 0.0):
        raise ValueError(f"a standard uncertainty is zero or more, not {u}")
