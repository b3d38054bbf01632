"""An injector's duty: sizes, refusals, corners that agree with the physics, the ring, odds."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest

from benchproof.drawing import Sized
from benchproof.duties.injector import InjectorDuty
from benchproof.duties.injector_corner import Corner
from benchproof.duties.injector_layout import layout_of, size_by_feature
from benchproof.duties.injector_model import (
    COMBINING,
    DELIVERY,
    DEPTH,
    DRAFT,
    MOUTH,
    NOSE,
    STEAM,
    InjectorModel,
)
from benchproof.duties.injector_sizes import plan_of
from benchproof.duties.injector_spec import InjectorSpec
from benchproof.physics.injector_coefficients import recovery
from benchproof.physics.injector_tube import COMBINING_LENGTH, DELIVERY_LENGTH
from benchproof.reckon.joint import Made
from benchproof.reckon.plan import Job, plan
from benchproof.specs import SpecError
from benchproof.spread import Fixed, Normal
from benchproof.workshop.lathe import assumed_lathe
from reference_injector import REFERENCE, at_gauge
from sources import source

DUTY = InjectorDuty()
WANTED = {"boiler_pressure": "5 bar", "blowing_off": "5.5 bar", "feed": "0.3 l/min"}
REFERENCE_SPEC = {
    "boiler_pressure": "6 bar",
    "lowest_pressure": "6 bar",
    "feed": "0.62 l/min",
    "coldest_feed": "15 C",
    "warmest_feed": "15 C",
    "steam_throat": "0.90 mm",
    "mouth": "1.30 mm",
    "nose": "1.60 mm",
    "draft_bore": "2.0046 mm",
    "combining_throat": "0.62 mm",
    "delivery_throat": "0.55 mm",
    "delivery_exit": "2.0 mm",
}
EARLIER = "the same equations, scanned and halved with IAPWS-IF97 by an earlier program"


def spec(**stated: str) -> InjectorSpec:
    return InjectorSpec.from_text(WANTED | stated).spec


def reference(**stated: str) -> InjectorSpec:
    return InjectorSpec.from_text(REFERENCE_SPEC | stated).spec


def middles(stated: InjectorSpec, **changed: float) -> dict[str, np.ndarray]:
    """One injector as planned, its unknowns in their middle, with features or unknowns changed."""
    samples = {each.name: np.array([each.spread.median]) for each in DUTY.unknowns(stated)}
    samples["entry_loss"] = np.zeros(1)
    samples |= {each.name: np.array([each.aim]) for each in DUTY.features(stated)}
    return samples | {name: np.array([value]) for name, value in changed.items()}


def perform(stated: InjectorSpec, **changed: float) -> dict[str, float]:
    merits = DUTY.prepare(stated).perform(middles(stated, **changed)).merits
    return {name: float(values[0]) for name, values in merits.items()}


def wide(count: int, seed: int) -> dict[str, np.ndarray]:
    """Injectors around the reference with sizes well off and coefficients all over."""
    rng = np.random.default_rng(seed)
    found = {name: np.full(count, value) for name, value in REFERENCE.items()}
    for name, value in found.items():
        if "throat" in name or name in {"mouth", "nose", "draft_bore", "delivery_exit"}:
            found[name] = value + 60e-6 * rng.uniform(-1.0, 1.0, count)
    found["momentum"] = rng.uniform(0.6, 0.8, count)
    found["mixing"] = rng.uniform(0.45, 1.05, count)
    found["recovery"] = recovery(product=0.33, momentum=found["momentum"])
    return found


@pytest.mark.parametrize(
    ("bar", "celsius"), [(2, 5), (3, 25), (4, 15), (6, 15), (8, 30), (12, 5), (10, 45)]
)
def test_a_corner_is_the_physics_of_one_pressure_and_tank(bar: float, celsius: float) -> None:
    injector, samples = at_gauge(bar, celsius), wide(4000, 3)
    quick, plain = Corner(injector).perform(samples), injector.perform(samples)
    assert np.mean(quick.cause != plain.cause) < 1e-3
    both = quick.jets & plain.jets
    assert both.any()
    for name in ("margin", "delivered", "fresh", "fullness"):
        # Beside the fold the fall of pressure is as steep as a root: a thousandth there.
        np.testing.assert_allclose(
            getattr(quick, name)[both], getattr(plain, name)[both], rtol=1.2e-3
        )
    warm = Corner(injector).temperature(quick)
    np.testing.assert_allclose(warm[both], plain.mixture_temperature[both], rtol=0.0, atol=0.1)
    np.testing.assert_array_equal(quick.solid[both], plain.solid[both])


def test_a_steam_jet_that_leaves_its_wall_is_left_to_the_physics() -> None:
    injector, samples = at_gauge(2.0), wide(500, 4)
    samples["mouth"] = samples["mouth"] + 0.25e-3
    samples["nose"] = samples["mouth"] + 0.1e-3
    samples["draft_bore"] = samples["nose"] + 0.4e-3
    quick, plain = Corner(injector).perform(samples), injector.perform(samples)
    assert plain.detached.mean() > 0.3
    np.testing.assert_array_equal(quick.cause, plain.cause)
    there = plain.detached
    np.testing.assert_allclose(quick.margin[there], plain.margin[there], rtol=1e-6)
    np.testing.assert_allclose(quick.delivered[there], plain.delivered[there], rtol=1e-6)


@source(EARLIER, kind="own calculation")
def test_the_reference_injector_as_a_builder_states_it() -> None:
    found = perform(reference(), momentum=0.703, momentum_product=0.66 * 0.703**2, mixing=0.8)
    np.testing.assert_allclose(found["fresh"] * 6e4, 0.624, rtol=0.005)
    np.testing.assert_allclose(found["temperature"] - 273.15, 51.2, rtol=0.0, atol=0.1)
    np.testing.assert_allclose(found["spill"], 0.050, rtol=0.0, atol=0.005)
    # Highest delivery pressure 1.190 of the boiler's, of which 6.15 bar are needed.
    np.testing.assert_allclose(found["margin"], 1.190 * 6.0 / 6.15, rtol=0.005)


@source(EARLIER, kind="own calculation")
@pytest.mark.parametrize(("bar", "oxygen"), [(7, 18.0), (9, 89.0)])
def test_what_a_dry_overflow_carries_in_at_most(bar: float, oxygen: float) -> None:
    stated = reference(boiler_pressure=f"{bar} bar", lowest_pressure="6 bar")
    found = perform(stated, momentum=0.703, momentum_product=0.66 * 0.703**2, mixing=0.8)
    dissolved = 10.08
    np.testing.assert_allclose(found["oxygen"] - dissolved, oxygen, rtol=0.04)
    assert found["fullness"] < 1.0


@source("common practice among builders of small engines", kind="common practice")
@pytest.mark.parametrize("feed", ["0.25 l/min", "0.3 l/min"])
def test_small_gauges_have_four_cones_in_five_millimetres_and_a_hole_of_a_third(feed: str) -> None:
    planned = plan_of(spec(feed=feed, reserve="0 %"))
    assert 0.3e-3 < min(planned.sizes.values()) < 0.4e-3
    assert planned.covers


@pytest.mark.parametrize(
    ("stated", "field", "said"),
    [
        ({"feed": "0"}, "feed", "too little"),
        ({"boiler_pressure": "-0.5 bar"}, "boiler_pressure", "too little"),
        ({"boiler_pressure": "14 bar"}, "boiler_pressure", "too much"),
        ({"warmest_feed": "60 C"}, "warmest_feed", "too much"),
        ({"coldest_feed": "20 C"}, "coldest_feed", "warmer than usual"),
        ({"warmest_feed": "10 C"}, "warmest_feed", "colder than usual"),
        ({"lowest_pressure": "6 bar"}, "lowest_pressure", "above the boiler"),
        ({"blowing_off": "4 bar"}, "blowing_off", "below the boiler"),
        ({"boiler_pressure": "12 bar", "blowing_off": "12 bar", "warmest_feed": "45 C",
          "steam_throat": "1.0 mm", "delivery_throat": "0.42 mm"},
         "warmest_feed", "not condensed"),
        ({"feed": "3 l/min"}, "feed", "largest that goes into"),
        ({"feed": "0.03 l/min"}, "feed", "nothing is known"),
        ({"feed": "6 l/min", "tube_bore": "15 mm"}, "feed", "feed with two"),
        ({"least_wall": "2.5 mm"}, "least_wall", "fills the tube"),
        ({"material": "ptfe"}, "material", "of a metal"),
        ({"steam_throat": "0.9 mm"}, "delivery_throat", "both throats"),
        ({"delivery_throat": "0.5 mm"}, "steam_throat", "both throats"),
        ({"nose": "1.2 mm"}, "nose", "both throats too"),
        ({"steam_throat": "0.9 mm", "delivery_throat": "0.5 mm", "mouth": "0.8 mm"},
         "mouth", "larger than the steam throat"),
        ({"steam_throat": "3.9 mm", "delivery_throat": "1.2 mm"}, "tube_bore", "wider tube"),
        ({"steam_throat": "0.9 mm", "delivery_throat": "0.55 mm", "nose": "1.6 mm",
          "draft_bore": "1.63 mm"}, "draft_bore", "too little water"),
    ],
)  # fmt: skip
def test_nonsense_is_refused_by_its_field(stated: dict[str, str], field: str, said: str) -> None:
    with pytest.raises(SpecError) as refused:
        spec(**stated)
    problems = {problem.field: str(problem) for problem in refused.value.problems}
    assert field in problems, problems
    assert said in problems[field]


def test_a_feed_must_be_known() -> None:
    with pytest.raises(SpecError, match="evaporation"):
        InjectorSpec.from_text({"boiler_pressure": "5 bar"})


def test_feed_follows_from_what_the_engine_evaporates() -> None:
    inherited = InjectorSpec.from_text(
        {}, inherited={"boiler_pressure": "5 bar", "evaporation": "12 kg/h"}
    )
    np.testing.assert_allclose(inherited.spec.wanted, 1.5 * 12.0 / 3600.0 / 999.0, rtol=1e-9)


@source(EARLIER, kind="own calculation")
def test_three_litres_do_not_fit_and_the_largest_is_named_in_both_units() -> None:
    with pytest.raises(SpecError) as refused:
        spec(feed="3 l/min", boiler_pressure="6 bar", lowest_pressure="6 bar", reserve="0 %",
             blowing_off="6 bar", warmest_feed="15 C", spill="4 %")  # fmt: skip
    told = str(refused.value)
    litres = float(told.split(" L/min (", maxsplit=1)[0].rsplit(" ", 1)[1])
    assert 2.2 < litres < 2.65
    assert "in³/min" in told


def test_sizes_are_those_of_the_service_and_the_ring_is_set_where_least_spills() -> None:
    stated = spec(reserve="0 %")
    planned = plan_of(stated)
    np.testing.assert_allclose(float(planned.running.fresh_volume), stated.wanted, rtol=0.03)
    hot = InjectorModel(stated).corners["blowing off, warm"]
    found = hot.perform({name: np.array([value]) for name, value in {
        **planned.sizes, "steam_discharge": 1.0, "momentum": 0.703, "water_discharge": 0.7,
        "mixing": 0.8, "recovery": 0.66}.items()})  # fmt: skip
    np.testing.assert_allclose(found.spilled / found.total, stated.spill, rtol=0.0, atol=0.004)


def test_more_ring_draws_less_air_and_costs_low_pressure() -> None:
    stated = spec()
    aim = plan_of(stated).sizes["draft_bore"]
    rows = [perform(stated, **{DRAFT: aim + step}) for step in (-60e-6, 0.0, 60e-6)]
    for name, sign in (("fullness", 1.0), ("margin", -1.0), ("spill", 1.0), ("wall", -1.0)):
        assert np.all(sign * np.diff([row[name] for row in rows]) > 0.0), name


def test_a_nose_that_stands_deeper_is_a_smaller_draft_bore() -> None:
    stated = spec()
    planned = plan_of(stated)
    deeper = perform(stated, **{DEPTH: planned.nose_depth + 0.1e-3})
    bore = planned.sizes["draft_bore"] - 0.2e-3 * float(np.tan(stated.draft_half_angle))
    smaller = perform(stated, **{DRAFT: bore})
    for name in ("margin", "fresh", "fullness"):
        np.testing.assert_allclose(deeper[name], smaller[name], rtol=1e-9)


@source("2 z d(a): 0.25 degrees at 3 mm are 26 µm", kind="own calculation")
def test_the_reamers_angle_counts_over_the_distance_to_where_it_was_gauged() -> None:
    stated = spec(gauge_distance="3 mm")
    draft = next(each for each in DUTY.features(stated) if each.name == DRAFT)
    np.testing.assert_allclose(
        draft.gains["draft taper"] * np.radians(0.25), 26e-6, rtol=0.0, atol=0.6e-6
    )
    assert "draft taper" in {error.name for error in DUTY.errors(stated)}
    assert "gauged 3 mm off it" in " ".join(DUTY.steps(stated, {}))


def test_a_free_overflow_needs_no_water_in_it_and_is_warned_of() -> None:
    flooded, free = ([need.merit for need in DUTY.needs(spec(overflow=word))]
                     for word in ("flooded", "free"))  # fmt: skip
    assert flooded == ["margin", "fresh", "fullness"]
    assert free == ["margin", "fresh"]
    assert any("steel boiler pits" in each for each in DUTY.cautions(spec(overflow="free")))


def test_out_of_line_costs_delivery_and_never_running() -> None:
    stated = spec()
    straight, bent = (perform(stated, **{"out of line": off}) for off in (0.0, 100e-6))
    assert straight["overlap_lost"] <= 1e-9
    assert bent["overlap_lost"] > 0.15
    for name in ("margin", "fresh", "fullness"):
        assert straight[name] == bent[name]


def test_corners_left_out_would_have_changed_hardly_any_odds() -> None:
    stated = spec()
    model = DUTY.prepare(stated)
    assert len(model.binding) < 4
    joint = Job(DUTY, stated, assumed_lathe(), {}).joint()
    samples = joint.samples(joint.normals(8000, 5))
    cones = model.cones(samples)
    every = [corner.perform(cones).margin for name, corner in model.corners.items()
             if name != "work"]  # fmt: skip
    lowest = np.minimum.reduce(every)
    taken = model.perform(samples, only=["margin"]).merits["margin"]
    assert np.all(taken >= lowest)
    assert np.mean((taken >= 1.0) & (lowest < 1.0)) < 0.004


def test_why_a_sample_fails_is_flagged() -> None:
    stated = spec()
    ring = plan_of(stated).sizes["draft_bore"] - plan_of(stated).sizes["nose"]
    nose = plan_of(stated).sizes["nose"]
    model = DUTY.prepare(stated)

    def flags(**changed: float) -> set[str]:
        raised = model.perform(middles(stated, **changed)).flags
        return {name for name, values in raised.items() if values[0]}

    assert "not_condensed" in flags(**{DRAFT: nose + 0.2 * ring})
    assert "does_not_go_together" in flags(**{DRAFT: nose - 1e-6})
    assert "delivery_short" in flags(momentum_product=0.25)
    assert "draws_air" in flags(**{DRAFT: nose + 0.85 * ring})
    assert "spills_much" in flags(**{DRAFT: nose + 1.4 * ring, COMBINING: 0.6e-3})
    assert "small_margin" in flags(momentum_product=0.315)


def test_a_throat_that_chokes_is_told_apart() -> None:
    model = DUTY.prepare(spec())
    weak = model.perform(middles(spec(), momentum=0.1))
    assert weak.flags["throat_choked"][0]
    assert not weak.flags["not_condensed"][0]
    assert weak.merits["margin"][0] == 0.0
    assert not model.perform(middles(spec())).flags["throat_choked"][0]


def test_a_builders_own_coefficients_take_the_place_of_the_printed_ones() -> None:
    own = spec(momentum="0.69 ± 0.01", momentum_product="0.31 ± 0.01", mixing="0.7 to 0.75")
    told = {each.name: each for each in DUTY.unknowns(own)}
    assert told["momentum"].spread == Normal(0.69, 0.01)
    assert "own bench tests" in told["momentum"].source
    assert not isinstance(told["steam_discharge"].spread, Fixed)
    weaker = plan_of(own).area_ratio
    assert weaker > plan_of(spec()).area_ratio  # a weaker jet needs more steam
    before, after = (" ".join(DUTY.cautions(each)) for each in (spec(), own))
    assert "Before any bench test" in before
    assert "Before any bench test" not in after


def test_lengths_lie_within_those_in_print() -> None:
    stated = spec()
    size, layout = size_by_feature(stated, {}), layout_of(stated, {})
    mixing = layout.draft - layout.nose_depth + layout.first_gap + layout.combining
    overall = (mixing + layout.overflow_gap) / size[DELIVERY]
    assert COMBINING_LENGTH[0] <= overall <= COMBINING_LENGTH[1]
    assert DELIVERY_LENGTH[0] <= layout.delivery / size[DELIVERY] <= DELIVERY_LENGTH[1] + 0.1
    assert layout.starting >= 1.0
    assert np.radians(5.0) <= layout.combining_angle <= np.radians(15.0)


def test_steps_tell_rule_and_model_tapers_and_drills_in_both_systems() -> None:
    stated = spec()
    metric, inch = (" ".join(DUTY.steps(stated, {}, system)) for system in ("metric", "inch"))
    for word in ("Hughes, 1912", "half 6° 30'", "clock", "nose", "burr"):
        assert word in metric
    assert " in" in inch
    assert " mm" not in re.sub(r"\([\d.]+ mm\)", "", inch)  # drills by the name they are sold under
    rule = plan_of(stated).rule_over_model
    assert f"{abs(rule - 1.0) * 100.0:.0f} %" in metric


def test_rule_and_model_more_than_a_fifth_apart_are_flagged() -> None:
    apart = spec(momentum="0.92 ± 0.01")
    assert abs(plan_of(apart).rule_over_model - 1.0) > 0.2
    assert "more than a fifth apart" in DUTY.steps(apart, {})[0]
    assert "more than a fifth apart" not in DUTY.steps(spec(), {})[0]


def test_a_range_that_is_too_wide_for_any_ratio_is_said_to_be() -> None:
    far = spec(boiler_pressure="12 bar", lowest_pressure="2 bar", blowing_off="12 bar")
    assert not plan_of(far).covers
    assert "no ratio of areas" in DUTY.steps(far, {})[0]
    assert "no ratio of areas" not in DUTY.steps(spec(), {})[0]


def test_the_drawing_has_every_feature_to_the_sizes_given() -> None:
    stated = spec()
    drawing = DUTY.drawing(stated, {DRAFT: Sized(1.540e-3, 10e-6, -5e-6)})
    for feature in (STEAM, MOUTH, NOSE, COMBINING, DELIVERY):
        assert drawing.of_feature(feature), feature
    (bore,) = drawing.of_feature(DRAFT)
    np.testing.assert_allclose(bore.nominal, 1.540e-3, rtol=1e-9)
    assert [view.title for view in drawing.views][-3:] == ["Cones in their tube", "Tube", "Clack"]


def test_an_answer_is_reckoned_with_as_many_draws_as_the_duty_asks_for() -> None:
    job: Job[Any] = Job(DUTY, spec(), assumed_lathe(), {NOSE: Made(1.217e-3, 2e-6, 1.220e-3)})
    answer = plan(job, brief=True)
    assert answer.draws == DUTY.draws
    # The draft bore is cut to suit the nose as it was measured.
    ring = plan_of(spec()).sizes["draft_bore"] - plan_of(spec()).sizes["nose"]
    assert 0.5 * ring < answer.best.size - 1.217e-3 < 1.6 * ring
    assert 0.3 < answer.best.odds.right < 0.9
