"""A lot planned from what its builder states, on the lathe as its parts have shown it."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import cast

from benchproof.features import PROCESSES, Removal
from benchproof.instruments import Instrument
from benchproof.quantities import LENGTH, System, show
from benchproof.reckon.lot_given import Gauge, LotProcess
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lots import LotBeyondReachError, plan_lot
from benchproof.specs import Problem, SpecError
from benchproof.workshop.guard_band import CannotProve
from benchproof.workshop.lathe import Lathe
from benchproof.workshop.lot_spec import LotSpec
from benchproof.workshop.standing import Standing
from benchproof.workshop.usual_gauges import usual_gauge

STOP_STEP = 1e-6
"""The stop is set to whole micrometres [m]: what is told is what is set."""


class NoLotPlanError(ValueError):
    """The lot as stated cannot be had; the text says why and what to change."""


def plan_by_spec(spec: LotSpec, lathe: Lathe, *, system: System = "metric") -> LotPlan:
    """Plan a lot on a lathe.

    Raises ``SpecError`` for an unknown instrument or an aim outside what is accepted,
    ``NoLotPlanError`` when no number of blanks is enough or the gauge cannot prove the size.
    """
    return plan_on(spec, lathe.standings[spec.process], lathe.instruments, system=system)


def plan_on(
    spec: LotSpec,
    standing: Standing,
    instruments: Mapping[str, Instrument],
    *,
    system: System = "metric",
) -> LotPlan:
    """Plan a lot by the standing of its process; else as :func:`plan_by_spec`."""
    lower, upper = spec.limits
    gauge = Gauge(gauge_u(spec, instruments), spec.zero_share, spec.guard)
    process = LotProcess(
        standing,
        PROCESSES[spec.process].unit_at(spec.middle),
        setting_share=spec.setting_share,
        wear=spec.wear,
    )
    try:
        accept = (lower + gauge.guard * gauge.u, upper - gauge.guard * gauge.u)
        if spec.aim is not None and accept[0] < accept[1]:
            _check_aim(spec.aim, accept)
        return plan_lot(
            lower=lower,
            upper=upper,
            wanted=spec.wanted,
            process=process,
            gauge=gauge,
            correction=None if spec.correction == "no" else cast(Removal, spec.correction),
            chance=spec.chance,
            interval=spec.interval,
            aim=spec.aim,
            first_off=spec.first_off,
            dial=spec.dial,
            system=system,
        )
    except CannotProve:
        guard = show(gauge.guard * gauge.u, LENGTH, system=system)
        width = show(upper - lower, LENGTH, system=system)
        raise NoLotPlanError(
            f"this gauge cannot prove it: {guard} inside each limit leaves nothing of the {width} "
            "between them; use a finer gauge, wider limits, or a smaller guard and its risk"
        ) from None
    except LotBeyondReachError as wrong:
        raise NoLotPlanError(str(wrong)) from None


def gauge_u(spec: LotSpec, instruments: Mapping[str, Instrument]) -> float:
    """Standard uncertainty [m] of one reading of a lot; ``SpecError`` for no known instrument."""
    if spec.u is not None:
        return spec.u
    return length_gauge(spec.instrument or usual_gauge(spec.process), instruments).u


def length_gauge(name: str, instruments: Mapping[str, Instrument]) -> Instrument:
    """The instrument for lengths of this name, any letter case; raises ``SpecError``."""
    known = {key: one for key, one in instruments.items() if one.measures == "length"}
    for key, one in known.items():
        if key.casefold() == name.strip().casefold():
            return one
    there = f"is no instrument known here; there are: {', '.join(known)}"
    near = get_close_matches(name, known, n=1)
    raise SpecError([Problem("instrument", "instrument", name, there, *near)])


def stop_of(plan: LotPlan) -> float:
    """The size [m] a stop is set for by the plan, as a builder sets it."""
    return round(plan.set_for / STOP_STEP) * STOP_STEP


def _check_aim(aim: float, accept: tuple[float, float]) -> None:
    if not accept[0] <= aim <= accept[1]:
        told = f"{show(accept[0], LENGTH)} to {show(accept[1], LENGTH)}"
        message = f"lies outside what can be accepted, {told}; leave it out to have the best found"
        raise SpecError([Problem("aim", "aim", show(aim, LENGTH), message)])
