"""Sizes for a drawing come from the answer, with its own limits, and say when odds are poor."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchproof.duties import DUTIES, load_duty
from benchproof.reckon.joint import Made
from benchproof.reckon.plan import Job, plan
from benchproof.reckon.sized import POOR, sized
from benchproof.workshop.lathe import assumed_lathe
from examples import SPECS

DRAWS = 4096


@pytest.mark.parametrize("key", DUTIES)
def test_every_feature_has_a_size_and_the_one_aimed_for_its_limits(key: str) -> None:
    job = Job(load_duty(key), SPECS[key], assumed_lathe(), {})
    answer = plan(job, draws=DRAWS, brief=True)
    found = sized(job, answer)
    assert set(found) == {feature.name for feature in job.duty.features(job.spec)}
    best = found.pop(answer.best.feature)
    assert best.aim == answer.best.size
    assert best.doubtful is (answer.best.odds.right < POOR)
    if answer.size_limits is None:
        assert best.tolerance is None
    else:
        low, high = answer.size_limits
        assert best.upper is not None
        assert best.lower is not None
        assert best.aim + best.upper == pytest.approx(high, rel=0.0, abs=1e-15)
        assert best.aim + best.lower == pytest.approx(low, rel=0.0, abs=1e-15)
    assert all(size.tolerance is None and not size.doubtful for size in found.values())


def test_what_is_made_is_drawn_as_it_came_out() -> None:
    made = {"bore": Made(30.004e-3, 3e-6), "piston": Made(29.98e-3, 2e-6)}
    job = Job(load_duty("piston-fit"), SPECS["piston-fit"], assumed_lathe(), made)
    found = sized(job, plan(job, draws=DRAWS, brief=True))
    assert {name: size.aim for name, size in found.items()} == {
        "bore": 30.004e-3,
        "piston": 29.98e-3,
    }
    assert all(size.tolerance is None for size in found.values())


def test_good_odds_are_not_flagged() -> None:
    job = Job(load_duty("running-fit"), SPECS["running-fit"], assumed_lathe(), {})
    answer = plan(job, draws=DRAWS, brief=True)
    assert answer.best.odds.right > POOR
    assert not sized(job, answer)["bore"].doubtful
    worse = replace(answer.best, odds=replace(answer.best.odds, right=POOR - 0.01))
    assert sized(job, replace(answer, best=worse))["bore"].doubtful
