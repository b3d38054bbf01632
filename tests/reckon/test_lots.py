"""What must always hold of the plan of a lot, and what it says."""

import time
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy import stats

from benchproof.reckon.lot_given import Gauge, Limits, LotProcess
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_process import Outcomes, Run, draw_lots, draw_noise, first_cuts
from benchproof.reckon.lot_search import binomial_blanks
from benchproof.reckon.lots import LotBeyondReachError, plan_lot
from benchproof.spread import Fixed, LogNormal, Normal
from benchproof.workshop.guard_band import CannotProve
from benchproof.workshop.standing import Prior, Summary, learn
from sources import source

# Forty parts, their spread 2.5 tolerance units of 0.9 µm, cut one unit large.
SHOWN = learn(Prior(), summary=Summary(40, bias=1.0, spread=2.5))
PROCESS = LotProcess(SHOWN, 0.9e-6, wear=LogNormal(0.05e-6, 1.5))
KNOWN_WELL = learn(Prior(bias_sd=0.0), summary=Summary(100_000, bias=0.0, spread=2.5))
quick = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def planned(**changed: Any) -> LotPlan:
    stated: dict[str, Any] = {
        "lower": 7.990e-3,
        "upper": 8.004e-3,
        "wanted": 60,
        "process": PROCESS,
        "gauge": Gauge(1e-6),
        "lots": 512,
    }
    return plan_lot(**{**stated, **changed})


@quick
@given(
    half=st.floats(4e-6, 12e-6),
    share=st.floats(0.0, 1.0),
    wear=st.floats(-0.1e-6, 0.1e-6),
    correction=st.sampled_from([None, "smaller", "larger"]),
)
def test_more_blanks_never_lower_the_chance(
    half: float, share: float, wear: float, correction: str | None
) -> None:
    process = LotProcess(SHOWN, 0.9e-6, setting_share=Fixed(share), wear=Fixed(wear))
    try:
        plan = planned(lower=8e-3 - half, upper=8e-3 + half, process=process, correction=correction)
    except LotBeyondReachError:
        return
    assert np.all(np.diff(plan.chance_by_blanks) >= 0.0)
    assert plan.chance_with(59) == 0.0
    assert plan.chance_with(plan.blanks) == pytest.approx(plan.reached, rel=1e-12)
    assert plan.chance_with(plan.blanks - 1) < plan.chance <= plan.reached
    assert plan.chance_with(10**6) == plan.chance_by_blanks[-1]


@quick
@given(
    half=st.floats(5e-6, 9e-6),
    below=st.floats(0.0, 4e-6),
    above=st.floats(0.0, 4e-6),
    wear=st.floats(-0.1e-6, 0.1e-6),
    interval=st.sampled_from([5, 20, 100]),
)
def test_wider_limits_never_ask_more_blanks(
    half: float, below: float, above: float, wear: float, interval: int
) -> None:
    """With the aim left to the plan, at any interval."""
    process = LotProcess(SHOWN, 0.9e-6, wear=Fixed(wear))
    try:
        narrow = planned(
            lower=8e-3 - half, upper=8e-3 + half, process=process, interval=interval
        ).blanks
    except LotBeyondReachError:
        narrow = 10**9
    try:
        wide = planned(
            lower=8e-3 - half - below,
            upper=8e-3 + half + above,
            process=process,
            interval=interval,
        ).blanks
    except LotBeyondReachError:
        wide = 10**9
    assert wide <= narrow


@quick
@given(half=st.floats(4.5e-6, 8e-6), wanted=st.integers(1, 120))
def test_pieces_that_share_nothing_are_binomial(half: float, wanted: int) -> None:
    process = LotProcess(KNOWN_WELL, 0.9e-6, setting_share=Fixed(0.0))
    plan = planned(
        lower=8e-3 - half,
        upper=8e-3 + half,
        wanted=wanted,
        process=process,
        gauge=Gauge(),
        first_off=0,
        aim=8e-3,
        lots=2048,
    )
    share = 1.0 - 2.0 * stats.norm.sf(half / (2.5 * 0.9e-6))
    exact = binomial_blanks(wanted=wanted, share_good=share, chance=0.95)
    assert abs(plan.blanks - exact) <= 1
    assert plan.share_good == pytest.approx(share, abs=0.01)


@quick
@given(
    wanted=st.integers(1, 200),
    share=st.floats(0.05, 1.0),
    chance=st.floats(0.5, 0.999),
)
def test_the_binomial_count_is_the_least(wanted: int, share: float, chance: float) -> None:
    found = binomial_blanks(wanted=wanted, share_good=share, chance=chance)
    exact = 1e-12  # of what rounding does where a chance is met to the last digit
    assert stats.binom.sf(wanted - 1, found, share) >= chance - exact
    assert found == wanted or stats.binom.sf(wanted - 1, found - 1, share) < chance + exact


