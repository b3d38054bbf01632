"""Deviations that are linear in independent standard normals, and what readings do to them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]


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
    names = _names(constraints)
    count = next(iter(given.values())).shape[0]
    matrix, _ = _matrix(constraints, names, count)
    miss = np.stack([np.broadcast_to(row.at(given), count) for row in constraints], axis=-1)
    steps = _solve(_gram(matrix), miss[..., None])[..., 0]
    moves = np.einsum("nij,ni->nj", matrix, steps)
    return given | {name: given[name] - moves[:, j] for j, name in enumerate(names)}


def conditional(rows: Sequence[Linear], constraints: Sequence[Linear], scores: Array) -> Array:
    """Draw rows given that every constraint is zero, from one standard normal a row.

    ``scores`` and the result have shape (rows, n). The same distribution as :func:`project`
    gives the rows, in as many columns as there are rows.
    """
    count = scores.shape[1]
    names = _names([*rows, *constraints])
    matrix, middle = _matrix(rows, names, count)
    covariance = matrix @ matrix.transpose(0, 2, 1)
    if constraints:
        held, miss = _matrix(constraints, names, count)
        across = matrix @ held.transpose(0, 2, 1)
        gain = _solve(_gram(held), across.transpose(0, 2, 1)).transpose(0, 2, 1)
        middle = middle - np.einsum("nij,nj->ni", gain, miss)
        covariance = covariance - gain @ across.transpose(0, 2, 1)
    drawn = middle + np.einsum("nij,jn->ni", _root(covariance), scores)
    return np.asarray(drawn.T)


def _names(rows: Sequence[Linear]) -> list[str]:
    return sorted({name for row in rows for name in row.coefficients})


def _matrix(rows: Sequence[Linear], names: Sequence[str], count: int) -> tuple[Array, Array]:
    """Coefficients of shape (count, rows, names), constants of shape (count, rows)."""
    matrix = np.zeros((count, len(rows), len(names)))
    constants = np.empty((count, len(rows)))
    for i, row in enumerate(rows):
        constants[:, i] = row.constant
        for name, coefficient in row.coefficients.items():
            matrix[:, i, names.index(name)] = coefficient
    return matrix, constants


def _gram(matrix: Array) -> Array:
    """Products of the rows; two exact readings of one error keep a trace of play between them."""
    gram = matrix @ matrix.transpose(0, 2, 1)
    scale = np.trace(gram, axis1=1, axis2=2)[:, None, None]
    return np.asarray(gram + 1e-12 * scale * np.eye(matrix.shape[1]))


def _root(covariance: Array) -> Array:
    """Lower triangular roots; features that share their only error keep a trace of play."""
    size = covariance.shape[1]
    scale = np.trace(covariance, axis1=1, axis2=2)[:, None, None]
    return _cholesky(covariance + (1e-10 * scale + 1e-30) * np.eye(size))


def _cholesky(matrix: Array) -> Array:
    """Lower triangular roots of many small matrices at once, shape (n, size, size).

    Over thousands of matrices of two or three rows this is several times as quick as one call of
    the library for each.
    """
    root = np.zeros_like(matrix)
    for i in range(matrix.shape[1]):
        for j in range(i + 1):
            left = matrix[:, i, j] - np.einsum("nk,nk->n", root[:, i, :j], root[:, j, :j])
            root[:, i, j] = np.sqrt(np.maximum(left, 0.0)) if i == j else left / root[:, j, j]
    return root


def _solve(matrix: Array, right: Array) -> Array:
    """Solve many small symmetric positive systems at once; ``right`` is (n, size, columns)."""
    root = _cholesky(matrix)
    size = matrix.shape[1]
    found = np.array(right, dtype=float)
    for i in range(size):
        found[:, i] -= np.einsum("nk,nkc->nc", root[:, i, :i], found[:, :i])
        found[:, i] /= root[:, i, i, None]
    for i in reversed(range(size)):
        found[:, i] -= np.einsum("nk,nkc->nc", root[:, i + 1 :, i], found[:, i + 1 :])
        found[:, i] /= root[:, i, i, None]
    return found
