"""A tyre on its wheel: windows, monotony, the wheel between ring and disc, what is refused."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.drawing import Sized
from benchproof.duties.tyre_fit import TyreFit
from benchproof.duties.tyre_model import TyreModel
from benchproof.duties.tyre_spec import TyreSpec
from benchproof.duties.tyre_steps import drop_temperature
from benchproof.duties.tyre_wheel import spokes_bear
from benchproof.reckon.joint import Made
from benchproof.reckon.odds import sweep
from benchproof.reckon.plan import Job, plan
from benchproof.specs import SpecError
from benchproof.spread import Fixed, Uniform
from benchproof.workshop.lathe import assumed_lathe
from sources import source

DUTY = TyreFit()
TYRE = {
    "seat": "100 mm",
    "tread": "116 mm",
    "width": "20 mm",
    "wheel_is": "solid",
    "wheel_material": "cast iron",
    "tyre_material": "mild steel",
    "axle_load": "490 N",
    "coldest": "20 C",
    "warmest": "20 C",
}
RING = {"wheel_is": "free ring", "rim_inside": "84 mm"}
SPOKES = {
    "wheel_is": "spoked",
    "rim_inside": "84 mm",
    "spokes": "10",
    "spoke_width": "8 mm",
    "spoke_thickness": "6 mm",
    "hub_diameter": "30 mm",
}
WEB = {"wheel_is": "plate web", "rim_inside": "84 mm", "web_thickness": "6 mm"}


def spec(**stated: str) -> TyreSpec:
    return TyreSpec.from_text(TYRE | stated).spec


def middles(stated: TyreSpec, interference: float = 100e-6) -> dict[str, np.ndarray]:
    samples = {each.name: np.array([each.spread.median]) for each in DUTY.unknowns(stated)}
    seat = np.array([stated.seat])
    return samples | {"seat": seat, "tyre bore": seat - interference}


def perform(stated: TyreSpec, interference: float = 100e-6, **changed: float) -> dict[str, float]:
    """Merits and flags of one sample with every unknown at its middle."""
    samples = middles(stated, interference)
    samples |= {name: np.array([value]) for name, value in changed.items()}
    outcome = DUTY.prepare(stated).perform(samples)
    return {name: float(v[0]) for name, v in {**outcome.merits, **outcome.flags}.items()}


@source("the same tyre worked by hand with the table's metals", kind="own calculation")
def test_every_merit_by_hand() -> None:
    found = perform(spec())
    left = 100e-6 - 0.8 * 12.6e-6
    hoop = (116**2 + 100**2) / (116**2 - 100**2)
    pressure = left / 0.1 / ((hoop + 0.29) / 200e9 + 0.789 / 100e9)
    grip = np.pi * 0.1 * 0.02 * pressure * 0.13
    asked = 245.0 * np.hypot(0.25 * 1.16, 0.5)
    heat = 0.1 * 11.7e-6
    expected = {
        "pressure": pressure,
        "hoop_stress": hoop * pressure,
        "yield_share": np.sqrt(hoop**2 + hoop + 1.0) * pressure / 250e6,
        "slip_torque": grip * 0.05,
        "cold_grip": grip / asked,
        "hot_grip": grip / asked * (left - 50.0 * heat) / left,
        "grip_lost_at": left / heat,
        "drop_temperature": 293.15 + 200e-6 / heat,
        "growth": (hoop - 1.0) * pressure / 200e9 * 0.116,
        "rim_stress": 2.0 * pressure,
    }
    for name, value in expected.items():
        assert found[name] == pytest.approx(value, rel=1e-9), name
    assert not any(found[flag] for flag in DUTY.flag_words)


def test_a_spoked_wheel_lies_between_ring_and_disc() -> None:
    ring, spoked, web, solid = (
        perform(spec(**kind))["pressure"] for kind in (RING, SPOKES, WEB, {})
    )
    assert ring < spoked < solid
    assert ring < web < solid
    # The drawn share runs between bounds that are themselves within ring and disc.
    bears = spokes_bear(spec(**SPOKES))
    low, high = (float(bears.at(np.array(score))) for score in (-8.0, 8.0))
    assert 0.3 < low < 0.5
    assert high == pytest.approx(1.0, abs=1e-9)
    fast = perform(spec(**SPOKES), spoke_bearing=high)["pressure"]
    loose = perform(spec(**SPOKES), spoke_bearing=low)["pressure"]
    assert ring < loose < spoked < fast < solid
    none = perform(spec(**SPOKES, spoke_bearing="0 %"))["pressure"]
    assert none == pytest.approx(ring, rel=1e-12)


@pytest.mark.parametrize("kind", [{}, RING, SPOKES, WEB])
@settings(max_examples=15, deadline=None)
@given(st.floats(20e-6, 250e-6), st.floats(1.02, 1.5))
def test_tighter_is_stronger_stressed_and_hotter(
    kind: dict[str, str], interference: float, more: float
) -> None:
    less, much = (perform(spec(**kind), interference * k) for k in (1.0, more))
    for name in ("hoop_stress", "yield_share", "rim_stress", "cold_grip", "growth", "pressure",
                 "slip_torque", "grip_lost_at", "drop_temperature"):  # fmt: skip
        assert much[name] > less[name], name
    assert much["hot_grip"] >= less["hot_grip"]
    for name in ("time_in_air", "time_on_seat"):
        assert much[name] < less[name], name


def test_what_is_loose_has_no_grip_and_no_stress_and_never_grips() -> None:
    found = perform(spec(), -20e-6)
    for name in ("hoop_stress", "cold_grip", "hot_grip", "slip_torque", "growth", "grip_lost_at"):
        assert found[name] == 0.0, name
    assert found["loose"]
    assert found["loose_when_braked"]
    assert found["time_in_air"] == 1e6


def test_flags_tell_what_goes_wrong() -> None:
    assert perform(spec(), 300e-6)["yields"]
    assert perform(spec(), 60e-6)["loose_when_braked"]
    assert not perform(spec(), 60e-6)["loose"]
    assert perform(spec(handling_time="300 s"), air_cooling=60.0)["grips_at_once"]
    few = SPOKES | {"spokes": "4", "spoke_width": "14 mm", "spoke_thickness": "20 mm"}
    thin = perform(spec(**few | {"rim_inside": "90 mm", "tread": "106 mm"}), spoke_bearing=1.0)
    assert thin["rim_pulled"]
    assert not perform(spec(**SPOKES))["rim_pulled"]


def test_unlike_metals_feel_the_seasons_and_like_ones_do_not() -> None:
    seasons = {"coldest": "-10 C", "warmest": "40 C"}
    still, felt = perform(spec()), perform(spec(**seasons))
    apart = 0.1 * (11.7e-6 - 10.5e-6)
    compliance = TyreModel(spec()).circumstances(middles(spec())).taken_up[0]
    hoop = (felt["hoop_stress"] - still["hoop_stress"]) / TyreModel(spec()).hoop
    assert hoop == pytest.approx(30.0 * apart * compliance, rel=1e-6)
    assert felt["grip_lost_at"] < still["grip_lost_at"]
    assert felt["pressure"] == still["pressure"]
    alike = {"wheel_material": "mild steel"}
    assert perform(spec(**alike))["hoop_stress"] == pytest.approx(
        perform(spec(**alike, **seasons))["hoop_stress"], rel=1e-12
    )
    # Aluminium shrinks from a cold tyre, and swells in a hot one.
    light = {"wheel_material": "6082", "hoop_allowed": "200 MPa"}
    frost = perform(spec(**light, **seasons))
    assert frost["cold_grip"] < 0.75 * perform(spec(**light))["cold_grip"]


@source("a second calculation of the same tyre", kind="own calculation")
def test_temperature_to_drop_on_over_the_window() -> None:
    window = DUTY.plain_window(spec())
    assert window.lower is not None
    assert window.upper is not None
    low, high = (drop_temperature(spec(), at) - 273.15 for at in (window.lower, window.upper))
    assert low == pytest.approx(165.0, abs=3.0)
    assert high == pytest.approx(205.0, abs=3.0)


@pytest.mark.parametrize("kind", [{}, RING, SPOKES, WEB])
def test_needs_turn_at_the_ends_of_the_plain_window(kind: dict[str, str]) -> None:
    stated = spec(**kind)
    window, needs = DUTY.plain_window(stated), DUTY.needs(stated)
    assert window.lower is not None
    assert window.upper is not None
    for at, good in (
        (window.lower - 1e-8, False),
        (window.lower + 1e-8, True),
        (window.upper - 1e-8, True),
        (window.upper + 1e-8, False),
    ):
        found = perform(stated, at)
        assert all(need.met(np.array(found[need.merit])) for need in needs) is good
    reach = DUTY.aims_to_try(stated)
    aim = DUTY.features(stated)[1].aim
    assert stated.seat - aim - reach[1] < 0.0
    assert stated.seat - aim - reach[0] > window.upper


def test_enough_brake_heat_closes_the_window_and_so_does_a_cool_oven() -> None:
    braked = DUTY.plain_window(spec(tyre_lead="100 K"))
    assert (braked.lower, braked.upper) == (None, None)
    assert "stretched" in braked.reason
    assert plan(Job(DUTY, spec(tyre_lead="100 K"), assumed_lathe(), {}), brief=True).window.reason
    cool = DUTY.plain_window(spec(heat_limit="150 C"))
    assert cool.lower is None
    assert "hot enough" in cool.reason
    assert DUTY.plain_window(spec(**RING, heated_by="torch")).upper == pytest.approx(
        11.7e-6 * 0.1 * 280.0 - 0.1e-3, rel=1e-9
    )


def test_a_seat_made_small_moves_the_bore_with_it() -> None:
    stated = spec()
    true, small = (
        plan(Job(DUTY, stated, assumed_lathe(), {"seat": Made(size, 2e-6, 100e-3)}), brief=True)
        for size in (100e-3, 99.98e-3)
    )
    assert true.best.size - small.best.size == pytest.approx(0.02e-3, abs=3e-6)
    assert small.best.value == pytest.approx(true.best.value, abs=3e-6)
    assert small.window.lower == pytest.approx(70e-6, abs=6e-6)


def test_the_window_of_true_sizes_lies_within_the_plain_one() -> None:
    answer = plan(Job(DUTY, spec(), assumed_lathe(), {}))
    plain = answer.plain_window
    assert plain is not None
    assert plain.lower is not None
    assert plain.upper is not None
    assert answer.window.lower is not None
    assert answer.window.upper is not None
    assert plain.lower < answer.window.lower < answer.window.upper < plain.upper
    assert any("Finish the tread" in step for step in answer.work["metric"])
    assert any(f"{answer.best.size * 1e3:.3f} mm" in step for step in answer.work["metric"])


def test_circumstances_are_kept_for_the_same_draws_only() -> None:
    stated = spec(**SPOKES)
    joint = Job(DUTY, stated, assumed_lathe(), {}).joint()
    one, two = (joint.samples(joint.normals(300, seed)) for seed in (1, 2))
    kept = DUTY.prepare(stated)
    for samples in (one, two, one, one | {"friction": two["friction"]}):
        fresh = DUTY.prepare(stated).perform(samples)
        again = kept.perform(samples)
        for name, values in fresh.merits.items():
            np.testing.assert_array_equal(again.merits[name], values)
    # Two threads at once, each with its own block of draws.
    needs, offsets = DUTY.needs(stated), np.linspace(-50e-6, 50e-6, 5)
    many = joint.samples(joint.normals(70_000, 3))
    found = sweep(kept, needs, many, joint.swept, offsets)
    for row, offset in enumerate(offsets):
        moved = many | {"tyre bore": many["tyre bore"] + offset}
        merits = DUTY.prepare(stated).perform(moved).merits
        right = np.all([need.met(merits[need.merit]) for need in needs], axis=0)
        np.testing.assert_array_equal(found.right[row], right)


@pytest.mark.parametrize("score", [-30.0, -8.0, 8.0, 30.0])
@pytest.mark.parametrize("kind", [{}, SPOKES | {"spoke_bearing": "80 ± 30 %"}])
def test_draws_far_beyond_belief_raise_nothing(kind: dict[str, str], score: float) -> None:
    stated = spec(**kind, friction="0.12 ± 0.02")
    drawn = {each.name: each.spread.at(np.array([score])) for each in DUTY.unknowns(stated)}
    outcome = DUTY.prepare(stated).perform(middles(stated) | drawn)
    for name, values in outcome.merits.items():
        assert not np.isnan(values).any(), name


def test_a_merit_asked_for_alone_is_there() -> None:
    stated = spec(**SPOKES)
    whole = DUTY.prepare(stated).perform(middles(stated)).merits
    for name, values in whole.items():
        alone = DUTY.prepare(stated).perform(middles(stated), only=[name])
        np.testing.assert_array_equal(alone.merits[name], values)


@pytest.mark.parametrize("means", ["oven", "hotplate", "torch"])
def test_steps_tell_sizes_temperature_and_when_to_finish(means: str) -> None:
    stated = spec(heated_by=means, tread_left="0")
    steps = DUTY.steps(stated, {"seat": 99.98e-3, "tyre bore": 99.88e-3})
    told = " ".join(steps)
    for words in ("99.98 mm", "99.88 mm", "190 °C", "210 °C", "100.08 mm", "Finish the tread"):
        assert words in told, words
    assert "left on the tread" not in told
    assert means in told.lower() or means == "torch"
    assert DUTY.steps(stated, {})[2].startswith("Bore the tyre to 99.9 mm")
    cautions = " ".join(DUTY.cautions(stated))
    for words in ("burns", "quench", "plating", "iron wheel"):
        assert words in cautions
    assert ("blue" in cautions) is (means == "torch")
    assert "iron wheel" not in " ".join(DUTY.cautions(spec(wheel_material="mild steel")))


@pytest.mark.parametrize(
    ("kind", "titles"),
    [
        ({}, 2),
        (RING, 2),
        (SPOKES | {"flange_height": "3 mm", "flange_width": "3 mm", "tread_left": "0"}, 3),
        (WEB, 2),
        (WEB | {"web_thickness": "20 mm"}, 2),
    ],
)
def test_the_drawing_carries_the_sizes_of_the_answer(kind: dict[str, str], titles: int) -> None:
    sizes = {
        "seat": Sized(99.98e-3, 2e-6, -3e-6),
        "tyre bore": Sized(99.88e-3, 10e-6, -8e-6),
    }
    drawing = DUTY.drawing(spec(**kind), sizes)
    assert len(drawing.views) == titles
    for name, size in sizes.items():
        (found,) = drawing.of_feature(name)
        assert found.nominal == pytest.approx(size.aim, rel=1e-12)
        assert found.tolerance is not None
        assert found.tolerance.upper == size.upper
    assert any("100 µm" in note for note in drawing.notes)


def test_materials_that_come_with_a_certificate_are_taken_at_their_word() -> None:
    stated = spec(tyre_yield="400 MPa", friction="0.1 to 0.12", rim_allowed="60 MPa")
    assert stated.hoop_limit == pytest.approx(0.67 * 400e6, rel=1e-12)
    assert stated.grips_with.median == pytest.approx(0.11, rel=1e-12)
    assert stated.rim_limit == 60e6
    assert spec(hoop_allowed="150 MPa").hoop_limit == 150e6
    assert spec(wheel_material="mild steel").rim_limit == pytest.approx(167.5e6, rel=1e-12)
    assert spec(tyre_material="en24", heated_by="torch").highest_heat == 573.15
    assert spokes_bear(spec(**SPOKES, spoke_bearing="70 to 90 %")) == Uniform(0.7, 0.9)
    assert spokes_bear(spec()) == Fixed(1.0)
    assert spec(drop_clearance="50 µm").clearance_to_drop == pytest.approx(50e-6, rel=1e-12)
    assert spec(wheel_material="6082").grips_with.median == pytest.approx(0.12, rel=1e-12)


@pytest.mark.parametrize(
    ("stated", "field"),
    [
        ({"tread": "101 mm"}, "tread"),
        ({"flange_width": "25 mm"}, "flange_width"),
        ({"tyre_material": "cast iron"}, "tyre_material"),
        ({"tyre_material": "gunmetal"}, "tyre_material"),
        ({"wheel_material": "peek"}, "wheel_material"),
        ({"wheel_material": "white metal"}, "wheel_material"),
        ({"rim_inside": "84 mm"}, "rim_inside"),
        ({"wheel_is": "spoked"}, "rim_inside"),
        (RING | {"spokes": "8"}, "spokes"),
        (RING | {"rim_inside": "99 mm"}, "rim_inside"),
        (RING | {"spoke_bearing": "50 %"}, "spoke_bearing"),
        (WEB | {"web_thickness": "21 mm"}, "web_thickness"),
        (SPOKES | {"hub_diameter": "83 mm"}, "hub_diameter"),
        (SPOKES | {"spoke_width": "30 mm"}, "spoke_width"),
        ({"heat_limit": "60 C", "room_temperature": "40 C"}, "heat_limit"),
    ],
)
def test_what_cannot_be_is_refused_by_name(stated: dict[str, Any], field: str) -> None:
    with pytest.raises(SpecError) as refused:
        spec(**stated)
    assert [problem.field for problem in refused.value.problems] == [field]
