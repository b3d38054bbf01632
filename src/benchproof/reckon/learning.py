"""What a bench test showed: the likelihood of its readings reshapes the joint draw.

Plain importance weights collapse to a handful of draws after a few sharp readings, so the
likelihood is let in by steps (tempering), each small enough that half the draws still count; after
each step the draws are thinned by weight and moved about by a Markov chain in normal-score space
that leaves the tempered posterior as it is. Method: Del Moral, Doucet and Jasra, "Sequential
Monte Carlo samplers", J. R. Statist. Soc. B 68 (2006), from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
LogLikelihood: TypeAlias = Callable[[Array], Array]

ENOUGH = 2000.0
_FIRST_DRAWS = 4
_MOVES_A_STEP = 3
_MOST_MOVES = 40
_MOST_STEPS = 60


class ImpossibleReadings(ValueError):  # noqa: N818 - says what is wrong in plain words
    """No draw of what was believed beforehand could have given the readings."""

    def __init__(self) -> None:
        super().__init__(
            "These readings are impossible whatever the part is like: look for a wrong unit, a "
            "slip of the pen, or a piece that hung and never fell."
        )


@dataclass(frozen=True)
class Learned:
    """Equally likely draws of the posterior in normal-score space, and how they were got.

    ``normals`` has shape (columns, draws). ``effective`` is the number of independent draws they
    are worth, after the families left by thinning have been moved apart.
    """

    normals: Array
    log_likelihood: Array
    steps: int
    moves: int
    acceptance: float
    effective: float
    log_evidence: float

    @property
    def enough(self) -> bool:
        """Whether the draws are worth at least two thousand independent ones."""
        return self.effective >= ENOUGH


def learn(
    log_likelihood: LogLikelihood, *, columns: int, draws: int = 4096, seed: int = 1
) -> Learned:
    """Draw from the posterior of independent standard normals under a log-likelihood.

    ``log_likelihood`` maps normals of shape (columns, n) to n values; minus infinity and NaN mean
    impossible. Raises ``ImpossibleReadings`` when no draw of the prior is possible at all.
    """
    rng = np.random.default_rng(seed)
    normals = rng.standard_normal((columns, _FIRST_DRAWS * draws))
    fit = _finite(log_likelihood(normals))
    if not np.isfinite(fit).any():
        raise ImpossibleReadings
    temperature, log_evidence = 0.0, 0.0
    steps = moves = tried = 0
    accepted = 0.0
    effective = float(draws)
    reach = 0.7
    while temperature < 1.0:
        step = _next_step(fit, temperature)
        weights = _weights(step * fit)
        log_evidence += _log_mean_exp(step * fit)
        temperature = min(1.0, temperature + step)
        steps += 1
        chosen = _thin(weights, draws, rng)
        normals, fit = normals[:, chosen], fit[chosen]
        families = np.bincount(chosen)
        duplicates = float((families.astype(float) ** 2).sum() / draws)
        before = normals.copy()
        made = 0
        while made < _MOST_MOVES:
            normals, fit, share = _move(normals, fit, temperature, log_likelihood, reach, rng)
            reach = float(np.clip(reach * np.exp(share - 0.3), 0.05, 1.0))
            moves, made = moves + 1, made + 1
            accepted, tried = accepted + share, tried + 1
            effective = draws / (1.0 + (duplicates - 1.0) * _kinship(before, normals))
            last = temperature >= 1.0
            if made >= _MOVES_A_STEP and (not last or effective >= ENOUGH):
                break
        if steps >= _MOST_STEPS and temperature < 1.0:
            effective = 0.0
            break
    return Learned(
        normals, fit, steps, moves, float(accepted / tried), float(effective), float(log_evidence)
    )


def _finite(values: Array) -> Array:
    return np.where(np.isnan(values), -np.inf, values)


def _weights(log_weights: Array) -> Array:
    weights = np.exp(log_weights - log_weights.max())
    return np.asarray(weights / weights.sum())


def _log_mean_exp(values: Array) -> float:
    top = values.max()
    return float(top + np.log(np.mean(np.exp(values - top))))


def _next_step(fit: Array, temperature: float) -> float:
    """Largest step that leaves half of the possible draws effective."""
    left = 1.0 - temperature
    possible = int(np.isfinite(fit).sum())

    def worth(step: float) -> float:
        weights = _weights(np.where(np.isfinite(fit), step * fit, -np.inf))
        return float(1.0 / np.square(weights).sum())

    if worth(left) >= 0.5 * possible:
        return left
    low, high = 0.0, left
    for _ in range(40):
        middle = 0.5 * (low + high)
        if worth(middle) >= 0.5 * possible:
            low = middle
        else:
            high = middle
    return max(low, 1e-12)


def _thin(weights: Array, draws: int, rng: np.random.Generator) -> NDArray[np.intp]:
    """Draw indices in proportion to weight, evenly spaced along the sum (systematic)."""
    places = (rng.random() + np.arange(draws)) / draws
    return np.searchsorted(np.cumsum(weights), places, side="right").clip(max=weights.size - 1)


def _move(
    normals: Array,
    fit: Array,
    temperature: float,
    log_likelihood: LogLikelihood,
    reach: float,
    rng: np.random.Generator,
) -> tuple[Array, Array, float]:
    """Propose, towards the draws' own mean and along their own covariance; accept or stay."""
    columns, draws = normals.shape
    middle = normals.mean(axis=1, keepdims=True)
    covariance = np.cov(normals).reshape(columns, columns) + 1e-9 * np.eye(columns)
    root = np.linalg.cholesky(covariance)
    away = np.linalg.solve(root, normals - middle)
    fresh = np.sqrt(1.0 - reach**2) * away + reach * rng.standard_normal((columns, draws))
    proposed = middle + root @ fresh
    proposed_fit = _finite(log_likelihood(proposed))
    # The proposal keeps a normal of this mean and covariance, whose density cancels out of it.
    ratio = (
        temperature * (proposed_fit - fit)
        - 0.5 * (np.square(proposed).sum(axis=0) - np.square(normals).sum(axis=0))
        + 0.5 * (np.square(fresh).sum(axis=0) - np.square(away).sum(axis=0))
    )
    accept = np.log(rng.random(draws)) < ratio
    return (
        np.where(accept, proposed, normals),
        np.where(accept, proposed_fit, fit),
        float(accept.mean()),
    )


def _kinship(before: Array, after: Array) -> float:
    """Largest squared correlation between where draws stood and where they stand."""
    one = before - before.mean(axis=1, keepdims=True)
    two = after - after.mean(axis=1, keepdims=True)
    scale = np.sqrt(np.square(one).sum(axis=1) * np.square(two).sum(axis=1))
    return float(np.max(np.square((one * two).sum(axis=1) / np.maximum(scale, 1e-300))))
