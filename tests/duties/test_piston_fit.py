"""A piston in its bore: windows, aims, odds, on sizes a builder would write."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.duties.matter import expansion_name
from benchproof.duties.piston_fit import PistonFit, PistonSpec
from benchproof.reckon.answer import Answer
from benchproof.reckon.plan import Job, plan
from benchproof.specs import SpecError
from benchproof.workshop.lathe import assumed_lathe
from sources import source

MICRON = 1e-6
SECOND_CALCULATION = "an independent calculation of the same windows by the project's notes"

SIZES = {
    15: {"bore": "15 mm", "land_length": "10 mm", "stroke": "20 mm"},
    30: {"bore": "30 mm", "land_length": "20 mm", "stroke": "40 mm"},
    60: {"bore": "60 mm", "land_length": "30 mm", "stroke": "80 mm"},
}
INCHES = {
    15: {"bore": "0.5905512 in", "land_length": "0.3937008 in", "stroke": "0.7874016 in"},
    30: {"bore": '1.1811024"', "land_length": "787.40157 thou", "stroke": "1.5748031in"},
    60: {"bore": "2.3622047 in", "land_length": "1.1811024 in", "stroke": "3.1496063 in"},
}


def spec(**stated: Any) -> PistonSpec:
    given = {"bore_material": "gunmetal", "piston_material": "gunmetal"} | stated
    return PistonSpec.from_text(given).spec


@cache
def answered(**stated: Any) -> Answer:
    return plan(Job(PistonFit(), spec(**stated), assumed_lathe(), {}), draws=8192)


def edges(answer: Answer) -> list[float | None]:
    plain = answer.plain_window
    assert plain is not None
    found = (plain.lower, plain.upper, answer.window.lower, answer.window.upper)
    return [None if edge is None else edge / MICRON for edge in found]


WINDOWS = [
    (30, "8 bar", [11.4, 21.0, 13.6, 20.7]),
    (30, "5 bar", [11.4, 22.9, 13.6, 22.7]),
    (60, "8 bar", [16.8, 39.9, 21.1, 39.0]),
    (15, "8 bar", [8.7, 10.5, None, None]),
    (15, "5 bar", [8.7, 11.4, 10.1, 11.3]),
]
PSI = {"8 bar": "116.0302 psi", "5 bar": "72.51887 psi"}


@source(SECOND_CALCULATION, kind="own calculation")
@pytest.mark.parametrize(("size", "pressure", "expected"), WINDOWS)
@pytest.mark.parametrize("system", ["metric", "inch"])
def test_windows_of_gunmetal_in_gunmetal(
    system: str, size: int, pressure: str, expected: list[float | None]
) -> None:
    stated = (SIZES if system == "metric" else INCHES)[size]
    steam = pressure if system == "metric" else PSI[pressure]
    found = edges(answered(**stated, boiler_pressure=steam))
    for place, (edge, wanted) in enumerate(zip(found, expected, strict=True)):
        if wanted is None:
            assert edge is None
        else:
            assert edge == pytest.approx(wanted, abs=0.1 if place < 2 else 0.25)


@source(SECOND_CALCULATION, kind="own calculation")
def test_a_piston_that_leads_far_while_warming_up_has_no_window() -> None:
    found = answered(**SIZES[30], boiler_pressure="8 bar", warm_up_lead="40 K")
    assert edges(found) == [None] * 4
    assert "seize while warming up" in found.window.reason
    assert found.plain_window is not None
    assert found.plain_window.wanted == pytest.approx(27.6e-6, abs=0.05e-6)
    assert found.plain_window.allowed == pytest.approx(21.0e-6, abs=0.05e-6)


def test_aluminium_in_iron_wants_a_ring_and_the_cold_leak_is_why() -> None:
    stated = {"bore_material": "grey iron", "piston_material": "aluminium 6061"}
    found = answered(**SIZES[30], boiler_pressure="8 bar", **stated)
    assert edges(found) == [None] * 4
    assert "could not hold the steam that warms it" in found.window.reason
    assert found.no_window_advice == "fit a ring or packing"


def test_an_iron_piston_in_gunmetal_opens_when_hot_and_is_never_tight() -> None:
    stated = {"bore_material": "gunmetal", "piston_material": "grey iron"}
    found = answered(**SIZES[30], boiler_pressure="8 bar", **stated)
    assert edges(found) == [None] * 4
    assert "wastes steam" in found.window.reason


def test_a_piston_wants_more_room_the_more_it_leads() -> None:
    lower = [
        edges(answered(**SIZES[30], boiler_pressure="5 bar", piston_lead=lead))[0]
        for lead in ("0 K", "5 K", "10 K", "15 K")
    ]
    # 30 mm of gunmetal grows 0.54 um for each kelvin.
    np.testing.assert_allclose(np.diff(np.array(lower, dtype=float)), 2.7, atol=0.01)


def test_unlike_metals_are_judged_over_the_whole_warming_up() -> None:
    """An aluminium piston is tightest hot, an iron one in gunmetal while the bore is still cold."""
    model = PistonFit().prepare(
        spec(**SIZES[30], boiler_pressure="8 bar", piston_material="grey iron")
    )
    one = np.ones(1)
    samples = {
        "bore": 30e-3 * one,
        "piston": (30e-3 - 20e-6) * one,
        "piston_lead": 10.0 * one,
        "film": 3e-6 * one,
        "service_posture": one,
        expansion_name("gunmetal"): 18.0e-6 * one,
        expansion_name("grey iron"): 10.5e-6 * one,
    }
    merits = model.perform(samples).merits
    cold_bore = 20e-6 - 30e-3 * 10.5e-6 * 10.0 - 6e-6
    assert merits["warm_up_play"][0] == pytest.approx(cold_bore, abs=1e-9)
    assert merits["running_play"][0] > merits["warm_up_play"][0]


def test_a_piston_cooler_than_its_bore_must_still_go_in_cold() -> None:
    found = answered(**SIZES[30], boiler_pressure="5 bar", piston_lead="-20 K", film="0 um")
    assert found.window.lower is not None
    assert found.window.lower == pytest.approx(3e-6, abs=0.3e-6)


def test_roughness_lets_steam_past_but_gives_no_room() -> None:
    smooth = answered(**SIZES[30], boiler_pressure="5 bar")
    rough = answered(
        **SIZES[30], boiler_pressure="5 bar", bore_finish="1 um", piston_finish="0.5 um"
    )
    lower, upper = edges(smooth)[:2], edges(rough)[:2]
    assert upper[0] == lower[0]
    assert lower[1] is not None
    assert upper[1] == pytest.approx(lower[1] - 3.0, abs=0.01)


def test_grooves_of_the_same_total_land_save_a_little_steam() -> None:
    plain = answered(**SIZES[30], boiler_pressure="8 bar")
    stated = spec(**SIZES[30], boiler_pressure="8 bar", grooves={"count": 4})
    grooved = PistonFit().plain_window(stated)
    upper = edges(plain)[1]
    assert upper is not None
    assert grooved.upper is not None
    # Every land is entered anew, which resists: at one total land length a little less passes.
    assert upper < grooved.upper / MICRON < upper * 1.05


def perform(clearance: float, posture: float = 1.0, lead: float = 10.0, **stated: Any) -> Any:
    model = PistonFit().prepare(spec(**SIZES[30], boiler_pressure="8 bar", **stated))
    one = np.ones(1)
    return model.perform(
        {
            "bore": 30e-3 * one,
            "piston": (30e-3 - clearance) * one,
            "piston_lead": lead * one,
            "film": 3e-6 * one,
            "service_posture": posture * one,
            expansion_name("gunmetal"): 18.0e-6 * one,
        }
    )


@settings(max_examples=40, deadline=None)
@given(st.floats(20e-6, 40e-6), st.floats(0.5, 2.4), st.floats(1.001, 1.5), st.floats(0.0, 30.0))
def test_a_wider_or_more_tilted_piston_never_leaks_less(
    clearance: float, posture: float, factor: float, lead: float
) -> None:
    # Up to 40 um the gap is laminar; where it turns turbulent, lying over can pass a little less.
    base = perform(clearance, posture, lead).merits["steam_share"][0]
    assert perform(clearance * factor, posture, lead).merits["steam_share"][0] >= base
    assert perform(clearance, min(posture * factor, 2.5), lead).merits["steam_share"][0] >= base
    assert perform(clearance, posture, lead + 5.0).merits["steam_share"][0] <= base


def test_a_piston_shut_tight_fails_and_is_counted_but_never_raises() -> None:
    shut = perform(2e-6)
    assert shut.flags["seized"][0]
    assert shut.merits["running_play"][0] < 0.0
    assert shut.merits["steam_share"][0] == 0.0
    wide = perform(400e-6)
    assert wide.flags["off_the_scale"][0]
    assert wide.flags["over_half_lost"][0]


def test_merits_asked_for_alone_are_the_same() -> None:
    whole = perform(20e-6)
    model = PistonFit().prepare(spec(**SIZES[30], boiler_pressure="8 bar"))
    assert set(whole.merits) == {merit.name for merit in PistonFit.merits}
    one = np.ones(1)
    samples = {
        "bore": 30e-3 * one,
        "piston": (30e-3 - 20e-6) * one,
        "piston_lead": 10.0 * one,
        "film": 3e-6 * one,
        "service_posture": one,
        expansion_name("gunmetal"): 18.0e-6 * one,
    }
    for name, values in whole.merits.items():
        np.testing.assert_array_equal(model.perform(samples, only=[name]).merits[name], values)


def test_steam_past_the_piston_is_its_share_of_what_the_cylinder_takes() -> None:
    merits = perform(20e-6).merits
    model = PistonFit().prepare(spec(**SIZES[30], boiler_pressure="8 bar"))
    assert merits["steam_rate"][0] == pytest.approx(merits["steam_share"][0] * model.steam.use)


@pytest.mark.parametrize(
    ("stated", "field", "words"),
    [
        ({"back_pressure": "9 bar"}, "back_pressure", "bar"),
        (
            {"boiler_pressure": "1 bar", "back_pressure": "2 bar"},
            "back_pressure",
            "below the boiler",
        ),
        ({"piston_material": "ptfe"}, "piston_material", "never a plain piston"),
        ({"bore_material": "graphite packing"}, "bore_material", "never a plain piston"),
        ({"bore": "0 mm"}, "bore", "5 mm"),
        ({"bore": "30 K"}, "bore", "length"),
        ({"cutoff": "5 %"}, "cutoff", "15 %"),
        ({"cutoff": 0.75}, "cutoff", "write 75 %"),
        ({"bore_temperature": "200 C"}, "bore_temperature", "175 °C"),
        ({"piston_lead": "ten"}, "piston_lead", "K"),
    ],
)
def test_what_cannot_be_is_refused_by_field(stated: dict[str, str], field: str, words: str) -> None:
    with pytest.raises(SpecError) as refused:
        spec(**(SIZES[30] | {"boiler_pressure": "8 bar"} | stated))
    assert [problem.field for problem in refused.value.problems] == [field]
    assert words in str(refused.value)


def test_a_bore_temperature_stated_is_taken() -> None:
    stated = {"piston_material": "grey iron", "boiler_pressure": "5 bar"}
    cool = PistonFit().prepare(spec(**SIZES[30], **stated, bore_temperature="100 C"))
    usual = PistonFit().prepare(spec(**SIZES[30], **stated))
    assert cool.rise == pytest.approx(80.0)
    # 5 bar gauge boils at 158.9 degrees Celsius; the wall is 25 K under it.
    assert usual.rise == pytest.approx(158.9 - 25.0 - 20.0, abs=0.1)
