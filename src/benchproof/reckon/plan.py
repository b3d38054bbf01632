"""What to cut, and will this lathe hold it: one duty, one spec, one lathe."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from importlib.metadata import version
from typing import Any, Generic, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from benchproof.duties.contract import (
    CorrelatedUnknowns,
    Duty,
    ForwardModel,
    Making,
    Need,
    Unknown,
)
from benchproof.features import PROCESSES, Feature
from benchproof.quantities import System, show
from benchproof.reckon.aims import (
    Aim,
    Costs,
    Interval,
    best_aim,
    interval,
    laps_to_expect,
    likeliest_aim,
    narrowed,
    offsets_to_try,
)
from benchproof.reckon.answer import Answer, Bounds, Flagged, Steps, Target, bounds, judge
from benchproof.reckon.causes import causes
from benchproof.reckon.joint import Joint, Made
from benchproof.reckon.odds import Sweep, sweep
from benchproof.reckon.taught import Taught
from benchproof.specs import Spec
from benchproof.spread import Spread
from benchproof.workshop.lathe import Lathe

Array: TypeAlias = NDArray[np.float64]
SpecT = TypeVar("SpecT", bound=Spec)

CIRCUMSTANCES = 16_384  # draws for windows and limits, where nothing but circumstances varies
BRIEF_CIRCUMSTANCES = 4096
LEVEL = 0.9
CAUSE_DRAWS = 16_384
FEW_LOST = 0.02
COARSE = 2048
AIMS, BRIEF_AIMS = 101, 61


@dataclass(frozen=True)
class Job(Generic[SpecT]):
    """One duty with its spec on one lathe, and what is made of it so far.

    ``recorded`` holds spreads of unknowns as they were when a bench test was done; they stand in
    place of what the tables say now. ``assembled``: the parts are joined for good, and nothing
    more can be cut off them. ``taught`` is what bench tests of earlier parts showed of unknowns
    that all parts of this builder share.
    """

    duty: Duty[SpecT]
    spec: SpecT
    lathe: Lathe
    made: Mapping[str, Made]
    recorded: Mapping[str, Spread] = field(default_factory=dict)
    assembled: bool = False
    taught: Taught | None = None

    @property
    def needs(self) -> list[Need]:
        """What is asked of the part now; once assembled, no longer what assembling it asked."""
        past = self.duty.until_assembled if self.assembled else ()
        return [need for need in self.duty.needs(self.spec) if need.merit not in past]

    @property
    def unknowns(self) -> list[Unknown | CorrelatedUnknowns]:
        """The duty's unknowns, recorded spreads in place of the present ones."""
        return [
            replace(unknown, spread=self.recorded[unknown.name])
            if isinstance(unknown, Unknown) and unknown.name in self.recorded
            else unknown
            for unknown in self.duty.unknowns(self.spec)
        ]

    @property
    def known_from(self) -> str:
        """What the odds rest on: the lathe, and how many parts stand behind each process."""
        errors = {error.name: error for error in self.duty.errors(self.spec)}
        shown = []
        for feature in self.duty.features(self.spec):
            for name in feature.gains:
                process = errors[name].process
                parts = self.lathe.standings[process].parts
                told = f"{PROCESSES[process].plural} " + (
                    f"shown by {parts} part{'s' if parts > 1 else ''}" if parts else "assumed"
                )
                if feature.name not in self.made and told not in shown:
                    shown.append(told)
        if self.lathe.assumed:
            shown.clear()
        taught = None if self.taught is None else self.taught.among(self.unknowns)
        if taught is not None:
            shown.append(f"what the tests of {' and '.join(taught.parts)} showed")
        if not shown:
            return self.lathe.name
        return f"{self.lathe.name}: {', '.join(shown)}"

    def joint(
        self,
        *,
        made: Mapping[str, Made] | None = None,
        unmeasured: Mapping[str, Spread] | None = None,
        more_unknowns: Sequence[Unknown | CorrelatedUnknowns] = (),
        pieces: bool = False,
    ) -> Joint:
        """Build the joint draw, with the job's own finished features unless others are given."""
        return Joint(
            features=self.duty.features(self.spec),
            errors=self.duty.errors(self.spec),
            unknowns=[*self.unknowns, *more_unknowns],
            standings=self.lathe.standings,
            gauges={key: instrument.u for key, instrument in self.lathe.instruments.items()},
            made=self.made if made is None else made,
            unmeasured=unmeasured,
            taught=self.taught,
            pieces=pieces,
        )

    def value(self, offset: float) -> float:
        """What the fit is judged by (a clearance, or the size itself) at an offset [SI]."""
        features = {f.name: f for f in self.duty.features(self.spec)}
        swept = next(f for f in features.values() if f.cut_last)
        if self.duty.window_of is None:
            return swept.aim + offset
        outer, inner = (features[name] for name in self.duty.window_of)
        return outer.aim - inner.aim + (offset if swept is outer else -offset)

    def size(self, offset: float) -> float:
        """Size to cut [SI] at an offset of the last-cut feature."""
        features = {f.name: f for f in self.duty.features(self.spec)}
        swept = next(f for f in features.values() if f.cut_last)
        made = self.made.get(swept.mate or "")
        if swept.to_suit and made is not None and swept.mate is not None:
            return swept.aim + made.size - features[swept.mate].aim + offset
        return swept.aim + offset

    def sizes(self, offset: float) -> dict[str, float]:
        """Size [SI] of every feature: as it was made, else as planned, at an offset of the last."""
        found = {
            f.name: self.made[f.name].size if f.name in self.made else f.aim
            for f in self.duty.features(self.spec)
        }
        swept = next(f for f in self.duty.features(self.spec) if f.cut_last)
        if swept.name not in self.made:
            found[swept.name] = self.size(offset)
        return found

    def as_gauged(self, *, exact: bool) -> dict[str, Made]:
        """Every feature taken at its aim: exactly, or as its gauge reads it."""
        joint = self.joint()
        return {
            f.name: Made(f.aim, 0.0 if exact else joint.gauge_of(f.name)) for f in joint.features
        }