@source("blanks for 100 good ones at a yield of 0.98, 0.95, 0.90", kind="own calculation")
@pytest.mark.parametrize(("share", "blanks"), [(0.98, 105), (0.95, 109), (0.90, 117)])
def test_blanks_by_the_binomial(share: float, blanks: int) -> None:
    assert binomial_blanks(wanted=100, share_good=share, chance=0.95) == blanks


def test_a_shared_setting_asks_more_than_the_binomial_promises() -> None:
    """The more of the spread all pieces of a setting share, the more."""
    plans = [
        planned(
            process=LotProcess(SHOWN, 0.9e-6, setting_share=Fixed(share)),
            interval=200,
            first_off=0,
            lots=2048,
        )
        for share in (0.0, 0.4, 0.8)
    ]
    extra = [plan.blanks - plan.binomial for plan in plans]
    assert extra[0] < extra[1] < extra[2]
    assert extra[2] >= 5


def test_wear_starts_near_one_limit_and_is_re_set() -> None:
    worn = [LotProcess(SHOWN, 0.9e-6, wear=Fixed(by)) for by in (0.15e-6, 0.0, -0.15e-6)]
    aims = [planned(process=process, interval=30).aim for process in worn]
    # Half of what 30 pieces wear, 2.2 µm, to either side of the middle.
    assert aims == pytest.approx([7.9948e-3, 7.997e-3, 7.9992e-3], abs=0.6e-6)
    growing, still = planned(process=worn[0]), planned(process=worn[1])
    assert growing.interval <= 30
    assert still.interval > growing.interval
    assert growing.measure_every < still.measure_every


def test_a_first_off_check_saves_blanks() -> None:
    unknown_bias = learn(Prior(bias_sd=6.0), summary=Summary(3, bias=0.0, spread=1.0, u=1.0))
    process = LotProcess(unknown_bias, 0.5e-6, setting_share=Fixed(0.8))
    checked, blind = (
        planned(
            lower=7.996e-3,
            upper=8.004e-3,
            process=process,
            interval=30,
            first_off=count,
            gauge=Gauge(0.3e-6),
            dial=0.5e-6,
        )
        for count in (2, 0)
    )
    assert checked.blanks < blind.blanks
    assert blind.first_off is None
    assert checked.first_off is not None
    assert 0.5 < checked.first_off.move < 1.0


def test_the_share_to_move_back_is_the_best_one() -> None:
    """Among all shares, what is left of the settings' offsets is least at the one planned."""
    plan = planned()
    drawn = draw_lots(PROCESS, plan.gauge, lots=4096, seed=9)
    noise = draw_noise(blanks=3, settings=1, lots=4096, seed=9, recuts=False)
    left = []
    for change in (-0.1, 0.0, 0.1):
        run = Run(3, 2, plan.run.move + change, 0.0, plan.run.wear)
        true, _ = first_cuts(drawn, noise, run)
        left.append(float(np.mean(true[2] ** 2)))
    assert left[1] < left[0]
    assert left[1] < left[2]


def test_a_cheap_recut_asks_fewer_blanks_and_starts_with_metal_on() -> None:
    without = planned()
    smaller, larger = planned(correction="smaller"), planned(correction="larger")
    assert max(smaller.blanks, larger.blanks) < without.blanks
    assert larger.aim < without.aim < smaller.aim
    assert without.recuts == 0.0
    assert smaller.recuts > 1.0
    assert any("once more" in step for step in smaller.steps)


def test_a_guard_band_trades_escapes_for_scrap() -> None:
    bold, careful = (planned(gauge=Gauge(1.5e-6, guard=guard)) for guard in (0.0, 1.645))
    assert careful.escapes < 0.3 * bold.escapes
    assert careful.blanks > bold.blanks
    assert careful.accept == pytest.approx((7.9924675e-3, 8.0015325e-3), rel=1e-9)
    assert bold.accept == (7.990e-3, 8.004e-3)


