"""A journal in its bearing: film, rubbing, closing, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.drawing import Sized
from benchproof.duties.matter import expansion_name
from benchproof.duties.running_fit import RunningFit
from benchproof.duties.running_fit_model import bush_of, viscosity_of
from benchproof.duties.running_fit_spec import RunningSpec
from benchproof.duties.running_fit_steps import closing_of
from benchproof.physics.journal_bearing import bearing_state, sommerfeld_number
from benchproof.quantities import LENGTH, show
from benchproof.reckon.joint import Made
from benchproof.reckon.plan import Job, plan
from benchproof.specs import SpecError
from benchproof.workshop.lathe import assumed_lathe
from sources import source

MICRON = 1e-6
AXLE = {
    "place": "axle in axlebox",
    "diameter": "12 mm",
    "length": "12 mm",
    "load": "200 N",
    "speed": "390 rpm",
    "journal_material": "silver steel",
    "bearing_material": "gunmetal",
    "play_allowed": "100 µm",
}
BUSHED = AXLE | {
    "bearing_is": "bush reamed after pressing",
    "bush_outside": "16 mm",
    "housing_material": "mild steel",
    "interference": "20 µm",
}
SPINDLE = {
    "place": "valve spindle in gland",
    "rubbing_speed": "0.2 m/s",
    "speed": "",
    "oil": "steam oil",
    "housing_temperature": "150 C",
}


def spec(**stated: Any) -> RunningSpec:
    return RunningSpec.from_text(AXLE | stated).spec


def perform(stated: RunningSpec, clearance: float = 30e-6, **changed: float) -> dict[str, float]:
    """Merits and flags of one sample with every unknown at its middle."""
    duty = RunningFit()
    samples = {feature.name: np.array([feature.aim]) for feature in duty.features(stated)}
    samples["bore"] = samples["journal"] + clearance
    samples |= {each.name: np.array([each.spread.median]) for each in duty.unknowns(stated)}
    samples |= {name: np.array([value]) for name, value in changed.items()}
    outcome = duty.prepare(stated).perform(samples)
    return {name: float(v[0]) for name, v in {**outcome.merits, **outcome.flags}.items()}


@source("Reynolds' equation called directly at the sample's own clearance", kind="own calculation")
@pytest.mark.parametrize("clearance", [15e-6, 30e-6, 80e-6])
def test_the_film_is_that_of_the_whole_equation(clearance: float) -> None:
    stated = spec(journal_lead="6 K")
    found = perform(stated, clearance)
    gap = 0.5 * found["running_clearance"]
    viscosity = float(viscosity_of(stated, np.array([313.15 + 3.0]))[0])
    number = sommerfeld_number(
        diameter=12e-3,
        length=12e-3,
        radial_gap=gap,
        viscosity=viscosity,
        revolutions_per_second=6.5,
        load=200.0,
    )
    state = bearing_state(eccentricity=1.0 - found["least_film"] / gap, slenderness=1.0)
    np.testing.assert_allclose(state.sommerfeld[0], number, rtol=0.01, atol=0.0)
    ratio = found["film_ratio"]
    assert ratio == pytest.approx(found["least_film"] / (1.25 * 0.8e-6 * np.sqrt(2.0)), rel=1e-6)
    out = state.side_flow[0] * 2.0 * np.pi * 6.5 * 6e-3 * gap * 12e-3
    np.testing.assert_allclose(found["oil_out"], out, rtol=0.01, atol=0.0)
    bare = np.clip((3.0 - ratio) / 2.0, 0.0, 1.0)
    floating = state.friction[0] * gap / 6e-3 * 200.0 * 6e-3
    torque = bare * 0.12 * 200.0 * 6e-3 + (1.0 - bare) * floating
    np.testing.assert_allclose(found["friction"], torque, rtol=0.02, atol=0.0)


@source("pressure times speed worked by hand", kind="own calculation")
def test_pressure_times_speed_by_hand() -> None:
    found = perform(spec())
    pressure, speed = 200.0 / 144e-6, np.pi * 12e-3 * 6.5
    assert found["pressure_speed"] == pytest.approx(pressure * speed / 1.75e6, rel=1e-6)
    slow = perform(spec(speed="1 rpm"))
    assert slow["pressure_speed"] == pytest.approx(pressure / 24e6, rel=1e-6)


def test_it_is_carried_by_the_better_of_film_and_metal() -> None:
    metal = perform(spec())
    assert metal["carries"] == pytest.approx(1.0 / metal["pressure_speed"], rel=1e-9)
    assert metal["rubs"] == 1.0
    film = perform(spec(journal_finish="0.05 µm", bore_finish="0.05 µm"))
    assert film["carries"] == pytest.approx(film["film_ratio"] / 3.0, rel=1e-9)
    assert film["rubs"] == 0.0
    assert film["friction"] < metal["friction"]


@settings(max_examples=30, deadline=None)
@given(st.floats(10e-6, 150e-6), st.floats(5.0, 500.0), st.floats(1.05, 4.0))
def test_more_load_less_film_and_less_margin(clearance: float, load: float, factor: float) -> None:
    light = perform(spec(), clearance, load=load)
    heavy = perform(spec(), clearance, load=factor * load)
    assert heavy["least_film"] < light["least_film"]
    assert heavy["carries"] < light["carries"]
    assert heavy["pressure_speed"] > light["pressure_speed"]


@settings(max_examples=30, deadline=None)
@given(st.floats(5e-6, 150e-6), st.floats(0.5, 60.0))
def test_a_journal_hotter_than_a_like_bearing_closes_the_clearance(
    clearance: float, lead: float
) -> None:
    stated = spec(journal_material="gunmetal")
    found = perform(stated, clearance, journal_lead=lead)
    assert found["running_clearance"] < found["clearance"]
    growth = lead * 18.0e-6 * 12e-3
    assert found["running_clearance"] == pytest.approx(clearance - growth, abs=1e-12)
    assert found["play"] == pytest.approx(clearance, abs=1e-12)


def test_a_bronze_bearing_on_a_steel_journal_opens_when_both_warm() -> None:
    found = perform(spec(housing_temperature="100 C"), journal_lead=0.0)
    opened = (18.0e-6 - 11.3e-6) * 80.0 * 12e-3
    assert found["running_clearance"] == pytest.approx(30e-6 + opened, abs=1e-12)
    assert found["play"] == found["running_clearance"]
    assert found["cold_play"] < found["running_play"]


@source("thick rings with unlike expansions worked by hand", kind="own calculation")
def test_a_bush_closes_more_when_it_warms_in_steel() -> None:
    stated = RunningSpec.from_text(BUSHED | {"housing_temperature": "100 C"}).spec
    bush = bush_of(stated)
    assert bush is not None
    found = perform(stated, journal_lead=0.0)
    tighter = (18.0e-6 - 11.7e-6) * 80.0 * 16e-3
    opened = (18.0e-6 - 11.3e-6) * 80.0 * 12e-3
    assert found["running_clearance"] == pytest.approx(
        30e-6 + opened - bush.closing * tighter, abs=1e-10
    )
    assert found["bush_grip"] == pytest.approx(20e-6 - 0.8 * 6e-6 + tighter, abs=1e-12)


def test_a_bush_in_aluminium_comes_loose_and_opens_no_further() -> None:
    stated = RunningSpec.from_text(
        BUSHED | {"housing_material": "6082", "housing_temperature": "150 C"}
    ).spec
    slack = perform(stated, journal_lead=0.0, **{"bush outside": 16e-3 + 10e-6})
    assert slack["bush_loose"] == 1.0
    assert slack["bush_grip"] < 0.0
    bush = bush_of(stated)
    assert bush is not None
    free = (18.0e-6 - 11.3e-6) * 130.0 * 12e-3
    released = bush.closing * (10e-6 - 0.8 * 6e-6)
    assert slack["running_clearance"] == pytest.approx(30e-6 + free + released, abs=1e-10)
    never = perform(stated, journal_lead=0.0, **{"bush outside": 16e-3 - 5e-6})
    assert never["running_clearance"] == pytest.approx(30e-6 + free, abs=1e-10)


def test_a_bush_squeezed_beyond_its_yield_is_flagged() -> None:
    hard = RunningSpec.from_text(BUSHED | {"interference": "60 µm"}).spec
    assert perform(hard)["bush_yields"] == 1.0
    assert perform(RunningSpec.from_text(BUSHED | {"interference": "10 µm"}).spec)[
        "bush_yields"
    ] == (0.0)
    iron = RunningSpec.from_text(BUSHED | {"bearing_material": "grey iron"}).spec
    assert perform(iron)["bush_yields"] == 0.0  # it has no yield point


def test_bush_and_housing_of_one_metal_do_not_part() -> None:
    stated = RunningSpec.from_text(
        BUSHED | {"housing_material": "gunmetal", "housing_temperature": "100 C"}
    ).spec
    found = perform(stated, journal_lead=0.0)
    assert found["bush_grip"] == pytest.approx(20e-6 - 0.8 * 6e-6, abs=1e-12)


def test_a_spindle_has_no_film_and_a_seized_sample_only_fails() -> None:
    found = perform(spec(**SPINDLE))
    assert found["least_film"] == 0.0
    assert found["oil_out"] == 0.0
    assert found["rubs"] == 1.0
    assert found["friction"] == pytest.approx(0.12 * 200.0 * 6e-3, rel=1e-9)
    shut = perform(spec(), -10e-6)
    assert shut["seized"] == 1.0
    assert shut["running_play"] < 0.0
    assert np.isfinite(list(shut.values())).all()


def test_a_stated_oil_of_the_same_figures_does_the_same() -> None:
    stated = perform(spec(oil="stated", oil_at_40="68", oil_at_100="8.7"))
    named = perform(spec(oil="VG 68"))
    # The density of a stated oil is taken as 885, that of the grade as 880.
    assert stated["least_film"] == pytest.approx(named["least_film"], rel=0.01)


def test_what_is_spread_wide_stays_within_the_fit_of_the_oil() -> None:
    stated = spec(journal_lead="-20 to 60 K", oil="vg 220")
    model = RunningFit().prepare(stated)
    lead = np.linspace(-20.0, 60.0, 33)
    samples = {"journal_lead": lead, "oil_factor": np.ones_like(lead)}
    true = viscosity_of(stated, 313.15 + 0.5 * lead)
    np.testing.assert_allclose(model.viscosity(samples), true, rtol=0.015, atol=0.0)


def test_odds_and_window_of_a_new_axlebox() -> None:
    duty, stated = RunningFit(), RunningSpec.from_text(BUSHED).spec
    answer = plan(Job(duty, stated, assumed_lathe(), {}), draws=8192)
    assert answer.best.feature == "bore"
    assert answer.plain_window is not None
    assert answer.window.lower == pytest.approx(answer.plain_window.lower, abs=3e-6)
    assert answer.window.upper == pytest.approx(answer.plain_window.upper, abs=3e-6)
    assert 0.8 < answer.best.odds.right < 1.0


def test_a_journal_cut_last_is_smaller_than_its_bore() -> None:
    stated = spec(cut_last="journal")
    made = {"bore": Made(12.010e-3, 3e-6, 12e-3)}
    answer = plan(Job(RunningFit(), stated, assumed_lathe(), made), draws=4096)
    assert answer.best.feature == "journal"
    assert 11.9e-3 < answer.best.size < 12.008e-3
    assert answer.best.value == pytest.approx(12.010e-3 - answer.best.size, abs=1e-9)


def test_no_play_left_for_what_closes_it_has_no_window() -> None:
    stated = spec(journal_lead="60 K", play_allowed="10 µm")
    plain = RunningFit().plain_window(stated)
    assert plain.lower is None
    assert plain.wanted is not None
    assert plain.allowed is not None
    assert plain.wanted > plain.allowed


def test_a_bearing_too_small_for_its_load_says_so() -> None:
    stated = spec(load="3000 N", speed="1500 rpm")
    answer = plan(Job(RunningFit(), stated, assumed_lathe(), {}), draws=4096)
    assert answer.window.lower is None
    assert "neither its film nor its metal" in answer.window.reason


def test_a_bush_bored_first_moves_with_its_seat() -> None:
    stated = RunningSpec.from_text(BUSHED | {"bearing_is": "bush bored before pressing"}).spec
    duty = RunningFit()
    bore = next(f for f in duty.features(stated) if f.name == "bore")
    bush = bush_of(stated)
    assert bush is not None
    assert bore.gains == {"bore cut": 1.0, "bush cut": -bush.closing, "closing": -1.0}
    assert set(bore.gains) <= {error.name for error in duty.errors(stated)}
    assert closing_of(stated, 20e-6) == pytest.approx(bush.closing * (20e-6 - 0.8 * 6e-6))
    assert closing_of(stated, 1e-6) == 0.0


def test_the_order_of_work_tells_how_far_the_bush_closes() -> None:
    duty = RunningFit()
    after = RunningSpec.from_text(BUSHED).spec
    closing = closing_of(after, 20e-6) / MICRON
    steps = duty.steps(after, {"bore": 12.03e-3})
    assert steps[0].startswith("Turn the journal")
    assert f"closes it by about {closing:.1f} µm" in " ".join(steps)
    assert steps[-1] == f"Press it in, then ream to {show(12.03e-3, LENGTH)}."
    before = RunningSpec.from_text(BUSHED | {"bearing_is": "bush bored before pressing"}).spec
    told = " ".join(duty.steps(before, {"bore": 12.03e-3, "bush outside": 16.04e-3}))
    large = closing_of(before, 40e-6)
    assert f"{show(12.03e-3 + large, LENGTH)} before it is pressed in" in told
    plain, plain_size = duty.steps(spec(cut_last="journal"), {}), show(12e-3, LENGTH)
    assert plain == [f"Ream the bore to {plain_size}.", f"Turn the journal to {plain_size}."]
    assert duty.steps(spec(bore_is="bored"), {})[-1] == f"Bore the bore to {plain_size}."
    last = RunningSpec.from_text(BUSHED | {"cut_last": "journal"}).spec
    assert duty.steps(last, {})[-1].startswith("Turn the journal")


@pytest.mark.parametrize(
    "stated",
    [
        AXLE,
        BUSHED,
        BUSHED | {"bearing_is": "bush bored before pressing", "bore_is": "bored"},
        AXLE | SPINDLE,
        AXLE | {"place": "crank pin in rod bush"},
        AXLE | {"bearing_material": "ptfe", "oil": "none"},
    ],
)
def test_features_cautions_and_drawing_of_every_kind(stated: dict[str, str]) -> None:
    duty, understood = RunningFit(), RunningSpec.from_text(stated).spec
    assert all(caution.endswith(".") for caution in duty.cautions(understood))
    assert len(set(duty.cautions(understood))) >= 2
    names = {feature.name for feature in duty.features(understood)}
    sizes = {
        name: Sized(11.99e-3 if name == "journal" else 12.02e-3, 5e-6, -5e-6)
        for name in names & {"journal", "bore"}
    }
    drawn = duty.drawing(understood, sizes)
    for name in names:
        assert len(drawn.of_feature(name)) == 1
    assert drawn.of_feature("bore")[0].nominal == pytest.approx(12.02e-3)
    needed = {need.merit for need in duty.needs(understood)}
    assert ("bush_grip" in needed) == understood.pressed
    assert set(duty.unmeasured(understood)) == {"bore"}


def test_only_what_is_asked_for_is_worked_out() -> None:
    duty, stated = RunningFit(), RunningSpec.from_text(BUSHED).spec
    samples = {feature.name: np.array([feature.aim]) for feature in duty.features(stated)}
    samples |= {each.name: np.array([each.spread.median]) for each in duty.unknowns(stated)}
    model = duty.prepare(stated)
    whole = model.perform(samples)
    for name, values in whole.merits.items():
        one = model.perform(samples, only=[name])
        assert set(one.merits) == {name}
        assert not one.flags
        np.testing.assert_array_equal(one.merits[name], values)


REFUSED = [
    ({"speed": ""}, "speed", "state its speed of rotation"),
    ({"rubbing_speed": "1 m/s"}, "rubbing_speed", "leave this out"),
    ({"place": "valve spindle in gland", "speed": ""}, "rubbing_speed", "spindle slides"),
    ({"oil": "none"}, "oil", "no published limit without oil"),
    ({"oil": "treacle"}, "oil", "not one of"),
    ({"oil": "stated"}, "oil_at_40", "goes with"),
    ({"oil_at_100": "5"}, "oil_at_100", "goes with"),
    ({"oil": "stated", "oil_at_40": "50", "oil_at_100": "60"}, "oil_at_100", "less than"),
    ({"bearing_material": "mild steel"}, "bearing_material", "is not one of gunmetal"),
    ({"journal_material": "white metal"}, "journal_material", "too soft"),
    ({"length": "60 mm"}, "length", "times the diameter"),
    ({"wear_allowed": "0.1 mm"}, "wear_allowed", "must leave"),
    ({"bearing_is": "bush reamed after pressing"}, "bush_outside", "is wanted"),
    ({"bush_outside": "16 mm"}, "bush_outside", "means nothing for a bearing that is"),
    ({"interference": "20 um"}, "interference", "means nothing for a bearing that is"),
    (BUSHED | {"housing_material": ""}, "housing_material", "is wanted"),
    (BUSHED | {"bush_outside": "12.2 mm"}, "bush_outside", "must leave a wall"),
    (BUSHED | {"housing_outside": "16.5 mm"}, "housing_outside", "must leave a wall"),
    (BUSHED | {"interference": "0.2 mm"}, "interference", "would yield"),
]


@pytest.mark.parametrize(("stated", "field", "words"), REFUSED)
def test_what_cannot_be_is_refused_by_field(stated: dict[str, str], field: str, words: str) -> None:
    with pytest.raises(SpecError) as refused:
        spec(**stated)
    assert [problem.field for problem in refused.value.problems] == [field]
    assert words in str(refused.value)


def test_a_bore_no_reamer_cuts_is_told_with_the_nearest_and_the_journal_for_it() -> None:
    duty = RunningFit()
    told = " ".join(duty.steps(spec(), {"bore": 12.03e-3, "journal": 12e-3}))
    assert "No fixed reamer cuts 12.03 mm" in told
    assert "nearest fixed one, 12 mm, the journal must be 11.97 mm" in told
    assert 'cut_last = "journal" and diameter = "12 mm"' in told
    spindle = spec(place="valve spindle in gland", speed="", rubbing_speed="0.3 m/s")
    assert "the spindle must be" in " ".join(duty.steps(spindle, {"bore": 12.03e-3}))
    last = spec(cut_last="journal", diameter="12.1 mm")
    assert 'state diameter = "12 mm" and ask again' in " ".join(duty.steps(last, {}))
    for fits in (spec(bore_is="bored"), spec(cut_last="journal")):
        assert "fixed reamer" not in " ".join(duty.steps(fits, {}))


def test_the_aim_is_the_one_of_the_best_odds() -> None:
    for last in ("bore", "journal"):
        answer = plan(Job(RunningFit(), spec(cut_last=last), assumed_lathe(), {}), draws=4096)
        # Within what so many draws can tell of the odds that any aim has.
        assert answer.best.odds.right >= max(each.odds.right for each in answer.curve) - 0.01


def test_a_loose_fit_cut_separately_needs_no_mate_measured() -> None:
    stated = spec(fit_is="cut separately")
    last = next(f for f in RunningFit().features(stated) if f.cut_last)
    assert not last.to_suit
    assert replace(last, to_suit=True).mate == "journal"


def test_materials_share_one_draw() -> None:
    stated = RunningSpec.from_text(BUSHED | {"housing_material": "gunmetal"}).spec
    names = [each.name for each in RunningFit().unknowns(stated)]
    assert names.count(expansion_name("gunmetal")) == 1
