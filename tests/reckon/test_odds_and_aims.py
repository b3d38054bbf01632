"""Odds, sweeps, aims, windows and laps, on models whose answers are known in closed form."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr, ndtri

from benchproof.duties.contract import Need, Outcome, Samples
from benchproof.features import Feature
from benchproof.reckon.aims import (
    Costs,
    best_aim,
    interval,
    laps_to_expect,
    likeliest_aim,
    narrowed,
    offsets_to_try,
)
from benchproof.reckon.odds import Sweep, needs_met, sweep

SHAFT = Feature("shaft", 0.0, "shaft", correction="smaller", cut_last=True)
HOLE = Feature("shaft", 0.0, "hole", correction="larger", cut_last=True)
FIXED = Feature("shaft", 0.0, "thing", cut_last=True)
NEEDS = (
    Need("size", 1.0, "at most", "it would not go in"),
    Need("size", -1.0, "at least", "it would rattle"),
)


class Size:
    """The merit is the size itself."""

    def perform(self, samples: Samples, *, only: Collection[str] | None = None) -> Outcome:
        return Outcome({"size": samples["shaft"]})


def normal_shafts(count: int = 200_000, sd: float = 1.0) -> dict[str, np.ndarray]:
    """Evenly spread normal scores: a draw without sampling noise."""
    return {"shaft": np.asarray(sd * ndtri((np.arange(count) + 0.5) / count))}


def swept(feature: Feature = SHAFT, sd: float = 1.0, reach: float = 4.0) -> Sweep:
    offsets = offsets_to_try(-reach, reach, 81)
    return sweep(Size(), NEEDS, normal_shafts(sd=sd), feature, offsets)


def test_odds_are_the_normal_chance_of_lying_between_the_limits() -> None:
    found = swept()
    expected = ndtr(1.0 - found.offsets) - ndtr(-1.0 - found.offsets)
    np.testing.assert_allclose([o.right for o in found.odds()], expected, atol=2e-5)


def test_a_shaft_too_large_can_be_corrected_and_one_too_small_is_lost() -> None:
    found = swept(SHAFT, reach=8.0)
    odds = found.odds()[40]
    assert found.offsets[40] == pytest.approx(0.0, abs=1e-12)
    assert odds.correctable == pytest.approx(1.0 - ndtr(1.0), abs=1e-4)
    assert odds.lost == pytest.approx(ndtr(-1.0), abs=1e-4)


def test_a_hole_is_corrected_the_other_way_and_some_things_not_at_all() -> None:
    hole, fixed = swept(HOLE, reach=8.0).odds()[50], swept(FIXED, reach=8.0).odds()[50]
    offset = 2.0
    assert hole.correctable == pytest.approx(ndtr(-1.0 - offset), abs=1e-4)
    assert hole.lost == pytest.approx(1.0 - ndtr(1.0 - offset), abs=1e-4)
    assert fixed.correctable == 0.0
    assert fixed.lost == pytest.approx(1.0 - fixed.right)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.2, 3.0), st.sampled_from([SHAFT, HOLE, FIXED]))
def test_right_correctable_and_lost_always_add_up_to_one(sd: float, feature: Feature) -> None:
    for odds in swept(feature, sd).odds():
        assert odds.right + odds.correctable + odds.lost == pytest.approx(1.0, abs=1e-12)
        assert min(odds.right, odds.correctable, odds.lost) >= 0.0


def test_the_sampling_error_is_that_of_a_share() -> None:
    odds = swept().odds()[40]
    p = odds.right
    assert odds.sampling_error == pytest.approx(np.sqrt(p * (1 - p) / 200_000))


def test_blocks_and_threads_change_nothing() -> None:
    few = {"shaft": normal_shafts(1000)["shaft"]}
    alone = sweep(Size(), NEEDS, few, SHAFT, np.array([0.0]))
    many = {"shaft": np.tile(few["shaft"], 100)}
    together = sweep(Size(), NEEDS, many, SHAFT, np.array([0.0]))
    np.testing.assert_array_equal(np.tile(alone.right, (1, 100)), together.right)


def test_a_merit_that_is_not_a_number_meets_no_need() -> None:
    outcome = Outcome({"size": np.array([np.nan, 0.0])})
    np.testing.assert_array_equal(needs_met(NEEDS, outcome), [False, True])


def test_offsets_must_rise() -> None:
    with pytest.raises(ValueError, match="ascending"):
        sweep(Size(), NEEDS, normal_shafts(10), SHAFT, np.array([1.0, 0.0]))


def test_a_dear_scrap_moves_the_aim_to_the_side_that_can_be_corrected() -> None:
    found = swept(SHAFT)
    assert likeliest_aim(found).offset == pytest.approx(0.0, abs=0.051)
    dear = best_aim(found, Costs(lost=50.0))
    cheap = best_aim(found, Costs(lost=1.0))
    assert dear.offset > best_aim(found).offset > cheap.offset - 1e-12
    assert dear.odds.lost < best_aim(found).odds.lost
    # However dear, cutting so large that nothing ever comes right is no answer.
    assert best_aim(found, Costs(lost=1e3)).odds.right > 0.02


def test_the_least_cost_is_that_of_cutting_again_until_right_or_lost() -> None:
    found = swept(SHAFT)
    costs = Costs()
    chosen = best_aim(found, costs)
    rng = np.random.default_rng(5)

    def simulated(offset: float) -> float:
        spent = np.zeros(100_000)
        waiting = np.ones(spent.size, dtype=bool)
        while waiting.any():
            size = offset + rng.standard_normal(spent.size)
            spent += waiting * np.where(size < -1.0, costs.lost, 0.0)
            spent += waiting * np.where(size > 1.0, costs.another_cut, 0.0)
            waiting &= size > 1.0
        return float(spent.mean())

    here = simulated(chosen.offset)
    assert here < simulated(chosen.offset + 0.5)
    assert here < simulated(chosen.offset - 0.5)


def test_on_a_plateau_the_middle_is_taken() -> None:
    found = swept(SHAFT, sd=1e-6)
    assert likeliest_aim(found).offset == pytest.approx(0.0, abs=0.11)


def test_the_interval_is_where_the_odds_cross_the_level() -> None:
    found = interval(swept(sd=0.5), 0.9)
    assert found.lower is not None
    assert found.upper is not None
    for edge in (found.lower, found.upper):
        chance = ndtr((1.0 - edge) / 0.5) - ndtr((-1.0 - edge) / 0.5)
        assert chance == pytest.approx(0.9, abs=2e-3)
    assert not found.empty


def test_where_no_offset_reaches_the_level_there_is_no_interval() -> None:
    found = interval(swept(sd=1.0), 0.9)
    assert found.empty
    assert found.upper is None
    assert found.best == pytest.approx(ndtr(1.0) - ndtr(-1.0), abs=1e-4)


def test_an_interval_that_runs_off_the_sweep_ends_with_it() -> None:
    found = interval(swept(sd=0.3, reach=0.2), 0.9)
    assert found.lower == pytest.approx(-0.2)
    assert found.upper == pytest.approx(0.2)


def test_the_second_sweep_keeps_what_the_first_found_and_no_more() -> None:
    offsets = narrowed(swept(sd=1e-3, reach=4.0))
    assert offsets[0] <= -1.0
    assert offsets[-1] >= 1.0
    assert offsets[-1] - offsets[0] < 2.5
    nothing = Sweep(np.array([0.0, 1.0]), np.zeros((2, 3), bool), np.zeros((2, 3), bool))
    np.testing.assert_array_equal(narrowed(nothing), nothing.offsets)


def laps(start: list[float], fraction: float, spread: float) -> tuple[float, float, float]:
    return laps_to_expect(
        start=start, lower=9.0, upper=11.0, fraction=fraction, spread=spread, seed=1
    )


def test_laps_bring_a_tight_fit_home_one_by_one() -> None:
    # 0, 6, 8.4, 9.36: three laps.
    assert laps([0.0], 0.6, 0.0) == (3.0, 3.0, 0.0)
    assert laps([10.0], 0.6, 0.3) == (0.0, 0.0, 0.0)
    bold, timid = laps([0.0] * 500, 1.0, 0.5), laps([0.0] * 500, 0.5, 0.2)
    assert bold[0] < timid[0]
    assert bold[2] > timid[2]
    assert laps([0.0], 1e-6, 0.0)[2] == 1.0
