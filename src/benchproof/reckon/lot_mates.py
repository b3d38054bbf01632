"""Two lots whose pieces must fit any of each other: the odds before either is made."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_process import Outcomes, draw_lots, draw_noise, first_cuts
from benchproof.reckon.pairing import MatingOdds, mating_odds

Array: TypeAlias = NDArray[np.float64]

_MORE = 1.5  # blanks drawn over those planned, so that hardly a lot falls short


def accepted_sizes(plan: LotPlan, *, lots: int = 1024, seed: int | None = None) -> Array:
    """True sizes [m] of the pieces accepted, the wanted number of each lot: (lots, wanted).

    Lots that do not come to so many with half as many blanks again are left out, so that there
    may be fewer rows than ``lots``.
    """
    seed = plan.seed if seed is None else seed
    blanks = math.ceil(_MORE * plan.blanks)
    drawn = draw_lots(plan.process, plan.gauge, lots=lots, seed=seed)
    noise = draw_noise(
        blanks=blanks,
        settings=math.ceil(blanks / plan.run.interval),
        lots=lots,
        seed=seed,
        recuts=plan.limits.correction is not None,
    )
    cuts = first_cuts(drawn, noise, plan.run)
    outcomes = Outcomes(drawn, noise, plan.limits, plan.gauge, cuts)
    accepted = outcomes.accepted(plan.aim, blanks)
    enough = accepted.sum(axis=0) >= plan.wanted
    first = np.argsort(~accepted, axis=0, kind="stable")[: plan.wanted]
    sizes = np.take_along_axis(outcomes.sizes(plan.aim, blanks), first, axis=0)
    return np.ascontiguousarray(sizes[:, enough].T)


def any_with_any(
    holes: LotPlan, shafts: LotPlan, *, least: float, most: float, lots: int = 1024
) -> MatingOdds:
    """Odds that any piece of one planned lot goes with any of another.

    The clearance, hole less shaft, is to lie in [least, most] [m]. Raises ``ValueError`` for
    limits upside down.
    """
    bores = accepted_sizes(holes, lots=lots)
    # Other draws than those of the holes, or both lots would be off the same way.
    pins = accepted_sizes(replace(shafts, seed=shafts.seed + 7919), lots=lots)
    rows = min(len(bores), len(pins))
    return mating_odds(bores[:rows], pins[:rows], least=least, most=most)
