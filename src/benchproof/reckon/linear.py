"""Deviations that are linear in independent standard normals, and what readings do to them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Cell: TypeAlias = Array | float
Small: TypeAlias = list[list[Cell]]
"""A small matrix for each draw: its cells are numbers, or rows of one number a draw.

Draws stand along the cells and not across them: numpy then works through whole rows at a time,
which for matrices of two or three rows is several times as quick as matrices set side by side.
"""


@dataclass(frozen=True)
class Linear:
    """A constant plus coefficients on named standard normals; each a number or one a draw."""

    constant: Array | float
    coefficients: Mapping[str, Array | float]

    def at(self, normals: Mapping[str, Array], halved: str | None = None) -> Array:
        """Value at the normals; the part of ``halved`` is brought half as far from its mean."""
        total = np.asarray(self.constant, dtype=float)
        for name, coefficient in self.coefficients.items():
            part = coefficient * normals[name]
            total = total + (nearer(part) if name == halved else part)
        return total

    def plus(self, other: Linear, factor: float = 1.0) -> Linear:
        """This plus a multiple of another."""
        merged = dict(self.coefficients)
        for name, coefficient in other.coefficients.items():
            merged[name] = merged.get(name, 0.0) + factor * coefficient
        return Linear(self.constant + factor * other.constant, merged)


def nearer(values: Array) -> Array:
    """The same draws, half as far from their mean: held, or known, twice as well."""
    middle = values.mean()
    return np.asarray(middle + 0.5 * (values - middle))


def project(given: dict[str, Array], constraints: Sequence[Linear]) -> dict[str, Array]:
    """Move each draw of the normals the least way that makes every constraint zero."""
    miss: Small = [[row.at(given)] for row in constraints]
    steps = _solve(_gram(constraints), miss)
    moved = dict(given)
    for row, (step,) in zip(constraints, steps, strict=True):
        for name, coefficient in row.coefficients.items():
            moved[name] = moved[name] - coefficient * step
    return moved


def conditional(rows: Sequence[Linear], constraints: Sequence[Linear], scores: Array) -> Array:
    """Draw rows given that every constraint is zero, from one standard normal a row.

    ``scores`` and the result have shape (rows, n). The same distribution as :func:`project`
    gives the rows, in as many columns as there are rows.
    """
    middle: list[Cell] = [row.constant for row in rows]
    covariance = _products(rows, rows)
    if constraints:
        across = _products(constraints, rows)
        gain = _solve(_gram(constraints), across)
        for share, held, constraint in zip(gain, across, constraints, strict=True):
            for i, part in enumerate(share):
                middle[i] = middle[i] - part * constraint.constant
                for j in range(i + 1):
                    covariance[i][j] = covariance[i][j] - part * held[j]
    drawn = np.empty_like(scores)
    for i, root in enumerate(_root(covariance)):
        drawn[i] = middle[i]
        for part, score in zip(root[: i + 1], scores, strict=False):
            drawn[i] += part * score
    return drawn


def _products(rows: Sequence[Linear], others: Sequence[Linear]) -> Small:
    """Covariance of each row with each of the others."""
    return [[_product(row.coefficients, o.coefficients) for o in others] for row in rows]


def _product(some: Mapping[str, Cell], others: Mapping[str, Cell]) -> Cell:
    total: Cell = 0.0
    for name, coefficient in some.items():
        if name in others:
            total = total + coefficient * others[name]
    return total


def _gram(constraints: Sequence[Linear]) -> Small:
    """Products of the rows; two exact readings of one error keep a trace of play between them."""
    return _with_play(_products(constraints, constraints), 1e-12)


def _root(covariance: Small) -> Small:
    """Lower triangular roots; features that share their only error keep a trace of play."""
    return _cholesky(_with_play(covariance, 1e-10, 1e-30))


def _with_play(matrix: Small, share: float, least: float = 0.0) -> Small:
    """The matrix with a share of its trace on its diagonal."""
    play = least + share * sum(row[i] for i, row in enumerate(matrix))
    return [
        [cell + play if i == j else cell for j, cell in enumerate(row)]
        for i, row in enumerate(matrix)
    ]


def _cholesky(matrix: Small) -> Small:
    """Lower triangular roots; nothing above the diagonal is read, and nothing of it is told."""
    root: Small = []
    for i, row in enumerate(matrix):
        found: list[Cell] = []
        for j in range(i + 1):
            left = row[j]
            for one, other in zip(found, root[j] if j < i else found, strict=False):
                left = left - one * other
            found.append(np.sqrt(np.maximum(left, 0.0)) if i == j else left / root[j][j])
        root.append(found)
    return root


def _solve(matrix: Small, right: Small) -> Small:
    """Solve small symmetric positive systems; ``right`` has a row for each of the matrix."""
    root = _cholesky(matrix)
    found = [list(row) for row in right]
    places = range(len(root))
    for i in places:
        for k in range(i):
            found[i] = [x - root[i][k] * y for x, y in zip(found[i], found[k], strict=True)]
        found[i] = [x / root[i][i] for x in found[i]]
    for i in reversed(places):
        for k in range(i + 1, len(root)):
            found[i] = [x - root[k][i] * y for x, y in zip(found[i], found[k], strict=True)]
        found[i] = [x / root[i][i] for x in found[i]]
    return found