def plan(
    job: Job[Any],
    *,
    level: float = LEVEL,
    costs: Costs | None = None,
    draws: int | None = None,
    seed: int = 1,
    more_flags: Sequence[Flagged] = (),
    brief: bool = False,
) -> Answer:
    """Work out what to cut: window, limits, aim, odds, causes, and the way to creep up on it.

    ``level`` is the chance wanted that all needs are met; ``draws`` are as many as the duty asks
    for unless stated. When the last feature is already made,
    the answer is about it as it stands, and offsets are what could still be taken off. A ``brief``
    answer is for judging many parts at once: it names no causes, its limits are those of the
    window, and the window is found with fewer draws.
    """
    joint = job.joint()
    normals = joint.normals(draws or job.duty.draws, seed)
    return answer_for(
        job,
        joint,
        normals,
        level=level,
        costs=costs,
        seed=seed,
        more_flags=more_flags,
        brief=brief,
    )


def answer_for(
    job: Job[Any],
    joint: Joint,
    normals: Array,
    *,
    level: float,
    costs: Costs | None = None,
    seed: int = 1,
    more_flags: Sequence[Flagged] = (),
    known_from: str | None = None,
    brief: bool = False,
) -> Answer:
    """Answer from given normals of a joint draw: drawn afresh, or learned from a bench test."""
    duty, spec = job.duty, job.spec
    model = duty.prepare(spec)
    needs = job.needs
    swept = joint.swept
    cut = swept.name in joint.made or swept.name in joint.unmeasured
    samples = joint.samples(normals)
    widest = duty.aims_to_try(spec)
    if cut:
        reach = widest[1] - widest[0]
        widest = (-reach, 0.0) if swept.correction == "smaller" else (0.0, reach)
    if cut and (
        swept.correction is None or job.assembled
    ):  # nothing more can be taken off: it is what it is
        swept_odds = sweep(model, needs, samples, swept, np.zeros(1))
    else:
        swept_odds = _fine_sweep(model, needs, samples, swept, widest, keep_end=cut)
    best, likeliest = best_aim(swept_odds, costs), likeliest_aim(swept_odds)
    if cut:
        best = _as_it_stands(swept_odds, swept)

    def between(*, exact: bool) -> Bounds:
        few = min(BRIEF_CIRCUMSTANCES if brief else CIRCUMSTANCES, duty.draws)
        return _between(
            job,
            model,
            needs,
            duty.aims_to_try(spec),
            level,
            seed,
            exact=exact,
            draws=few,
            count=BRIEF_AIMS if brief else AIMS,
        )

    window = between(exact=True)
    limits = window if brief else between(exact=False)
    chosen = dict(samples)
    chosen[swept.name] = samples[swept.name] + best.offset
    merits, flags = judge(duty, needs, model, chosen)

    def target(aim: Aim) -> Target:
        if cut:
            return _as_made(duty, swept, samples, aim)
        return _target(job, swept, aim)

    aimed = target(best)
    steps = None
    if not cut and best.odds.right < level and window.lower is not None:
        steps = _steps(job, joint, swept_odds, samples, window, seed)
    return Answer(
        duty=duty.key,
        title=duty.title,
        level=level,
        best=aimed,
        likeliest=target(likeliest),
        already_cut=cut,
        plain_window=duty.plain_window(spec),
        window=window,
        limits=limits,
        size_limits=_sizes(job, limits),
        value_label=duty.value_label,
        no_window_advice=duty.no_window_advice,
        merits=merits,
        causes=[] if brief else causes(joint, model, needs, normals[:, :CAUSE_DRAWS], best.offset),
        flags=[*more_flags, *_made_flags(joint), *flags],
        cautions=list(duty.cautions(spec)),
        sources=list(duty.sources),
        theory=duty.theory,
        steps=steps,
        work={} if brief else _work(job, best.offset),
        known_from=known_from or job.known_from,
        seed=seed,
        draws=normals.shape[1],
        versions=versions(),
        curve=_curve(job, aimed, swept_odds),
    )


