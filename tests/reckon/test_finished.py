"""Finished features: what is stated is taken, what is not is said, what cannot be is refused."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from benchproof.duties.piston_fit import PistonFit, PistonSpec
from benchproof.reckon.answer import Flagged
from benchproof.reckon.finished import not_measured, read_finished, still_to_make
from benchproof.reckon.joint import Made
from benchproof.specs import SpecError
from benchproof.workshop.lathe import assumed_lathe
from toys import CockSpec, ToyCock

DUTY, LATHE = PistonFit(), assumed_lathe()
SPEC = PistonSpec(
    bore=30e-3,
    land_length=20e-3,
    stroke=40e-3,
    bore_material="gunmetal",
    piston_material="gunmetal",
    boiler_pressure=5e5,
)


def read(**stated: Any) -> tuple[dict[str, Made], list[Flagged]]:
    return read_finished(stated, DUTY, SPEC, LATHE)


def problems(stated: dict[Any, Any], duty: Any = DUTY, spec: Any = SPEC) -> dict[str, str]:
    with pytest.raises(SpecError) as refused:
        read_finished(stated, duty, spec, LATHE)
    return {problem.field: str(problem) for problem in refused.value.problems}


def test_size_doubt_and_aim_are_taken_as_stated() -> None:
    made, flags = read(bore={"size": "30.006 mm", "u": "3 µm", "aim": "30.002 mm"})
    assert made == {"bore": Made(30.006e-3, 3e-6, 30.002e-3)}
    assert flags == []


def test_inches_and_thous() -> None:
    made, _ = read(bore={"size": "1.1813 in", "u": "0.1 thou"})
    assert made["bore"].size == pytest.approx(30.00502e-3, rel=1e-12)
    assert made["bore"].u == pytest.approx(2.54e-6, rel=1e-12)


def test_a_bare_doubt_is_in_micrometres_and_a_bare_size_in_millimetres() -> None:
    made, _ = read(bore={"size": 30.006, "u": 3})
    assert made["bore"] == Made(30.006e-3, 3e-6, 30e-3)


def test_without_a_doubt_the_instrument_serves_stated_or_usual() -> None:
    made, _ = read(
        bore={"size": "30.006 mm", "instrument": "telescopic gauge"}, piston={"size": "29.98 mm"}
    )
    assert made["bore"].u == LATHE.instruments["telescopic gauge"].u
    assert made["piston"].u == LATHE.instruments["digital micrometer"].u


def test_what_is_cut_to_suit_has_no_planned_aim_and_what_is_not_has() -> None:
    made, flags = read(bore={"size": "30.006 mm"}, piston={"size": "29.987 mm"})
    assert made["bore"].aim == 30e-3
    assert made["piston"].aim is None
    assert flags == []


def test_a_fitted_piece_has_no_aim() -> None:
    made, flags = read(bore={"size": "30.006 mm", "fitted": True})
    assert made["bore"].aim is None
    assert flags == []
    made, _ = read(bore={"size": "30.006 mm", "fitted": False})
    assert made["bore"].aim == 30e-3


@pytest.mark.parametrize(
    ("table", "name"),
    [
        ({"size": "30.4 mm"}, "far from the plan"),
        ({"size": "30.4 mm", "aim": "30 mm"}, "far from its aim"),
    ],
)
def test_an_aim_the_lathe_cannot_have_missed_by_so_much_is_left_out(
    table: dict[str, Any], name: str
) -> None:
    made, flags = read(bore=table)
    assert made["bore"] == Made(30.4e-3, LATHE.instruments["bore gauge"].u, None)
    assert [flag.name for flag in flags] == [name]
    assert flags[0].words.startswith("The bore lies farther from its ")


def test_every_problem_is_told_with_its_field() -> None:
    found = problems(
        {
            "bore": {"u": "-3 µm", "siz": "30 mm", "fitted": "yes"},
            "pistn": {"size": "30 mm"},
            "piston": "29.987 mm",
            "": {},
        }
    )
    assert found.keys() == {"bore.siz", "bore.size", "bore.fitted", "bore.u", "pistn", "piston"} | {
        "(no name)"
    }
    assert "try size" in found["bore.siz"]
    assert "the measured size is missing" in found["bore.size"]
    assert "must be true or false" in found["bore.fitted"]
    assert "try [piston]" in found["pistn"]
    assert "must be a table" in found["piston"]


def test_two_ways_to_say_one_thing_are_one_too_many() -> None:
    found = problems(
        {
            "bore": {"size": "30 mm", "u": "3 µm", "instrument": "bore gauge"},
            "piston": {"size": "29.98 mm", "aim": "29.98 mm", "fitted": True},
        }
    )
    assert "either u or instrument" in found["bore.instrument"]
    assert "either aim or fitted" in found["piston.fitted"]


@pytest.mark.parametrize("instrument", ["stopwatch", "bore guage", 3, {"u": 1}, ""])
def test_only_an_instrument_for_lengths_measures_a_bore(instrument: object) -> None:
    found = problems({"bore": {"size": "30 mm", "instrument": instrument}})
    assert "there are: micrometer, digital micrometer" in found["bore.instrument"]


@pytest.mark.parametrize("size", ["30.006 in", "3.0006 mm", "300 mm", "30 thou"])
def test_a_size_of_another_part_or_in_another_unit_is_refused(size: str) -> None:
    found = problems({"bore": {"size": size}, "piston": {"size": "29.98 mm", "aim": size}})
    assert found.keys() == {"bore.size", "piston.aim"}
    assert "30 mm is planned: a wrong unit" in found["bore.size"]


def test_angles_are_read_in_degrees_with_doubts_in_radians() -> None:
    duty, spec = ToyCock(), CockSpec()
    name = duty.features(spec)[0].name
    made, _ = read_finished({name: {"size": "5.7 deg", "u": "0.0001"}}, duty, spec, LATHE)
    assert made[name].size == pytest.approx(5.7 * 3.141592653589793 / 180.0, rel=1e-12)
    assert made[name].u == 1e-4
    assert (
        "protractor"
        in problems({name: {"size": 5.7, "instrument": "clock"}}, duty, spec)[f"{name}.instrument"]
    )


def test_a_feature_nobody_gauges_is_exact(monkeypatch: pytest.MonkeyPatch) -> None:
    bore, piston = DUTY.features(SPEC)
    monkeypatch.setattr(DUTY, "features", lambda _: (replace(bore, gauge=None), piston))
    made, _ = read(bore={"size": "30 mm"})
    assert made["bore"].u == 0.0


def test_what_is_still_to_make_is_said_where_it_matters() -> None:
    bore, piston = Made(30e-3, 3e-6, 30e-3), Made(29.98e-3, 2e-6, None)
    (nothing,) = still_to_make(DUTY, SPEC, {})
    assert "Make and measure the bore first" in nothing.words
    (swapped,) = still_to_make(DUTY, SPEC, {"piston": piston})
    assert "The piston is made and its bore is not" in swapped.words
    assert still_to_make(DUTY, SPEC, {"bore": bore}) == []
    apart = SPEC.model_copy(update={"piston_is": "cut separately"})
    assert still_to_make(DUTY, apart, {}) == []


def test_what_was_not_measured_is_said() -> None:
    bore, piston = Made(30e-3, 3e-6, 30e-3), Made(29.98e-3, 2e-6, None)
    assert "of the bore and the piston" in not_measured(DUTY, SPEC, {})[0].words
    assert "of the piston:" in not_measured(DUTY, SPEC, {"bore": bore})[0].words
    assert not_measured(DUTY, SPEC, {"bore": bore, "piston": piston}) == []
