"""Lathes whose bias and spread are known, and what their builders honestly enter."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from benchproof.book.records import Entry
from benchproof.tables.iso286 import tolerance_unit
from benchproof.workshop.standing import Standing
from book.books import past_part, piece, size

SIZES = (6e-3, 12e-3, 20e-3, 32e-3, 60e-3)


@dataclass(frozen=True)
class Hidden:
    """Bias and spread of a lathe in tolerance units, drawn as the prior says."""

    bias: float
    spread: float

    def share_held(self, standing: Standing, probability: float = 0.9) -> float:
        """How often the next part will truly fall inside the stated interval."""
        lower, upper = standing.predictive_interval(probability)
        ends = (np.array([lower, upper]) - self.bias) / self.spread
        return float(np.diff(ndtr(ends))[0])

    def parts(
        self, count: int, u: float, rng: np.random.Generator, *, month: str = "2026-01"
    ) -> Iterator[Entry]:
        """Finished parts of many sizes, every other one entered from before the book."""
        for number in range(count):
            aim = SIZES[number % len(SIZES)]
            off = (self.bias + self.spread * rng.standard_normal()) * float(tolerance_unit(aim))
            read = aim + off + u * rng.standard_normal()
            key, when = f"{month} {number}", f"{month}-{number % 28 + 1:02d}"
            if number % 2:
                yield past_part(key, aim=aim, came_out=read, u=u, when=when)
            else:
                yield piece(f"piece {key}")
                yield size(
                    key, piece=f"piece {key}", value=read, aim=aim, u=u, when=when, scale=aim
                )


def hidden(count: int, seed: int = 2024) -> list[Hidden]:
    scores = np.random.default_rng(seed).standard_normal((count, 2))
    return [Hidden(3.0 * float(b), 3.0 * math.exp(0.8 * float(s))) for b, s in scores]
