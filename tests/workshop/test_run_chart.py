"""Run charts: limits of the process, limits of the need, and what a run of points says."""

import math
from typing import Any

import numpy as np
import pytest
from scipy import stats

from benchproof.workshop.run_chart import (
    ChartLimits,
    chart_of_individuals,
    chart_of_means,
    limits_from_need,
    signals,
)


def test_the_scatter_within_groups_is_found() -> None:
    groups = 10.0 + 2.0 * np.random.default_rng(1).standard_normal((4000, 5))
    for by_deviation in (False, True):
        chart = chart_of_means(groups, by_deviation=by_deviation)
        assert chart.sigma == pytest.approx(2.0, rel=0.02)
        assert chart.means.upper == pytest.approx(10.0 + 6.0 / math.sqrt(5.0), abs=0.06)
        assert np.mean(np.abs(chart.points - 10.0) > 6.0 / math.sqrt(5.0)) < 0.006
        assert len(chart.changed) < 30


def test_slow_wear_hardly_widens_the_chart_of_single_readings() -> None:
    rng = np.random.default_rng(2)
    worn = rng.standard_normal(400) + 0.05 * np.arange(400)
    chart = chart_of_individuals(worn)
    assert chart.sigma == pytest.approx(1.0, rel=0.08)
    assert worn.std() > 5.0
    assert chart.changed[0] == 0
    assert chart.changed[-1] == 399


def test_the_limits_of_the_need_stop_a_run_that_has_gone_too_far() -> None:
    """At the level where 2 in 100 pieces are out, 95 in 100 means of four leave them."""
    need = limits_from_need(
        lower=-10.0, upper=10.0, spread=2.0, count=4, share_out=0.02, missed=0.05
    )
    level = 10.0 - 2.0 * stats.norm.isf(0.02)
    assert stats.norm.sf(10.0, level, 2.0) == pytest.approx(0.02, rel=1e-6)
    assert stats.norm.sf(need.upper, level, 1.0) == pytest.approx(0.95, rel=1e-6)
    assert need.lower == pytest.approx(-need.upper, rel=1e-12)
    assert need.useful
    assert not limits_from_need(lower=-1.0, upper=1.0, spread=2.0, count=4).useful


def test_need_and_process_are_told_apart() -> None:
    """A steady process that lies off, and one that moves where it does not matter."""
    steady = np.tile([6.9, 7.1], (20, 2)) + np.random.default_rng(3).normal(0.0, 0.1, (20, 4))
    chart = chart_of_means(steady, lower=-7.2, upper=7.2)
    assert chart.matters == list(range(20))
    assert len(chart.changed) <= 2
    moved = np.random.default_rng(4).normal(0.0, 0.1, (20, 4))
    moved[12:] += 1.0
    chart = chart_of_means(moved, lower=-7.2, upper=7.2)
    assert set(range(12, 20)) <= set(chart.changed)
    assert chart.matters == []
    one_sided = chart_of_means(moved, upper=0.5)
    assert one_sided.need is not None
    assert one_sided.need.lower == -math.inf
    assert set(one_sided.matters) >= set(range(12, 20))
    assert chart_of_individuals([1.0, 2.0, 1.0]).matters == []
    cramped = chart_of_means(np.random.default_rng(5).normal(0, 1, (5, 4)), lower=-1, upper=1)
    assert cramped.matters == []


def test_runs_and_drifts() -> None:
    assert signals([1.0, -1.0, 2.0, -2.0, 1.0], centre=0.0) == []
    assert "8 in a row on one side" in signals([1, 2, 1, 2, 1, 2, 1, 2], centre=0.0)[0]
    assert signals([1, 2, 1, 2, 0, 1, 2, 1, 2], centre=0.0) == []
    drift = signals([-3, -2, -1, 1, 2, 3], centre=0.0)
    assert len(drift) == 1
    assert "6 in a row rise or fall" in drift[0]


def test_points_outside_are_named() -> None:
    assert ChartLimits(0.0, -1.0, 1.0).outside([0.0, 1.5, -1.0, -1.1]) == [1, 3]


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (lambda: chart_of_means(np.ones((1, 5))), "two groups or more"),
        (lambda: chart_of_means(np.ones((5, 1))), "2 to 25 readings"),
        (lambda: chart_of_means(np.full((5, 3), math.nan)), "finite"),
        (lambda: chart_of_individuals([1.0, 2.0]), "three or more"),
        (lambda: signals([math.inf], centre=0.0), "finite"),
        (lambda: limits_from_need(lower=1.0, upper=1.0, spread=1.0, count=1), "must be under"),
        (lambda: limits_from_need(lower=0.0, upper=1.0, spread=-1.0, count=1), "zero or more"),
        (lambda: limits_from_need(lower=0.0, upper=1.0, spread=1.0, count=0), "one piece"),
        (
            lambda: limits_from_need(lower=0.0, upper=1.0, spread=1.0, count=1, missed=0.5),
            "between 0 and a half",
        ),
    ],
)
def test_what_is_no_chart_is_refused(made: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        made()
