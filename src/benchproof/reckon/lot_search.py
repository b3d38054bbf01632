"""The least number of blanks, the aim and the re-set interval that ask for it.

Every aim and interval is tried with the same draws. The cuts of a lot do not depend on its aim,
so that an aim costs a comparison and no new simulation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.special import bdtrc, ndtri

from benchproof.reckon.lot_given import Gauge, Limits, LotProcess
from benchproof.reckon.lot_process import (
    Outcomes,
    Run,
    blanks_until,
    draw_lots,
    draw_noise,
    first_cuts,
)

Array: TypeAlias = NDArray[np.float64]
Counts: TypeAlias = NDArray[np.int64]

RESET_COST = 0.5
"""What a re-set weighs against a blank: a judgement."""

SIMULATED = 2048
_SCOUTS = 512  # lots that compare re-set intervals
_INTERVALS = (50, 30, 20, 15, 10, 8, 5)
_LAST_HOPE = 10
_MOST_AIMS = 64
_SCOUTED_AIMS = 16
_MOST_BLANKS = 4.0  # times the good ones wanted
_FIRST_TRY = 1.2
_WEAR_SCORES: Array = ndtri((np.arange(400) + 0.5) / 400.0)


@dataclass(frozen=True, eq=False)
class Found:
    """The best aim [m] of one way to run; blanks ``until`` enough good ones, by lot."""

    run: Run
    aim: float
    blanks: int
    until: Counts
    outcomes: Outcomes


@dataclass(frozen=True)
class LotSearch:
    """One lot to plan; see :func:`benchproof.reckon.lots.plan_lot` for what its fields mean."""

    limits: Limits
    wanted: int
    process: LotProcess
    gauge: Gauge
    chance: float
    first_off: int
    dial: float
    seed: int
    lots: int = SIMULATED

    @property
    def most(self) -> int:
        """Most blanks that are tried."""
        return math.ceil(_MOST_BLANKS * self.wanted) + 20

    @property
    def _guess(self) -> int:
        return math.ceil(_FIRST_TRY * self.wanted) + 10

    def run(self, interval: int) -> Run:
        """How the pieces run with so many between re-sets, with the best share to move back."""
        first_off = min(self.first_off, interval - 1)
        return Run(
            interval=interval,
            first_off=first_off,
            move=self.first_reading(first_off)[0],
            dial=self.dial,
            wear=float(np.mean(self.process.wear.at(_WEAR_SCORES))),
        )

    def first_reading(self, pieces: int) -> tuple[float, float]:
        """Best share to move back, and the usual deviation [m] of the first pieces' mean.

        The share is the regression of the setting's offset on the mean of the readings.
        """
        drawn = draw_lots(self.process, self.gauge, lots=_SCOUTS, seed=self.seed)
        offset = float(np.mean(drawn.offset**2 + drawn.setting**2))
        scatter = float(np.mean(drawn.within**2)) + drawn.repeat**2
        wear = float(np.var(drawn.wear)) * (0.5 * (pieces - 1)) ** 2
        seen = offset + self.gauge.zero**2 + wear + scatter / max(pieces, 1)
        return offset / seen, math.sqrt(seen)

    def best_interval(self, aim: float | None) -> int:
        """Pieces between re-sets that cost least, blanks and re-sets weighed.

        All of the lot at one setting is tried first, and kept unless another is better.
        """
        best, least = 0, math.inf
        for interval in (self._guess, *(each for each in _INTERVALS if each < self._guess)):
            found = self._search(
                self.run(interval), aim, lots=_SCOUTS, most_aims=_SCOUTED_AIMS, most=self._guess
            )
            if found is None:
                continue
            cost = found.blanks + RESET_COST * (math.ceil(found.blanks / interval) - 1)
            if cost < least:
                best, least = interval, cost
        return best or min(_LAST_HOPE, self._guess)

    def search(self, run: Run, aim: float | None) -> Found | None:
        """Best aim and least blanks; ``None`` when no number of blanks tried is enough."""
        return self._search(run, aim, lots=self.lots, most_aims=_MOST_AIMS, most=self.most)

    def _search(
        self, run: Run, aim: float | None, *, lots: int, most_aims: int, most: int
    ) -> Found | None:
        drawn = draw_lots(self.process, self.gauge, lots=lots, seed=self.seed)
        aims = [aim] if aim is not None else self._aims(most_aims)
        blanks = self._guess
        while True:
            noise = draw_noise(
                blanks=blanks,
                settings=math.ceil(blanks / run.interval),
                lots=lots,
                seed=self.seed,
                recuts=self.limits.correction is not None,
            )
            cuts = first_cuts(drawn, noise, run)
            outcomes = Outcomes(drawn, noise, self.limits, self.gauge, cuts)
            best = _best_aim(outcomes, aims, self.wanted, self.chance, blanks)
            if best is not None:
                return Found(run, best[0], least_blanks(best[1], self.chance), best[1], outcomes)
            if blanks >= most:
                return None
            blanks = min(most, 2 * blanks)

    def _aims(self, most: int) -> list[float]:
        """Aims on a round lattice that does not move with the limits, from the middle outwards.

        With wider limits all aims of the narrower ones are tried again.
        """
        low, high = self.gauge.accepts(self.limits)
        middle = 0.5 * (low + high)
        step = _round_down(0.25 * self.process.typical_spread)
        while (high - low) / step > most:
            step *= 2.0
        first, last = math.ceil(low / step), math.floor(high / step)
        aims = [step * place for place in range(first, last + 1)] or [middle]
        return sorted(aims, key=lambda each: abs(each - middle))


def least_blanks(until: Counts, chance: float) -> int:
    """Least number of blanks that is enough in as large a share of lots as ``chance``."""
    place = max(math.ceil(chance * until.size - 1e-9), 1) - 1
    return int(np.partition(until, place)[place])


def binomial_blanks(*, wanted: int, share_good: float, chance: float) -> int:
    """Least blanks for ``wanted`` good ones were pieces independent, each good with a share.

    Raises ``ValueError`` unless ``wanted`` is one or more, ``share_good`` lies above 0 and up to
    1, and ``chance`` between 0 and 1.
    """
    if wanted < 1 or not 0.0 < share_good <= 1.0 or not 0.0 < chance < 1.0:
        raise ValueError(
            "one good piece or more, a share above 0 and up to 1 and a chance between 0 and 1 "
            f"are asked for, not {wanted}, {share_good} and {chance}"
        )
    low, high = wanted - 1, wanted
    while bdtrc(wanted - 1, high, share_good) < chance:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        if bdtrc(wanted - 1, middle, share_good) >= chance:
            high = middle
        else:
            low = middle
    return high


def _best_aim(
    outcomes: Outcomes, aims: list[float], wanted: int, chance: float, blanks: int
) -> tuple[float, Counts] | None:
    """Aim that asks fewest blanks; among equals the one that succeeds most often with them."""
    best: tuple[float, Counts] | None = None
    reached = 0.0
    for aim in aims:
        good = outcomes.good(aim, blanks)
        share = float(np.mean(np.sum(good, axis=0, dtype=np.int32) >= wanted))
        if share < chance or (best is not None and share <= reached):
            continue
        until = blanks_until(good, wanted)
        blanks = least_blanks(until, chance)
        best, reached = (aim, until), float(np.mean(until <= blanks))
        if blanks == wanted and reached == 1.0:
            break
    return best


def _round_down(step: float) -> float:
    """The next of 1, 2 or 5 times a power of ten below a step."""
    power = 10.0 ** math.floor(math.log10(step))
    return max(each * power for each in (1.0, 2.0, 5.0) if each * power <= step * (1.0 + 1e-9))
