"""Which piece goes with which: measured pieces paired for the best, and any with any.

Pieces measured one by one can be paired so that as many pairs as possible come right: an optimal
assignment. Pieces that must fit *any* of their mates have no such help: the tightest pair decides,
and the loosest.

Source: H. W. Kuhn, The Hungarian method for the assignment problem, Naval Research Logistics
Quarterly 2 (1955), from memory, for the problem; it is solved by ``scipy.optimize``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr

Array: TypeAlias = NDArray[np.float64]
Hand = Literal["either", "left", "right"]
Wish = Literal["all right", "most right"]

_HOPELESS = 1e-9  # below it two pieces are left over rather than called a pair
_LEAST_CHANCE = 1e-12  # an impossible pair is dear, but not infinitely so


@dataclass(frozen=True)
class Measured:
    """A measured piece: its name, size [m] and standard uncertainty [m].

    A "left" piece goes with a left one or with one that is "either".
    """

    name: str
    size: float
    u: float = 0.0
    hand: Hand = "either"

    def __post_init__(self) -> None:
        if not math.isfinite(self.size) or not (math.isfinite(self.u) and self.u >= 0.0):
            raise ValueError(
                f"{self.name!r} has no size with an uncertainty: {self.size}, {self.u}"
            )


@dataclass(frozen=True)
class Pair:
    """One hole with one shaft, by their places in the lists; ``chance`` [0 to 1] that it fits."""

    hole: int
    shaft: int
    chance: float


@dataclass(frozen=True)
class Fit:
    """A pair by name, its clearance [m] as measured, and the chance that it is in limits."""

    hole: str
    shaft: str
    clearance: float
    chance: float


@dataclass(frozen=True)
class Pairing:
    """Pairs in the order of their holes, and the names of pieces left over.

    ``all_right`` [0 to 1] is the chance that every pair is right, were their gauges' errors
    independent.
    """

    fits: tuple[Fit, ...]
    spare: tuple[str, ...]

    @property
    def all_right(self) -> float:
        """Chance that every pair is right."""
        return math.prod(fit.chance for fit in self.fits)

    @property
    def expected(self) -> float:
        """Number of right pairs to expect."""
        return math.fsum(fit.chance for fit in self.fits)


@dataclass(frozen=True)
class MatingOdds:
    """How pieces of two lots go together, over many drawn lots.

    ``one`` is the chance that a pair taken at random fits, ``every`` that each hole of a lot
    fits each shaft; ``tightest`` and ``loosest`` are clearances [m] (5 %, median, 95 %) of the
    worst pairs of a lot.
    """

    one: float
    every: float
    tightest: tuple[float, float, float]
    loosest: tuple[float, float, float]


def best_pairs(chance: ArrayLike, *, wish: Wish = "all right") -> list[Pair]:
    """Pair holes and shafts for the best.

    ``chance`` [0 to 1] of each pair to be right, shape (holes, shafts), from any model; what
    must not be paired has chance 0 or is not a number. ``wish``: the largest chance that all
    are right, or the largest number of right ones expected. Every piece of the shorter list is
    paired unless all its chances are 0; what is left over is simply not named. Raises
    ``ValueError`` for no table of chances.
    """
    from scipy.optimize import linear_sum_assignment

    table = np.nan_to_num(np.asarray(chance, dtype=float), nan=0.0)
    if table.ndim != 2 or table.size == 0 or np.any(table < 0.0) or np.any(table > 1.0):
        raise ValueError("chances lie between 0 and 1, a row for each hole, a column per shaft")
    cost = -table if wish == "most right" else -np.log(np.maximum(table, _LEAST_CHANCE))
    holes, shafts = linear_sum_assignment(cost)
    return [
        Pair(int(hole), int(shaft), float(table[hole, shaft]))
        for hole, shaft in zip(holes, shafts, strict=True)
        if table[hole, shaft] > 0.0
    ]


def pair_measured(
    holes: Sequence[Measured],
    shafts: Sequence[Measured],
    *,
    least: float,
    most: float,
    wish: Wish = "all right",
) -> Pairing:
    """Pair measured pieces whose clearance, hole less shaft, is to lie in [least, most] [m].

    Where the gauges leave no doubt between pairings the clearances closest to the middle win.
    Chances of any other model go to :func:`best_pairs`. Raises ``ValueError`` for limits
    upside down or an empty list.
    """
    if not least < most:
        raise ValueError(f"the least clearance {least} must be under the largest {most}")
    if not holes or not shafts:
        raise ValueError("pairing wants one hole and one shaft or more")
    clearance = np.array([[hole.size - shaft.size for shaft in shafts] for hole in holes])
    u = np.array([[math.hypot(hole.u, shaft.u) for shaft in shafts] for hole in holes])
    fits = _chance_within(clearance, u, least, most)
    together = np.array([[_of_one_hand(hole, shaft) for shaft in shafts] for hole in holes])
    # So little that it only decides between pairings that are equally good otherwise.
    off = np.minimum(((clearance - 0.5 * (least + most)) / (most - least)) ** 2, 1e3)
    wished = np.where(together, np.maximum(fits, _LEAST_CHANCE) * (1.0 - 1e-6 * off), 0.0)
    pairs = [
        pair for pair in best_pairs(wished, wish=wish) if fits[pair.hole, pair.shaft] > _HOPELESS
    ]
    used = {pair.hole for pair in pairs}, {pair.shaft for pair in pairs}
    return Pairing(
        tuple(
            Fit(
                holes[pair.hole].name,
                shafts[pair.shaft].name,
                float(clearance[pair.hole, pair.shaft]),
                float(fits[pair.hole, pair.shaft]),
            )
            for pair in pairs
        ),
        tuple(
            piece.name
            for pieces, taken in ((holes, used[0]), (shafts, used[1]))
            for place, piece in enumerate(pieces)
            if place not in taken
        ),
    )


def mating_odds(holes: ArrayLike, shafts: ArrayLike, *, least: float, most: float) -> MatingOdds:
    """How two lots go together, any hole with any shaft.

    True sizes [m] of drawn lots, shapes (lots, holes) and (lots, shafts); the clearance is to
    lie in [least, most] [m]. Raises ``ValueError`` for other shapes or limits upside down.
    """
    bores, pins = np.asarray(holes, dtype=float), np.asarray(shafts, dtype=float)
    if bores.ndim != 2 or pins.ndim != 2 or bores.shape[0] != pins.shape[0] or not bores.size:
        raise ValueError("sizes come a row for each lot, as many rows of holes as of shafts")
    if not least < most:
        raise ValueError(f"the least clearance {least} must be under the largest {most}")
    tightest = bores.min(axis=1) - pins.max(axis=1)
    loosest = bores.max(axis=1) - pins.min(axis=1)
    pins = np.sort(pins, axis=1)
    fitting = 0
    for bore_row, pin_row in zip(bores, pins, strict=True):
        # Pins that fit a bore lie between bore - most and bore - least.
        fitting += int(np.searchsorted(pin_row, bore_row - least, side="right").sum())
        fitting -= int(np.searchsorted(pin_row, bore_row - most, side="left").sum())
    return MatingOdds(
        one=fitting / (bores.size * pins.shape[1]),
        every=float(np.mean((tightest >= least) & (loosest <= most))),
        tightest=_middle(tightest),
        loosest=_middle(loosest),
    )


def any_of_measured(
    holes: Sequence[Measured],
    shafts: Sequence[Measured],
    *,
    least: float,
    most: float,
    draws: int = 2000,
    seed: int = 1,
) -> MatingOdds:
    """How measured pieces go together, any hole with any shaft; hands do not count.

    True sizes are drawn about the readings, each with its own doubt. Raises ``ValueError`` for
    limits upside down or an empty list.
    """
    if not holes or not shafts:
        raise ValueError("mating wants one hole and one shaft or more")
    rng = np.random.default_rng(seed)

    def drawn(pieces: Sequence[Measured]) -> Array:
        sizes = np.array([piece.size for piece in pieces])
        u = np.array([piece.u for piece in pieces])
        return sizes + u * rng.standard_normal((draws, len(pieces)))

    return mating_odds(drawn(holes), drawn(shafts), least=least, most=most)


def _chance_within(clearance: Array, u: Array, least: float, most: float) -> Array:
    """Chance that a measured clearance truly lies within limits; certain where u is zero."""
    doubt = np.where(u > 0.0, u, 1.0)
    low: Array = ndtr((least - clearance) / doubt)
    high: Array = ndtr((most - clearance) / doubt)
    inside = ((least <= clearance) & (clearance <= most)).astype(float)
    return np.where(u > 0.0, high - low, inside)


def _of_one_hand(hole: Measured, shaft: Measured) -> bool:
    return "either" in (hole.hand, shaft.hand) or hole.hand == shaft.hand


def _middle(values: Array) -> tuple[float, float, float]:
    low, middle, high = np.quantile(values, [0.05, 0.5, 0.95])
    return float(low), float(middle), float(high)
