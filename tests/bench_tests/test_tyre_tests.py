"""Growth and witness mark: what they tell, what they flag, and whether growth is honest."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.stats import binom, norm

from benchproof.bench_tests.growth import Growth, GrowthRecord, Place
from benchproof.bench_tests.witness_mark import (
    BETWEEN_RUNS,
    MISREAD,
    Runs,
    WitnessMark,
    WitnessRecord,
)
from benchproof.duties.tyre_fit import TyreFit
from benchproof.duties.tyre_spec import TyreSpec
from benchproof.reckon.joint import Made
from benchproof.reckon.plan import Job
from benchproof.reckon.result import bench_result
from benchproof.specs import SpecError
from benchproof.spread import Fixed, Uniform
from benchproof.workshop.lathe import assumed_lathe
from sources import source

TYRE = TyreSpec(
    seat=100e-3,
    tread=116e-3,
    width=20e-3,
    wheel_is="solid",
    wheel_material="grey iron",
    tyre_material="mild steel",
    axle_load=490.0,
)
JOB = Job(TyreFit(), TYRE, assumed_lathe(), {})
ROUGH = 116.5e-3


def places(*grown: float, outside: float = ROUGH, **more: Any) -> GrowthRecord:
    return GrowthRecord(
        reading=tuple(Place(before=outside, after=outside + each) for each in grown), **more
    )


def middles(test: Any, record: Any, interference: float, **changed: float) -> dict[str, Any]:
    unknowns = [*TyreFit().unknowns(TYRE), *test.unknowns(TYRE, record)]
    samples = {each.name: np.array([each.spread.median]) for each in unknowns}
    samples |= {"seat": np.array([0.1]), "tyre bore": np.array([0.1 - interference])}
    return samples | {name: np.array([value]) for name, value in changed.items()}


def grown(interference: float, record: GrowthRecord, **changed: float) -> float:
    samples = middles(Growth(), record, interference, **changed)
    return float(Growth().prepare(TYRE, record).foresee(samples)[0])


@source("growth of the rough tyre worked by hand", kind="own calculation")
def test_growth_is_that_of_the_tyre_as_it_was_and_not_as_it_will_be() -> None:
    left = 100e-6 - 0.8 * 12.6e-6
    hoop = (116.5**2 + 100**2) / (116.5**2 - 100**2)
    pressure = left / 0.1 / ((hoop + 0.29) / 200e9 + 0.789 / 100e9)
    record = places(0.0)
    assert grown(100e-6, record) == pytest.approx((hoop - 1) * pressure / 200e9 * ROUGH, rel=1e-9)
    warm = places(0.0, warmer_after=2.0)
    more = grown(100e-6, warm) - grown(100e-6, record)
    assert more == pytest.approx(2.0 * 11.7e-6 * ROUGH, rel=1e-9)
    assert grown(-10e-6, record) == 0.0


def test_growth_gives_the_real_interference_where_the_sizes_are_not_known() -> None:
    truth = grown(90e-6, places(0.0))
    found = bench_result(JOB, Growth(), places(*(truth + e for e in (0.0, 2e-6, -1e-6, -1e-6))))
    figures = {figure.name: figure for figure in found.measured}
    before = {figure.name: figure for figure in found.before}
    told = figures["interference"]
    assert told.p5 < 90e-6 < told.p95
    assert told.p95 - told.p5 < 20e-6
    assert before["interference"].p95 - before["interference"].p5 > 100e-6
    assert not found.contradicted


def test_growth_finds_a_tyre_that_did_not_go_home() -> None:
    made = {"seat": Made(0.1, 2e-6, 0.1), "tyre bore": Made(0.1 - 100e-6, 3e-6, None)}
    job = Job(TyreFit(), TYRE, assumed_lathe(), made)
    found = bench_result(job, Growth(), places(20e-6, 22e-6, 19e-6))
    assert found.contradicted


def test_what_a_test_would_have_measured_is_told_in_arrays() -> None:
    record = places(*[60e-6] * 3)
    samples = middles(Growth(), record, 100e-6)
    told = {f.name: f.values[0] for f in Growth().prepare(TYRE, record).figures(samples)}
    outcome = TyreFit().prepare(TYRE).perform(samples).merits
    assert told["pressure"] == pytest.approx(outcome["pressure"][0], rel=1e-12)
    assert told["slip_torque"] == pytest.approx(outcome["slip_torque"][0], rel=1e-12)
    assert told["left"] == pytest.approx(100e-6 - 0.8 * 12.6e-6, rel=1e-12)
    for test in (Growth(), WitnessMark()):
        steps = test.procedure(TYRE)
        assert any("burn" in step or "Hot" in step for step in steps)


TYRES, SEED, DRAWS = 200, 20_240, 40_000


def interval(values: Any, weights: Any) -> tuple[float, float]:
    """From 5 to 95 % of weighted draws."""
    order = np.argsort(values)
    share = np.cumsum(weights[order])
    low, high = np.searchsorted(share / share[-1], (0.05, 0.95))
    return float(values[order][low]), float(values[order][high])


@source("binomial law of a 90 % interval over 200 tyres", kind="own calculation")
def test_its_interval_holds_the_truth_as_often_as_it_says() -> None:
    test, record = Growth(), places(*[0.0] * 4)
    joint = JOB.joint(
        unmeasured=TyreFit().unmeasured(TYRE),
        more_unknowns=test.unknowns(TYRE, record),
        pieces=True,
    )
    rng = np.random.default_rng(SEED)
    truths = joint.samples(rng.standard_normal((len(joint.columns), TYRES)))
    foreseen = test.prepare(TYRE, record).foresee(truths)
    readings = foreseen[:, None] + np.sqrt(2.0) * 3e-6 * rng.standard_normal((TYRES, 4))
    drawn = joint.samples(rng.standard_normal((len(joint.columns), DRAWS)))
    interference = drawn["seat"] - drawn["tyre bore"]
    held, effective = 0, []
    for tyre in range(TYRES):
        fit = test.prepare(TYRE, places(*readings[tyre])).log_likelihood(drawn)
        weights = np.exp(fit - fit.max())
        low, high = interval(interference, weights)
        held += int(low <= truths["seat"][tyre] - truths["tyre bore"][tyre] <= high)
        effective.append(weights.sum() ** 2 / np.square(weights).sum())
    assert np.quantile(effective, 0.05) > 200.0
    least, most = binom.ppf((0.005, 0.995), TYRES, 0.9)
    assert least <= held <= most
    # What the tool itself makes of the last one, by tempering and not by weights.
    found = bench_result(JOB, test, places(*readings[-1]), draws=2048)
    figures = {figure.name: figure for figure in found.measured}
    width = high - low
    assert figures["interference"].p5 == pytest.approx(low, abs=0.15 * width)
    assert figures["interference"].p95 == pytest.approx(high, abs=0.15 * width)


def test_a_rim_much_softer_than_believed_spoils_the_interval() -> None:
    record = places(*[0.0] * 4)
    stiff = grown(100e-6, record)
    soft = grown(100e-6, record, wheel_modulus=40e9)
    found = bench_result(JOB, Growth(), places(*[soft] * 4), draws=1024)
    told = {figure.name: figure for figure in found.measured}["interference"]
    # Growth alone cannot tell a soft rim from a slack fit: it speaks of the grip, not of the cut.
    assert soft < 0.85 * stiff
    assert told.p95 < 100e-6


def test_growth_says_what_looks_wrong() -> None:
    def flags(record: GrowthRecord) -> set[str]:
        return {flag.name for flag in Growth().screen(TYRE, record)}

    assert flags(places(70e-6, 71e-6, 69e-6)) == set()
    assert flags(places(70e-6)) == {"few places"}
    assert flags(places(70e-6, 30e-6, 50e-6)) == {"uneven"}
    assert flags(places(2e-6, 1e-6, 0.0)) == {"did not grow"}
    assert flags(places(70e-6, 70e-6, 70e-6, outside=108e-3)) == {"another outside"}
    assert flags(places(70e-6, 70e-6, 70e-6, outside=130e-3)) == {"another outside"}


def test_no_places_and_too_many_are_refused() -> None:
    for count in (0, 61):
        with pytest.raises(ValueError, match="one to sixty"):
            places(*[0.0] * count)
    with pytest.raises(SpecError):
        GrowthRecord.from_text({"reading": [{"before": "116.5 mm"}]})


def runs(moved: bool, count: int = 10, **more: Any) -> WitnessRecord:
    return WitnessRecord(reading=(Runs(runs=count, moved=moved, **more),))


@source("scipy.stats: largest of independent log-normal torques", kind="own calculation")
@pytest.mark.parametrize("count", [1, 10, 1000])
def test_a_mark_stays_when_the_worst_of_the_runs_is_held(count: int) -> None:
    # So little left, and so hot, that grip and torque are near each other.
    record = runs(False, count, torque=Fixed(8.0), tyre_lead=Fixed(0.0))
    samples = middles(WitnessMark(), record, 10.9e-6)
    foresight = WitnessMark().prepare(TYRE, record)
    capacity = {f.name: f.values[0] for f in foresight.figures(samples)}["slip_torque"]
    assert 4.0 < capacity < 16.0
    stays = norm.cdf(np.log(capacity / 8.0) / BETWEEN_RUNS) ** count
    chance = MISREAD + (1.0 - 2.0 * MISREAD) * (1.0 - stays)
    found = np.exp(foresight.log_likelihood(samples))[0]
    assert found == pytest.approx(1.0 - chance, rel=1e-6)
    moved = WitnessMark().prepare(TYRE, runs(True, count, torque=Fixed(8.0), tyre_lead=Fixed(0.0)))
    assert np.exp(moved.log_likelihood(samples))[0] == pytest.approx(chance, rel=1e-6)
    assert moved.residuals(samples)[0, 0] == pytest.approx(
        (1.0 - chance) / np.sqrt(chance * (1.0 - chance)), rel=1e-6
    )


def test_torque_is_that_of_the_rail_where_none_is_stated() -> None:
    record = runs(False, 1, tyre_lead=Fixed(0.0))
    by_rail = WitnessMark().prepare(TYRE, record).stays(middles(WitnessMark(), record, 10.9e-6))
    stated = runs(False, 1, torque=Fixed(0.25 * 58e-3 * 245.0), tyre_lead=Fixed(0.0))
    by_hand = WitnessMark().prepare(TYRE, stated).stays(middles(WitnessMark(), stated, 10.9e-6))
    np.testing.assert_allclose(by_rail, by_hand, rtol=1e-9, atol=0.0)


def test_a_mark_that_moved_tells_more_than_one_that_stayed() -> None:
    def interference(record: WitnessRecord) -> Any:
        return next(
            figure
            for figure in bench_result(JOB, WitnessMark(), record, draws=1024).measured
            if figure.name == "interference"
        )

    hot: dict[str, Any] = {"tyre_lead": Uniform(40.0, 60.0), "torque": Fixed(4.0)}
    stayed, moved = interference(runs(False, **hot)), interference(runs(True, **hot))
    assert moved.p95 < 90e-6
    assert stayed.p5 > 40e-6
    # Gentle runs: a tyre that keeps anything at all stays put, so little is learned of it.
    gentle = interference(runs(False, 100, tyre_lead=Fixed(0.0), torque=Fixed(3.0)))
    assert gentle.p5 < 20e-6


def test_a_loose_tyre_is_judged_and_no_number_is_lost() -> None:
    record = runs(False, 100_000)
    fit = WitnessMark().prepare(TYRE, record).log_likelihood(middles(WitnessMark(), record, -50e-6))
    assert fit[0] == pytest.approx(np.log(MISREAD), rel=1e-9)


def test_witness_flags() -> None:
    def flags(record: WitnessRecord) -> set[str]:
        return {flag.name for flag in WitnessMark().screen(TYRE, record)}

    assert flags(runs(True)) == {"moved"}
    assert flags(runs(False, 5)) == {"never hot", "few runs"}
    assert flags(runs(False, 50, tyre_lead=Uniform(30.0, 60.0))) == set()
    with pytest.raises(ValueError, match="one to sixty"):
        WitnessRecord(reading=())
