"""What the times of a drop test give away before anything is inferred from them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from benchproof.bench_tests.contract import Flag
from benchproof.bench_tests.drop_screen import screen_drops
from benchproof.bench_tests.drop_test import Drop, DropRecord, DropTest, Mark
from benchproof.duties.piston_fit import PistonSpec


def upright(time: float, **more: Any) -> Drop:
    return Drop(posture="upright", time=time, **more)


def inverted(time: float) -> Drop:
    return Drop(posture="inverted", time=time)


def tilted(time: float, degrees: float = 20.0, **more: Any) -> Drop:
    return Drop(posture="tilted", time=time, tilt=float(np.radians(degrees)), **more)


def flags(*runs: Drop, **more: Any) -> dict[str, Flag]:
    record = DropRecord(
        piston_mass=0.1, travel=20e-3, air_temperature=293.15, reading=tuple(runs), **more
    )
    return {flag.name: flag for flag in screen_drops(record)}


GOOD = (upright(300.0), upright(310.0), tilted(230.0))


def test_a_sound_test_raises_nothing() -> None:
    assert flags(*GOOD, falls_free="yes") == {}


@pytest.mark.parametrize(
    ("fields", "name", "said"),
    [
        ({"degreased": False}, "oil", "Not degreased"),
        ({"sealed": False}, "face leak", "petroleum jelly"),
        ({"falls_free": "no"}, "hangs", "does not fall free"),
        ({"piston_temperature": 295.65}, "temperature", "warmer than the cylinder"),
        ({"bore_temperature": 295.65}, "temperature", "cooler than the cylinder"),
    ],
)
def test_a_spoilt_set_up_is_named(fields: dict[str, Any], name: str, said: str) -> None:
    raised = flags(*GOOD, **fields)
    assert raised.keys() == {name}
    assert said in raised[name].words


def test_a_warmth_within_a_kelvin_is_left_to_the_reckoning() -> None:
    assert flags(*GOOD, piston_temperature=294.0, bore_temperature=293.15) == {}


def test_runs_too_quick_for_a_hand_on_a_watch() -> None:
    assert "too quick" in flags(upright(4.9), tilted(4.0))
    assert "too quick" not in flags(upright(5.0), tilted(5.0))


def test_upright_runs_that_spread_by_more_than_a_third() -> None:
    raised = flags(upright(300.0), upright(401.0), tilted(260.0))
    assert "from 5 min to 6 min 41 s" in raised["wanders"].words
    assert "wanders" not in flags(upright(300.0), upright(399.0), tilted(260.0))
    assert "wanders" not in flags(upright(300.0), tilted(260.0))


def test_turned_end_for_end() -> None:
    raised = flags(upright(300.0), inverted(360.0), tilted(230.0))
    assert "Turned end for end it takes +20%" in raised["end for end"].words
    assert "end for end" not in flags(upright(300.0), inverted(320.0), tilted(230.0))
    assert "end for end" not in flags(inverted(360.0), tilted(230.0))


def test_no_tilted_run_leaves_clearance_and_posture_mixed_up() -> None:
    raised = flags(upright(300.0))
    assert raised["no tilted run"].weight == "note"


def test_a_tilt_too_slight_to_lay_the_piston_on_the_wall() -> None:
    raised = flags(upright(300.0), tilted(280.0, degrees=5.0))
    assert "A tilt of 5 degrees is too little" in raised["tilt"].words


@pytest.mark.parametrize(
    ("time", "possible"), [(60.0, False), (90.0, True), (340.0, True), (500.0, False)]
)
def test_tilted_runs_that_no_posture_explains(time: float, possible: bool) -> None:
    raised = flags(upright(300.0), tilted(time))
    assert ("contradicts" not in raised) == possible
    if not possible:
        drive = np.cos(np.radians(20.0)) - 0.15 * np.sin(np.radians(20.0))
        assert f"it flows {300.0 / (time * drive):.2f} times" in raised["contradicts"].words


def test_tilted_runs_that_cannot_be_compared_are_not() -> None:
    assert flags(tilted(20.0)) == {}
    assert flags(upright(300.0), tilted(20.0, added_mass=0.1)) == {}


def test_dead_weight_that_does_not_speed_it_up_as_it_should() -> None:
    rubs = flags(upright(300.0), upright(120.0, added_mass=0.1), tilted(230.0))
    assert "it sinks 2.50 times as fast, not 2.00: something rubs" in rubs["friction"].words
    slow = flags(upright(300.0), upright(200.0, added_mass=0.1), tilted(230.0))
    assert "the posture changed, or a leak" in slow["friction"].words
    assert "friction" not in flags(upright(300.0), upright(151.0, added_mass=0.1), tilted(230.0))
    assert "friction" not in flags(upright(151.0, added_mass=0.1), tilted(230.0))


def marked(at: float, time: float) -> Drop:
    return upright(300.0, marks=(Mark(at=at, time=time),))


def test_speed_that_changes_on_the_way_down_tells_of_a_tapered_bore() -> None:
    wide = flags(marked(10e-3, 165.0), tilted(230.0))
    assert "It sinks +22% at the end against the start" in wide["tapered bore"].words
    assert "wider at the bottom" in wide["tapered bore"].words
    narrow = flags(marked(10e-3, 135.0), tilted(230.0))
    assert "wider at the top" in narrow["tapered bore"].words
    assert flags(marked(10e-3, 151.0), tilted(230.0)) == {}


def test_the_bench_test_screens_its_record() -> None:
    spec = PistonSpec(
        bore=30e-3,
        land_length=20e-3,
        stroke=40e-3,
        bore_material="gunmetal",
        piston_material="gunmetal",
        boiler_pressure=5e5,
    )
    record = DropRecord(
        piston_mass=0.1, travel=20e-3, air_temperature=293.15, reading=(upright(300.0),)
    )
    assert [flag.name for flag in DropTest().screen(spec, record)] == ["no tilted run"]
