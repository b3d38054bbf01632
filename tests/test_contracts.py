"""What every registered duty and bench test must keep, and the toy duty with them."""

from __future__ import annotations

from typing import Any, cast

import numpy as np
import pytest

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.duties import DUTIES, load_duty
from benchproof.duties.contract import CorrelatedUnknowns, Duty
from benchproof.reckon.plan import Job
from benchproof.specs import Spec, describe
from benchproof.workshop.lathe import assumed_lathe
from examples import RECORDS, SPECS
from toys import CockSpec, ToyCock

EXAMPLES: dict[str, Spec] = {**SPECS, "toy-cock": CockSpec()}
SERVED = [(key, served) for key in BENCH_TESTS for served in load_bench_test(key).serves]

DUTIES_TO_KEEP: list[Duty[Any]] = [*(load_duty(key) for key in DUTIES), ToyCock()]
duty_kinds = pytest.mark.parametrize("duty", DUTIES_TO_KEEP, ids=lambda duty: duty.key)
bench = pytest.mark.parametrize(("key", "served"), SERVED)


@duty_kinds
def test_a_duty_says_what_it_is(duty: Duty[Any]) -> None:
    spec = EXAMPLES[duty.key]
    assert duty.title
    assert duty.summary.endswith(".")
    assert duty.theory
    assert duty.sources
    assert duty.cautions(spec)
    assert all(row.label for row in describe(duty.spec_type))


@duty_kinds
def test_one_feature_is_cut_last_and_every_gain_has_its_error(duty: Duty[Any]) -> None:
    spec = EXAMPLES[duty.key]
    features, errors = duty.features(spec), {e.name for e in duty.errors(spec)}
    assert sum(feature.cut_last for feature in features) == 1
    assert {name for feature in features for name in feature.gains} <= errors
    lower, upper = duty.aims_to_try(spec)
    assert lower < upper


@duty_kinds
def test_needs_speak_of_merits_and_give_a_reason(duty: Duty[Any]) -> None:
    spec = EXAMPLES[duty.key]
    merits = {merit.name for merit in duty.merits}
    for need in duty.needs(spec):
        assert need.merit in merits
        assert need.reason.startswith(("it ", "they "))


@duty_kinds
def test_a_duty_performs_arrays_flags_every_sample_and_never_raises(duty: Duty[Any]) -> None:
    spec = EXAMPLES[duty.key]
    joint = Job(duty, spec, assumed_lathe(), {}).joint()
    samples = joint.samples(joint.normals(500, 1))
    swept = joint.swept.name
    model = duty.prepare(spec)
    for offset in (*duty.aims_to_try(spec), 0.0):
        moved = samples | {swept: samples[swept] + 5.0 * offset}
        outcome = model.perform(moved)
        assert set(outcome.merits) == {merit.name for merit in duty.merits}
        assert set(outcome.flags) == set(duty.flag_words)
        for values in (*outcome.merits.values(), *outcome.flags.values()):
            assert values.shape == (500,)
        needed = {need.merit for need in duty.needs(spec)}
        only = model.perform(moved, only=needed)
        for name in needed:
            np.testing.assert_array_equal(only.merits[name], outcome.merits[name])


@duty_kinds
def test_a_duty_does_not_touch_the_samples_it_is_given(duty: Duty[Any]) -> None:
    spec = EXAMPLES[duty.key]
    joint = Job(duty, spec, assumed_lathe(), {}).joint()
    samples = joint.samples(joint.normals(50, 1))
    before = {name: values.copy() for name, values in samples.items()}
    duty.prepare(spec).perform(samples)
    for name, values in before.items():
        np.testing.assert_array_equal(samples[name], values)


@duty_kinds
def test_names_of_unknowns_clash_with_nothing(duty: Duty[Any]) -> None:
    spec = EXAMPLES[duty.key]
    names = [feature.name for feature in duty.features(spec)]
    for unknown in duty.unknowns(spec):
        names += unknown.names if isinstance(unknown, CorrelatedUnknowns) else (unknown.name,)
    assert len(names) == len(set(names))


@duty_kinds
def test_a_spec_comes_back_from_json(duty: Duty[Any]) -> None:
    spec = EXAMPLES[duty.key]
    assert duty.spec_type.model_validate_json(spec.model_dump_json()) == spec


@bench
def test_a_bench_test_says_what_it_is_and_how_it_is_done(key: str, served: str) -> None:
    test = load_bench_test(key)
    assert test.key == key
    assert test.theory
    assert test.sources
    steps = test.procedure(EXAMPLES[served])
    assert len(steps) >= 4
    assert all(step.endswith(".") for step in steps)


@bench
def test_a_bench_test_foresees_in_arrays_and_never_raises(key: str, served: str) -> None:
    test, duty = load_bench_test(key), load_duty(served)
    spec, record = EXAMPLES[served], cast(Any, RECORDS[served][key])
    joint = Job(duty, spec, assumed_lathe(), {}).joint(
        unmeasured=duty.unmeasured(spec), more_unknowns=test.unknowns(spec, record)
    )
    samples = joint.samples(joint.normals(400, 1))
    foresight = test.prepare(spec, record)
    fit = foresight.log_likelihood(samples)
    assert fit.shape == (400,)
    assert not np.isnan(fit).any()
    assert np.isfinite(fit).any()
    assert foresight.residuals(samples).shape == (400, len(record.reading))
    for figure in foresight.figures(samples):
        assert figure.values.shape == (400,)
        assert figure.label
    assert isinstance(list(test.screen(spec, record)), list)


@bench
def test_unknowns_of_a_bench_test_do_not_clash_with_those_of_its_duty(
    key: str, served: str
) -> None:
    spec, record = EXAMPLES[served], RECORDS[served][key]
    theirs = {getattr(u, "name", "") for u in load_duty(served).unknowns(spec)}
    ours = {getattr(u, "name", "") for u in load_bench_test(key).unknowns(spec, record)}
    assert not theirs & ours


def test_what_is_not_registered_is_said_to_be_unknown() -> None:
    with pytest.raises(KeyError, match=r"there are: .*piston-fit"):
        load_duty("perpetual-motion")
    with pytest.raises(KeyError, match="drop-test"):
        load_bench_test("guess")
