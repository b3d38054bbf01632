"""What to cut: the whole answer, on a piston and on a cock that shares its errors."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from benchproof.duties.piston_fit import PistonFit, PistonSpec
from benchproof.reckon.answer import Answer
from benchproof.reckon.causes import causes
from benchproof.reckon.joint import Made
from benchproof.reckon.odds import needs_met
from benchproof.reckon.plain import plain_answer
from benchproof.reckon.plan import Job, plan
from benchproof.workshop.lathe import Lathe, assumed_lathe
from benchproof.workshop.standing import Shown, learn
from toys import TAPER_ANGLE, CockSpec, ToyCock

MICRON = 1e-6
FEW = 8192


def piston(**more: Any) -> PistonSpec:
    given = {
        "bore": 60e-3,
        "land_length": 30e-3,
        "stroke": 80e-3,
        "bore_material": "gunmetal",
        "piston_material": "gunmetal",
        "boiler_pressure": 5e5,
    }
    return PistonSpec(**(given | more))


def fine_lathe(spread: float = 0.5) -> Lathe:
    """A lathe that has shown, over 40 parts, a spread of half a tolerance unit."""
    assumed = assumed_lathe()
    shown = [Shown(spread * z) for z in np.linspace(-1.7, 1.7, 40)]
    standings = dict(assumed.standings)
    for key in ("bore", "turn"):
        standings[key] = learn(standings[key].prior, shown)
    return replace(assumed, name="fine lathe", standings=standings)


@cache
def planned(made_bore: float | None = None, fine: bool = False) -> Answer:
    made = {} if made_bore is None else {"bore": Made(made_bore, 2e-6, made_bore)}
    lathe = fine_lathe() if fine else assumed_lathe()
    return plan(Job(PistonFit(), piston(), lathe, made), draws=FEW)


def test_a_fine_lathe_reaches_the_odds_and_needs_no_creeping_up() -> None:
    found = planned(fine=True)
    assert found.best.odds.right > 0.9
    assert found.steps is None
    assert "turned diameters shown by 40 parts" in found.known_from


def test_an_ordinary_lathe_is_told_to_turn_tight_test_lap_and_test_again() -> None:
    spec = piston(bore=30e-3, land_length=20e-3, stroke=40e-3, boiler_pressure=8e5)
    found = plan(Job(PistonFit(), spec, assumed_lathe(), {}), draws=FEW)
    assert found.best.odds.right < found.level
    assert found.steps is not None
    assert (found.steps.step, found.steps.test) == ("lap", "drop-test")
    assert found.steps.start.odds.lost <= 0.02 + 1e-9
    assert found.steps.start_value < found.best.value
    assert 1.0 <= found.steps.median <= found.steps.p90
    assert found.known_from == "assumed, careful builder"


def test_the_aim_lies_on_the_side_that_can_still_be_corrected() -> None:
    found = planned()
    assert found.best.value < found.likeliest.value
    assert found.best.odds.lost < found.likeliest.odds.lost


def test_the_size_to_cut_follows_the_measured_bore() -> None:
    plan_size, made_size = planned(fine=True).best, planned(60.011e-3, fine=True).best
    assert made_size.size - plan_size.size == pytest.approx(
        11e-6 - (made_size.value - plan_size.value), abs=1e-9
    )
    limits = planned(60.011e-3, fine=True).size_limits
    assert limits is not None
    assert limits[0] < made_size.size < limits[1]


def test_limits_as_gauged_lie_inside_the_window() -> None:
    found = planned()
    assert found.window.lower is not None
    assert found.limits.lower is not None
    assert found.window.upper is not None
    assert found.limits.upper is not None
    assert found.window.lower < found.limits.lower < found.limits.upper < found.window.upper


def test_a_piston_already_made_is_judged_as_it_stands() -> None:
    made = {"bore": Made(60e-3, 1e-6, None), "piston": Made(60e-3 - 12e-6, 1e-6, None)}
    found = plan(Job(PistonFit(), piston(), assumed_lathe(), made), draws=FEW)
    assert found.already_cut
    assert found.best.offset == 0.0
    assert found.best.size == pytest.approx(60e-3 - 12e-6, abs=0.1e-6)
    assert found.best.value == pytest.approx(12e-6, abs=0.1e-6)
    assert found.best.odds.correctable > 0.9
    # What more to take off: towards the middle of the window, by a dozen micrometres.
    assert -25e-6 < found.likeliest.offset < -5e-6
    assert any(flag.name == "aim not stated" for flag in found.flags)


def test_the_same_question_has_the_same_answer() -> None:
    job = Job(PistonFit(), piston(), assumed_lathe(), {})
    assert plan(job, draws=2048) == plan(job, draws=2048)
    assert plan(job, draws=2048, seed=2) != plan(job, draws=2048)


def test_a_wanted_level_nobody_can_reach_leaves_no_window_and_says_why() -> None:
    spec = piston(bore=30e-3, land_length=20e-3, stroke=40e-3, boiler_pressure=8e5)
    found = plan(Job(PistonFit(), spec, assumed_lathe(), {}), draws=FEW, level=0.9999)
    assert found.window.lower is None
    assert "at best the needs hold in" in found.window.reason
    assert found.size_limits is None
    assert found.steps is None


def test_causes_lead_with_the_cut_and_a_mate_turned_to_suit_is_none() -> None:
    gains = {cause.key: cause.gain for cause in planned().causes}
    assert next(iter(gains)) == "cut piston cut"
    assert gains["cut bore cut"] == 0.0
    assert [c.gain for c in planned().causes] == sorted(gains.values(), reverse=True)


def test_halving_a_cause_is_the_same_as_a_lathe_that_holds_it_twice_as_well() -> None:
    job = Job(PistonFit(), piston(), fine_lathe(2.0), {})
    better = Job(PistonFit(), piston(), fine_lathe(1.0), {})
    joint = job.joint()
    offset = -27e-6
    found = {
        c.key: c.gain
        for c in causes(
            joint,
            PistonFit().prepare(job.spec),
            PistonFit().needs(job.spec),
            joint.normals(20_000, 1),
            offset,
        )
    }

    def right(one: Job[PistonSpec]) -> float:
        samples = one.joint().samples(one.joint().normals(60_000, 1))
        samples["piston"] = samples["piston"] + offset
        outcome = PistonFit().prepare(one.spec).perform(samples)
        return float(needs_met(PistonFit().needs(one.spec), outcome).mean())

    assert found["cut piston cut"] == pytest.approx(right(better) - right(job), abs=0.02)


def test_two_tapers_at_one_setting_come_right_where_two_settings_do_not() -> None:
    def odds(angles: str) -> float:
        spec = CockSpec(angles=angles, drops_allowed=2.0)
        found = plan(Job(ToyCock(), spec, assumed_lathe(), {}), draws=FEW)
        return found.best.odds.right

    assert 1.0 - odds("one setting") < 0.1 * (1.0 - odds("two settings"))


def test_a_duty_without_a_fit_is_judged_by_the_size_itself() -> None:
    found = plan(Job(ToyCock(), CockSpec(drops_allowed=3.0), assumed_lathe(), {}), draws=FEW)
    assert found.plain_window is None
    assert found.value_label is None
    assert found.best.value == found.best.size
    assert found.best.size == pytest.approx(TAPER_ANGLE, abs=2e-4)
    assert found.best.odds.correctable == 0.0
    assert found.steps is None
    assert found.size_limits == (found.limits.lower, found.limits.upper)


def test_a_plug_already_cut_is_judged_as_it_stands() -> None:
    arcmin = np.pi / 180.0 / 60.0
    made = {
        name: Made(TAPER_ANGLE + off * arcmin, 0.1 * arcmin)
        for name, off in {"body angle": 0.0, "plug angle": 0.5}.items()
    }
    found = plan(Job(ToyCock(), CockSpec(), assumed_lathe(), made), draws=FEW)
    assert found.already_cut
    assert found.best.size == pytest.approx(TAPER_ANGLE + 0.5 * arcmin, abs=0.02 * arcmin)
    assert found.best.value == found.best.size


def test_plain_data_is_json_with_units_and_nothing_infinite() -> None:
    for answer in (
        planned(),
        planned(fine=True),
        plan(Job(ToyCock(), CockSpec(), assumed_lathe(), {}), draws=2048),
    ):
        plain = plain_answer(answer)
        assert json.loads(json.dumps(plain, allow_nan=False)) == json.loads(json.dumps(plain))
        assert plain["odds"]["right"] == answer.best.odds.right
        assert {aim["purpose"] for aim in plain["aims"]} == {"least cost", "best odds"}
        for merit in plain["merits"]:
            assert merit["unit"] is not None
            assert merit["p5"] <= merit["median"] <= merit["p95"]
    assert plain_answer(planned())["window"]["unit"] == "m"


def test_a_process_named_by_two_cuts_of_one_feature_is_told_once() -> None:
    spec = CockSpec()
    lathe = fine_lathe()
    standings = dict(lathe.standings)
    standings["one setting"] = learn(standings["one setting"].prior, [Shown(1e-5)])
    told = Job(ToyCock(), spec, replace(lathe, standings=standings), {}).known_from
    assert told.count("tapers cut at one setting shown by 1 part") == 1
    assert "angles set by clock assumed" in told
