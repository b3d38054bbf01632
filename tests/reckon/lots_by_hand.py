"""Lots made one piece after the other in plain Python: a second program beside the planner's.

Nothing is taken from the planner but the orders a builder would follow: where to set the stop,
how many to read, what share to move back, when to re-set, what to accept.
"""

from __future__ import annotations

import bisect
import math
import random
from dataclasses import dataclass, field
from itertools import accumulate

from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_progress import LotReading
from benchproof.workshop.standing import Standing


@dataclass(frozen=True)
class Shop:
    """What is believed of an invented lathe and gauge, stated apart from the planner's classes."""

    standing: Standing
    unit: float
    share: tuple[float, float]
    wear: tuple[float, float]  # median and factor; zero median for none
    u: float
    zero_share: float = 0.5
    dial: float = 2e-6


@dataclass
class Lot:
    """One lot with a truth of its own."""

    shop: Shop
    chance: random.Random
    readings: list[LotReading] = field(default_factory=list)
    good: list[bool] = field(default_factory=list)

    def __post_init__(self) -> None:
        shop, chance, standing = self.shop, self.chance, self.shop.standing
        place = bisect.bisect(list(accumulate(standing.probability)), chance.random())
        place = min(place, len(standing.spread_grid) - 1)
        bias = chance.gauss(standing.bias_mean[place], standing.bias_sd[place])
        share = chance.uniform(*shop.share)
        self.spread = standing.spread_grid[place] * shop.unit
        self.bias = bias * shop.unit
        self.between = self.spread * math.sqrt(share)
        self.within = self.spread * math.sqrt(1.0 - share)
        self.wear = shop.wear[0] * math.exp(math.log(shop.wear[1]) * chance.gauss(0.0, 1.0))
        self.zero = shop.u * math.sqrt(shop.zero_share) * chance.gauss(0.0, 1.0)

    def read(self, size: float) -> float:
        repeat = self.shop.u * math.sqrt(1.0 - self.shop.zero_share)
        return size + self.zero + repeat * self.chance.gauss(0.0, 1.0)

    def make(self, plan: LotPlan, blanks: int) -> None:
        """Follow the plan for so many blanks more than are made."""
        first = plan.first_off
        for made in range(len(self.good), len(self.good) + blanks):
            place = made % plan.run.interval
            if place == 0:
                self.stop = plan.set_for
                self.offset = self.between * self.chance.gauss(0.0, 1.0)
                self.moved = 0.0
                self.seen: list[float] = []
            elif first is not None and place == first.pieces:
                off = sum(self.seen) / len(self.seen) - first.expected
                if abs(first.move * off) > self.shop.dial:
                    self.stop -= first.move * off
                    self.moved = self.shop.dial * self.chance.gauss(0.0, 1.0)
            level = self.stop + self.bias + self.offset + self.moved + self.wear * place
            size = level + self.within * self.chance.gauss(0.0, 1.0)
            reading = self.read(size)
            self.seen.append(reading)
            again = None
            low, high = plan.accept
            over = plan.limits.correction == "smaller" and reading > high
            under = plan.limits.correction == "larger" and reading < low
            last = reading
            if over or under:
                middle = 0.5 * (low + high) - plan.process.known_bias
                size = middle + self.bias + self.spread * self.chance.gauss(0.0, 1.0)
                last = again = self.read(size)
            self.readings.append(
                LotReading(reading, self.stop, made // plan.run.interval, place, again)
            )
            self.good.append(low <= last <= high and plan.limits.lower <= size <= plan.limits.upper)

    def blanks_for(self, wanted: int) -> int:
        """Blanks until so many good ones were out; one more than were made where never."""
        counts = list(accumulate(map(int, self.good)))
        return bisect.bisect_left(counts, wanted) + 1
