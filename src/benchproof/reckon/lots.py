"""How many blanks for the good ones wanted, and how to run them: a lot planned by simulation.

A *good* piece is truly within its limits and accepted by the gauge. The plan asks for the least
number of blanks with which enough good ones come out in as many lots as wanted, at the best aim
and at the re-set interval that costs least. How a lot is simulated is told in
:mod:`benchproof.reckon.lot_process`, how a lot half made is judged in
:mod:`benchproof.reckon.lot_progress`.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from benchproof.features import Removal
from benchproof.quantities import System
from benchproof.reckon.lot_given import Gauge, Limits, LotProcess
from benchproof.reckon.lot_plan import FirstOff, LotPlan
from benchproof.reckon.lot_process import Array
from benchproof.reckon.lot_search import SIMULATED, Found, LotSearch, binomial_blanks
from benchproof.reckon.lot_words import assumed_in, steps_of
from benchproof.workshop.run_chart import NeedLimits, limits_from_need

CHANCE = 0.95
FIRST_OFF = 2
DIAL = 2e-6
"""How far a small move of the stop errs, one standard deviation [m]: a judgement."""

LARGEST = 500
"""Most good ones planned at once; fittings are made 50 to 100 at a time (common practice)."""

# Share of a run outside acceptance at which the chart should stop it, and the chance that it does
# not: the second pair where a wide scatter leaves no room for the first (judgements).
_CHARTS = ((0.02, 0.05), (0.05, 0.25))
_CHECK_EVERY = 10  # pieces at most between readings for the chart (common practice)
_WEAR_BETWEEN = 0.5  # most that wear may add between them, over the scatter (judgement)


class LotBeyondReachError(ValueError):
    """Not even several times as many blanks give enough good ones as often as wanted."""


def plan_lot(
    *,
    lower: float,
    upper: float,
    wanted: int,
    process: LotProcess,
    gauge: Gauge | None = None,
    correction: Removal | None = None,
    chance: float = CHANCE,
    interval: int | None = None,
    aim: float | None = None,
    first_off: int = FIRST_OFF,
    dial: float = DIAL,
    system: System = "metric",
    lots: int = SIMULATED,
    seed: int = 1,
) -> LotPlan:
    """Plan a lot of ``wanted`` good pieces, 1 to 500.

    ``lower`` and ``upper`` [m] limit the feature's true size. ``correction`` says that a piece
    outside can still be made "smaller" or "larger", once. ``chance`` [0 to 1] is that of enough
    good ones. ``interval`` is the number of pieces between re-sets and ``aim`` [m] the true
    size wanted of a first piece; the best are found where they are left out. ``first_off``
    pieces of each setting are read before the stop is moved (0: it is not moved), which errs by
    ``dial`` [m, one standard deviation] and is left alone where it would be moved by less.
    ``system`` is that of the words, and ``lots`` says how many lots are simulated.

    Raises ``ValueError`` for what cannot be, ``CannotProve`` when the gauge leaves no reading to
    accept, ``LotBeyondReachError`` when no reasonable number of blanks is enough.
    """
    gauge = Gauge() if gauge is None else gauge
    limits = Limits(lower, upper, correction)
    _check(wanted, chance, interval, first_off, dial)
    accept = gauge.accepts(limits)
    if aim is not None and not accept[0] <= aim <= accept[1]:
        raise ValueError(f"the aim {aim} lies outside the readings to accept, {accept}")
    search = LotSearch(limits, wanted, process, gauge, chance, first_off, dial, seed, lots)
    found = search.search(search.run(interval or search.best_interval(aim)), aim)
    if found is None:
        raise LotBeyondReachError(
            f"even {search.most} blanks do not give {wanted} good ones in "
            f"{100.0 * chance:.0f} of 100 lots: widen the limits, hold the size more closely, use "
            "a finer gauge, or re-set more often"
        )
    plan = _plan(search, found)
    return replace(plan, assumed=assumed_in(plan, system), steps=steps_of(plan, system))


def _plan(search: LotSearch, found: Found) -> LotPlan:
    run, blanks, outcomes = found.run, found.blanks, found.outcomes
    good = outcomes.good(found.aim, blanks)
    accepted = outcomes.accepted(found.aim, blanks)
    drawn, lots = outcomes.lowest.shape
    until = np.bincount(found.until, minlength=drawn + 2)
    within = math.hypot(float(np.sqrt(np.mean(outcomes.lots.within**2))), search.gauge.repeat)
    share_good = float(good.mean())
    first_off = None
    if run.first_off:
        expected = found.aim + 0.5 * run.wear * (run.first_off - 1)
        usual = search.first_reading(run.first_off)[1]
        first_off = FirstOff(run.first_off, expected, run.move, run.dial, usual)
    return LotPlan(
        limits=search.limits,
        process=search.process,
        gauge=search.gauge,
        wanted=search.wanted,
        chance=search.chance,
        blanks=blanks,
        reached=float(np.mean(found.until <= blanks)),
        binomial=binomial_blanks(wanted=search.wanted, share_good=share_good, chance=search.chance),
        share_good=share_good,
        aim=found.aim,
        set_for=found.aim - search.process.known_bias,
        accept=search.gauge.accepts(search.limits),
        interval=min(run.interval, blanks),
        wear=run.wear,
        first_off=first_off,
        measure_every=_measure_every(run.interval, within, outcomes.lots.wear),
        chart=_chart(search, within, max(run.first_off, 1)),
        recuts=float(outcomes.recut(found.aim, blanks).sum()) / lots,
        scrap=blanks - float(accepted.sum()) / lots,
        escapes=float((accepted & ~good).sum()) / lots,
        chance_by_blanks=(np.cumsum(until) / lots)[: drawn + 1],
        run=run,
        seed=search.seed,
        lots=lots,
    )


def _chart(search: LotSearch, within: float, pieces: int) -> NeedLimits:
    lower, upper = search.gauge.accepts(search.limits)
    charts = [
        limits_from_need(
            lower=lower,
            upper=upper,
            spread=within,
            count=pieces,
            share_out=share_out,
            missed=missed,
        )
        for share_out, missed in _CHARTS
    ]
    return next((chart for chart in charts if chart.useful), charts[-1])


def _measure_every(interval: int, within: float, wear: Array) -> int:
    """Pieces between readings for the chart: wear must not outrun the scatter in between."""
    fastest = float(np.quantile(np.abs(wear), 0.95))
    most = min(_CHECK_EVERY, interval)
    if fastest * most <= _WEAR_BETWEEN * within:
        return most
    return max(1, math.floor(_WEAR_BETWEEN * within / fastest))


def _check(wanted: int, chance: float, interval: int | None, first_off: int, dial: float) -> None:
    if not 1 <= wanted <= LARGEST:
        raise ValueError(f"a lot has 1 to {LARGEST} good pieces, not {wanted}")
    if not 0.0 < chance < 1.0:
        raise ValueError(f"a chance lies between 0 and 1, not {chance}")
    if interval is not None and interval < 1:
        raise ValueError(f"there is one piece or more between re-sets, not {interval}")
    if first_off < 0 or not (math.isfinite(dial) and dial >= 0.0):
        raise ValueError(f"first pieces and the dial's error are zero or more: {first_off}, {dial}")
