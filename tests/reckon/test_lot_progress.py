"""A lot half done, in cases whose answer is known."""

import math
from typing import Any

import numpy as np
import pytest
from scipy import stats

from benchproof.reckon.lot_evidence import Evidence, shown_by_lot
from benchproof.reckon.lot_given import Gauge, LotProcess
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_process import hyperparameters
from benchproof.reckon.lot_progress import LotReading, lot_so_far
from benchproof.reckon.lots import plan_lot
from benchproof.spread import Fixed, Normal
from benchproof.workshop.standing import Prior, Summary, learn

SHOWN = learn(Prior(), summary=Summary(30, bias=0.5, spread=2.5, u=1.0))


def plan_of(**changed: Any) -> LotPlan:
    stated: dict[str, Any] = {
        "lower": 7.990e-3,
        "upper": 8.004e-3,
        "wanted": 40,
        "process": LotProcess(SHOWN, 0.9e-6, wear=Normal(0.05e-6, 0.02e-6)),
        "gauge": Gauge(1e-6),
        "interval": 15,
        "lots": 1024,
    }
    return plan_lot(**{**stated, **changed})


def readings_at(plan: LotPlan, offs: list[float], *, setting: int = 0) -> list[LotReading]:
    return [
        LotReading(plan.set_for + off, plan.set_for, setting, place)
        for place, off in enumerate(offs)
    ]


def test_the_likelihood_is_that_of_one_large_normal() -> None:
    """Covariance written out in full: common, setting, moved stop, piece and reading."""
    plan = plan_of()
    rng = np.random.default_rng(4)
    stops = [plan.set_for + move for move in (0.0, 0.0, 2e-6, 2e-6, 0.0, 0.0, 1e-6)]
    settings = [0, 0, 0, 0, 1, 1, 1]
    places = [0, 1, 2, 3, 0, 1, 2]
    offs = 3e-6 * rng.standard_normal(7)
    readings = [
        LotReading(stop + off, stop, setting, place)
        for stop, off, setting, place in zip(stops, offs, settings, places, strict=True)
    ]
    scores = rng.standard_normal((3, 6))
    found = Evidence.of(plan, readings).log_likelihood(scores)
    spread, share, wear = hyperparameters(plan.process, scores)
    bias, bias_sd = SHOWN.bias_given(spread / 0.9e-6)
    same = np.equal.outer(settings, settings)
    moved = np.array([0, 0, 1, 1, 0, 0, 2])
    same_stop = np.equal.outer(moved, moved) & (moved > 0)
    exact = []
    for draw in range(6):
        covariance = np.full((7, 7), (bias_sd[draw] * 0.9e-6) ** 2 + plan.gauge.zero**2)
        covariance += same * spread[draw] ** 2 * share[draw] + same_stop * plan.run.dial**2
        own = spread[draw] ** 2 * (1.0 - share[draw]) + plan.gauge.repeat**2
        covariance += own * np.eye(7)
        mean = bias[draw] * 0.9e-6 + wear[draw] * np.array(places)
        # In micrometres, so that densities stay in range.
        exact.append(stats.multivariate_normal.logpdf(1e6 * offs, 1e6 * mean, 1e12 * covariance))
    np.testing.assert_allclose(found - found[0], np.array(exact) - exact[0], rtol=0, atol=1e-8)


def test_what_is_drawn_has_the_mean_and_spread_of_the_same_normal() -> None:
    """The present setting's level given all readings, by conditioning the large normal."""
    plan = plan_of(process=LotProcess(SHOWN, 0.9e-6, setting_share=Fixed(0.5)))
    offs = [1e-6, 2.5e-6, -0.5e-6, 3e-6, 2e-6]
    stops = [0.0, 0.0, 0.0, 0.0, -1e-6]
    readings = [
        LotReading(plan.set_for + stop + off, plan.set_for + stop, setting, 0)
        for stop, off, setting in zip(stops, offs, [0, 0, 1, 1, 1], strict=True)
    ]
    scores = np.full((3, 40_000), 0.3)
    hidden = Evidence.of(plan, readings).hidden(scores, np.random.default_rng(5))
    spread = float(SHOWN.spread_at(0.3)) * 0.9e-6
    bias, bias_sd = (0.9e-6 * float(each) for each in SHOWN.bias_given(spread / 0.9e-6))
    same = np.equal.outer([0, 0, 1, 1, 1], [0, 0, 1, 1, 1])
    level = bias_sd**2 + same * 0.5 * spread**2  # of pieces, without their own scatter
    level[4, 4] += plan.run.dial**2
    seen = level + plan.gauge.zero**2 + (0.5 * spread**2 + plan.gauge.repeat**2) * np.eye(5)
    gain = level @ np.linalg.inv(seen)
    mean = bias + gain @ (np.array(offs) - bias)
    covariance = level - gain @ level
    np.testing.assert_allclose(hidden.level.mean(axis=1), mean, rtol=0, atol=0.02e-6)
    np.testing.assert_allclose(np.cov(hidden.level), covariance, rtol=0, atol=0.03e-12)
    np.testing.assert_allclose(hidden.now, hidden.level[-1], rtol=0, atol=1e-15)


