"""What a bench test showed: the likelihood of its readings reshapes the joint draw.

Plain importance weights collapse to a handful of draws after a few sharp readings. So a scouting
party goes first: the likelihood is let in by steps (tempering), each small enough that half of
the scouts still count; after each step they are thinned by weight and moved about in normal-score
space. A party of a few thousand finds the place but comes out a little too close together, so it
is never taken as the answer: it only shapes a mixture of Student t distributions, from which
fresh draws are taken and weighted exactly. The effective number of draws is that of the weights.

Methods: Del Moral, Doucet and Jasra, "Sequential Monte Carlo samplers", J. R. Statist. Soc. B 68
(2006); Kong, "A note on importance sampling using standardized weights", Univ. of Chicago (1992),
for the effective number. Both from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, logsumexp

Array: TypeAlias = NDArray[np.float64]
LogLikelihood: TypeAlias = Callable[[Array], Array]

ENOUGH = 2000.0
_SCOUTS = 1536
_FIRST_SCOUTS = 8192
_MOVES_A_STEP = 3
_MOST_STEPS = 60
_FRESH = 12_288
_MOST_ROUNDS = 6
_FREEDOM = 6.0
_WIDER = 1.15
_HILLS = 8
_PROBES = 48


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

    ``normals`` has shape (columns, draws). ``effective`` is the number of independent draws that
    the weighted ones behind them are worth, never more than ``draws``; ``steps`` and ``moves`` are the scouts'; ``rounds``
    counts how often fresh draws were taken.
    """

    normals: Array
    steps: int
    moves: int
    rounds: int
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
    live = _live(log_likelihood, columns, rng)
    rest = np.zeros((columns, 1))

    def fit(normals: Array) -> Array:
        whole = np.broadcast_to(rest, (columns, normals.shape[1])).copy()
        whole[live] = normals
        values = log_likelihood(whole)
        return np.where(np.isnan(values), -np.inf, values)

    shape, steps, moves = _scout(fit, live.size, rng)
    taken: list[Array] = []
    logs: list[Array] = []
    effective, rounds = 0.0, 0
    while effective < ENOUGH and rounds < _MOST_ROUNDS:
        proposal = _Mixture(shape, rng)
        fresh = proposal.draw(_FRESH, rng)
        # Density of the standard normals over that of the mixture, the same constant left out.
        logs.append(fit(fresh) - 0.5 * np.square(fresh).sum(axis=0) - proposal.log_density(fresh))
        taken.append(fresh)
        rounds += 1
        weights = _weights(np.concatenate(logs))
        effective = float(1.0 / np.square(weights).sum())
        shape = np.concatenate(taken, axis=1)[:, _thin(weights, _SCOUTS, rng)]
    together = np.concatenate(logs)
    normals = rng.standard_normal((columns, draws))
    normals[live] = np.concatenate(taken, axis=1)[:, _thin(_weights(together), draws, rng)]
    return Learned(
        normals,
        steps,
        moves,
        rounds,
        min(effective, float(draws)),
        float(logsumexp(together) - np.log(together.size)),
    )


def _live(
    log_likelihood: LogLikelihood, columns: int, rng: np.random.Generator
) -> NDArray[np.intp]:
    """Columns the readings speak of; the others stay the standard normals they were."""
    normals = rng.standard_normal((columns, _PROBES))
    before = log_likelihood(normals)
    live = []
    for column in range(columns):
        moved = normals.copy()
        moved[column] = rng.standard_normal(_PROBES)
        after = log_likelihood(moved)
        if not np.allclose(before, after, rtol=1e-9, atol=1e-9, equal_nan=True):
            live.append(column)
    return np.array(live, dtype=np.intp)


def _scout(fit: LogLikelihood, columns: int, rng: np.random.Generator) -> tuple[Array, int, int]:
    """Find where the posterior lies: scouts, steps of tempering, moves."""
    normals = rng.standard_normal((columns, _FIRST_SCOUTS))
    fits = fit(normals)
    if not np.isfinite(fits).any():
        raise ImpossibleReadings
    temperature, steps, moves, reach = 0.0, 0, 0, 0.7
    while temperature < 1.0 and steps < _MOST_STEPS:
        step = _next_step(fits, 1.0 - temperature)
        temperature = min(1.0, temperature + step)
        steps += 1
        chosen = _thin(_weights(step * fits), _SCOUTS, rng)
        normals, fits = normals[:, chosen], fits[chosen]
        for _ in range(_MOVES_A_STEP):
            normals, fits, share = _move(normals, fits, temperature, fit, reach, rng)
            reach = float(np.clip(reach * np.exp(share - 0.3), 0.05, 1.0))
            moves += 1
    return normals, steps, moves


def _weights(log_weights: Array) -> Array:
    weights = np.exp(log_weights - log_weights.max())
    return np.asarray(weights / weights.sum())


