"""What the tests of one part teach of what the next part shares with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Any, ClassVar

import numpy as np
import pytest

from benchproof.bench_tests.contract import Array, BenchTest, Figure, Flag, Foresight
from benchproof.duties.contract import Samples, Unknown
from benchproof.quantities import NUMBER
from benchproof.reckon.learning import ImpossibleReadings
from benchproof.reckon.plan import Job
from benchproof.reckon.result import bench_result, inferred, taught_by
from benchproof.reckon.taught import Taught
from benchproof.specs import Number, Spec
from benchproof.spread import Normal, Uniform
from benchproof.workshop.lathe import assumed_lathe
from toys import CockSpec, ToyCock

INLET, OUTLET = Normal(1.0, 0.2), Normal(2.0, 0.3)


class SumRecord(Spec):
    version: ClassVar[int] = 1
    total: Annotated[float, Number("total")]
    sd: Annotated[float, Number("doubt", minimum=1e-6)]
    spoilt: Annotated[float, Number("whether it is spoilt")] = 0.0


@dataclass(frozen=True)
class SumForesight:
    record: SumRecord

    def residuals(self, samples: Samples) -> Array:
        total = samples["inlet"] + samples["outlet"]
        return np.asarray((self.record.total - total)[:, None] / self.record.sd)

    def log_likelihood(self, samples: Samples) -> Array:
        return np.asarray(-0.5 * np.square(self.residuals(samples)[:, 0]))

    def figures(self, samples: Samples) -> Sequence[Figure]:
        return [Figure("total", "total", NUMBER, samples["inlet"] + samples["outlet"])]


class SumTest(BenchTest[SumRecord]):
    """A bench test that reads two coefficients only together."""

    key = "toy-sum"
    title = "Toy sum"
    summary = "Reads the sum of two coefficients."
    serves = ("toy-cock",)
    record_type = SumRecord
    theory = "A sum."
    sources = ("own calculation",)

    def procedure(self, spec: Any) -> Sequence[str]:
        return ["Read it."]

    def unknowns(self, spec: Any, record: SumRecord) -> Sequence[Unknown]:
        return []

    def prepare(self, spec: Any, record: SumRecord) -> Foresight:
        return SumForesight(record)

    def screen(self, spec: Any, record: SumRecord) -> Sequence[Flag]:
        return [Flag("wet", "It was wet.", "spoilt")] if record.spoilt else []


class Cock(ToyCock):
    """The toy cock with two coefficients that all cocks of one builder share."""

    for_the_next = ("inlet", "outlet")

    def unknowns(self, spec: CockSpec) -> Sequence[Unknown]:
        return [
            *super().unknowns(spec),
            Unknown("inlet", INLET, "inlet", "builder"),
            Unknown("outlet", OUTLET, "outlet", "builder"),
        ]


def job(duty: ToyCock | None = None) -> Job[CockSpec]:
    return Job(duty or Cock(), CockSpec(), assumed_lathe(), {})


def after(total: float, sd: float, *, before: Taught | None = None) -> Taught:
    record = SumRecord(total=total, sd=sd)
    found = taught_by(replace(job(), taught=before), SumTest(), record, part="left cock")
    assert found is not None
    return found


def normal_after(readings: Sequence[tuple[float, float]]) -> tuple[Array, Array]:
    """Mean and covariance of the two coefficients in closed form, after readings of their sum."""
    precision = np.diag([0.2**-2, 0.3**-2])
    pull = precision @ np.array([1.0, 2.0])
    for total, sd in readings:
        precision = precision + np.ones((2, 2)) / sd**2
        pull = pull + total / sd**2
    covariance = np.linalg.inv(precision)
    return covariance @ pull, covariance


def believed(of: Job[CockSpec]) -> tuple[Array, Array]:
    """Mean and covariance of the two coefficients in the draws of a job."""
    joint = of.joint()
    samples = joint.samples(joint.normals(40_000, 3))
    both = np.stack([samples["inlet"], samples["outlet"]])
    return both.mean(axis=1), np.cov(both)


def test_the_next_part_is_told_what_is_known_only_together() -> None:
    means, covariance = believed(replace(job(), taught=after(3.4, 0.05)))
    true_means, true_covariance = normal_after([(3.4, 0.05)])
    np.testing.assert_allclose(means, true_means, rtol=0.0, atol=0.02)
    np.testing.assert_allclose(covariance, true_covariance, rtol=0.0, atol=0.004)
    assert covariance[0, 1] < -0.02  # more of the one goes with less of the other


def test_a_second_part_adds_to_what_the_first_taught() -> None:
    first = after(3.4, 0.2)
    second = after(3.1, 0.15, before=first)
    assert second.parts == ("left cock", "left cock")
    means, covariance = believed(replace(job(), taught=second))
    true_means, true_covariance = normal_after([(3.4, 0.2), (3.1, 0.15)])
    np.testing.assert_allclose(means, true_means, rtol=0.0, atol=0.02)
    np.testing.assert_allclose(covariance, true_covariance, rtol=0.0, atol=0.004)


def test_what_is_the_parts_own_is_not_handed_on() -> None:
    plain, told = job().joint(), replace(job(), taught=after(3.4, 0.05)).joint()
    normals = plain.normals(100, 1)
    np.testing.assert_array_equal(plain.samples(normals)["floor"], told.samples(normals)["floor"])


def test_the_answer_says_whose_tests_it_rests_on() -> None:
    told = replace(job(), taught=after(3.4, 0.05))
    assert told.known_from.endswith("what the tests of left cock showed")
    assert "left cock" not in job().known_from


def test_a_coefficient_stated_otherwise_is_left_to_what_was_stated() -> None:
    taught = after(3.4, 0.05)
    mine = Unknown("inlet", Uniform(0.9, 1.1), "inlet", "builder")
    kept = taught.among([mine, Unknown("outlet", OUTLET, "outlet", "builder")])
    assert kept is not None
    assert list(kept.spreads) == ["outlet"]
    assert np.shape(kept.covariance) == (1, 1)
    assert taught.among([mine]) is None
    assert replace(job(ToyCock()), taught=taught).joint().taught is None


def test_a_part_that_differs_from_those_before_it_is_noticed() -> None:
    record = SumRecord(total=4.0, sd=0.01)
    alone = bench_result(job(), SumTest(), record, draws=1024, brief=True)
    assert not alone.contradicted
    taught = after(3.0, 0.01)
    beside = bench_result(replace(job(), taught=taught), SumTest(), record, draws=1024, brief=True)
    assert beside.contradicted


@pytest.mark.parametrize(
    ("duty", "record"),
    [
        pytest.param(Cock(), SumRecord(total=3.4, sd=0.05, spoilt=1.0), id="spoilt"),
        pytest.param(Cock(), SumRecord(total=9.0, sd=0.01), id="contradicted"),
        pytest.param(ToyCock(), SumRecord(total=3.4, sd=0.05), id="nothing shared"),
    ],
)
def test_readings_that_prove_nothing_teach_nothing(duty: ToyCock, record: SumRecord) -> None:
    assert taught_by(job(duty), SumTest(), record, part="left cock") is None


def test_impossible_readings_teach_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(_self: object, samples: Samples) -> Array:
        return np.full_like(samples["inlet"], -np.inf)

    monkeypatch.setattr(SumForesight, "log_likelihood", never)
    record = SumRecord(total=3.4, sd=0.05)
    with pytest.raises(ImpossibleReadings):
        inferred(job(), SumTest(), record, 256, 1)
    assert taught_by(job(), SumTest(), record, part="left cock") is None
