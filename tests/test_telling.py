"""Words for every state an answer can be in: what a machinist reads first must be right."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from benchproof.bench_tests.contract import Weight
from benchproof.duties.contract import PlainWindow
from benchproof.duties.piston_fit import PistonFit, PistonSpec
from benchproof.figures import (
    in_hundred,
    in_hundreds,
    middle_and_span,
    size_text,
    sizes_within,
    span,
)
from benchproof.quantities import ANGLE, FRACTION, GAP_CONDUCTANCE, LENGTH, MASS_FLOW, NUMBER, Kind
from benchproof.reckon.answer import Answer, Bounds, Flagged, Range
from benchproof.reckon.causes import Cause
from benchproof.reckon.joint import Made
from benchproof.reckon.odds import Odds
from benchproof.reckon.plan import Job, plan
from benchproof.reckon.result import Forecast, Learning, Result
from benchproof.telling import tell_plan, tell_result
from benchproof.workshop.lathe import assumed_lathe
from toys import CockSpec, ToyCock

SPEC = PistonSpec(
    bore=30e-3,
    land_length=20e-3,
    stroke=40e-3,
    bore_material="gunmetal",
    piston_material="gunmetal",
    boiler_pressure=5e5,
)
GOOD, FAIR, POOR = (
    Odds(0.95, 0.04, 0.01, 2048),
    Odds(0.7, 0.25, 0.05, 2048),
    Odds(0, 0.2, 0.8, 2048),
)
NONE = Bounds(None, None, 0.9, "at best the needs hold in 3 of 100 (in 97 it binds)", 0.03, 20e-6)
SOME = Bounds(13e-6, 23e-6, 0.9, "", 0.99, 18e-6)


@pytest.fixture(scope="module")
def planned() -> Answer:
    made = {"bore": Made(30.006e-3, 3e-6, 30e-3)}
    return plan(Job(PistonFit(), SPEC, assumed_lathe(), made), draws=2048)


def words(text: str) -> str:
    return " ".join(text.split())


def with_odds(answer: Answer, best: Odds, likeliest: Odds, **more: Any) -> Answer:
    more.setdefault("window", SOME)
    return replace(
        answer,
        best=replace(answer.best, odds=best),
        likeliest=replace(answer.likeliest, odds=likeliest),
        **more,
    )


def test_what_to_cut_comes_first(planned: Answer) -> None:
    lines = tell_plan(planned).splitlines()
    size = size_text(planned.best.size, LENGTH, "metric")
    assert lines[2].startswith(f"  Cut the piston to {size}: ")
    assert all(len(line) <= 80 for line in lines)
    assert f"HOW WELL IT WORKS, CUT TO {size}" in lines


def test_odds_that_are_good_enough_need_no_steps(planned: Answer) -> None:
    text = words(tell_plan(with_odds(planned, GOOD, GOOD, steps=None)))
    assert "Odds in 100: 95 right first time, 4 still correctable, 1 lost (" in text
    assert "No one cut" not in text
    assert "creep" not in text


def test_a_likelier_aim_that_reaches_the_level_is_not_said_to_be_out_of_reach(
    planned: Answer,
) -> None:
    text = words(tell_plan(with_odds(planned, FAIR, GOOD)))
    assert "No one cut reaches" not in text
    assert "it would come right in 95 of 100, but be lost in 1." in text
    assert "Or creep up on it: turn tight" in text


def test_no_cut_that_reaches_the_level(planned: Answer) -> None:
    better = Odds(0.8, 0.1, 0.1, 2048)
    text = words(tell_plan(with_odds(planned, FAIR, better)))
    assert "No one cut reaches 90 in 100 on this lathe; the likeliest," in text
    assert "reaches 80 but loses 10." in text
    assert "What does work: turn tight" in text
    text = words(tell_plan(with_odds(planned, FAIR, FAIR, steps=None)))
    assert "No one cut reaches 90 in 100 on this lathe." in text
    assert "What does work" not in text


def test_steps_are_counted_in_words(planned: Answer) -> None:
    steps = planned.steps
    assert steps is not None
    for median, said in ((0.0, "no laps"), (1.0, "1 lap "), (3.0, "3 laps")):
        text = tell_plan(replace(planned, steps=replace(steps, median=median)))
        assert f"Expect {said}" in words(text)
    tight = replace(steps, start_value=-3e-6)
    text = words(tell_plan(replace(planned, steps=tight)))
    assert "(3 µm short of any diametral clearance)" in text


def test_an_aim_outside_what_is_accepted_is_explained(planned: Answer) -> None:
    aim = planned.best.size
    outside = replace(planned, size_limits=(aim - 9e-6, aim - 4e-6))
    inside = replace(planned, size_limits=(aim - 9e-6, aim + 4e-6))
    assert "The aim lies outside that on purpose" in words(tell_plan(outside))
    assert "The aim lies outside" not in words(tell_plan(inside))


def test_when_no_gauge_reading_is_sure_enough(planned: Answer) -> None:
    blind = replace(planned, size_limits=None, limits=NONE)
    text = words(tell_plan(blind))
    assert "No gauge reading alone makes it sure enough" in text
    assert "Only the drop-test tells." in text
    assert "limits as gauged, 90 in 100 none; at best 3 in 100" in text
    assert "Only the drop-test" not in words(tell_plan(replace(blind, steps=None)))


def test_no_window_says_why_once_and_what_the_best_would_be(planned: Answer) -> None:
    reason = "what closes it needs more clearance than the steam loss allows"
    shut = with_odds(planned, POOR, POOR, window=NONE, limits=NONE, size_limits=None, steps=None)
    shut = replace(shut, plain_window=PlainWindow(None, None, reason))
    text = words(tell_plan(shut))
    assert "No window: fit a ring or packing. At best the needs hold in 3 of 100" in text
    assert text.count("in 97 it binds") == 1
    assert "The best there is, all the same: cut the piston to" in text
    assert "Odds in 100: none right first time, 20 still correctable, 80 lost" in text
    assert f"window, plain rule none: {reason}" in text


def test_a_piece_already_cut_is_left_corrected_or_given_up(planned: Answer) -> None:
    cut = replace(planned, already_cut=True)
    assert tell_plan(with_odds(cut, GOOD, GOOD)).splitlines()[2] == "  Leave it as it is."
    off = replace(cut, likeliest=replace(cut.likeliest, offset=-6e-6))
    text = words(tell_plan(with_odds(off, POOR, GOOD)))
    assert "Take 6 µm more off the piston, on diameter, and test again: that makes it 95" in text
    assert "AS IT STANDS" in text
    text = words(tell_plan(with_odds(off, POOR, POOR)))
    assert "Taking more off the piston does not help: fit a ring or packing, or make it" in text
    text = words(tell_plan(with_odds(off, FAIR, FAIR)))
    assert "does not help: leave it at these odds, or fit a ring or packing, or make it" in text


def test_only_causes_that_gain_something_are_told(planned: Answer) -> None:
    causes = [
        Cause("a", "turning the piston", 0.063, 0.001),
        Cause("b", "a trifle", 0.001, 0.0001),
        Cause("c", "within the noise", 0.01, 0.02),
        Cause("d", "better left alone", -0.05, 0.001),
    ]
    text = tell_plan(replace(planned, causes=causes))
    assert "   +6.3  turning the piston" in text
    for silent in ("a trifle", "within the noise", "better left alone"):
        assert silent not in text
    assert "WHAT SPOILS IT" not in tell_plan(replace(planned, causes=causes[1:]))


def test_flags_cautions_and_sources(planned: Answer) -> None:
    told = replace(planned, flags=[Flagged("a", "shut tight", 0.06), Flagged("b", "look again.")])
    text = tell_plan(told)
    assert "  - Shut tight (in 6 cases of 100).\n  - Look again.\n  ! Warm through" in text
    assert "Rabie" not in text
    assert "Rabie" in tell_plan(told, all_sources=True)


def test_a_duty_without_a_clearance_is_told_by_its_size() -> None:
    answer = plan(Job(ToyCock(), CockSpec(), assumed_lathe(), {}), draws=2048)
    text = tell_plan(answer)
    assert "diametral" not in text
    assert "plain rule" not in text
    assert f"{answer.best.label} to {size_text(answer.best.size, answer.best.kind, 'metric')}" in (
        words(text)
    )
    off = replace(answer, already_cut=True, best=replace(answer.best, odds=POOR))
    off = replace(off, likeliest=replace(off.likeliest, odds=GOOD, offset=0.001))
    assert "on diameter" not in tell_plan(off)


def figure(name: str, label: str, kind: Kind, middle: float, low: float, high: float) -> Range:
    return Range(name, label, kind, middle, low, high)


@pytest.fixture
def tested(planned: Answer) -> Result:
    gap = figure("clearance", "diametral clearance", LENGTH, 20.04e-6, 19.3e-6, 20.8e-6)
    share = figure("steam_share", "steam past the piston", FRACTION, 0.018, 0.0064, 0.038)
    conductance = figure(
        "conductance", "gap conductance", GAP_CONDUCTANCE, 1.4e-15, 1.3e-15, 1.5e-15
    )
    before = replace(gap, median=18e-6, p5=1.3e-6, p95=224e-6)
    answer = with_odds(replace(planned, already_cut=True, flags=[]), GOOD, GOOD)
    return Result(
        test="drop-test",
        title="Drop test on plate glass",
        measured=[gap, conductance, replace(share, name="other")],
        before=[before, conductance],
        forecasts=[
            Forecast(
                "steam_share",
                "steam past the piston",
                replace(share, p5=0.012),
                share,
                replace(share, p95=0.05),
                share,
            )
        ],
        held={"piston_lead": "how much hotter the piston runs"},
        readings=1,
        residuals=[0.1],
        learning=Learning(4096, 2500.0, 7, 21, 0.3, -1.0, True),
        answer=answer,
    )


def test_a_result_leads_with_what_to_do(tested: Result) -> None:
    text = tell_result(tested)
    assert text.startswith("Drop test on plate glass: piston in its bore, without rings\n")
    assert text.splitlines()[2] == "  Leave it as it is."
    assert "1 reading;" in text
    assert "20.0 µm (19.3 to 20.8); before the test 1 to 224" in text
    assert "  Gap conductance\n      1400 µm³ (1300 to 1500)" in text
    assert "after the test, service left open       1.8 % (0.6 to 3.8)" in text
    assert "no bench test can tell: how much hotter" in words(text)


def test_a_result_that_leaves_nothing_to_service(tested: Result) -> None:
    text = tell_result(replace(tested, held={}, forecasts=[], readings=6))
    assert "IN SERVICE" not in text
    assert "6 readings;" in text


@pytest.mark.parametrize(
    ("flag", "weight", "said"),
    [
        ("contradicts", "doubt", "the readings contradict each other"),
        ("bends belief", "doubt", "the readings contradict each other"),
        ("hangs", "spoilt", "the set-up spoils the readings"),
        ("oil", "spoilt", "the set-up spoils the readings"),
    ],
)
def test_a_result_not_to_act_on_says_so_first(
    tested: Result, flag: str, weight: Weight, said: str
) -> None:
    odd = replace(
        tested, answer=replace(tested.answer, flags=[Flagged(flag, "see here", weight=weight)])
    )
    first = tell_result(odd).splitlines()[2]
    assert first.startswith("  Do not cut by this: ")
    assert said in first


def test_what_was_seen_at_the_part_stands_before_any_odds(tested: Result) -> None:
    seen = Flagged("moved", "Take the engine out of use.", weight="stop")
    lines = tell_result(replace(tested, answer=replace(tested.answer, flags=[seen]))).splitlines()
    assert lines[2] == "  Take the engine out of use."
    assert lines[3] == "  No odds outweigh that. Were it not so:"
    assert lines[4] == "  It could stay as it is."


def test_where_no_size_does_it_nothing_is_told_to_be_cut(planned: Answer) -> None:
    none = Odds(0.0, 0.0, 1.0, 4096)
    window = replace(planned.window, lower=None, upper=None, reason="it would bind")
    hopeless = replace(planned, best=replace(planned.best, odds=none), window=window)
    text = tell_plan(hopeless)
    assert "cut nothing yet" in words(text)
    assert "WHY NOT" in text
    assert "ORDER OF WORK" not in text


def test_what_leaves_a_hope_is_still_told_as_work(planned: Answer) -> None:
    none, window = Odds(0.0, 0.0, 1.0, 4096), replace(planned.window, lower=None, upper=None)
    shut = replace(planned, best=replace(planned.best, odds=none), window=window)
    for some in (
        replace(shut, best=replace(shut.best, odds=Odds(0.0, 0.1, 0.9, 4096))),
        replace(shut, best=replace(shut.best, odds=Odds(0.1, 0.0, 0.9, 4096))),
        replace(shut, already_cut=True),
        replace(shut, window=planned.window),
    ):
        assert "cut nothing yet" not in words(tell_plan(some))
        assert "WHY NOT" not in tell_plan(some)


def test_rows_of_the_window_share_one_unit_in_either_system(planned: Answer) -> None:
    wide = replace(
        planned,
        plain_window=PlainWindow(3e-6, 150e-6),
        window=Bounds(4e-6, 300e-6, 0.9, "", 0.99, 18e-6),
        limits=Bounds(6e-6, 90e-6, 0.9, "", 0.99, 18e-6),
    )
    for system, unit, other in (("metric", "mm", "µm"), ("inch", "in", "thou")):
        text = tell_plan(wide, system)  # type: ignore[arg-type]
        table = text.split("WHAT IT BEARS")[1].split("so the piston")[0].split("exact")[1]
        assert table.count(f" {unit}\n") == 3
        assert other not in table


def test_a_limit_is_told_in_the_unit_of_its_figure(planned: Answer) -> None:
    text = words(tell_plan(planned, "inch"))
    assert "at least 0 thou" in text
    assert "at least 0 in" not in text


def test_what_stood_before_a_test_is_in_the_unit_of_what_stands_after() -> None:
    after, before = (
        figure("gap", "gap", LENGTH, middle, 0.9 * middle, 1.1 * middle) for middle in (15e-6, 1e-3)
    )
    assert middle_and_span(after, "metric", before=before) == (
        "15.0 µm (13.5 to 16.5); before the test 900 to 1100"
    )
    same = figure("gap", "gap", LENGTH, 1e-3, 1e-3, 1e-3)
    assert middle_and_span(after, "metric", before=same).endswith("; before the test 1000")


def test_an_angle_is_told_as_it_is_set_by_hand() -> None:
    assert size_text(0.0999, ANGLE, "metric") == "5° 43'"
    assert middle_and_span(figure("a", "a", ANGLE, 1e-6, 0.0, 5e-5), "metric").endswith(
        "under 0.1 arcmin (0 to 0.2)"
    )
    assert span(0.01, 0.02, ANGLE, "inch") == "0.57 to 1.15°"


def test_cases_in_a_hundred() -> None:
    told = [in_hundred(share) for share in (0.0, 0.004, 0.006, 0.5, 0.994, 0.996, 1.0)]
    assert told == ["0", "under 1", "1", "50", "99", "over 99", "100"]


def test_cases_of_one_whole_add_up_to_a_hundred() -> None:
    assert in_hundreds([0.684, 0.284, 0.032]) == ["69", "28", "3"]
    assert in_hundreds([0.996, 0.003, 0.001]) == ["over 99", "under 1", "under 1"]
    assert in_hundreds([0.0, 0.0, 1.0]) == ["none", "none", "100"]
    assert in_hundreds([1 / 3, 1 / 3, 1 / 3]) == ["34", "33", "33"]


@pytest.mark.parametrize(
    ("kind", "middle", "low", "high", "metric", "inch"),
    [
        (LENGTH, 3.1e-6, -6.52e-6, 13.1e-6, "3.1 µm (-6.5 to 13.1)", "0.12 thou (-0.26 to 0.52)"),
        (LENGTH, 121.7e-6, 111.4e-6, 134.2e-6, "122 µm (111 to 134)", "4.8 thou (4.4 to 5.3)"),
        (FRACTION, 0.0039, 0.0, 0.0404, "0.39 % (0 to 4.04)", "0.39 % (0 to 4.04)"),
        (FRACTION, 0.0054, 5.5e-6, 3.9, "0.54 % (under 0.01 to over 100)", ""),
        (FRACTION, 0.0, 0.0, 0.0, "0 %", "0 %"),
        (FRACTION, 2.0, 1.5, 3.0, "over 100 %", "over 100 %"),
        (FRACTION, 0.0, 0.0, 3e-7, "0 % (0 to under 0.0001)", ""),
        (MASS_FLOW, 3.8e-6, 3.8e-9, 3.2e-5, "14 g/h (under 1 to 115)", "0.030 lb/h (0 to 0.254)"),
        (MASS_FLOW, 0.271e-3, 0.012e-3, 1.367e-3, "0.98 kg/h (0.04 to 4.92)", ""),
        (NUMBER, 1.4315, 1.2879, 1.5867, "1.43 (1.29 to 1.59)", "1.43 (1.29 to 1.59)"),
        (LENGTH, -2e-9, -3e-8, 5e-6, "0 µm (0 to 5.0)", ""),
    ],
)
def test_figures_that_stand_together_are_rounded_together(
    kind: Kind, middle: float, low: float, high: float, metric: str, inch: str
) -> None:
    told = figure("f", "f", kind, middle, low, high)
    assert middle_and_span(told, "metric") == metric
    if inch and kind is not MASS_FLOW:
        assert middle_and_span(told, "inch") == inch


def test_spans_share_one_unit() -> None:
    assert span(13.6e-6, 22.74e-6, LENGTH, "metric") == "13.6 to 22.7 µm"
    assert span(-3.9e-6, 7.2e-6, LENGTH, "metric") == "-3.9 to 7.2 µm"
    assert span(1.5e-6, 0.249e-3, LENGTH, "metric") == "0.002 to 0.249 mm"
    assert span(13.6e-6, 22.74e-6, LENGTH, "inch") == "0.54 to 0.90 thou"


def test_sizes_to_accept_are_rounded_inwards() -> None:
    assert sizes_within(29.97951e-3, 29.98349e-3, LENGTH, "metric") == "29.980 to 29.983 mm"
    assert sizes_within(29.980e-3, 29.983e-3, LENGTH, "metric") == "29.980 to 29.983 mm"
    # Less than a ten-thousandth of an inch between them: one more figure, never outside.
    assert sizes_within(29.9805e-3, 29.9815e-3, LENGTH, "inch") == "1.18034 to 1.18037 in"
