"""What a bench test showed, and what it leaves open.

The test's readings reshape the joint draw of the duty. The forecast of service is then told two
ways: with what only service can settle held at its median (what the test fixed), and with it left
uncertain (what can honestly be forecast); beside both stands what the sizes alone would have said.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtri

from benchproof.bench_tests.contract import BenchTest, Flag, Foresight
from benchproof.duties.contract import Duty, ForwardModel, Unknown
from benchproof.reckon.answer import Answer, Flagged, Range, range_of, ranges
from benchproof.reckon.joint import Joint
from benchproof.reckon.learning import ENOUGH, ImpossibleReadings, Learned, learn
from benchproof.reckon.plan import CIRCUMSTANCES, LEVEL, Job, answer_for
from benchproof.reckon.taught import Taught

Array: TypeAlias = NDArray[np.float64]
Believed: TypeAlias = tuple[Joint, Foresight, Learned]

LEARNING_DRAWS = 4096
UNLIKELY = 1e-3
FAR_OFF = 3.0


@dataclass(frozen=True)
class Forecast:
    """One merit in service, four ways: by the test and by sizes alone, held and left open."""

    name: str
    label: str
    tested_held: Range
    tested_open: Range
    sizes_held: Range
    sizes_open: Range


@dataclass(frozen=True)
class Learning:
    """How the posterior was got: steps of tempering, moves, and what the draws are worth."""

    draws: int
    effective: float
    steps: int
    moves: int
    acceptance: float
    log_evidence: float
    enough: bool


@dataclass(frozen=True)
class Result:
    """What a bench test showed."""

    test: str
    title: str
    measured: Sequence[Range]
    before: Sequence[Range]
    forecasts: Sequence[Forecast]
    held: Mapping[str, str]
    readings: int
    residuals: Sequence[float]
    learning: Learning
    answer: Answer

    @property
    def stop(self) -> str:
        """What was seen at the part that outweighs any odds, in words; empty for nothing."""
        return " ".join(flag.words for flag in self.answer.flags if flag.weight == "stop")

    @property
    def spoilt(self) -> bool:
        """Whether the set-up was such that the readings prove nothing."""
        return any(flag.weight == "spoilt" for flag in self.answer.flags)

    @property
    def contradicted(self) -> bool:
        """Whether the readings contradict each other or what was believed."""
        return any(flag.name in {"contradicts", "bends belief"} for flag in self.answer.flags)


def bench_result(
    job: Job[Any],
    test: BenchTest[Any],
    record: Any,
    *,
    level: float = LEVEL,
    draws: int = LEARNING_DRAWS,
    seed: int = 1,
    more_flags: Sequence[Flagged] = (),
    brief: bool = False,
    judged_by: Job[Any] | None = None,
    believed: Believed | None = None,
) -> Result:
    """Infer from the record of one bench test what it showed of a finished part.

    Features that were not measured take what the duty believes of a finished piece nobody
    measured. ``judged_by`` is the same part under another spec (see :func:`judges_alike`): what the
    readings taught is then held against the needs of that one. The answer is ``brief`` as that of
    :func:`benchproof.reckon.plan.plan`, and no forecasts are made. ``believed`` is what
    :func:`inferred` gave for the same job, test and record. Raises ``ImpossibleReadings``
    when they fit no part.
    """
    duty, spec = job.duty, job.spec
    joint, foresight, learned = believed or inferred(job, test, record, draws, seed)
    after, before = (
        joint.samples(normals) for normals in (learned.normals, joint.normals(CIRCUMSTANCES, seed))
    )
    residuals = foresight.residuals(after)
    judge, judged = job, joint
    if judged_by is not None:
        judge, judged = judged_by, _joint(judged_by, test, spec, record)
    judge = replace(judge, assembled=test.assembled)
    model = duty.prepare(judge.spec)
    flags = [
        *more_flags,
        *(_flagged(flag) for flag in test.screen(spec, record)),
        *(_flagged(flag) for flag in test.afterwards(spec, record, after)),
        *_contradictions(joint, learned, residuals),
    ]
    held = {
        unknown.name: unknown
        for unknown in judge.unknowns
        if isinstance(unknown, Unknown) and unknown.name in duty.service_unknowns
    }
    return Result(
        test=test.key,
        title=test.title,
        measured=[range_of(f.name, f.label, f.kind, f.values) for f in foresight.figures(after)],
        before=[range_of(f.name, f.label, f.kind, f.values) for f in foresight.figures(before)],
        forecasts=_forecasts(
            duty,
            model,
            judged.samples(judged.normals(CIRCUMSTANCES, seed)),
            judged.samples(learned.normals),
            held.values(),
            test.bears_on,
        ),
        held={name: unknown.label for name, unknown in held.items()},
        readings=residuals.shape[1],
        residuals=[float(value) for value in np.median(residuals, axis=0)],
        learning=Learning(
            learned.normals.shape[1],
            learned.effective,
            learned.steps,
            learned.moves,
            learned.acceptance,
            learned.log_evidence,
            learned.enough,
        ),
        answer=answer_for(
            judge,
            judged,
            learned.normals,
            level=level,
            seed=seed,
            more_flags=flags,
            brief=brief,
            known_from=f"shown by the {test.title.lower()}",
        ),
    )


def fit_by_readings(
    job: Job[Any], test: BenchTest[Any], record: Any, *, seed: int = 1
) -> tuple[float, float] | None:
    """Mean and standard deviation [SI] of the fit by a bench test's readings, sizes forgotten.

    This is what a test can hand on to the standing of a process: its own word, without that of
    the lathe or of the gauges: the duty must have a wide belief of a finished piece nobody
    measured, or the lathe's own past would come back as news. ``None`` when it has none, when the
    duty is not judged by a fit or its tests do not tell it, when the set-up spoils the readings,
    and when they contradict each other or are impossible.
    """
    last = next(f.name for f in job.duty.features(job.spec) if f.cut_last)
    if job.duty.window_of is None or not job.duty.tests_tell_fit:
        return None
    if last not in job.duty.unmeasured(job.spec):
        return None
    trusted = _trusted(replace(job, made={}), test, record, seed=seed)
    if trusted is None:
        return None
    joint, learned = trusted
    samples = joint.samples(learned.normals)
    outer, inner = (samples[name] for name in job.duty.window_of)
    fit = outer - inner
    return float(np.mean(fit)), float(np.std(fit))


def taught_by(
    job: Job[Any],
    test: BenchTest[Any],
    record: Any,
    *,
    part: str,
    believed: Believed | None = None,
) -> Taught | None:
    """What a bench test of a part, called ``part``, showed of what the next part shares with it.

    What the parts before taught (``job.taught``) stays in it. ``None`` when nothing of the kind is
    left open, when the set-up spoils the readings, and when they contradict what is believed.
    ``believed`` is what :func:`inferred` gave for the same job, test and record.
    """
    spreads = {
        unknown.name: unknown.spread
        for unknown in job.unknowns
        if isinstance(unknown, Unknown) and unknown.name in job.duty.for_the_next
    }
    trusted = _trusted(job, test, record, believed) if spreads else None
    if trusted is None:
        return None
    joint, learned = trusted
    scores = joint.scores(learned.normals)
    before = () if joint.taught is None else joint.taught.parts
    shown = np.stack([scores[f"unknown {name}"] for name in spreads])
    return Taught.by_draws(spreads, shown, [*before, part])


def _trusted(
    job: Job[Any],
    test: BenchTest[Any],
    record: Any,
    believed: Believed | None = None,
    *,
    seed: int = 1,
) -> tuple[Joint, Learned] | None:
    """The posterior of a test whose readings can be trusted, else ``None``."""
    if any(flag.weight == "spoilt" for flag in test.screen(job.spec, record)):
        return None
    try:
        joint, foresight, learned = believed or inferred(job, test, record, seed=seed)
    except ImpossibleReadings:
        return None
    doubts = _contradictions(joint, learned, foresight.residuals(joint.samples(learned.normals)))
    return None if doubts else (joint, learned)


def inferred(
    job: Job[Any],
    test: BenchTest[Any],
    record: Any,
    draws: int = LEARNING_DRAWS,
    seed: int = 1,
) -> Believed:
    """The joint draw of a tested part, what each reading would be, and the posterior."""
    spec = job.spec
    joint = _joint(job, test, spec, record)
    foresight = test.prepare(spec, record)
    learned = learn(
        lambda normals: foresight.log_likelihood(joint.samples(normals)),
        columns=len(joint.columns),
        draws=draws,
        seed=seed,
    )
    return joint, foresight, learned


def _joint(job: Job[Any], test: BenchTest[Any], tested: Any, record: Any) -> Joint:
    """The joint draw of a part under a job's spec, with a test done on it under ``tested``."""
    unmeasured = {
        name: spread
        for name, spread in job.duty.unmeasured(job.spec).items()
        if name not in job.made
    }
    more = test.unknowns(tested, record)
    return job.joint(unmeasured=unmeasured, more_unknowns=more, pieces=True)


