"""The plan kept in lots made by a second program, from truths drawn as the plan believes them."""

import random

import numpy as np
import pytest

from benchproof.reckon.lot_given import Gauge, LotProcess
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_progress import lot_so_far
from benchproof.reckon.lots import plan_lot
from benchproof.spread import LogNormal, Uniform
from benchproof.workshop.standing import Prior, Shown, learn
from reckon.lots_by_hand import Lot, Shop

LOTS = 500

# An invented lathe that has turned forty ferrules' shanks, in ISO tolerance units of 8 mm.
_MADE = np.random.default_rng(41).normal(0.8, 2.4, 40)
STANDING = learn(Prior(), [Shown(float(off), u=1.2) for off in _MADE])
SHOP = Shop(STANDING, unit=0.9e-6, share=(0.2, 0.8), wear=(0.05e-6, 1.5), u=1.0e-6)
PROCESS = LotProcess(
    STANDING, SHOP.unit, setting_share=Uniform(0.2, 0.8), wear=LogNormal(0.05e-6, 1.5)
)


def ferrules(**changed: object) -> LotPlan:
    stated: dict[str, object] = {
        "lower": 7.990e-3,
        "upper": 8.002e-3,
        "wanted": 100,
        "process": PROCESS,
        "gauge": Gauge(SHOP.u),
    }
    return plan_lot(**{**stated, **changed})  # type: ignore[arg-type]


def made(plan: LotPlan, blanks: int, *, lots: int = LOTS, seed: int = 20) -> list[Lot]:
    chance = random.Random(seed)
    done = [Lot(SHOP, chance) for _ in range(lots)]
    for lot in done:
        lot.make(plan, blanks)
    return done


@pytest.mark.parametrize("correction", [None, "smaller"])
def test_five_hundred_lots_of_a_hundred_ferrules(correction: str | None) -> None:
    plan = ferrules(correction=correction)
    lots = made(plan, plan.blanks + 40)
    needed = np.sort([lot.blanks_for(100) for lot in lots])
    assert np.sum(needed <= plan.blanks) >= 464
    least = int(needed[int(np.ceil(0.95 * LOTS)) - 1])
    assert plan.blanks <= least + 3


def test_a_plain_binomial_promises_too_much() -> None:
    plan = ferrules()
    needed = np.array([lot.blanks_for(100) for lot in made(plan, plan.blanks)])
    assert plan.binomial <= plan.blanks - 4
    assert np.mean(needed <= plan.binomial) < 0.9


@pytest.mark.parametrize("correction", [None, "smaller"])
def test_what_the_plan_expects_is_what_comes_out(correction: str | None) -> None:
    plan = ferrules(correction=correction)
    lots = made(plan, plan.blanks, lots=1000)
    low, high = plan.accept
    recuts = [sum(r.recut is not None for r in lot.readings) for lot in lots]
    last = [[r.size if r.recut is None else r.recut for r in lot.readings] for lot in lots]
    scrap = [sum(not low <= size <= high for size in row) for row in last]
    good = [np.mean(lot.good) for lot in lots]
    for counted, expected in ((recuts, plan.recuts), (scrap, plan.scrap), (good, plan.share_good)):
        error = float(np.std(counted)) * np.sqrt(1.0 / len(lots) + 1.0 / plan.lots)
        assert expected == pytest.approx(float(np.mean(counted)), abs=3.5 * error + 1e-12)


@pytest.mark.parametrize("done", [10, 60])
def test_a_lot_half_done_is_judged_honestly(done: int) -> None:
    """With the blanks asked for after some readings about 95 in 100 lots end with enough."""
    plan = ferrules(lots=1024)
    enough = 0
    asked = []
    lots = made(plan, done, lots=80, seed=21)
    for lot in lots:
        now = lot_so_far(plan, lot.readings)
        assert now.more is not None
        assert not now.rough
        asked.append(now.more)
        lot.make(plan, now.more)
        enough += sum(lot.good) >= 100
    assert 70 <= enough <= 79  # 76 expected, 3 standard deviations of a binomial are 6
    # The readings tell lots apart: that is what they are for.
    assert np.ptp(asked) >= 8


def test_the_hidden_truth_lies_in_the_intervals() -> None:
    plan = ferrules(lots=1024)
    lots = made(plan, 60, lots=80, seed=22)
    held = {"spread": 0, "wear": 0, "offset": 0}
    for lot in lots:
        now = lot_so_far(plan, lot.readings)
        held["spread"] += now.spread[0] <= lot.spread <= now.spread[2]
        held["wear"] += now.wear[0] <= lot.wear <= now.wear[2]
        offset = lot.bias + lot.offset + lot.moved
        held["offset"] += abs(now.offset - offset) <= 1.645 * now.offset_sd
    for count in held.values():
        assert 64 <= count <= 79  # 72 expected, 3 standard deviations are 8
