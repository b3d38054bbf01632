"""What a machine has shown for one kind of process: its spread, its bias, its next part.

Past parts are counted in the process's own unit z = (first measured size - aim) / unit, so that
small and large parts inform one another. Behind them stand a lasting bias delta and a spread c
(one standard deviation), with the instrument's own scatter u on top:

    z_j ~ N(delta, c^2 + u_j^2),    ln c ~ N(ln spread, ln^2 factor),    delta ~ N(0, bias_sd^2).

The posterior stands on a grid of ln c; at each grid point delta is normal in closed form. This
takes the instrument out of the spread without ever meeting the square root of a negative number,
which sqrt(s^2 - u^2) does. Signs: true minus aim. The numbers here are free of units.

Sources: Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, ch. 3 (normal model, reference
prior), from memory; the grid over ln c is our own working.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr, ndtri

Array: TypeAlias = NDArray[np.float64]

GRID_POINTS = 241
_PRIOR_REACH = 6.0  # prior standard deviations of ln c on either side of its median
_NEGLIGIBLE = 25.0  # in log posterior: grid points this far below the best are left out
_REFINEMENTS = 3  # many parts know c far more closely than the prior's grid can show
_WIDEST_FACTOR = 1e13  # beyond it the prior's own grid would leave the range of floats


@dataclass(frozen=True)
class Shown:
    """One past part: first measured size minus aim, and the instrument's standard uncertainty.

    Both in the process unit. ``weight`` in (0, 1] is how far older evidence still counts.
    """

    deviation: float
    u: float = 0.0
    weight: float = 1.0

    def __post_init__(self) -> None:
        if not math.isfinite(self.deviation):
            raise ValueError(f"a deviation must be a finite number, not {self.deviation}")
        if not (math.isfinite(self.u) and self.u >= 0.0):
            raise ValueError(f"an instrument's uncertainty is zero or more, not {self.u}")
        if not 0.0 < self.weight <= 1.0:
            raise ValueError(f"a weight lies above 0 and up to 1, not {self.weight}")


@dataclass(frozen=True)
class Summary:
    """Past parts of which only number, mean deviation and standard deviation (n - 1) are known.

    In the process unit; ``u`` is the instrument's standard uncertainty within each deviation.
    """

    parts: int
    bias: float
    spread: float
    u: float = 0.0
    weight: float = 1.0

    def __post_init__(self) -> None:
        if self.parts < 1:
            raise ValueError(f"a summary speaks of one part or more, not {self.parts}")
        if not math.isfinite(self.bias):
            raise ValueError(f"a mean deviation must be a finite number, not {self.bias}")
        if not (math.isfinite(self.spread) and self.spread >= 0.0):
            raise ValueError(f"a standard deviation is zero or more, not {self.spread}")
        if not (math.isfinite(self.u) and self.u >= 0.0):
            raise ValueError(f"an instrument's uncertainty is zero or more, not {self.u}")
        if not 0.0 < self.weight <= 1.0:
            raise ValueError(f"a weight lies above 0 and up to 1, not {self.weight}")


@dataclass(frozen=True)
class Prior:
    """What is believed before the first part, in the process unit.

    The spread's median is ``spread``, known within ``factor`` (one standard deviation multiplies
    or divides by it); ``bias_sd`` is the standard deviation of the lasting offset, zero for none.
    The defaults are a judgement of an untried careful builder, in ISO 286 tolerance units.
    """

    spread: float = 3.0
    factor: float = math.exp(0.8)
    bias_sd: float = 3.0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.spread) and self.spread > 0.0):
            raise ValueError(f"a prior spread must be above zero, not {self.spread}")
        if not 1.0 < self.factor <= _WIDEST_FACTOR:
            raise ValueError(f"a prior factor lies above 1, up to 1e13, not {self.factor}")
        if not (math.isfinite(self.bias_sd) and self.bias_sd >= 0.0):
            raise ValueError(f"a prior bias is zero or more, not {self.bias_sd}")


@dataclass(frozen=True, eq=False)
class Standing:
    """The posterior of spread and bias, in the process unit.

    ``spread_grid`` (n,) holds values of c evenly spaced in ln c, ``probability`` (n,) their
    shares, ``bias_mean`` and ``bias_sd`` (n,) the normal bias at each. ``parts`` is how many
    parts are behind it and ``worth`` the sum of their weights; 0 is the prior alone.
    """

    prior: Prior
    spread_grid: Array
    probability: Array
    bias_mean: Array
    bias_sd: Array
    parts: int
    worth: float

    @cached_property
    def _log_spread(self) -> Array:
        return np.log(self.spread_grid)

    @cached_property
    def _score(self) -> Array:
        """Normal scores of the grid points, each tail summed from its own end."""
        half = 0.5 * self.probability
        below = np.cumsum(self.probability) - half
        above = np.cumsum(self.probability[::-1])[::-1] - half
        lower: Array = ndtri(below)
        upper: Array = ndtri(above)
        return np.where(below < above, lower, -upper)

    @cached_property
    def _predictive_sd(self) -> Array:
        return np.hypot(self.spread_grid, self.bias_sd)

    def spread_at(self, score: ArrayLike) -> Array:
        """Spread c at standard normal scores, any shape: rising, held at the ends of the grid."""
        score = np.asarray(score, dtype=float)
        return np.asarray(np.exp(np.interp(score, self._score, self._log_spread)))

    def bias_given(self, spread: ArrayLike) -> tuple[Array, Array]:
        """Mean and standard deviation of the bias delta at a given spread, shape of ``spread``."""
        first = self._log_spread[0]
        step = (self._log_spread[-1] - first) / (len(self._log_spread) - 1)
        place = np.clip((np.log(spread) - first) / step, 0.0, len(self._log_spread) - 1.0)
        index = np.minimum(place.astype(np.intp), len(self._log_spread) - 2)
        share = place - index
        mean = self.bias_mean[index]
        mean = mean + share * (self.bias_mean[index + 1] - mean)
        sd = self.bias_sd[index]
        sd = sd + share * (self.bias_sd[index + 1] - sd)
        return np.asarray(mean), np.asarray(sd)

    def bias_at(self, spread: ArrayLike, score: ArrayLike) -> Array:
        """Bias delta at a given spread and standard normal scores, shapes broadcasting."""
        mean, sd = self.bias_given(spread)
        return np.asarray(mean + np.asarray(score) * sd)

    def spread_quantile(self, probability: float) -> float:
        """Return the spread c that is not exceeded with this probability."""
        _check_probability(probability)
        return float(self.spread_at(ndtri(probability)))

    def bias_quantile(self, probability: float) -> float:
        """Return the bias that is not exceeded with this probability."""
        _check_probability(probability)
        if not np.any(self.bias_sd > 0.0):
            return 0.0
        return self._quantile(probability, self.bias_sd)

    def predictive_interval(self, probability: float = 0.9) -> tuple[float, float]:
        """Return where the next TRUE deviation falls with this probability, tails equal."""
        _check_probability(probability)
        tail = 0.5 * (1.0 - probability)
        return (
            self._quantile(tail, self._predictive_sd),
            self._quantile(1.0 - tail, self._predictive_sd),
        )

    def probability_between(self, lower: ArrayLike, upper: ArrayLike) -> Array:
        """Return the chance that the next TRUE deviation lies between limits, broadcasting."""
        low = (np.asarray(lower, dtype=float)[..., None] - self.bias_mean) / self._predictive_sd
        high = (np.asarray(upper, dtype=float)[..., None] - self.bias_mean) / self._predictive_sd
        inside: Array = ndtr(high) - ndtr(low)
        return np.maximum(inside @ self.probability, 0.0)

    def _quantile(self, probability: float, sd: Array) -> float:
        """Bisect the mixture of normals over the grid."""

        def below(value: float) -> float:
            share: Array = ndtr((value - self.bias_mean) / sd)
            return float(share @ self.probability)

        reach = 40.0 * float(np.max(sd)) + float(np.max(np.abs(self.bias_mean)))
        return _bisect(below, probability, -reach, reach)


def learn(prior: Prior, evidence: Sequence[Shown] = (), summary: Summary | None = None) -> Standing:
    """Return what the parts made so far say, in the process unit.

    The order of the evidence does not matter. The same part given twice counts twice: counting
    each once is the caller's business. ``summary`` adds parts known only by their mean and
    standard deviation, with the same result as giving them singly with one common ``u``.
    """
    # Sorted, so that the order of the evidence cannot even change the last digit.
    parts = sorted(evidence, key=lambda part: (part.deviation, part.u, part.weight))
    deviation = np.array([part.deviation for part in parts])
    u = np.array([part.u for part in parts])
    weight = np.array([part.weight for part in parts])
    # Squares within the summary's own parts, beside the deviation of their mean.
    within = np.zeros(len(parts))
    if summary is not None:
        deviation = np.append(deviation, summary.bias)
        u = np.append(u, summary.u)
        weight = np.append(weight, summary.weight * summary.parts)
        within = np.append(within, summary.weight * (summary.parts - 1) * summary.spread**2)

    def posterior(log_spread: Array) -> tuple[Array, Array, Array]:
        """Log posterior of ln c up to a constant, and the bias's mean and sd at each point."""
        variance = np.exp(2.0 * log_spread)[:, None] + u**2
        bias_variance = prior.bias_sd**2
        pull = np.sum(weight / variance, axis=1)
        # Written so that a prior bias of exactly zero needs no case of its own.
        tightening = 1.0 + bias_variance * pull
        lean = np.sum(weight * deviation / variance, axis=1) / tightening
        mean = bias_variance * lean
        residual = weight * (deviation - mean[:, None]) ** 2 + within
        log_likelihood = -0.5 * (
            np.sum(weight * np.log(variance), axis=1)
            + np.log(tightening)
            + np.sum(residual / variance, axis=1)
            + bias_variance * lean**2
        )
        log_prior = -0.5 * ((log_spread - math.log(prior.spread)) / math.log(prior.factor)) ** 2
        return log_prior + log_likelihood, mean, prior.bias_sd / np.sqrt(tightening)

    log_spread = _grid_about(lambda grid: posterior(grid)[0], prior)
    log_posterior, bias_mean, bias_sd = posterior(log_spread)
    probability = np.exp(log_posterior - np.max(log_posterior))
    return Standing(
        prior=prior,
        spread_grid=np.exp(log_spread),
        probability=probability / np.sum(probability),
        bias_mean=bias_mean,
        bias_sd=bias_sd,
        parts=len(parts) + (summary.parts if summary else 0),
        worth=float(np.sum(weight)),
    )


def _grid_about(log_posterior: Callable[[Array], Array], prior: Prior) -> Array:
    """Evenly spaced ln c over all of the posterior that matters, and little else."""
    middle, reach = math.log(prior.spread), _PRIOR_REACH * math.log(prior.factor)
    grid = np.linspace(middle - reach, middle + reach, GRID_POINTS)
    for _ in range(_REFINEMENTS):
        density = log_posterior(grid)
        held = np.flatnonzero(density > np.max(density) - _NEGLIGIBLE)
        first, last = max(held[0] - 1, 0), min(held[-1] + 1, GRID_POINTS - 1)
        grid = np.linspace(grid[first], grid[last], GRID_POINTS)
    return grid


def _bisect(rising: Callable[[float], float], target: float, lower: float, upper: float) -> float:
    """Where a rising function meets its target, to the last digit of its range."""
    while True:
        middle = 0.5 * (lower + upper)
        if not lower < middle < upper or upper - lower <= 1e-12 * max(abs(lower), abs(upper)):
            return middle
        if rising(middle) < target:
            lower = middle
        else:
            upper = middle


def _check_probability(probability: float) -> None:
    if not 0.0 < probability < 1.0:
        raise ValueError(f"a probability lies between 0 and 1, not {probability}")
