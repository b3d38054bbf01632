"""The drop test: what it foresees, what it learns, and whether its intervals are honest."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from bench_tests.invented_drops import (
    UPRIGHT_AND_TILTED,
    Truth,
    inferred,
    invented,
    piston,
    record,
    times_of,
)
from benchproof.bench_tests.drop_test import DropTest
from benchproof.duties.matter import expansion_name
from benchproof.duties.piston_fit import PistonFit
from benchproof.reckon.joint import Made
from benchproof.reckon.plan import Job
from benchproof.reckon.result import Result, bench_result
from benchproof.workshop.lathe import assumed_lathe
from sources import source

MICRON = 1e-6
UPRIGHT = ("upright",) * 4


def exact(clearance: float, **values: float) -> Truth:
    """A truth without any nuisance but those stated."""
    plain = {
        expansion_name("gunmetal"): 18.0e-6,
        "drop_posture": 1.0,
        "drop_scale": 0.0,
        "drop_scatter": 1e-6,
        "drop_temperature_difference": 0.0,
        "drop_taper": 0.0,
        "stand_off": 0.0,
        "sliding_friction": 0.15,
    }
    return Truth(clearance, plain | values)


def foreseen(truth: Truth, posture: str) -> float:
    foresight = DropTest().prepare(piston(), record([100.0], (posture,)))
    samples = {name: np.array([value]) for name, value in truth.values.items()}
    samples |= {"bore": np.array([30e-3]), "piston": np.array([30e-3 - truth.clearance])}
    return float(np.exp(foresight.foresee(samples)[0, 0]))


@source("an independent calculation of the same fall", kind="own calculation")
@pytest.mark.parametrize(("posture", "seconds"), [(1.0, 446.2), (2.5, 181.6)])
def test_a_thirty_millimetre_piston_falls_in_minutes(posture: float, seconds: float) -> None:
    # Air at 20 degrees has 18.134 uPa s by the standard atmosphere's formula.
    assert foreseen(exact(20e-6, drop_posture=posture), "upright") == pytest.approx(
        seconds, rel=5e-3
    )


def test_tilted_it_lies_on_the_wall_and_its_weight_is_shared_with_the_wall() -> None:
    drive = np.cos(np.radians(20.0)) - 0.15 * np.sin(np.radians(20.0))
    lying = foreseen(exact(20e-6, drop_posture=2.5), "upright")
    assert foreseen(exact(20e-6), "tilted") == pytest.approx(lying / drive, rel=2e-3)


def test_a_warmer_piston_leaves_less_gap() -> None:
    warm = foreseen(exact(20e-6, drop_temperature_difference=5.0), "upright")
    # 30 mm of gunmetal 5 K warmer is 2.7 um larger.
    assert warm == pytest.approx(foreseen(exact(17.3e-6), "upright"), rel=1e-6)


def test_a_piston_that_cannot_fall_makes_its_readings_impossible_not_an_error() -> None:
    foresight = DropTest().prepare(piston(), record([100.0], ("upright",)))
    truth = exact(-1e-6)
    samples = {name: np.array([value]) for name, value in truth.values.items()}
    samples |= {"bore": np.array([30e-3]), "piston": np.array([30e-3 + 1e-6])}
    assert foresight.log_likelihood(samples)[0] == -np.inf


def interval(samples: dict[str, np.ndarray]) -> tuple[float, float]:
    low, high = np.quantile(samples["bore"] - samples["piston"], (0.05, 0.95))
    return float(low), float(high)


def conductance(foresight: Any, samples: dict[str, np.ndarray]) -> np.ndarray:
    figures = {figure.name: figure.values for figure in foresight.figures(samples)}
    return np.asarray(figures["conductance"])


def test_ninety_in_a_hundred_intervals_hold_the_truth_as_often_as_they_say() -> None:
    rng = np.random.default_rng(2026)
    clearances = flows = 0
    worth = []
    for seed in range(200):
        truth = invented(rng, float(np.exp(rng.uniform(np.log(8e-6), np.log(60e-6)))))
        times = times_of(truth, rng, UPRIGHT_AND_TILTED)
        learned, samples, foresight = inferred(times, UPRIGHT_AND_TILTED, seed=seed)
        low, high = interval(samples)
        clearances += low <= truth.clearance <= high
        least, most = np.quantile(conductance(foresight, samples), (0.05, 0.95))
        flows += bool(least <= truth.conductance <= most)
        worth.append(learned.effective)
    assert 170 <= clearances <= 190
    assert 170 <= flows <= 190
    assert min(worth) >= 1000.0  # of 2048 draws; an answer takes 4096


@pytest.mark.parametrize(
    ("lies", "posture"), [("on one wall", 2.5), ("centred", 1.0), ("cocked", 0.54)]
)
def test_however_it_lies_the_interval_holds_the_truth(lies: str, posture: float) -> None:
    # Over 300 to 500 such pistons 89, 89 and 87 in 100 were held; a hundred keep the test short.
    rng = np.random.default_rng(21)
    held = 0
    for seed in range(100):
        truth = invented(rng, 20e-6, drop_posture=posture)
        times = times_of(truth, rng, UPRIGHT_AND_TILTED)
        low, high = interval(inferred(times, UPRIGHT_AND_TILTED, seed=seed)[1])
        held += low <= truth.clearance <= high
    assert held >= 85, f"{lies}: {held} of 100"


def test_a_tilted_run_parts_clearance_from_posture() -> None:
    rng = np.random.default_rng(3)
    truth = exact(20e-6, drop_posture=1.6, drop_scatter=0.01, stand_off=1e-6)
    upright = interval(inferred(times_of(truth, rng, UPRIGHT), UPRIGHT)[1])
    both = interval(inferred(times_of(truth, rng, UPRIGHT_AND_TILTED), UPRIGHT_AND_TILTED)[1])
    assert upright[1] - upright[0] > 4.0 * (both[1] - both[0])
    assert both[1] - both[0] < 2.0 * MICRON


def test_upright_runs_alone_still_fix_the_conductance() -> None:
    rng = np.random.default_rng(3)
    truth = exact(20e-6, drop_posture=1.6, drop_scatter=0.01)
    _, samples, foresight = inferred(times_of(truth, rng, UPRIGHT), UPRIGHT)
    found = conductance(foresight, samples)
    assert np.std(found) / np.mean(found) < 0.04
    assert np.mean(found) == pytest.approx(truth.conductance, rel=0.08)


@pytest.fixture(scope="module")
def tested() -> Result:
    rng = np.random.default_rng(5)
    truth = exact(20e-6, drop_posture=1.4, drop_scatter=0.01, stand_off=1e-6)
    times = times_of(truth, rng, UPRIGHT_AND_TILTED)
    made = {"bore": Made(30e-3, 3e-6, None), "piston": Made(30e-3 - 20e-6, 2e-6, None)}
    job = Job(PistonFit(), piston(), assumed_lathe(), made)
    return bench_result(job, DropTest(), record(times, UPRIGHT_AND_TILTED))


def test_a_stopwatch_beats_two_micrometers_by_a_factor_of_five(tested: Result) -> None:
    share = next(f for f in tested.forecasts if f.name == "steam_share")
    assert share.sizes_held.width > 5.0 * share.tested_held.width


def test_what_only_service_can_settle_is_left_open_and_shown(tested: Result) -> None:
    share = next(f for f in tested.forecasts if f.name == "steam_share")
    assert share.tested_open.width > share.tested_held.width
    assert set(tested.held) == {"service_posture", "piston_lead"}


def test_a_good_record_raises_no_doubt(tested: Result) -> None:
    assert not tested.contradicted
    assert tested.learning.enough
    assert np.max(np.abs(tested.residuals)) < 3.0


def test_sizes_that_contradict_the_fall_are_named() -> None:
    rng = np.random.default_rng(5)
    times = times_of(exact(20e-6, stand_off=1e-6), rng, UPRIGHT_AND_TILTED)
    made = {"bore": Made(30e-3, 1e-6, None), "piston": Made(30e-3 - 45e-6, 1e-6, None)}
    job = Job(PistonFit(), piston(), assumed_lathe(), made)
    found = bench_result(job, DropTest(), record(times, UPRIGHT_AND_TILTED))
    assert found.contradicted
    assert any("measure it again" in flag.words for flag in found.answer.flags)


def test_times_that_contradict_each_other_are_named() -> None:
    job = Job(PistonFit(), piston(), assumed_lathe(), {})
    taken = record([300.0, 305.0, 298.0, 302.0, 3000.0, 3050.0], UPRIGHT_AND_TILTED)
    found = bench_result(job, DropTest(), taken)
    assert found.contradicted


def test_inverted_runs_have_a_posture_of_their_own() -> None:
    postures = ("upright", "upright", "inverted", "inverted", "tilted", "tilted")
    rng = np.random.default_rng(8)
    truth = exact(
        20e-6, drop_posture=1.0, drop_posture_inverted=2.0, drop_scatter=0.01, stand_off=1e-6
    )
    samples = inferred(times_of(truth, rng, postures), postures)[1]
    assert np.median(samples["drop_posture"]) == pytest.approx(1.0, rel=0.15)
    assert np.median(samples["drop_posture_inverted"]) == pytest.approx(2.0, rel=0.15)
