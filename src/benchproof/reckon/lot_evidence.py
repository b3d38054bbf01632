"""What the readings of a lot say of it: likelihood, and draws of what they leave open.

Given the spread, the setting's share of it and the wear, a reading less the size the stop stood
for is a sum of normals: what the whole lot has in common (lasting bias, the gauge's zero), the
setting, the error of a moved stop, and the scatter of piece and reading. These are taken out one
after the other in closed form.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_process import Lots, hyperparameters
from benchproof.workshop.standing import Shown

Array: TypeAlias = NDArray[np.float64]

_FLOOR = 1e-12  # of the process unit squared: a gauge, or a setting, may be without doubt


@dataclass(frozen=True)
class LotReading:
    """One piece of the lot as first cut.

    ``size`` [m] as read, ``set_for`` [m] the size the stop stood for, ``setting`` its number and
    ``place`` the pieces cut since its re-set, 0 for the first. ``recut`` [m] is the reading
    after the piece was cut once more, ``None`` when it was not. Raises ``ValueError`` for what is
    no finite size or counted from below 0.
    """

    size: float
    set_for: float
    setting: int = 0
    place: int = 0
    recut: float | None = None

    def __post_init__(self) -> None:
        again = self.size if self.recut is None else self.recut
        if not all(math.isfinite(each) for each in (self.size, self.set_for, again)):
            raise ValueError(f"sizes of a lot are finite: {self.size}, {self.set_for}, {again}")
        if self.setting < 0 or self.place < 0:
            raise ValueError(f"settings and places count from 0: {self.setting}, {self.place}")


def shown_by_lot(readings: Sequence[LotReading], *, unit: float, u: float) -> list[Shown]:
    """What a lot adds to the standing of its process: the first piece of each setting.

    Pieces of one setting share its offset. Counted one by one, a hundred of them would pass the
    luck of one setting off as the lathe's lasting bias, and the scatter within it as the whole
    spread. ``unit`` [m] is the process unit at the part's size, ``u`` [m] the gauge's standard
    uncertainty. The first piece read stands for its setting.
    """
    first: dict[int, LotReading] = {}
    for each in readings:
        held = first.setdefault(each.setting, each)
        if each.place < held.place:
            first[each.setting] = each
    return [Shown((each.size - each.set_for) / unit, u / unit) for each in first.values()]


@dataclass(frozen=True, eq=False)
class Hidden:
    """Lots that agree with the readings.

    ``share`` of the setting (lots,); ``level`` [m] of each piece over what its stop stood for,
    wear left out (readings, lots); ``now`` [m] that of the setting that goes on (lots,).
    """

    lots: Lots
    share: Array
    level: Array
    now: Array


@dataclass(frozen=True, eq=False)
class Evidence:
    """The readings as arrays, in the order given; the last one's setting goes on.

    Pieces cut at one place of the stop form a *block*; the stop may be moved within a setting.
    ``in_block`` (blocks, readings) and ``in_setting`` (settings, blocks) hold ones and zeros;
    ``moved`` [m] is the standard error of the stop in each block.
    """

    plan: LotPlan
    off: Array
    place: Array
    set_for: Array
    recut: Array  # not a number where the piece was not cut again
    in_block: Array
    in_setting: Array
    moved: Array

    @classmethod
    def of(cls, plan: LotPlan, readings: Sequence[LotReading]) -> Evidence:
        """Sort readings into blocks and settings."""
        blocks = list(dict.fromkeys((each.setting, each.set_for) for each in readings))
        settings = list(dict.fromkeys(setting for setting, _ in blocks))
        first = {setting: (setting, stop) for setting, stop in reversed(blocks)}
        set_for = np.array([each.set_for for each in readings])
        return cls(
            plan=plan,
            off=np.array([each.size for each in readings]) - set_for,
            place=np.array([float(each.place) for each in readings]),
            set_for=set_for,
            recut=np.array([math.nan if r.recut is None else r.recut for r in readings]),
            in_block=np.array(
                [[float((r.setting, r.set_for) == block) for r in readings] for block in blocks]
            ),
            in_setting=np.array(
                [[float(block[0] == setting) for block in blocks] for setting in settings]
            ),
            moved=np.array([0.0 if first[b[0]] == b else plan.run.dial for b in blocks]),
        )

    @property
    def accepted(self) -> NDArray[np.bool_]:
        """Whether the last reading of each piece is accepted, (readings,)."""
        lower, upper = self.plan.accept
        last = np.where(np.isfinite(self.recut), self.recut, self.set_for + self.off)
        slack = 1e-9 * self.plan.process.unit  # the sum may lose the last digit of a limit
        return np.asarray((lower - slack <= last) & (last <= upper + slack))

    def log_likelihood(self, scores: Array) -> Array:
        """Log likelihood of all readings at scores (3, draws), up to a constant."""
        given = self._given(scores)
        free = self.off.size - self.moved.size
        misfit: Array = (
            free * np.log(given.scatter)
            + given.within_squares / given.scatter
            + np.sum(np.log(given.block_variance), axis=0)
            + given.block_squares
            - np.sum(np.log(given.noise), axis=0)
            + np.sum(np.log(given.seen), axis=0)
            + np.log(given.spare)
            + np.sum(given.means**2 / given.seen, axis=0)
            - given.common_variance * given.lean**2 / given.spare
        )
        return -0.5 * misfit

    def hidden(self, scores: Array, rng: np.random.Generator) -> Hidden:
        """Draw what is normal given spread, share and wear: bias, zero, settings, stops."""
        given = self._given(scores)
        draws = scores.shape[1]
        variance = given.common_variance
        common = variance * given.lean / given.spare
        common = common + np.sqrt(variance / given.spare) * rng.standard_normal(draws)
        of_zero = np.divide(
            self.plan.gauge.zero**2, variance, out=np.zeros(draws), where=variance > 0.0
        )
        zero = of_zero * common
        zero = zero + self.plan.gauge.zero * np.sqrt(1.0 - of_zero) * rng.standard_normal(draws)
        pulled = given.between / given.seen
        setting = pulled * (given.means - common)
        setting = setting + np.sqrt(pulled * given.noise) * rng.standard_normal(setting.shape)
        # The error of a stop that was moved, from what its block shows beside its setting.
        of_block = self.in_setting.T @ setting
        pulled = self.moved[:, None] ** 2 / given.block_variance
        stop = pulled * (given.block_means - common - of_block)
        stop = stop + self.moved[:, None] * np.sqrt(1.0 - pulled) * rng.standard_normal(stop.shape)
        bias = given.bias + common - zero
        level = bias + of_block + stop
        lots = Lots(
            offset=bias - self.plan.process.known_bias,
            setting=given.spread * np.sqrt(given.share),
            within=given.spread * np.sqrt(1.0 - given.share),
            spread=given.spread,
            wear=given.wear,
            zero=zero,
            repeat=self.plan.gauge.repeat,
        )
        last = int(np.argmax(self.in_block[:, -1]))
        return Hidden(lots, given.share, self.in_block.T @ level, level[last])

    def good_so_far(self, hidden: Hidden, rng: np.random.Generator) -> Array:
        """Number of pieces accepted and truly in limits, (lots,): a reading is not the size."""
        lots, repeat = hidden.lots, self.plan.gauge.repeat
        level = hidden.level + lots.wear * self.place[:, None]
        left = self.off[:, None] - level - lots.zero
        cut = lots.within**2 / np.maximum(lots.within**2 + repeat**2, self._floor)
        own = cut * left + repeat * np.sqrt(cut) * rng.standard_normal(left.shape)
        true = self.set_for[:, None] + level + own
        again = np.isfinite(self.recut)
        reread = self.recut[again][:, None] - lots.zero
        true[again] = reread - repeat * rng.standard_normal(reread.shape)
        limits = self.plan.limits
        inside = (limits.lower <= true) & (true <= limits.upper)
        return np.asarray((inside & self.accepted[:, None]).sum(axis=0), dtype=float)

    @property
    def _floor(self) -> float:
        return _FLOOR * self.plan.process.unit**2

    def _given(self, scores: Array) -> _Given:
        process, gauge = self.plan.process, self.plan.gauge
        spread, share, wear = hyperparameters(process, scores)
        bias, bias_sd = process.standing.bias_given(spread / process.unit)
        bias = bias * process.unit
        count = self.in_block.sum(axis=1)[:, None]
        # Wear enters linearly, so that squares and means by block serve for every draw.
        off, place = (
            self.in_block @ self.off / count[:, 0],
            self.in_block @ self.place / count[:, 0],
        )
        block_means = off[:, None] - wear * place[:, None] - bias
        apart, along = self.off - self.in_block.T @ off, self.place - self.in_block.T @ place
        within_squares = apart @ apart - 2.0 * wear * (apart @ along) + wear**2 * (along @ along)
        scatter = np.maximum(spread**2 * (1.0 - share) + gauge.repeat**2, self._floor)
        block_variance = self.moved[:, None] ** 2 + scatter / count
        weight = self.in_setting @ (1.0 / block_variance)
        means = (self.in_setting @ (block_means / block_variance)) / weight
        between = spread**2 * share
        seen = between + 1.0 / weight
        common_variance = (bias_sd * process.unit) ** 2 + gauge.zero**2
        return _Given(
            spread=spread,
            share=share,
            wear=wear,
            bias=bias,
            scatter=scatter,
            within_squares=np.maximum(within_squares, 0.0),
            block_means=block_means,
            block_variance=block_variance,
            block_squares=np.sum(
                (block_means - self.in_setting.T @ means) ** 2 / block_variance, axis=0
            ),
            means=means,
            noise=1.0 / weight,
            between=between,
            seen=seen,
            common_variance=common_variance,
            spare=1.0 + common_variance * np.sum(1.0 / seen, axis=0),
            lean=np.sum(means / seen, axis=0),
        )


@dataclass(frozen=True, eq=False)
class _Given:
    """What follows from spread, share and wear; the bias's mean is off all means already.

    (draws,) each, blocks or settings in front where there is one for each of them: the mean of a
    setting ``means`` is known within ``noise`` [variance], and spreads by ``seen``.
    """

    spread: Array
    share: Array
    wear: Array
    bias: Array
    scatter: Array
    within_squares: Array
    block_means: Array
    block_variance: Array
    block_squares: Array
    means: Array
    noise: Array
    between: Array
    seen: Array
    common_variance: Array
    spare: Array
    lean: Array