def test_outcomes_agree_with_their_definition() -> None:
    """Good, accepted and cut once more, worked out from sizes and readings one by one."""
    limits, gauge, aim = Limits(7.990e-3, 8.004e-3, "smaller"), Gauge(1.5e-6), 7.999e-3
    drawn = draw_lots(PROCESS, gauge, lots=50, seed=2)
    noise = draw_noise(blanks=40, settings=4, lots=50, seed=2, recuts=True)
    true, read = first_cuts(drawn, noise, Run(10, 2, 0.5, 2e-6, 0.0))
    outcomes = Outcomes(drawn, noise, limits, gauge, (true, read))
    low, high = gauge.accepts(limits)
    good, accepted, recut = np.zeros((3, 40, 50), dtype=bool)
    for piece in range(40):
        for lot in range(50):
            size, reading = aim + true[piece, lot], aim + read[piece, lot]
            if reading > high:
                recut[piece, lot] = True
                size = 0.5 * (low + high) + drawn.offset[lot]
                size += drawn.spread[lot] * noise.recut[piece, lot]
                reading = size + drawn.zero[lot] + drawn.repeat * noise.read_again[piece, lot]
            accepted[piece, lot] = low <= reading <= high
            good[piece, lot] = accepted[piece, lot] and limits.lower <= size <= limits.upper
    assert np.array_equal(outcomes.recut(aim, 40), recut)
    assert np.array_equal(outcomes.accepted(aim, 40), accepted)
    assert np.array_equal(outcomes.good(aim, 40), good)
    assert 0.02 < recut.mean() < 0.5


@source("fittings are made 50 to 100 at a time", kind="common practice")
@pytest.mark.parametrize("wanted", [50, 100])
def test_the_usual_lots_of_fittings(wanted: int) -> None:
    plan = planned(wanted=wanted)
    assert wanted < plan.blanks < 1.4 * wanted
    assert any(f"{plan.blanks} blanks for {wanted} good ones" in step for step in plan.steps)


def test_a_plan_is_quick_and_the_same_again() -> None:
    taken = []
    for _ in range(3):
        begun = time.perf_counter()
        plan = planned(wanted=100, lots=2048)
        taken.append(time.perf_counter() - begun)
    assert min(taken) < 0.5  # 0.15 s where nothing else runs
    again = planned(wanted=100, lots=2048)
    assert (again.blanks, again.aim, again.steps) == (plan.blanks, plan.aim, plan.steps)


def test_what_a_builder_reads() -> None:
    told = "\n".join(planned().steps)
    plan = planned()
    assert f"Set the stop for {1e3 * plan.set_for:.3f} mm" in told
    assert f"come to {1e3 * plan.aim:.3f} mm" in told
    assert "cuts 0.9 µm over" in told
    assert "7.992 to 8.002 mm" in told  # 7.99165 and 8.00235, rounded inwards
    assert "larger as the tool wears" in told
    assert "in" in "\n".join(planned(system="inch").steps)
    assert "0.3147 to 0.3150 in" in "\n".join(planned(system="inch").steps)


def test_what_nobody_has_measured_is_said() -> None:
    plan = planned(
        process=LotProcess(learn(Prior()), 0.3e-6), lower=7.98e-3, upper=8.02e-3, wanted=20
    )
    told = " ".join(plan.assumed)
    for word in ("careful builder", "setting", "wear", "gauge"):
        assert word in told
    sure = planned(
        process=LotProcess(SHOWN, 0.9e-6, Fixed(0.4), Normal(1e-8, 1e-9)),
        gauge=Gauge(1e-6, zero_share=0.3),
    )
    assert sure.assumed == ()


def test_limits_that_scatter_fills_leave_no_chart() -> None:
    plan = planned(lower=7.9945e-3, upper=8.0e-3, gauge=Gauge(), wanted=10)
    assert not plan.chart.useful
    assert any("No run chart" in step for step in plan.steps)


def test_what_is_out_of_reach_is_said() -> None:
    with pytest.raises(LotBeyondReachError, match="260 blanks do not give 60 good ones"):
        planned(lower=7.999e-3, upper=8.0e-3, gauge=Gauge())
    with pytest.raises(CannotProve, match="cannot prove"):
        planned(lower=7.999e-3, upper=8.0e-3)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"wanted": 0}, "1 to 500 good pieces"),
        ({"wanted": 501}, "1 to 500 good pieces"),
        ({"chance": 1.0}, "between 0 and 1"),
        ({"interval": 0}, "one piece or more between re-sets"),
        ({"first_off": -1}, "zero or more"),
        ({"dial": float("nan")}, "zero or more"),
        ({"aim": 8.1e-3}, "outside the readings to accept"),
        ({"lower": 8.1e-3}, "must be under"),
        ({"upper": float("inf")}, "finite sizes"),
    ],
)
def test_what_cannot_be_is_refused(changed: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        planned(**changed)


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (lambda: Gauge(-1e-6), "zero or more"),
        (lambda: Gauge(1e-6, zero_share=1.5), "between 0 and 1"),
        (lambda: LotProcess(SHOWN, 0.0), "above zero"),
        (lambda: binomial_blanks(wanted=3, share_good=0.0, chance=0.9), "asked for"),
    ],
)
def test_what_is_given_is_checked(made: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        made()
