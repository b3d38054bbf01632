"""What a bench test showed, put together for every face."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from bench_tests.invented_drops import UPRIGHT_AND_TILTED, piston, record
from benchproof.bench_tests.drop_test import DropTest
from benchproof.duties.piston_fit import PistonFit, PistonSpec
from benchproof.reckon import learning
from benchproof.reckon.joint import Made
from benchproof.reckon.learning import ImpossibleReadings
from benchproof.reckon.plain import plain_result
from benchproof.reckon.plan import Job
from benchproof.reckon.result import LEARNING_DRAWS, Result, bench_result, fit_by_readings
from benchproof.workshop.lathe import assumed_lathe
from toys import CockSpec, ToyCock

TIGHT = [3900.0, 3850.0, 3920.0, 3880.0, 2900.0, 2950.0]


def learned_from(times: list[float], *, draws: int = LEARNING_DRAWS) -> Result:
    job = Job(PistonFit(), piston(), assumed_lathe(), {})
    return bench_result(job, DropTest(), record(times, UPRIGHT_AND_TILTED), draws=draws)


@pytest.fixture(scope="module")
def tight() -> Result:
    return learned_from(TIGHT)


def test_too_tight_a_piston_is_told_how_much_more_to_take_off(tight: Result) -> None:
    answer = tight.answer
    assert answer.already_cut
    assert answer.best.odds.correctable > 0.8
    assert answer.likeliest.odds.right > 0.9
    assert -12e-6 < answer.likeliest.offset < -2e-6
    assert answer.known_from == "shown by the drop test on plate glass"


def test_what_was_believed_before_stands_beside_what_the_test_showed(tight: Result) -> None:
    before = {figure.name: figure for figure in tight.before}
    for figure in tight.measured:
        if figure.name in {"clearance", "conductance", "posture"}:
            assert figure.width < before[figure.name].width


def test_causes_after_a_test_are_the_pieces_themselves(tight: Result) -> None:
    keys = {cause.key for cause in tight.answer.causes}
    assert {"piece bore", "piece piston"} <= keys
    assert not any(key.startswith(("cut ", "gauge ", "bias ")) for key in keys)


def test_plain_data_holds_the_test_and_the_answer(tight: Result) -> None:
    plain = plain_result(tight)
    assert json.loads(json.dumps(plain, allow_nan=False))["test"] == "drop-test"
    assert plain["readings"] == 6
    assert len(plain["residuals"]) == 6
    assert plain["learning"]["effective"] >= 2000.0
    assert plain["odds"] == plain_result(tight)["odds"]


def test_few_draws_are_owned_up_to() -> None:
    found = learned_from(TIGHT, draws=256)
    assert not found.learning.enough
    assert any(flag.name == "few draws" for flag in found.answer.flags)


def test_readings_nothing_can_explain_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    def never(_self: object, samples: dict[str, np.ndarray]) -> np.ndarray:
        return np.full(samples["bore"].shape, -np.inf)

    monkeypatch.setattr("benchproof.bench_tests.drop_test.DropForesight.log_likelihood", never)
    with pytest.raises(ImpossibleReadings):
        learned_from(TIGHT)


def test_sizes_the_fall_cannot_be_squared_with_are_named() -> None:
    made = {"bore": Made(30e-3, 1e-6, None), "piston": Made(30e-3 - 45e-6, 1e-6, None)}
    job = Job(PistonFit(), piston(), assumed_lathe(), made)
    found = bench_result(job, DropTest(), record([450.0, 200.0], ("upright", "tilted")))
    assert found.contradicted
    assert any(flag.name == "bends belief" for flag in found.answer.flags)


def test_readings_that_fit_no_piston_are_named() -> None:
    found = learned_from([300.0, 305.0, 298.0, 302.0, 3000.0, 3050.0])
    assert found.contradicted
    assert any(flag.name == "contradicts" for flag in found.answer.flags)


def test_tilted_runs_that_differ_by_half_cannot_both_be_right() -> None:
    found = learned_from([300.0, 305.0, 298.0, 302.0, 200.0, 300.0])
    assert any("farthest off" in flag.words for flag in found.answer.flags)


def test_made_sizes_sharpen_what_upright_runs_leave_open() -> None:
    postures = ("upright",) * 3
    times = [450.0, 455.0, 452.0]
    job = Job(PistonFit(), piston(), assumed_lathe(), {})
    made = {"bore": Made(30e-3, 1e-6, None), "piston": Made(30e-3 - 20e-6, 1e-6, None)}

    def width(one: Job[PistonSpec]) -> float:
        found = bench_result(one, DropTest(), record(times, postures))
        return next(f for f in found.measured if f.name == "clearance").width

    assert width(replace(job, made=made)) < 0.7 * width(job)


def test_the_worth_of_the_draws_is_watched(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(learning, "_MOST_STEPS", 1)
    found = learned_from(TIGHT)
    assert found.learning.effective == 0.0
    assert any(flag.name == "few draws" for flag in found.answer.flags)


def test_a_duty_that_is_no_fit_hands_no_fit_on() -> None:
    job = Job(ToyCock(), CockSpec(), assumed_lathe(), {})
    assert fit_by_readings(job, DropTest(), record(TIGHT, UPRIGHT_AND_TILTED)) is None


def test_readings_by_themselves_give_the_fit() -> None:
    job = Job(PistonFit(), piston(), assumed_lathe(), {})
    found = fit_by_readings(job, DropTest(), record(TIGHT, UPRIGHT_AND_TILTED))
    assert found is not None
    tested = {f.name: f for f in learned_from(TIGHT).measured}["clearance"]
    assert found[0] == pytest.approx(tested.median, rel=0.05)


def test_readings_that_prove_nothing_give_no_fit(monkeypatch: pytest.MonkeyPatch) -> None:
    job = Job(PistonFit(), piston(), assumed_lathe(), {})
    oily = record(TIGHT, UPRIGHT_AND_TILTED, degreased=False)
    assert fit_by_readings(job, DropTest(), oily) is None
    torn = record([300.0, 305.0, 298.0, 302.0, 200.0, 300.0], UPRIGHT_AND_TILTED)
    assert fit_by_readings(job, DropTest(), torn) is None

    def never(_self: object, samples: dict[str, np.ndarray]) -> np.ndarray:
        return np.full(samples["bore"].shape, -np.inf)

    monkeypatch.setattr("benchproof.bench_tests.drop_test.DropForesight.log_likelihood", never)
    assert fit_by_readings(job, DropTest(), record(TIGHT, UPRIGHT_AND_TILTED)) is None
