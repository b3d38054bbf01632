"""One lot simulated: pieces that share a setting, a tool that wears, and the gauge.

Many lots are drawn side by side. Of each lot these are drawn once: the spread of the process and
its lasting bias, as the lathe has shown them; how much of the spread belongs to the setting; the
wear of the tool; the zero error of the gauge. Each setting then has its own offset, shared by all
pieces up to the next re-set, and each piece its own scatter:

    x = aim + bias + b_setting + wear * (pieces since the re-set) + e,
    b ~ N(0, rho c^2),    e ~ N(0, (1 - rho) c^2).

So pieces of a lot go right or wrong together, which is why a plain binomial promises too much.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from benchproof.reckon.lot_given import Gauge, Limits, LotProcess

Array: TypeAlias = NDArray[np.float64]
Truth: TypeAlias = NDArray[np.bool_]


@dataclass(frozen=True)
class Run:
    """How the pieces are run.

    The stop is set for ``aim`` [m, the true size wanted of a first piece], again after every
    ``interval`` pieces. The first ``first_off`` pieces of a setting are read, and the stop moved
    back by ``move`` [0 to 1] of what their mean is off, unless that is less than ``dial`` [m],
    which is how far such a move errs (one standard deviation). ``wear`` [m per piece] is taken
    off what is read.
    """

    interval: int
    first_off: int
    move: float
    dial: float
    wear: float


@dataclass(frozen=True, eq=False)
class Lots:
    """What each lot has of its own, shape (lots,) and [m] each.

    ``offset`` is the lasting bias less what is allowed for it, ``setting`` and ``within`` the
    spreads between and within settings, ``spread`` both together, ``wear`` by piece, ``zero``
    the gauge's zero error; ``repeat`` is the scatter of its readings, one for all lots.
    """

    offset: Array
    setting: Array
    within: Array
    spread: Array
    wear: Array
    zero: Array
    repeat: float


@dataclass(frozen=True, eq=False)
class Noise:
    """Standard normals, shape (rows, lots); ``setting`` and ``dial`` have a row per setting.

    Rows are filled one after the other, so that more blanks leave the first ones as they were.
    """

    within: Array
    read: Array
    recut: Array
    read_again: Array
    setting: Array
    dial: Array


@dataclass(frozen=True, eq=False)
class Started:
    """A setting that is running: pieces since its re-set, and its offset [m] (lots,)."""

    place: int
    offset: Array


def draw_lots(process: LotProcess, gauge: Gauge, *, lots: int, seed: int) -> Lots:
    """Draw what each of ``lots`` lots has of its own, before anything is known of it."""
    scores = np.random.default_rng([seed, 0]).standard_normal((5, lots))
    scores[0] = _evened(lots, seed)
    return lots_at(process, gauge, scores[:3], bias_score=scores[3], zero_score=scores[4])


def lots_at(
    process: LotProcess, gauge: Gauge, scores: Array, *, bias_score: Array, zero_score: Array
) -> Lots:
    """Lots at standard normal scores of spread, setting share and wear (3, lots) and the rest."""
    spread, share, wear = hyperparameters(process, scores)
    bias = process.standing.bias_at(spread / process.unit, bias_score) * process.unit
    return Lots(
        offset=bias - process.known_bias,
        setting=spread * np.sqrt(share),
        within=spread * np.sqrt(1.0 - share),
        spread=spread,
        wear=wear,
        zero=gauge.zero * zero_score,
        repeat=gauge.repeat,
    )


def hyperparameters(process: LotProcess, scores: Array) -> tuple[Array, Array, Array]:
    """Spread [m], share of the setting and wear [m per piece] at scores of shape (3, lots)."""
    spread = process.standing.spread_at(scores[0]) * process.unit
    share = np.clip(process.setting_share.at(scores[1]), 0.0, 1.0)
    return spread, share, process.wear.at(scores[2])


def draw_noise(*, blanks: int, settings: int, lots: int, seed: int, recuts: bool) -> Noise:
    """Normals for ``blanks`` pieces of up to ``settings`` settings, and for ``recuts`` if any."""

    def rows(count: int, kind: int) -> Array:
        return np.random.default_rng([seed, kind]).standard_normal((count, lots))

    return Noise(
        within=rows(blanks, 1),
        read=rows(blanks, 2),
        recut=rows(blanks if recuts else 0, 3),
        read_again=rows(blanks if recuts else 0, 4),
        setting=rows(settings, 5),
        dial=rows(settings, 6),
    )


def first_cuts(
    lots: Lots, noise: Noise, run: Run, *, started: Started | None = None
) -> tuple[Array, Array]:
    """Deviation [m] from the aim of every blank's first cut, and of its reading: (blanks, lots).

    ``started`` is a setting that goes on before the next re-set.
    """
    true = lots.within * noise.within
    misread = lots.zero + lots.repeat * noise.read
    blanks, begin = true.shape[0], 0
    if started is not None:
        begin = min(blanks, max(0, run.interval - started.place))
        place = started.place + np.arange(begin)[:, None]
        true[:begin] += started.offset + lots.wear * place
    for setting, first in enumerate(range(begin, blanks, run.interval)):
        pieces = true[first : first + run.interval]
        place = np.arange(pieces.shape[0])[:, None]
        pieces += lots.offset + lots.setting * noise.setting[setting] + lots.wear * place
        read = run.first_off
        if 0 < read < pieces.shape[0]:
            off = (pieces[:read] + misread[first : first + read]).mean(axis=0)
            off -= run.wear * 0.5 * (read - 1)
            # To move it by less than such a move errs would only add to the scatter.
            move = run.move * off
            pieces[read:] += np.where(
                np.abs(move) > run.dial, run.dial * noise.dial[setting] - move, 0.0
            )
    return true, true + misread


class Outcomes:
    """Which blanks of which lots come out good, at any aim: the cuts do not depend on it.

    A piece read outside the readings to accept, on the side where metal can still come off, is
    cut once more, to the middle of them and with all of the spread of a single piece.
    """

    def __init__(
        self,
        lots: Lots,
        noise: Noise,
        limits: Limits,
        gauge: Gauge,
        cuts: tuple[Array, Array],
    ) -> None:
        true, read = cuts
        self.lots, self.true = lots, true
        lower, upper = gauge.accepts(limits)
        self.lowest_read, self.highest_read = lower - read, upper - read
        self.lowest = np.maximum(limits.lower - true, self.lowest_read)
        self.highest = np.minimum(limits.upper - true, self.highest_read)
        self.correction = limits.correction
        if limits.correction is not None:
            again = 0.5 * (lower + upper) + lots.offset + lots.spread * noise.recut
            reading = again + lots.zero + lots.repeat * noise.read_again
            self.again_size = again
            self.again_accepted: Truth = (lower <= reading) & (reading <= upper)
            self.again: Truth = (
                self.again_accepted & (limits.lower <= again) & (again <= limits.upper)
            )

    def recut(self, aim: float, blanks: int) -> Truth:
        """Whether each of the first blanks is cut once more: (blanks, lots)."""
        if self.correction == "smaller":
            return np.asarray(aim > self.highest_read[:blanks])
        if self.correction == "larger":
            return np.asarray(aim < self.lowest_read[:blanks])
        return np.zeros((blanks, self.lowest.shape[1]), dtype=bool)

    def good(self, aim: float, blanks: int) -> Truth:
        """Whether each of the first blanks is truly in limits and accepted: (blanks, lots)."""
        right: Truth = (self.lowest[:blanks] <= aim) & (aim <= self.highest[:blanks])
        if self.correction is not None:
            right |= self.recut(aim, blanks) & self.again[:blanks]
        return right

    def accepted(self, aim: float, blanks: int) -> Truth:
        """Whether each of the first blanks is accepted in the end, rightly or not."""
        taken: Truth = (self.lowest_read[:blanks] <= aim) & (aim <= self.highest_read[:blanks])
        if self.correction is not None:
            taken |= self.recut(aim, blanks) & self.again_accepted[:blanks]
        return taken

    def sizes(self, aim: float, blanks: int) -> Array:
        """True sizes [m] of the first blanks when all is done: (blanks, lots)."""
        first = aim + self.true[:blanks]
        if self.correction is None:
            return first
        return np.where(self.recut(aim, blanks), self.again_size[:blanks], first)


def blanks_until(good: Truth, wanted: Array | int) -> NDArray[np.int64]:
    """Blanks until as many good ones are out, (lots,); one more than there are where never."""
    enough = np.cumsum(good, axis=0, dtype=np.int32) >= wanted
    never = ~enough[-1]
    first = np.argmax(enough, axis=0) + 1
    first[np.asarray(wanted) <= np.zeros(first.shape)] = 0
    return np.asarray(np.where(never, good.shape[0] + 1, first), dtype=np.int64)


def _evened(lots: int, seed: int) -> Array:
    """Scores of the spread, one from each of equally likely classes: it matters most."""
    rng = np.random.default_rng([seed, 7])
    evened: Array = ndtri((rng.permutation(lots) + rng.random(lots)) / lots)
    return evened
