"""A pipe union: what is refused, what moves which merit, and cases worked another way."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from benchproof.drawing import Sized
from benchproof.duties.pipe_union import PipeUnion, UnionSpec
from benchproof.physics.pipes import pressure_drop
from benchproof.reckon.plan import Job, plan
from benchproof.specs import SpecError
from benchproof.spread import Fixed, Normal
from benchproof.workshop.lathe import assumed_lathe
from sources import source

STATED: dict[str, object] = {
    "thread": "1/4 x 40",
    "engagement_length": "4.5 mm",
    "pipe_diameter": "4 mm",
    "pipe_wall": "0.7 mm",
    "nut_material": "gunmetal",
    "nipple_material": "phosphor bronze",
    "fitting_material": "gunmetal",
    "fluid": "water",
    "flow": "400 g/min",
    "pipe_length": "400 mm",
    "working_pressure": "6 bar",
    "temperature": "90 °C",
    "seat_diameter": "4.2 mm",
    "seat_width": "0.6 mm",
    "torque": "1.1 ± 0.2 N·m",
}
DUTY = PipeUnion()


def spec(**changed: object) -> UnionSpec:
    stated = {k: v for k, v in (STATED | changed).items() if v is not None}
    return UnionSpec.from_text(stated).spec


def middle(given: UnionSpec, **moved: float) -> dict[str, np.ndarray[Any, Any]]:
    """One sample with everything at its middle, but for what is moved."""
    samples = {feature.name: np.array([feature.aim]) for feature in DUTY.features(given)}
    for unknown in DUTY.unknowns(given):
        samples[unknown.name] = np.array([unknown.spread.median])
    return samples | {
        name.replace("_", " ") if name.replace("_", " ") in samples else name: np.array([value])
        for name, value in moved.items()
    }


def merits(given: UnionSpec, **moved: float) -> dict[str, float]:
    outcome = DUTY.prepare(given).perform(middle(given, **moved))
    return {name: float(values[0]) for name, values in outcome.merits.items()}


@pytest.mark.parametrize(
    ("changed", "field", "told"),
    [
        ({"thread": "5/17 x 40"}, "thread", "did you mean"),
        ({"pipe_wall": "1.7 mm"}, "pipe_wall", "no bore"),
        ({"pipe_diameter": "5.5 mm"}, "pipe_diameter", "no shoulder"),
        ({"collar_diameter": "6 mm"}, "collar_diameter", "core of the nut"),
        ({"seat_diameter": "5.4 mm"}, "seat_diameter", "beyond the core of the screw"),
        ({"seat_diameter": "1.2 mm", "seat_width": "1 mm"}, "seat_width", "half the bore"),
        ({"nipple_cone": "61 deg"}, "cones_are", "one angle"),
        ({"torque": None}, "torque", "state the torque"),
        ({"spanner_length": "80 mm", "hand_force": "10 N"}, "torque", "or else both"),
        ({"tapping_drill": "5.4 mm"}, "tapping_drill", "below the core"),
        ({"tapping_drill": "6.2 mm"}, "tapping_drill", "less than half a thread"),
        ({"nut_material": "grey iron"}, "nut_material", "crack, or creep"),
        ({"pipe_material": "stainless 304"}, "allowed_stress", "must be stated"),
        ({"temperature": "170 °C"}, "temperature", "superheated"),
        ({"fluid": "steam", "flow": "0.5 g/s"}, "temperature", "leave it out"),
        ({"working_pressure": "16 bar", "temperature": None}, "working_pressure", "not rated"),
        ({"flow": "60 g/s"}, "flow", "larger bore"),
    ],
)
def test_a_bad_spec_is_refused_by_its_field(
    changed: dict[str, object], field: str, told: str
) -> None:
    with pytest.raises(SpecError) as caught:
        spec(**changed)
    assert [problem.field for problem in caught.value.problems] == [field]
    assert told in str(caught.value)


def test_threads_go_by_any_name_the_trade_has_for_them() -> None:
    keys = {spec(thread=name).thread for name in ("1/4x40", "1/4 x 40 ME", '1/4" x 40 tpi')}
    assert keys == {"1/4x40 ME"}


def test_a_looser_thread_turns_more_freely_and_strips_sooner() -> None:
    tight, loose = merits(spec()), merits(spec(), fitting_thread=5.80e-3)
    assert loose["turning_play"] > tight["turning_play"]
    assert loose["strip_margin"] < tight["strip_margin"]
    assert loose["seal_margin"] == tight["seal_margin"]


def test_more_torque_seals_better_and_strips_sooner() -> None:
    soft, hard = merits(spec(), torque=0.8), merits(spec(), torque=1.6)
    assert hard["seal_margin"] > soft["seal_margin"]
    assert hard["strip_margin"] < 0.6 * soft["strip_margin"]
    assert hard["weep"] < soft["weep"]


def test_a_spanner_is_a_torque() -> None:
    by_hand = spec(torque=None, spanner_length="100 mm", hand_force="11 N")
    np.testing.assert_allclose(
        merits(by_hand)["seating_force"], merits(spec())["seating_force"], rtol=1e-12, atol=0
    )


def test_a_small_mismatch_presses_harder_than_none() -> None:
    alike = merits(spec(), torque=0.3)
    apart = merits(spec(), torque=0.3, nipple_cone=np.radians(61.0))
    assert apart["seal_margin"] > alike["seal_margin"]
    np.testing.assert_allclose(apart["mismatch"], np.radians(1.0), rtol=1e-9, atol=0)


def test_pressure_lifts_a_nipple_that_is_only_finger_tight() -> None:
    found = DUTY.prepare(spec()).perform(middle(spec(), torque=0.01))
    assert bool(found.flags["lifts"][0])
    assert float(found.merits["seal_margin"][0]) == 0.0


@source("own calculation, by hand: force, seat and stripping of one union", kind="own calculation")
def test_a_union_worked_by_hand() -> None:
    given = spec(torque="1 N·m", friction="0.15", nipple_material="gunmetal")
    found = merits(given, pitch_clearance=0.0)
    d2, pitch = 5.9434e-3, 0.635e-3  # 1/4 - 0.640327/40 in, 1/40 in
    lead, rub = pitch / (np.pi * d2), 0.15 / np.cos(np.radians(27.5))
    radius = (5.5368e-3 - 0.1e-3 + 4e-3) / 4.0
    force = 1.0 / (0.5 * d2 * (lead + rub) / (1.0 - lead * rub) + 0.15 * radius)
    lifted = np.pi / 4.0 * (4.2e-3 + 0.6e-3 * 0.5) ** 2 * 12e5
    np.testing.assert_allclose(found["seating_force"], force - lifted, rtol=1e-4, atol=0)
    line = (force - lifted) / (np.pi * 4.2e-3 * (0.5 + 0.15 * np.cos(np.radians(30.0))))
    softened = 0.55 * 110e6
    wanted = min(line / 0.6e-3, line / 0.05e-3) / (2.8 * 0.42 * softened)
    np.testing.assert_allclose(found["seal_margin"], wanted, rtol=1e-4, atol=0)


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"flow": "60 g/min"},
        {"flow": "16.2 g/min", "temperature": "60 °C"},  # laminar in some walls, not in others
        {"fluid": "steam", "flow": "0.3 g/s", "temperature": None},
    ],
)
def test_reading_the_pipe_off_its_polynomials_costs_less_than_a_thousandth(
    changed: dict[str, object],
) -> None:
    given = spec(**changed)
    model = DUTY.prepare(given)
    wall = np.linspace(model.thinnest, model.thickest, 301)
    samples = {name: np.full(301, v[0]) for name, v in middle(given).items()}
    found = model.perform(samples | {"pipe_wall": wall}).merits
    bore = given.pipe_diameter - 2.0 * wall
    reynolds = given.reynolds * given.pipe_bore / bore
    mixed = reynolds.min() <= 2300.0 < reynolds.max()
    drop = pressure_drop(
        mass_flow=given.flow,
        density=given.density,
        viscosity=given.viscosity,
        bore=bore,
        length=given.pipe_length,
        losses=given.losses,
        laminar_ends=0.0 if mixed else 2300.0,
    )
    np.testing.assert_allclose(found["pressure_drop"], drop, rtol=1e-3, atol=0)
    velocity = given.flow / (given.density * np.pi / 4.0 * bore**2)
    np.testing.assert_allclose(found["velocity"], velocity, rtol=1e-9, atol=0)


def test_brazing_takes_the_temper_and_so_does_heat() -> None:
    def holds(**changed: object) -> float:
        return merits(spec(pipe_temper="half hard", **changed))["pipe_margin"]

    cold = "40 °C"
    assert holds(nipple_is="a ferrule", temperature=cold) > holds(temperature=cold)
    assert holds(nipple_is="a ferrule") == holds()
    np.testing.assert_allclose(holds(), merits(spec())["pipe_margin"], rtol=1e-12, atol=0)


def test_a_stress_from_the_builder_s_code_is_taken_as_it_is() -> None:
    steel = spec(pipe_material="stainless 304", allowed_stress="100 MPa")
    wanted = 2.0 * 100e6 * 0.7 / 3.3 / 6e5
    np.testing.assert_allclose(merits(steel)["pipe_margin"], wanted, rtol=1e-3, atol=0)


def test_cones_of_one_setting_differ_less_than_cones_of_two() -> None:
    def spread(how: str) -> float:
        joint = Job(DUTY, spec(cones_are=how), assumed_lathe(), {}).joint()
        samples = joint.samples(joint.normals(2000, 1))
        return float(np.std(samples["nipple cone"] - samples["seat cone"]))

    one, clocked, graduated = map(spread, ("at one setting", "clocked", "by graduations"))
    assert 3.0 * one < clocked < 0.3 * graduated


def test_tails_of_stated_spreads_neither_raise_nor_leave_holes() -> None:
    wild = UnionSpec.model_validate(
        spec().model_dump() | {"torque": Normal(1.0, 2.0), "friction": Normal(0.15, 0.3)}
    )
    joint = Job(DUTY, wild, assumed_lathe(), {}).joint()
    samples = joint.samples(joint.normals(4000, 1))
    outcome = DUTY.prepare(wild).perform(samples)
    for values in outcome.merits.values():
        assert not np.isnan(values).any()


def test_the_order_of_work_names_drill_and_scale() -> None:
    told = " ".join(DUTY.steps(spec(), {}))
    assert "5.75 mm" in told
    assert "74 %" in told
    assert "1.2807 P" in told
    assert "6.02 mm" in " ".join(DUTY.steps(spec(), {"fitting thread": 6.02e-3}))
    lapped = spec(
        faces_are="lapped together",
        nipple_is="a ferrule",
        torque=None,
        spanner_length="90 mm",
        hand_force="12 N",
    )
    told = " ".join(DUTY.steps(lapped, {}))
    assert "finest paste" in told
    assert "ferrule" in told
    assert "1.08 N·m" in told


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"nut_material": "free-cutting brass"}, "loses its zinc"),
        ({"fluid": "steam", "flow": "0.3 g/s", "temperature": None}, "scalds"),
        ({}, "inspector"),
        ({}, "never with air"),
    ],
)
def test_cautions_stand_where_they_apply(changed: dict[str, object], told: str) -> None:
    assert told in " ".join(DUTY.cautions(spec(**changed)))


@pytest.mark.parametrize("name", ["M6x0.75", "M8x1", "5/16x32", "1/8 BSP", "0 BA"])
def test_other_threads_are_planned_too(name: str) -> None:
    small = {"pipe_diameter": "3 mm", "pipe_wall": "0.5 mm", "seat_diameter": "3.4 mm"}
    given = spec(thread=name, flow="200 g/min", **small)
    answer = plan(Job(DUTY, given, assumed_lathe(), {}), draws=4096, brief=True)
    assert answer.best.odds.right > 0.3
    assert answer.value_label == "pitch clearance"


def test_a_torque_may_be_taken_as_exact() -> None:
    given = UnionSpec.model_validate(spec().model_dump() | {"torque": Fixed(1.1)})
    assert merits(given)["seating_force"] > 0.0


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"nipple_is": "a ferrule"},
        {"seat_diameter": "1.6 mm", "seat_width": "0.3 mm"},
        {"nipple_cone": "24 deg", "seat_cone": "24 deg"},
        {"nipple_cone": "90 deg", "seat_cone": "88 deg", "cones_are": "clocked"},
    ],
)
def test_the_drawing_carries_threads_cones_and_pitch_diameters(changed: dict[str, object]) -> None:
    given = spec(**changed)
    sizes = {"fitting thread": Sized(5.91e-3, upper=0.01e-3, lower=-0.02e-3)}
    drawn = DUTY.drawing(given, sizes)
    assert len(drawn.views) == 3
    for feature in DUTY.features(given):
        (dimension,) = drawn.of_feature(feature.name)
        wanted = 5.91e-3 if feature.name in sizes else feature.aim
        np.testing.assert_allclose(dimension.nominal, wanted, rtol=1e-9, atol=0)
    assert "% of thread" in " ".join(drawn.notes)
