"""Two bench tests of one part, taken together, say what both say."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.bench_tests import load_bench_test
from benchproof.bench_tests.together import Records, Together
from benchproof.duties import load_duty
from benchproof.reckon.plan import Job
from benchproof.reckon.result import bench_result
from benchproof.workshop.lathe import assumed_lathe
from examples import RECORDS, SPECS

SPEC = SPECS["piston-fit"]
KEYS = ("drop-test", "leak-down")
TESTS = [load_bench_test(key) for key in KEYS]
BOTH, TAKEN = Together(TESTS), Records(tuple(RECORDS["piston-fit"][key] for key in KEYS))


def test_likelihoods_add_and_readings_stand_side_by_side() -> None:
    duty = load_duty("piston-fit")
    joint = Job(duty, SPEC, assumed_lathe(), {}).joint(
        unmeasured=duty.unmeasured(SPEC), more_unknowns=BOTH.unknowns(SPEC, TAKEN)
    )
    samples = joint.samples(joint.normals(300, 1))
    together = BOTH.prepare(SPEC, TAKEN)
    alone = [test.prepare(SPEC, record) for test, record in zip(TESTS, TAKEN.each, strict=True)]
    expected = alone[0].log_likelihood(samples) + alone[1].log_likelihood(samples)
    np.testing.assert_allclose(together.log_likelihood(samples), expected, rtol=1e-12, atol=0.0)
    assert together.residuals(samples).shape == (300, len(TAKEN.reading)) == (300, 4)
    names = [figure.name for figure in together.figures(samples)]
    assert len(names) == len(set(names))
    assert "clearance" in names


def test_one_test_taken_together_with_nothing_is_itself() -> None:
    job = Job(load_duty("piston-fit"), SPEC, assumed_lathe(), {})
    leak = bench_result(job, TESTS[1], TAKEN.each[1])
    itself = bench_result(job, Together([TESTS[1]]), Records((TAKEN.each[1],)))
    assert itself.title == "Leak-down with air"
    (one,) = (figure for figure in leak.measured if figure.name == "clearance")
    (same,) = (figure for figure in itself.measured if figure.name == "clearance")
    assert same.median == pytest.approx(one.median, rel=1e-12)


def test_it_says_what_it_is_made_of() -> None:
    assert BOTH.title == "Drop test on plate glass and leak-down with air"
    assert len(BOTH.procedure(SPEC)) == sum(len(test.procedure(SPEC)) for test in TESTS)
    assert set(BOTH.sources) == {source for test in TESTS for source in test.sources}
    raised = list(BOTH.screen(SPEC, TAKEN))
    assert len(raised) == sum(
        len(list(test.screen(SPEC, record))) for test, record in zip(TESTS, TAKEN.each, strict=True)
    )