def test_more_good_ones_leave_fewer_to_make() -> None:
    plan = plan_of()
    rng = np.random.default_rng(2)
    middle = plan.aim - plan.set_for
    offs = [middle + 1e-6 * float(each) for each in rng.standard_normal(15)]
    needed = []
    for done in (1, 5, 10, 15):
        now = lot_so_far(plan, readings_at(plan, offs[:done]))
        assert now.accepted == now.made == done
        assert now.good <= done
        assert now.more is not None
        needed.append(now.more)
    assert needed == sorted(needed, reverse=True)
    assert needed[-1] >= 25


def test_a_setting_that_is_off_asks_more_and_is_said() -> None:
    plan = plan_of(interval=40)
    middle = plan.aim - plan.set_for
    fine, off = (lot_so_far(plan, readings_at(plan, [middle + shift] * 4)) for shift in (0.0, 5e-6))
    assert off.offset > fine.offset + 2e-6
    assert off.more is not None
    assert fine.more is not None
    assert off.more > fine.more
    assert off.chance < fine.chance


def test_a_lot_that_is_done_needs_no_more() -> None:
    plan = plan_of(wanted=3, gauge=Gauge(0.3e-6))
    middle = 7.997e-3 - plan.set_for
    now = lot_so_far(plan, readings_at(plan, [middle] * 5))
    assert now.more == 0
    assert now.chance == 1.0


def test_a_lot_that_goes_badly_is_beyond_reach() -> None:
    """Where little was known of the lathe, bad readings are believed."""
    plan = plan_of(
        process=LotProcess(learn(Prior(spread=2.0, factor=3.0)), 0.9e-6),
        lower=7.95e-3,
        upper=8.05e-3,
    )
    rng = np.random.default_rng(6)
    offs = [200e-6 * float(each) for each in rng.standard_normal(15)]
    now = lot_so_far(plan, readings_at(plan, offs))
    assert now.spread[0] > 50e-6
    assert now.more is None
    assert now.chance == 0.0


def test_recut_pieces_count_by_their_last_reading() -> None:
    plan = plan_of(correction="smaller")
    low, high = plan.accept
    stop = plan.set_for
    good = LotReading(high + 3e-6, stop, 0, 0, recut=0.5 * (low + high))
    bad = LotReading(high + 3e-6, stop, 0, 1, recut=low - 5e-6)
    left = LotReading(high + 3e-6, stop, 0, 2)
    now = lot_so_far(plan, [good, bad, left])
    assert now.made == 3
    assert now.accepted == 1
    assert 0.99 <= now.good <= 1.0


def test_a_gauge_without_doubt_and_pieces_alike() -> None:
    """No scatter within a setting, and none of the gauge: nothing is divided by zero."""
    process = LotProcess(SHOWN, 0.9e-6, setting_share=Fixed(1.0))
    plan = plan_of(process=process, gauge=Gauge(), first_off=0, dial=0.0)
    now = lot_so_far(plan, readings_at(plan, [1e-6] * 5))
    assert now.offset == pytest.approx(1e-6, abs=1e-9)
    assert math.isfinite(now.chance)


def test_readings_that_contradict_what_was_believed_are_said_to() -> None:
    sure = LotProcess(learn(Prior(spread=1.0, factor=1.01, bias_sd=0.1)), 0.9e-6)
    plan = plan_of(process=sure, gauge=Gauge(0.2e-6))
    rng = np.random.default_rng(8)
    wild = [8e-6 * float(each) for each in rng.standard_normal(40)]
    calm = [0.9e-6 * float(each) for each in rng.standard_normal(40)]
    believed = 0.9e-6 * sure.standing.spread_quantile(0.5)
    far = lot_so_far(plan, readings_at(plan, wild))
    assert far.rough
    assert far.spread[1] > 1.02 * believed
    assert not lot_so_far(plan, readings_at(plan, calm)).rough


def test_a_lot_counts_once_a_setting_in_the_standing() -> None:
    """The first pieces of 200 settings show the true spread; all pieces of one setting do not."""
    rng = np.random.default_rng(9)
    lot = [
        LotReading(8e-3 + 2e-6 * setting_off + 2e-6 * float(own), 8e-3, setting, place)
        for setting, setting_off in enumerate(rng.standard_normal(200))
        for place, own in enumerate(rng.standard_normal(5))
    ]
    shown = shown_by_lot(lot[::-1], unit=1e-6, u=0.5e-6)
    assert len(shown) == 200
    assert {each.u for each in shown} == {0.5}
    offs = sorted(each.deviation for each in shown)
    assert offs == pytest.approx(sorted((r.size - 8e-3) / 1e-6 for r in lot if r.place == 0))
    assert np.std(offs) == pytest.approx(math.sqrt(8.0), rel=0.12)
    standing = learn(Prior(), shown)
    low, high = (standing.spread_quantile(level) for level in (0.02, 0.98))
    assert low < math.sqrt(8.0) < high


def test_what_cannot_be_a_reading_is_refused() -> None:
    with pytest.raises(ValueError, match="no reading yet"):
        lot_so_far(plan_of(), [])
    with pytest.raises(ValueError, match="finite"):
        LotReading(math.nan, 8e-3)
    with pytest.raises(ValueError, match="finite"):
        LotReading(8e-3, 8e-3, recut=math.inf)
    with pytest.raises(ValueError, match="count from 0"):
        LotReading(8e-3, 8e-3, setting=-1)
