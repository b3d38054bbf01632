"""What bench tests of earlier parts taught of what every part of one builder shares.

A test narrows several coefficients at once, and mostly together: one may be less only if another
is more. The next part must hear all of that, so what is handed on is neither a list of intervals
nor a single best figure but a joint normal, of the scores that the spreads believed beforehand map
to values. So a coefficient that cannot leave its range before the tests cannot leave it after.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.duties.contract import CorrelatedUnknowns, Unknown
from benchproof.spread import Spread

Array: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True)
class Taught:
    """Joint normal of the scores of some unknowns, and the parts whose tests showed it.

    ``spreads`` are those the scores belong to, by unknown; ``means`` has shape (k,) and
    ``covariance`` (k, k), in the order of ``spreads``.
    """

    spreads: Mapping[str, Spread]
    means: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    parts: tuple[str, ...]

    @classmethod
    def by_draws(cls, spreads: Mapping[str, Spread], scores: Array, parts: Sequence[str]) -> Taught:
        """What equally likely draws of the scores, shape (k, draws), say."""
        covariance = np.cov(scores).reshape(len(spreads), len(spreads))
        return cls(
            dict(spreads),
            tuple(float(mean) for mean in scores.mean(axis=1)),
            tuple(tuple(float(each) for each in row) for row in covariance),
            tuple(parts),
        )

    def among(self, unknowns: Sequence[Unknown | CorrelatedUnknowns]) -> Taught | None:
        """What still holds of these unknowns: of those believed now as they were beforehand.

        One that the builder has stated otherwise since is left to what was stated.
        """
        now = {u.name: u.spread for u in unknowns if isinstance(u, Unknown)}
        held = [
            i for i, (name, spread) in enumerate(self.spreads.items()) if now.get(name) == spread
        ]
        if not held:
            return None
        names = list(self.spreads)
        return Taught(
            {names[i]: self.spreads[names[i]] for i in held},
            tuple(self.means[i] for i in held),
            tuple(tuple(self.covariance[i][j] for j in held) for i in held),
            self.parts,
        )

    def scores(self, given: Mapping[str, Array]) -> dict[str, Array]:
        """Scores after the tests, by unknown, from independent standard normals, shape (n,)."""
        values, vectors = np.linalg.eigh(np.asarray(self.covariance))
        # The symmetric root keeps each normal as near its own unknown as a root can.
        root = (vectors * np.sqrt(np.maximum(values, 0.0))) @ vectors.T
        fresh = np.stack([given[name] for name in self.spreads])
        moved = np.asarray(self.means)[:, None] + root @ fresh
        return dict(zip(self.spreads, moved, strict=True))
