"""A gauge studied by one person, and one gauge against another."""

import math
from typing import Any

import numpy as np
import pytest
from scipy import stats

from benchproof.workshop.gauge_alone import alone, bias_against, bias_between, repeatability
from benchproof.workshop.gauge_study import GaugeStudy, analysis_of_variance


def readings(seed: int, shape: tuple[int, int, int] = (5, 2, 3), day: float = 0.0) -> np.ndarray:
    rng = np.random.default_rng(seed)
    parts, days, _ = shape
    return np.asarray(
        20.0 * rng.standard_normal((parts, 1, 1))
        + day * rng.standard_normal((1, days, 1))
        + 2.0 * rng.standard_normal(shape)
    )


def test_the_least_study_leaves_twenty_degrees_of_freedom_and_an_honest_interval() -> None:
    studies = [alone(readings(seed)) for seed in range(600)]
    assert all(study.repeatability.degrees == 20 and study.enough for study in studies)
    held = np.mean([s.repeatability.lower <= 2.0 <= s.repeatability.upper for s in studies])
    assert held == pytest.approx(0.95, abs=0.027)
    pooled = math.sqrt(np.mean([s.repeatability.sd**2 for s in studies]))
    assert pooled == pytest.approx(2.0, rel=0.02)


def test_days_take_the_place_of_people() -> None:
    taken = readings(3, (10, 8, 3), day=3.0)
    study = alone(taken)
    assert study.study == analysis_of_variance(taken).study
    assert study.u == study.study.gauge
    us = [alone(readings(seed, (10, 8, 3), day=3.0)).u for seed in range(60)]
    assert math.sqrt(np.mean(np.square(us))) == pytest.approx(math.hypot(2.0, 3.0), rel=0.08)


def test_a_short_study_says_what_would_tell_more() -> None:
    study = alone(readings(4, (3, 1, 2)))
    assert not study.enough
    assert study.study is None
    assert study.u == study.repeatability.sd
    for words in ("5 parts", "2 occasions", "3 readings of each", "slip"):
        assert words in study.advice
    assert "take at least" not in alone(readings(4)).advice


def test_two_gauges_by_students_t() -> None:
    rng = np.random.default_rng(5)
    first = rng.standard_normal(8)
    second = first + 0.4 + 0.5 * rng.standard_normal(8)
    found = bias_between(first, second)
    expected = stats.ttest_rel(second, first)
    interval = expected.confidence_interval(0.95)
    assert found.chance == pytest.approx(expected.pvalue, rel=1e-9)
    assert (found.lower, found.upper) == pytest.approx((interval.low, interval.high), rel=1e-9)
    assert found.mean == pytest.approx(float((second - first).mean()), rel=1e-12)


def test_a_gauge_against_a_slip() -> None:
    taken = [10.002, 10.001, 10.003, 10.002]
    found = bias_against(taken, reference=10.0)
    assert found.mean == pytest.approx(0.002, rel=1e-9)
    assert found.readings == 4
    assert found.chance == pytest.approx(stats.ttest_1samp(taken, 10.0).pvalue, rel=1e-6)
    assert bias_against([1.0, 1.0, 1.0], reference=1.0).chance == 1.0
    assert bias_against([1.5, 1.5, 1.5], reference=1.0).chance == 0.0


def test_the_gauge_against_the_limits() -> None:
    study = GaugeStudy(repeatability=3.0, reproducibility=4.0, parts=20.0)
    assert study.share_of_tolerance(lower=-50.0, upper=50.0) == pytest.approx(0.3, rel=1e-12)
    with pytest.raises(ValueError, match="must be under"):
        study.share_of_tolerance(lower=1.0, upper=1.0)


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (lambda: alone(np.ones((3, 3))), "part, occasion and trial"),
        (lambda: alone(np.ones((3, 2, 1))), "read twice or more"),
        (lambda: repeatability(np.full((2, 2), math.nan)), "finite"),
        (lambda: repeatability(np.ones((2, 2)), confidence=1.0), "confidence"),
        (lambda: bias_between([1.0, 2.0], [1.0, 2.0]), "three parts or more"),
        (lambda: bias_between([1.0, 2.0, 3.0], [1.0, 2.0]), "three parts or more"),
        (lambda: bias_against([1.0, 2.0], reference=1.0), "three readings"),
        (lambda: bias_against([1.0, 2.0, math.nan], reference=1.0), "finite"),
        (lambda: bias_against([1.0, 2.0, 3.0], reference=1.0, confidence=0.0), "confidence"),
    ],
)
def test_what_is_no_study_is_refused(made: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        made()