def _next_step(fits: Array, left: float) -> float:
    """Largest step of temperature that leaves half of the possible scouts effective."""
    possible = fits[np.isfinite(fits)]

    def holds(step: float) -> bool:
        return float(1.0 / np.square(_weights(step * possible)).sum()) >= 0.5 * possible.size

    if holds(left):
        return left
    low, high = 0.0, left
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if holds(middle) else (low, middle)
    return max(low, 1e-12)


def _thin(weights: Array, draws: int, rng: np.random.Generator) -> NDArray[np.intp]:
    """Draw indices in proportion to weight, evenly spaced along the sum (systematic)."""
    places = (rng.random() + np.arange(draws)) / draws
    return np.searchsorted(np.cumsum(weights), places, side="right").clip(max=weights.size - 1)


def _root(normals: Array) -> Array:
    """Lower triangular root of the covariance of draws, shape (columns, columns)."""
    columns = normals.shape[0]
    covariance = np.cov(normals).reshape(columns, columns)
    return np.asarray(np.linalg.cholesky(covariance + 1e-9 * np.eye(columns)))


def _move(
    normals: Array,
    fits: Array,
    temperature: float,
    fit: LogLikelihood,
    reach: float,
    rng: np.random.Generator,
) -> tuple[Array, Array, float]:
    """Propose, towards the scouts' own mean and along their own covariance; accept or stay."""
    middle, root = normals.mean(axis=1, keepdims=True), _root(normals)
    away = np.linalg.solve(root, normals - middle)
    fresh = np.sqrt(1.0 - reach**2) * away + reach * rng.standard_normal(normals.shape)
    proposed = middle + root @ fresh
    proposed_fits = fit(proposed)
    # The proposal keeps a normal of this mean and covariance, whose density cancels out of it.
    ratio = (
        temperature * (proposed_fits - fits)
        - 0.5 * (np.square(proposed).sum(axis=0) - np.square(normals).sum(axis=0))
        + 0.5 * (np.square(fresh).sum(axis=0) - np.square(away).sum(axis=0))
    )
    accept = np.log(rng.random(fits.size)) < ratio
    return (
        np.where(accept, proposed, normals),
        np.where(accept, proposed_fits, fits),
        float(accept.mean()),
    )


class _Mixture:
    """Student t distributions shaped on draws: one on all of them, and one on each hill."""

    def __init__(self, shape: Array, rng: np.random.Generator) -> None:
        columns, count = shape.shape
        middle, root = shape.mean(axis=1, keepdims=True), _root(shape)
        away = np.linalg.solve(root, shape - middle)
        tops = away[:, rng.choice(count, _HILLS, replace=False)]
        nearest = np.square(away[:, :, None] - tops[:, None, :]).sum(axis=0).argmin(axis=1)
        self.columns = columns
        self.parts: list[tuple[float, Array, Array]] = [(0.5, middle, _WIDER * root)]
        for hill in range(_HILLS):
            members = shape[:, nearest == hill]
            if members.shape[1] > 4 * columns:
                share = 0.5 * members.shape[1] / count
                top = members.mean(axis=1, keepdims=True)
                self.parts.append((share, top, _WIDER * _root(members)))
        total = sum(share for share, _, _ in self.parts)
        self.parts = [(share / total, top, root) for share, top, root in self.parts]

    def draw(self, count: int, rng: np.random.Generator) -> Array:
        """Draws of shape (columns, count), each part in its share."""
        found: list[Array] = []
        for number in _shares([share for share, _, _ in self.parts], count):
            _, top, root = self.parts[len(found)]
            scale = np.sqrt(_FREEDOM / rng.chisquare(_FREEDOM, number))
            found.append(top + root @ (rng.standard_normal((self.columns, number)) * scale))
        return np.concatenate(found, axis=1)

    def log_density(self, normals: Array) -> Array:
        """Logarithm of the density over that of a standard normal at its middle."""
        half = 0.5 * (_FREEDOM + self.columns)
        constant = (
            gammaln(half)
            - gammaln(0.5 * _FREEDOM)
            + 0.5 * self.columns * (np.log(2.0) - np.log(_FREEDOM))
        )
        logs = []
        for share, top, root in self.parts:
            away = np.linalg.solve(root, normals - top)
            square = np.square(away).sum(axis=0)
            size = np.log(np.diag(root)).sum()
            logs.append(np.log(share) + constant - size - half * np.log1p(square / _FREEDOM))
        return np.asarray(logsumexp(np.stack(logs), axis=0))


def _shares(shares: Sequence[float], count: int) -> list[int]:
    """Whole numbers in proportion to shares that add up to ``count``."""
    edges = np.round(np.cumsum(shares) * count).astype(int)
    return [int(number) for number in np.diff(edges, prepend=0)]
