"""What a bench test showed: the likelihood of its readings reshapes the joint draw.

Plain importance weights collapse to a handful of draws after a few sharp readings, so the
likelihood is let in by steps (tempering), each small enough that half of the draws still count.
After each step the draws are thinned by weight and moved about in normal-score space by a Markov
chain that leaves the tempered posterior as it is. Columns the readings do not speak of are left
out of all this and stay the standard normals they were: the fewer columns, the truer the moves.

Thinning leaves families of equal draws; moves part them again. What the draws are worth follows
from the size of the families and from how far their members have moved from where they stood.

Method: Del Moral, Doucet and Jasra, "Sequential Monte Carlo samplers", J. R. Statist. Soc. B 68
(2006). Halves moved by one another: Goodman and Weare, "Ensemble samplers with affine invariance",
Comm. App. Math. Comp. Sci. 5 (2010). What spread chance alone shows: Marchenko and Pastur,
Math. USSR Sbornik 1 (1967). All from memory; the worth is our own working, tested against the
scatter of repeated runs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

Array: TypeAlias = NDArray[np.float64]
LogLikelihood: TypeAlias = Callable[[Array], Array]

ENOUGH = 2000.0
_FIRST = 4  # draws of the prior for each draw of the posterior
_MOVES_A_STEP = 3
_LAST_MOVES = 10
_MOST_MOVES = 60
_MOST_STEPS = 60
_PROBES = 48


class ImpossibleReadings(ValueError):
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
    are worth. ``acceptance`` is the mean share of moves that were taken.
    """

    normals: Array
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
    live = _live(log_likelihood, columns, rng)

    def fit(normals: Array) -> Array:
        whole = np.zeros((columns, normals.shape[1]))
        whole[live] = normals
        values = log_likelihood(whole)
        return np.where(np.isnan(values), -np.inf, values)

    normals = rng.standard_normal((columns, draws))
    party = _Party(fit, rng.standard_normal((live.size, _FIRST * draws)), rng)
    while party.temperature < 1.0 and party.steps < _MOST_STEPS:
        party.step(draws)
        for _ in range(_MOVES_A_STEP):
            party.move()
    arrived = party.temperature >= 1.0
    enough = min(ENOUGH, 0.5 * draws)
    for done in range(_MOST_MOVES):
        if not arrived or (done >= _LAST_MOVES and party.worth() >= enough):
            break
        party.move()
    normals[live] = party.normals
    return Learned(
        normals,
        party.steps,
        party.moves,
        party.accepted / max(party.moves, 1),
        party.worth() if arrived else 0.0,
        party.log_evidence,
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


def _weights(log_weights: Array) -> Array:
    weights = np.exp(log_weights - log_weights.max())
    return np.asarray(weights / weights.sum())


def _next_step(fits: Array, left: float) -> float:
    """Largest step of temperature that leaves half of the possible scouts effective."""
    possible = fits[np.isfinite(fits)]
    below = possible - possible.max()

    def holds(step: float) -> bool:
        weights = np.exp(step * below)
        return float(weights.sum() ** 2 / (weights @ weights)) >= 0.5 * possible.size

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


def _axes(normals: Array) -> tuple[Array, Array]:
    """Directions in which draws spread independently, as columns, and how far in each.

    Where readings say nothing the spread is one, and so many draws of so many columns show
    anything within the root of columns over draws of it: chance, and not followed.
    """
    columns, draws = normals.shape
    squares, axes = np.linalg.eigh(np.cov(normals).reshape(columns, columns))
    spread = np.sqrt(np.maximum(squares, 0.0) + 1e-12)
    spread[np.abs(spread - 1.0) < np.sqrt(columns / draws)] = 1.0
    return axes, spread


def _squares(normals: Array) -> Array:
    """Sum of the squares of each draw."""
    return np.asarray(np.einsum("ij,ij->j", normals, normals))


class _Party:
    """Draws on their way from the prior to the posterior."""

    def __init__(self, fit: LogLikelihood, normals: Array, rng: np.random.Generator) -> None:
        self.fit, self.rng = fit, rng
        self.normals, self.fits = normals, fit(normals)
        if not np.isfinite(self.fits).any():
            raise ImpossibleReadings
        self.temperature, self.log_evidence = 0.0, 0.0
        self.steps, self.moves, self.accepted = 0, 0, 0.0
        self._reach, self._family, self._before = 0.7, 1.0, normals

    def step(self, draws: int) -> None:
        """Let in as much of the likelihood as half of the draws bear, and thin by weight."""
        step = _next_step(self.fits, 1.0 - self.temperature)
        self.log_evidence += float(logsumexp(step * self.fits) - np.log(self.fits.size))
        self.temperature = min(1.0, self.temperature + step)
        chosen = _thin(_weights(step * self.fits), draws, self.rng)
        self.normals, self.fits = self.normals[:, chosen], self.fits[chosen]
        self._family = float(np.square(np.bincount(chosen).astype(float)).sum() / draws)
        self._before = self.normals.copy()
        self.steps += 1

    def move(self) -> None:
        """Propose along the spread that draws have; accept or stay.

        On the way it is that of all draws, which is steadier. At the end it is for each half of
        them that of the other half: a draw that has a say in where it is sent keeps the whole too
        close together. Families stand side by side, so hardly any is torn in two.
        """
        draws = self.fits.size
        one, other = slice(draws // 2), slice(draws // 2, None)
        arrived = self.temperature >= 1.0
        pairs = ((one, other), (other, one)) if arrived else ((slice(None), slice(None)),)
        taken = sum(self._move(moved, self.normals[:, by]) for moved, by in pairs)
        share = taken / draws
        self._reach = float(np.clip(self._reach * np.exp(share - 0.3), 0.05, 1.0))
        self.moves += 1
        self.accepted += share

    def _move(self, moved: slice, others: Array) -> int:
        """Move some draws towards the mean of others and along their spread; count those moved."""
        normals, fits = self.normals[:, moved], self.fits[moved]
        middle = others.mean(axis=1, keepdims=True)
        axes, spread = _axes(others)
        away = (axes / spread).T @ (normals - middle)
        fresh = self.rng.standard_normal(away.shape)
        fresh *= self._reach
        fresh += np.sqrt(1.0 - self._reach**2) * away
        proposed = (axes * spread) @ fresh
        proposed += middle
        proposed_fits = self.fit(proposed)
        # The proposal keeps a normal of this mean and covariance; its density cancels out of it.
        ratio = (
            self.temperature * (proposed_fits - fits)
            - 0.5 * (_squares(proposed) - _squares(normals))
            + 0.5 * (_squares(fresh) - _squares(away))
        )
        accept = np.log(self.rng.random(fits.size)) < ratio
        np.copyto(normals, proposed, where=accept)
        np.copyto(fits, proposed_fits, where=accept)
        return int(np.count_nonzero(accept))

    def worth(self) -> float:
        """Number of independent draws these are worth: families, as far as still akin."""
        if self.normals.shape[0] == 0:
            return float(self.fits.size)
        one = self._before - self._before.mean(axis=1, keepdims=True)
        two = self.normals - self.normals.mean(axis=1, keepdims=True)
        scale = np.sqrt(np.square(one).sum(axis=1) * np.square(two).sum(axis=1))
        akin = np.square((one * two).sum(axis=1) / np.maximum(scale, 1e-300)).max()
        return float(self.fits.size / (1.0 + (self._family - 1.0) * akin))