def _work(job: Job[Any], offset: float) -> dict[System, Sequence[str]]:
    """The order of work at the aim chosen, in each measuring system; what is made is left out."""
    sizes = job.sizes(offset)
    systems: tuple[System, ...] = ("metric", "inch")
    return {
        system: _still_to_do(job, job.duty.steps(job.spec, sizes, system), system)
        for system in systems
    }


def _still_to_do(job: Job[Any], steps: Sequence[str], system: System) -> list[str]:
    done = [step for step in steps if isinstance(step, Making) and step.makes <= job.made.keys()]
    if not done:
        return list(steps)
    behind = frozenset().union(*(step.makes for step in done))
    told = ", ".join(
        f"{feature.label} {show(job.made[feature.name].size, feature.kind, system=system)}"
        for feature in job.duty.features(job.spec)
        if feature.name in behind
    )
    return [f"Already made: {told}.", *(step for step in steps if step not in done)]


def versions() -> dict[str, str]:
    """Versions of what the figures depend on."""
    return dict(_versions())


@lru_cache(maxsize=1)
def _versions() -> tuple[tuple[str, str], ...]:
    """Looked up once: it reads files, and every answer asks."""
    return tuple((name, version(name)) for name in ("benchproof", "numpy", "scipy"))


def _fine_sweep(
    model: ForwardModel,
    needs: Sequence[Need],
    samples: Mapping[str, Array],
    swept: Feature,
    widest: tuple[float, float],
    *,
    keep_end: bool = False,
    count: int = AIMS,
) -> Sweep:
    few = {name: values[:COARSE] for name, values in samples.items()}
    coarse = sweep(model, needs, few, swept, offsets_to_try(*widest, count))
    offsets = narrowed(coarse, count)
    if keep_end:
        low, high = min(offsets[0], 0.0), max(offsets[-1], 0.0)
        offsets = offsets_to_try(low, high, count)
    return sweep(model, needs, samples, swept, offsets)


def _as_it_stands(swept_odds: Sweep, swept: Feature) -> Aim:
    row = -1 if swept.correction == "smaller" else 0
    return Aim(0.0, swept_odds.odds()[row])


def _between(
    job: Job[Any],
    model: ForwardModel,
    needs: Sequence[Need],
    widest: tuple[float, float],
    level: float,
    seed: int,
    *,
    exact: bool,
    draws: int,
    count: int,
) -> Bounds:
    """Values at which the needs hold often enough, sizes exact or as gauged."""
    joint = job.joint(made=job.as_gauged(exact=exact))
    samples = joint.samples(joint.normals(draws, seed))
    found = interval(_fine_sweep(model, needs, samples, joint.swept, widest, count=count), level)
    reason = ""
    if found.empty:
        reason = _why_not(model, needs, samples, joint.swept, found)
    low = job.value(found.lower) if found.lower is not None else 0.0
    high = job.value(found.upper) if found.upper is not None else 0.0
    return bounds(found, low, high, reason, job.value(found.best_offset))


