"""Records of bench tests: what may be stated, and what the runs can then tell."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.bench_tests.drop_test import DropRecord
from benchproof.bench_tests.leak_down import LeakDownRecord
from benchproof.duties.piston_fit import PistonSpec
from benchproof.specs import SpecError

SPEC = PistonSpec(
    bore=30e-3,
    land_length=20e-3,
    stroke=40e-3,
    bore_material="gunmetal",
    piston_material="mild steel",
    boiler_pressure=5e5,
)
RUN = {"posture": "upright", "time": "5:10"}
DROPS: dict[str, Any] = {
    "piston_mass": "101.8 g",
    "travel": "20 mm",
    "air_temperature": "20 °C",
    "reading": [RUN],
}
FALL = {"start_pressure": "3 bar", "end_pressure": "2 bar", "time": "9.5 s"}
LEAKS: dict[str, Any] = {"volume": "60 mL", "air_temperature": "20 °C", "reading": [FALL]}


def problems(record_type: Any, stated: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(SpecError) as refused:
        record_type.from_text(stated)
    return {problem.field: problem.message for problem in refused.value.problems}


@pytest.mark.parametrize(
    ("more", "field", "said"),
    [
        ({"reading": []}, "reading", "one to sixty runs"),
        ({"reading": [RUN] * 61}, "reading", "one to sixty runs"),
        ({"reading": [{**RUN, "tilt": "20 deg"}]}, "reading.0.tilt", "for a tilted run"),
        ({"reading": [{**RUN, "posture": "tilted"}]}, "reading.0.tilt", "such as tilt"),
        ({"reading": [{**RUN, "posture": "sideways"}]}, "reading.0.posture", "upright, inverted"),
        ({"reading": [{**RUN, "time": "5 mm"}]}, "reading.0.time", "is a length, not"),
        ({"reading": [{**RUN, "time": "30 h"}]}, "reading.0.time", "too much"),
        ({"piston_mass": "101.8 mm"}, "piston_mass", "is a length, not a mass"),
        ({"air_temperature": "60 °C"}, "air_temperature", "too much"),
    ],
)
def test_a_drop_record_is_refused_by_field(more: dict[str, Any], field: str, said: str) -> None:
    assert said in problems(DropRecord, {**DROPS, **more})[field]


def with_marks(*marks: tuple[str, str]) -> dict[str, Any]:
    rows = [{"at": at, "time": time} for at, time in marks]
    return {**DROPS, "reading": [RUN, {**RUN, "marks": rows}]}


def test_marks_are_passed_in_order_and_before_the_end() -> None:
    good = DropRecord.from_text(with_marks(("5 mm", "1:10"), ("10 mm", "2:30"))).spec
    assert [mark.at for mark in good.reading[1].marks] == [5e-3, 10e-3]
    late = problems(DropRecord, with_marks(("10 mm", "5:10")))
    assert late == {"reading.1.marks": "must be passed before the run ends"}
    for marks in ((("10 mm", "2:30"), ("5 mm", "1:10")), (("5 mm", "1:10"), ("10 mm", "1:10"))):
        assert (
            "in the order they are passed"
            in problems(DropRecord, with_marks(*marks))["reading.1.marks"]
        )
    beyond = problems(DropRecord, with_marks(("20 mm", "2:30")))
    assert beyond == {"reading.1": "has a mark at or beyond the whole travel"}


def test_how_much_warmer_the_piston_is() -> None:
    assert DropRecord.from_text(DROPS).spec.warmer_piston == 0.0
    held = DropRecord.from_text({**DROPS, "piston_temperature": "23 °C"}).spec
    assert held.warmer_piston == pytest.approx(3.0, abs=1e-9)
    cold = DropRecord.from_text({**DROPS, "bore_temperature": "18 °C"}).spec
    assert cold.warmer_piston == pytest.approx(2.0, abs=1e-9)


@pytest.mark.parametrize(
    ("more", "field", "said"),
    [
        ({"reading": []}, "reading", "one to sixty runs"),
        ({"reading": [{**FALL, "end_pressure": "3 bar"}]}, "reading.0.end_pressure", "below the"),
        (
            {"reading": [{**FALL, "start_pressure": "6 bar"}]},
            "reading.0.start_pressure",
            "too much",
        ),
        ({"volume": "2 mL"}, "volume_uncertainty", "1 mL is taken where none is stated"),
        ({"volume": "60 g"}, "volume", "is a mass, not a volume"),
    ],
)
def test_a_leak_down_record_is_refused_by_field(
    more: dict[str, Any], field: str, said: str
) -> None:
    assert said in problems(LeakDownRecord, {**LEAKS, **more})[field]


def samples(**more: float) -> dict[str, Any]:
    values = {
        "bore": 30.006e-3,
        "piston": 29.986e-3,
        "expansion of gunmetal": 18e-6,
        "expansion of mild steel": 11.7e-6,
        "drop_posture": 1.4,
        "drop_posture_inverted": 1.2,
        "drop_scatter": 0.03,
        "drop_scale": 0.0,
        "drop_temperature_difference": 0.0,
        "drop_taper": 0.0,
        "stand_off": 1e-6,
        "sliding_friction": 0.15,
        "leak_posture": 1.4,
        "leak_volume": 0.0,
        **more,
    }
    return {name: np.full(3, value) for name, value in values.items()}


TILTED = {"posture": "tilted", "time": "4:00", "tilt": "20 deg"}
INVERTED = {"posture": "inverted", "time": "5:20"}


@pytest.mark.parametrize(
    ("runs", "told"),
    [
        ([RUN], {"clearance", "conductance", "flow_clearance", "posture"}),
        ([INVERTED], {"clearance", "conductance", "flow_clearance", "posture"}),
        ([TILTED], {"clearance", "taper"}),
        ([RUN, TILTED], {"clearance", "conductance", "flow_clearance", "posture", "taper"}),
    ],
)
def test_only_what_the_runs_can_tell_is_told(runs: list[Any], told: set[str]) -> None:
    test = load_bench_test("drop-test")
    record = test.record_type.from_text({**DROPS, "reading": runs}).spec
    found = {figure.name: figure for figure in test.prepare(SPEC, record).figures(samples())}
    assert found.keys() == told
    assert found["clearance"].values[0] == pytest.approx(20e-6, rel=1e-9)
    if "posture" in told:
        upright = RUN in runs
        assert found["posture"].values[0] == (1.4 if upright else 1.2)
        assert ("upright" if upright else "inverted") in found["posture"].label
        cube = (0.5 * found["flow_clearance"].values[0]) ** 3
        assert cube == pytest.approx(found["conductance"].values[0], rel=1e-9)


def test_unknowns_follow_the_postures_taken() -> None:
    test = load_bench_test("drop-test")
    names = {}
    for runs in ([RUN], [INVERTED], [TILTED]):
        record = test.record_type.from_text({**DROPS, "reading": runs}).spec
        names[runs[0]["posture"]] = {u.name for u in test.unknowns(SPEC, record)}  # type: ignore[union-attr]
    assert "drop_posture_inverted" in names["inverted"] - names["upright"]
    assert {"drop_taper", "stand_off", "sliding_friction"} <= names["tilted"] - names["upright"]


@pytest.mark.parametrize(("key", "stated"), [("drop-test", DROPS), ("leak-down", LEAKS)])
def test_a_gap_that_is_shut_never_gives_a_time(key: str, stated: dict[str, Any]) -> None:
    test = load_bench_test(key)
    foresight = test.prepare(SPEC, test.record_type.from_text(stated).spec)
    assert np.all(foresight.log_likelihood(samples(piston=30.01e-3)) == -np.inf)
    assert np.all(np.isfinite(foresight.log_likelihood(samples())))


def test_a_gap_twice_as_wide_leaks_eight_times_as_fast() -> None:
    for key, stated in (("drop-test", DROPS), ("leak-down", LEAKS)):
        test = load_bench_test(key)
        foresight: Any = test.prepare(SPEC, test.record_type.from_text(stated).spec)
        narrow = foresight.foresee(samples(piston=29.986e-3))[0, 0]
        wide = foresight.foresee(samples(piston=29.966e-3))[0, 0]
        # Slip at the walls helps the narrow gap, and entry losses hold up the wide one.
        assert np.exp(narrow - wide) == pytest.approx(8.0, rel=0.06)


def test_a_leak_down_tells_the_gap_as_it_was_held() -> None:
    test = load_bench_test("leak-down")
    record = test.record_type.from_text(LEAKS).spec
    found = {figure.name: figure for figure in test.prepare(SPEC, record).figures(samples())}
    assert found.keys() == {"conductance", "flow_clearance", "clearance", "posture"}
    assert found["flow_clearance"].values[0] == pytest.approx(20e-6 * np.cbrt(1.4), rel=1e-9)
    assert {u.name for u in test.unknowns(SPEC, record)} == {"leak_posture", "leak_volume"}  # type: ignore[union-attr]


def test_what_the_falls_alone_give_away() -> None:
    test = load_bench_test("leak-down")

    def raised(*falls: dict[str, str]) -> dict[str, str]:
        record = test.record_type.from_text({**LEAKS, "reading": list(falls)}).spec
        return {flag.name: flag.words for flag in test.screen(SPEC, record)}

    slower = {**FALL, "time": "13.5 s"}
    assert raised(FALL) == {}
    assert raised(FALL, {**FALL, "time": "12 s"}) == {}
    assert "from 9.5 s to 13.5 s" in raised(FALL, slower)["wanders"]
    assert raised(FALL, {**slower, "end_pressure": "1.5 bar"}) == {}  # another fall altogether
    assert "too quick" in raised({**FALL, "time": "2.9 s"})


def test_every_bench_test_has_steps_sources_and_a_theory() -> None:
    for key in BENCH_TESTS:
        test = load_bench_test(key)
        assert test.key == key
        assert len(test.procedure(None)) >= 5
        assert test.sources
        assert test.theory
    with pytest.raises(KeyError, match=r"drop-test.*leak-down"):
        load_bench_test("pump")