def judges_alike(then: Job[Any], now: Job[Any], test: BenchTest[Any], record: Any) -> bool:
    """Whether what was learned under one spec can be judged by another: same features and draw."""
    if [(f.name, f.aim) for f in then.duty.features(then.spec)] != [
        (f.name, f.aim) for f in now.duty.features(now.spec)
    ]:
        return False
    one, other = (_joint(job, test, then.spec, record) for job in (then, now))
    return one.columns == other.columns


def _flagged(flag: Flag) -> Flagged:
    return Flagged(flag.name, flag.words, weight=flag.weight)


def _forecasts(
    duty: Duty[Any],
    model: ForwardModel,
    before: Mapping[str, Array],
    after: Mapping[str, Array],
    held: Collection[Unknown],
    foremost: Sequence[str],
) -> list[Forecast]:
    """Every merit in service, those first that the test tells most of."""

    def told(samples: Mapping[str, Array], hold: bool) -> list[Range]:
        taken = dict(samples)
        if hold:
            for unknown in held:
                taken[unknown.name] = np.full_like(taken[unknown.name], unknown.spread.median)
        return ranges(duty.merits, model.perform(taken).merits)

    columns = (told(after, True), told(after, False), told(before, True), told(before, False))
    found = [Forecast(a.name, a.label, a, b, c, d) for a, b, c, d in zip(*columns, strict=True)]
    order = {name: place for place, name in enumerate(foremost)}
    return sorted(found, key=lambda each: order.get(each.name, len(order)))


