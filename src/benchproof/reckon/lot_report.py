"""How a lot half done stands, piece by piece: decisions, run chart, capability, what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from benchproof.quantities import LENGTH, System, show
from benchproof.reckon.lot_by_spec import stop_of
from benchproof.reckon.lot_entries import LotPiece, lot_readings
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_progress import LotSoFar, lot_so_far
from benchproof.workshop.capability import Capability, capability
from benchproof.workshop.guard_band import Decision, decide
from benchproof.workshop.run_chart import ChartLimits, chart_of_individuals, signals

_LEAST_FOR_CHART = 6  # single readings; from fewer the scatter is hardly known (judgement)


@dataclass(frozen=True)
class Decided:
    """One piece and what to do with it; ``cut_again`` where metal can still come off."""

    number: int
    reading: float
    decision: Decision
    cut_again: bool


@dataclass(frozen=True)
class Signals:
    """What the run chart says: numbers of pieces, and words on the present setting.

    At ``reset`` the part's need asked for a re-set; at ``changed`` a reading lay outside the
    limits of its setting's own scatter. ``present`` are the limits of the present setting's own
    scatter, ``None`` while too few are read. ``runs`` tell of shifts and drifts in it.
    """

    reset: tuple[int, ...]
    changed: tuple[int, ...]
    present: ChartLimits | None
    runs: tuple[str, ...]


@dataclass(frozen=True)
class LotReport:
    """A lot half done.

    ``missing`` are numbers below the last one that no reading is held of. ``since_reset`` pieces
    were cut at the present setting. ``off`` [m] is how far it runs over the plan's aim, wear left
    out. ``capability`` is ``None`` while it cannot be told.
    """

    plan: LotPlan
    so_far: LotSoFar
    decided: tuple[Decided, ...]
    signals: Signals
    capability: Capability | None
    missing: tuple[int, ...]
    settings: int
    since_reset: int
    off: float

    @property
    def done(self) -> bool:
        """Whether as many pieces are accepted as are wanted."""
        return self.so_far.accepted >= self.plan.wanted

    @property
    def reset_due(self) -> bool:
        """Whether the plan asks for a re-set before the next piece."""
        return self.since_reset >= self.plan.interval

    @property
    def move(self) -> float:
        """By how much to move the stop [m]; zero where moving it would only add scatter."""
        if self.reset_due or abs(self.off) <= self.plan.run.dial:
            return 0.0
        return -self.off


def lot_report(plan: LotPlan, pieces: Sequence[LotPiece]) -> LotReport:
    """How a lot stands after the pieces read so far; ``ValueError`` when there is none."""
    ordered = sorted(pieces, key=lambda piece: piece.number)
    readings = lot_readings(ordered)
    so_far = lot_so_far(plan, readings)
    last, numbers = ordered[-1], {piece.number for piece in ordered}
    missing = [n for n in range(ordered[0].number, last.number) if n not in numbers]
    return LotReport(
        plan=plan,
        so_far=so_far,
        decided=tuple(_decided(plan, piece) for piece in ordered),
        signals=_signals(plan, ordered),
        capability=_capability(plan, ordered),
        missing=tuple(missing[:1000]),
        settings=len({piece.setting for piece in ordered}),
        since_reset=readings[-1].place + 1,
        off=last.set_for + so_far.offset - plan.aim,
    )


def do_next(report: LotReport, system: System = "metric") -> str:
    """What to do next with a lot, in words."""
    plan, so_far = report.plan, report.so_far
    again = [each.number for each in report.decided if each.cut_again]
    save = ""
    if again:
        save = f"; read {numbers_told(again)} again, and cut once more what still reads outside"
    if so_far.accepted >= plan.wanted:
        told = f"enough are made: {so_far.accepted} of {plan.wanted} wanted are accepted"
        if not so_far.more:
            return told
        return (
            f"{told}; {so_far.more} more would leave enough of them truly in limits "
            f"{100.0 * plan.chance:.0f} times in 100"
        )
    if so_far.more is None:
        return (
            "no reasonable number of blanks is enough as this goes on: look for the reason, or "
            f"widen the limits{save}"
        )
    blanks = f"{so_far.more} more blank" + ("" if so_far.more == 1 else "s")
    wanted = plan.wanted - so_far.accepted
    told = f"cut {blanks} for {wanted} more good " + ("one" if wanted == 1 else "ones")
    if report.reset_due:
        stop = show(stop_of(plan), LENGTH, unit=_unit(system), digits=_digits(system))
        return f"{told}; first set the stop afresh, for {stop}{save}"
    if report.move:
        small = show(abs(report.move), LENGTH, system=system)
        return f"{told}; first move the stop {small} {_way(report.move)}{save}"
    return told + save


def numbers_told(numbers: Sequence[int]) -> str:
    """Numbers of pieces, neighbours drawn together: ``1 to 4, 7``."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    told = [
        f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(str(number) for number in run)
        for run in runs
    ]
    return ", ".join(told)


def _way(move: float) -> str:
    return "larger" if move > 0.0 else "smaller"


def _unit(system: System) -> str:
    return "mm" if system == "metric" else "in"


def _digits(system: System) -> int:
    return LENGTH.named(_unit(system)).decimals


def _decided(plan: LotPlan, piece: LotPiece) -> Decided:
    limits, gauge = plan.limits, plan.gauge
    decision = decide(
        piece.last, lower=limits.lower, upper=limits.upper, u=gauge.u, factor=gauge.guard
    )
    over = piece.last > plan.accept[1] if limits.correction == "smaller" else False
    under = piece.last < plan.accept[0] if limits.correction == "larger" else False
    return Decided(piece.number, piece.last, decision, piece.again is None and (over or under))


def _signals(plan: LotPlan, ordered: Sequence[LotPiece]) -> Signals:
    reset: list[int] = []
    changed: list[int] = []
    present: ChartLimits | None = None
    runs: list[str] = []
    by_setting: dict[int, list[LotPiece]] = {}
    for piece in ordered:
        by_setting.setdefault(piece.setting, []).append(piece)
    for setting, pieces in by_setting.items():
        values = np.array([piece.value for piece in pieces])
        # Of fewer pieces than a mean is taken over there is no mean yet.
        if plan.chart.useful and len(pieces) >= plan.chart.count:
            count = plan.chart.count
            means = np.convolve(values, np.full(count, 1.0 / count), mode="valid")
            out = ChartLimits(plan.aim, plan.chart.lower, plan.chart.upper).outside(means)
            reset += [pieces[place + count - 1].number for place in out]
        now = setting == ordered[-1].setting
        if len(pieces) >= _LEAST_FOR_CHART:
            chart = chart_of_individuals(values)
            changed += [pieces[place].number for place in chart.changed]
            present = chart.means if now else present
            runs += signals(values, centre=chart.means.centre) if now else []
    return Signals(tuple(sorted(reset)), tuple(sorted(changed)), present, tuple(runs))


def _capability(plan: LotPlan, ordered: Sequence[LotPiece]) -> Capability | None:
    values = np.array([piece.value for piece in ordered])
    # A gauge that reads in steps may show no scatter at all: nothing can be told from that.
    if values.size < 2 or float(np.ptp(values)) < 1e-9:
        return None
    return capability(values, lower=plan.limits.lower, upper=plan.limits.upper)