def _why_not(
    model: ForwardModel,
    needs: Sequence[Need],
    samples: Mapping[str, Array],
    swept: Feature,
    found: Interval,
) -> str:
    at_best = dict(samples)
    at_best[swept.name] = samples[swept.name] + found.best_offset
    merits = model.perform(at_best, only=[need.merit for need in needs]).merits
    spoilt = sorted(
        ((1.0 - float(need.met(merits[need.merit]).mean()), need.reason) for need in needs),
        reverse=True,
    )
    told = "; ".join(
        f"in {share * 100:.0f} of 100 {reason}" for share, reason in spoilt if share > 0.005
    )
    return f"at best the needs hold in {found.best * 100:.0f} of 100 ({told})"


def _target(job: Job[Any], swept: Feature, aim: Aim) -> Target:
    return Target(
        swept.name,
        swept.label,
        swept.kind,
        aim.offset,
        job.size(aim.offset),
        job.value(aim.offset),
        aim.odds,
    )


def _as_made(duty: Duty[Any], swept: Feature, samples: Mapping[str, Array], aim: Aim) -> Target:
    """A finished feature as it most likely is, with so much more taken off."""
    size = samples[swept.name] + aim.offset
    value = size
    if duty.window_of is not None:
        outer, inner = ({**samples, swept.name: size}[name] for name in duty.window_of)
        value = outer - inner
    return Target(
        swept.name,
        swept.label,
        swept.kind,
        aim.offset,
        float(np.median(size)),
        float(np.median(value)),
        aim.odds,
    )


def _curve(job: Job[Any], best: Target, swept_odds: Sweep) -> list[Target]:
    """Every aim that was tried, as a size and as the fit it makes, counted from the best one."""
    each = job.value(1.0) - job.value(0.0)
    return [
        replace(
            best,
            offset=offset,
            size=best.size + offset - best.offset,
            value=best.value + each * (offset - best.offset),
            odds=odds,
        )
        for offset, odds in zip(swept_odds.offsets.tolist(), swept_odds.odds(), strict=True)
    ]


def _sizes(job: Job[Any], limits: Bounds) -> tuple[float, float] | None:
    """Sizes of the last-cut feature at the limits, smaller first, where its mate is known."""
    if limits.lower is None or limits.upper is None:
        return None
    zero, one = job.value(0.0), job.value(1.0)
    low, high = sorted(job.size((v - zero) / (one - zero)) for v in (limits.lower, limits.upper))
    return low, high


def _steps(
    job: Job[Any],
    joint: Joint,
    swept_odds: Sweep,
    samples: Mapping[str, Array],
    window: Bounds,
    seed: int,
) -> Steps | None:
    """Start where hardly any piece is lost, then take off and test until the fit is in."""
    how = job.duty.stepwise
    if how is None or job.duty.window_of is None:
        return None
    assert window.lower is not None
    assert window.upper is not None
    odds = swept_odds.odds()
    lost = np.array([o.lost for o in odds])
    few = np.flatnonzero(lost <= max(FEW_LOST, float(lost.min()) + 1e-9))
    row = int(few[0] if joint.swept.correction == "smaller" else few[-1])
    start = Aim(float(swept_odds.offsets[row]), odds[row])
    outer, inner = job.duty.window_of
    moved = dict(samples)
    moved[joint.swept.name] = samples[joint.swept.name] + start.offset
    median, p90, missed = laps_to_expect(
        start=moved[outer] - moved[inner],
        lower=window.lower,
        upper=window.upper,
        fraction=how.fraction,
        spread=how.spread,
        seed=seed,
    )
    return Steps(
        start=start,
        start_size=job.size(start.offset),
        start_value=job.value(start.offset),
        step=how.step,
        cut=how.cut,
        test=how.test,
        median=median,
        p90=p90,
        missed=missed,
        source=how.source,
    )


def _made_flags(joint: Joint) -> list[Flagged]:
    """Say where a measured size could not be combined with what the lathe has shown."""
    found = []
    for feature in joint.features:
        made = joint.made.get(feature.name)
        if made is not None and made.aim is None:
            found.append(
                Flagged(
                    "aim not stated",
                    f"The {feature.label}'s aim when cut is not known, so its measured size "
                    "stands alone; what the lathe has shown could not sharpen it.",
                )
            )
    return found


def cut_separately(features: Sequence[Feature]) -> list[Feature]:
    """Return the same features with nothing cut to suit its mate."""
    return [replace(feature, to_suit=False) for feature in features]