def _contradictions(
    joint: Joint,
    learned: Learned,
    residuals: Array,
) -> list[Flagged]:
    """Readings the model cannot explain, and beliefs the readings had to bend too far."""
    found = []
    readings = residuals.shape[1]
    misfit = float(np.square(residuals).sum(axis=1).min())
    if misfit > chdtri(readings, UNLIKELY):
        worst = int(np.argmax(np.abs(np.median(residuals, axis=0)))) + 1
        found.append(
            Flagged(
                "contradicts",
                f"The readings do not fit any fit believed possible (reading {worst} is farthest "
                "off). Look for dirt, oil, friction, a leak or a slip of the pen; repeat.",
            )
        )
    middle = learned.normals.mean(axis=1)
    labels = joint.causes()
    for place, name in enumerate(joint.columns):
        if name in labels and abs(middle[place]) > FAR_OFF:
            found.append(
                Flagged(
                    "bends belief",
                    f"To explain the readings, {labels[name]} had to be taken "
                    f"{abs(middle[place]):.1f} standard deviations from what was believed: "
                    + ("measure it again." if name.startswith("piece ") else "repeat the test."),
                    weight="doubt",
                )
            )
    if not learned.enough:
        found.append(
            Flagged(
                "few draws",
                f"The inference is worth only {learned.effective:.0f} independent draws of the "
                f"{ENOUGH:.0f} wanted: take its intervals as rough.",
            )
        )
    return found
