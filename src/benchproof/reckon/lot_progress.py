"""A lot half done: what its readings say, and how many more blanks it needs.

To count good and bad ones and take the rest for a like draw would be wrong, because pieces of a
setting stand or fall together. So the lot is simulated again, but only such lots as could have
given these readings: spread, share of the setting and wear are drawn and weighed by the readings
(adaptive importance sampling); given those, what is left is normal and is drawn exactly.

Source: O. Cappé, A. Guillin, J.-M. Marin and C. P. Robert, Population Monte Carlo, Journal of
Computational and Graphical Statistics 13 (2004), from memory, for the sampling.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.reckon.lot_evidence import Evidence, Hidden, LotReading
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_process import Outcomes, Started, blanks_until, draw_noise, first_cuts
from benchproof.reckon.lot_search import least_blanks

__all__ = ["LotReading", "LotSoFar", "lot_so_far"]

Array: TypeAlias = NDArray[np.float64]

_DRAWS = 4096
_ROUNDS = 3
_WIDER = 1.5  # in standard deviations: a proposal must not be narrower than its target
_FROM_PRIOR = 0.1  # share of each later round that is still drawn from the prior
_MOST_BLANKS = 4.0  # times the good ones wanted
_ROUGH_UNDER = 100.0


@dataclass(frozen=True)
class LotSoFar:
    """What the readings of a lot say.

    Of ``made`` pieces ``accepted`` read so that they are accepted, and ``good`` are expected to
    be truly good too. ``more`` blanks reach the number wanted with the chance planned, ``None``
    when no reasonable number does; ``chance`` [0 to 1] is what the ``left`` blanks of the plan
    give. ``spread`` [m], ``setting_share`` [0 to 1] and ``wear`` [m per piece] are (5 %, median,
    95 %) as the readings leave them. ``offset`` [m] is how far a first piece of the present
    setting lies over the size the stop stands for, known within ``offset_sd``. ``effective`` is
    how many independent draws the answer is worth.
    """

    made: int
    accepted: int
    good: float
    more: int | None
    left: int
    chance: float
    spread: tuple[float, float, float]
    setting_share: tuple[float, float, float]
    wear: tuple[float, float, float]
    offset: float
    offset_sd: float
    effective: float

    @property
    def rough(self) -> bool:
        """Whether too few draws agree with the readings: they contradict what was believed."""
        return self.effective < _ROUGH_UNDER


def lot_so_far(plan: LotPlan, readings: Sequence[LotReading]) -> LotSoFar:
    """How a lot stands after ``readings``, in the order they were made, and what it still needs.

    All pieces made so far must be among them, scrapped ones too. The last one's setting goes on
    until the plan's re-set. Raises ``ValueError`` when there is no reading yet.
    """
    if not readings:
        raise ValueError("there is no reading yet: the plan itself says what to expect")
    evidence = Evidence.of(plan, readings)
    rng = np.random.default_rng([plan.seed, 11])
    scores, effective = _weighed(evidence, rng, plan.lots)
    hidden = evidence.hidden(scores, rng)
    good = evidence.good_so_far(hidden, rng)
    left = max(0, plan.blanks - len(readings))
    more, chance = _future(plan, readings[-1], hidden, plan.wanted - good, left)
    return LotSoFar(
        made=len(readings),
        accepted=int(evidence.accepted.sum()),
        good=float(good.mean()),
        more=more,
        left=left,
        chance=chance,
        spread=_middle(hidden.lots.spread),
        setting_share=_middle(hidden.share),
        wear=_middle(hidden.lots.wear),
        offset=float(hidden.now.mean()),
        offset_sd=float(hidden.now.std()),
        effective=effective,
    )


def _weighed(evidence: Evidence, rng: np.random.Generator, lots: int) -> tuple[Array, float]:
    """Scores (3, lots) that agree with the readings, and how many draws they are worth."""
    scores = rng.standard_normal((3, _DRAWS))
    log_weight = evidence.log_likelihood(scores)
    for _ in range(_ROUNDS):
        weight = _normed(log_weight)
        mean = scores @ weight
        apart = scores - mean[:, None]
        root = np.linalg.cholesky(_WIDER**2 * (apart * weight) @ apart.T + 1e-4 * np.eye(3))
        fresh = rng.standard_normal((3, _DRAWS))
        from_prior = rng.random(_DRAWS) < _FROM_PRIOR
        scores = np.where(from_prior, fresh, mean[:, None] + root @ fresh)
        inner = np.linalg.solve(root, scores - mean[:, None])
        log_prior = -0.5 * np.sum(scores**2, axis=0)
        log_fitted = -0.5 * np.sum(inner**2, axis=0) - float(np.log(np.diag(root)).sum())
        log_proposed = np.logaddexp(
            math.log(_FROM_PRIOR) + log_prior, math.log1p(-_FROM_PRIOR) + log_fitted
        )
        log_weight = evidence.log_likelihood(scores) + log_prior - log_proposed
    weight = _normed(log_weight)
    places = (np.arange(lots) + rng.random()) / lots
    chosen = np.minimum(np.searchsorted(np.cumsum(weight), places), _DRAWS - 1)
    return scores[:, chosen], float(1.0 / np.sum(weight**2))


def _normed(log_weight: Array) -> Array:
    weight = np.exp(log_weight - np.max(log_weight))
    return np.asarray(weight / weight.sum())


def _future(
    plan: LotPlan, last: LotReading, hidden: Hidden, wanted: Array, left: int
) -> tuple[int | None, float]:
    """Blanks still needed, and the chance that those left of the plan are enough."""
    # Cuts are counted from the plan's aim, levels from where the stop stands now.
    started = Started(last.place + 1, hidden.now + last.set_for - plan.aim)
    most = math.ceil(_MOST_BLANKS * plan.wanted) + 20
    blanks = max(left, math.ceil(1.2 * float(np.max(wanted))) + 10, 1)
    while True:
        noise = draw_noise(
            blanks=blanks,
            settings=math.ceil(blanks / plan.run.interval),
            lots=hidden.now.size,
            seed=plan.seed + 1,
            recuts=plan.limits.correction is not None,
        )
        cuts = first_cuts(hidden.lots, noise, plan.run, started=started)
        outcomes = Outcomes(hidden.lots, noise, plan.limits, plan.gauge, cuts)
        until = blanks_until(outcomes.good(plan.aim, blanks), wanted)
        more = least_blanks(until, plan.chance)
        if more <= blanks or blanks >= most:
            return (more if more <= blanks else None), float(np.mean(until <= left))
        blanks = min(most, 2 * blanks)


def _middle(values: Array) -> tuple[float, float, float]:
    low, middle, high = np.quantile(values, [0.05, 0.5, 0.95])
    return float(low), float(middle), float(high)
