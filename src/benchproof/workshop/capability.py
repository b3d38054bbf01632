"""What a few parts show of a process: capability with its interval, and limits for the rest.

An index worked out from ten parts is itself uncertain by a quarter; it is never stated without
its interval. A *tolerance interval* holds a stated share of all further parts with a stated
confidence, a *prediction interval* holds the next one. All take readings as normal, and the gauge
as part of their scatter.

Sources: A. F. Bissell, How reliable is your capability index?, Applied Statistics 39 (1990),
331-340; R. A. Boyles, The Taguchi capability index, Journal of Quality Technology 23 (1991),
17-26 (both from memory); D. C. Montgomery, Introduction to Statistical Quality Control, 2nd ed.
1991; NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3 (tolerance intervals), with W. G.
Howe, Journal of the American Statistical Association 64 (1969), 610-620; ISO 16269-6:2014; G. J.
Hahn and W. Q. Meeker, Statistical Intervals, 1991, ch. 4 (prediction intervals); D. C.
Montgomery, Design and Analysis of Experiments, random effects (components of variance), from
memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtrc, chdtri, fdtri, nctdtrit, ndtr, ndtri, stdtrit

Array: TypeAlias = NDArray[np.float64]

CONFIDENCE = 0.95
_NODES = 60  # of Gauss and Legendre over the mean of the sample
_REACH = 9.0  # standard errors of the mean
_STEPS = 60


@dataclass(frozen=True)
class Estimate:
    """An index, and the interval that holds its true value with the confidence asked for."""

    value: float
    lower: float
    upper: float


@dataclass(frozen=True)
class Capability:
    """Capability indices of a sample of ``parts``.

    ``cp`` compares the limits with the spread wherever its middle lies and is ``None`` with one
    limit only; ``cpk`` looks at the nearer limit; ``cpm`` counts the distance from the target
    too, ``None`` without one. ``mean`` and ``sd`` are in the unit of the readings.
    """

    parts: int
    mean: float
    sd: float
    cp: Estimate | None
    cpk: Estimate
    cpm: Estimate | None


@dataclass(frozen=True)
class Components:
    """How far pieces scatter within a setting and settings from one another.

    Standard deviations in the unit of the readings; ``share`` is the setting's share of the
    variance [0 to 1], with the interval that holds the true one. ``ratio`` is Fisher's F.
    """

    within: float
    between: float
    share: Estimate
    ratio: float


def variance_components(groups: ArrayLike, *, confidence: float = CONFIDENCE) -> Components:
    """Scatter within and between groups, such as the settings of a stop.

    Readings less what they were aimed at, of shape (settings, pieces), two or more of each; the
    gauge's scatter counts as scatter of the pieces. Raises ``ValueError`` for fewer, for
    readings that are no numbers, or pieces that do not differ.
    """
    taken = np.asarray(groups, dtype=float)
    if taken.ndim != 2 or min(taken.shape) < 2 or not np.all(np.isfinite(taken)):
        raise ValueError("two settings or more of two pieces or more, all finite numbers")
    tail = _tail(confidence)
    settings, pieces = taken.shape
    within = float(taken.var(axis=1, ddof=1).mean())
    if within == 0.0:
        raise ValueError("pieces of a setting do not differ: no share can be told from them")
    between = pieces * float(taken.mean(axis=1).var(ddof=1))
    ratio = between / within
    variance = max(0.0, between - within) / pieces
    degrees = settings - 1.0, settings * (pieces - 1.0)

    def share(quantile: float) -> float:
        over = max(0.0, ratio / quantile - 1.0) / pieces
        return float(over / (1.0 + over))

    return Components(
        within=math.sqrt(within),
        between=math.sqrt(variance),
        share=Estimate(
            variance / (variance + within),
            share(float(fdtri(*degrees, 1.0 - tail))),
            share(float(fdtri(*degrees, tail))),
        ),
        ratio=ratio,
    )


def capability(
    readings: ArrayLike,
    *,
    lower: float | None = None,
    upper: float | None = None,
    target: float | None = None,
    sd: float | None = None,
    confidence: float = CONFIDENCE,
) -> Capability:
    """Capability of readings of any shape, two or more, against one or two limits.

    The target is the middle of two limits when left out. ``sd`` takes the place of the standard
    deviation of all readings, such as the scatter within groups; the intervals still count every
    reading, so that they are then slightly too narrow. Raises ``ValueError`` for too few
    readings, no limits, limits upside down or no scatter at all.
    """
    taken = np.asarray(readings, dtype=float).ravel()
    if taken.size < 2 or not np.all(np.isfinite(taken)):
        raise ValueError("capability wants two readings or more, all finite numbers")
    if lower is None and upper is None:
        raise ValueError("capability wants a lower or an upper limit, or both")
    if lower is not None and upper is not None and not lower < upper:
        raise ValueError(f"the lower limit {lower} must be under the upper limit {upper}")
    spread = float(taken.std(ddof=1)) if sd is None else sd
    if not (math.isfinite(spread) and spread > 0.0):
        raise ValueError("the readings do not differ: no capability can be told from them")
    tail = _tail(confidence)
    count, mean = taken.size, float(taken.mean())
    sides = []
    if lower is not None:
        sides.append((mean - lower) / (3.0 * spread))
    if upper is not None:
        sides.append((upper - mean) / (3.0 * spread))
    cp = None
    if lower is not None and upper is not None:
        target = 0.5 * (lower + upper) if target is None else target
        cp = _chi_squared((upper - lower) / (6.0 * spread), count - 1.0, tail)
    cpm = None
    if cp is not None and target is not None:
        off = ((mean - target) / spread) ** 2
        # Boyles: the effective degrees of freedom of a root mean square about the target.
        degrees = count * (1.0 + off) ** 2 / (1.0 + 2.0 * off)
        cpm = _chi_squared(cp.value / math.sqrt(1.0 + off), degrees, tail)
    return Capability(count, mean, spread, cp, _bissell(min(sides), count, tail), cpm)


def index_to_show(*, parts: int, index: float, confidence: float = CONFIDENCE) -> float:
    """One-sided index a sample of ``parts`` must show so that the true one is ``index`` or more.

    Exact for normal readings and one limit: Student's noncentral t. Raises ``ValueError`` for
    fewer than two parts or a negative index.
    """
    if not index >= 0.0:
        raise ValueError(f"an index to prove is zero or more, not {index}")
    return k1(parts=parts, share=float(ndtr(3.0 * index)), confidence=confidence) / 3.0


def k1(*, parts: int, share: float, confidence: float = CONFIDENCE) -> float:
    """Factor of a one-sided tolerance limit, mean ± k s; exact, by the noncentral t.

    It holds ``share`` (0 to 1) of all parts on one side with ``confidence`` (0 to 1), from a
    sample of ``parts``, two or more. Raises ``ValueError`` outside those.
    """
    _check_sample(parts, share, confidence)
    root = math.sqrt(parts)
    shift = float(ndtri(share)) * root
    return float(nctdtrit(parts - 1.0, shift, confidence)) / root


def k2(*, parts: int, share: float, confidence: float = CONFIDENCE) -> float:
    """Factor of a two-sided tolerance interval, mean ± k s; exact, by quadrature.

    Arguments and refusals as in :func:`k1`. The mean of the sample lies z / sqrt(parts) standard
    deviations from the true one; the interval must then reach r(z) standard deviations either
    side, and the scatter of s decides how often it does.
    """
    _check_sample(parts, share, confidence)
    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    z = 0.5 * _REACH * (nodes + 1.0) / math.sqrt(parts)
    density = np.exp(-0.5 * parts * z**2) * weights
    density /= density.sum()
    reach = _reach(z, share)
    degrees = parts - 1.0

    def held(factor: float) -> float:
        enough: Array = chdtrc(degrees, degrees * (reach / factor) ** 2)
        return float(density @ enough)

    low, high = 0.0, 2.0 * k2_howe(parts=parts, share=share, confidence=confidence) + 1.0
    for _ in range(_STEPS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if held(middle) < confidence else (low, middle)
    return 0.5 * (low + high)


def k2_howe(*, parts: int, share: float, confidence: float = CONFIDENCE) -> float:
    """Howe's factor of a two-sided tolerance interval, within a few parts in a thousand.

    Arguments and refusals as in :func:`k1`. Source: e-Handbook 7.2.6.3.
    """
    _check_sample(parts, share, confidence)
    z = float(ndtri(0.5 * (1.0 + share)))
    scatter = (parts - 1.0) * (1.0 + 1.0 / parts) / float(chdtri(parts - 1.0, confidence))
    return z * math.sqrt(scatter)


def prediction_factor(*, parts: int, probability: float = CONFIDENCE, future: int = 1) -> float:
    """Factor of the interval mean ± k s that holds the next part, or all of the next few.

    Exact for one ``future`` part; for more it is Bonferroni's bound and errs to the wide side.
    Source: Hahn and Meeker, ch. 4. Raises ``ValueError`` for fewer than two parts, none to come,
    or a probability outside 0 to 1.
    """
    _check_sample(parts, probability, probability)
    if future < 1:
        raise ValueError(f"there is one part or more to come, not {future}")
    tail = 0.5 * (1.0 - probability) / future
    return float(stdtrit(parts - 1.0, 1.0 - tail)) * math.sqrt(1.0 + 1.0 / parts)


def _reach(z: Array, share: float) -> Array:
    """Half-width r about a centre off by z that holds a share of a standard normal."""
    low, high = np.zeros_like(z), np.abs(z) + 12.0
    for _ in range(_STEPS):
        middle = 0.5 * (low + high)
        held: Array = ndtr(z + middle) - ndtr(z - middle)
        low, high = np.where(held < share, middle, low), np.where(held < share, high, middle)
    return np.asarray(0.5 * (low + high))


def _chi_squared(value: float, degrees: float, tail: float) -> Estimate:
    return Estimate(
        value,
        value * math.sqrt(float(chdtri(degrees, 1.0 - tail)) / degrees),
        value * math.sqrt(float(chdtri(degrees, tail)) / degrees),
    )


def _bissell(value: float, count: int, tail: float) -> Estimate:
    z = float(ndtri(1.0 - tail))
    error = math.sqrt(1.0 / (9.0 * count) + value**2 / (2.0 * (count - 1.0)))
    return Estimate(value, value - z * error, value + z * error)


def _tail(confidence: float) -> float:
    if not 0.0 < confidence < 1.0:
        raise ValueError(f"a confidence lies between 0 and 1, not {confidence}")
    return 0.5 * (1.0 - confidence)


def _check_sample(parts: int, share: float, confidence: float) -> None:
    if parts < 2:
        raise ValueError(f"two parts or more are wanted, not {parts}")
    if not (0.0 < share < 1.0 and 0.0 < confidence < 1.0):
        raise ValueError(f"shares lie between 0 and 1, not {share} and {confidence}")
