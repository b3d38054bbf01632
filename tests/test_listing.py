"""Lists in words: every field, step and material findable by somebody who has read nothing."""

from __future__ import annotations

from typing import Any

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.checks import Check, checks
from benchproof.columns import item, page, section, sentence, table, wrapped
from benchproof.duties import DUTIES, load_duty
from benchproof.duties.piston_fit import PistonFit, PistonSpec
from benchproof.listing import (
    tell_checks,
    tell_fields,
    tell_list,
    tell_made,
    tell_material,
    tell_materials,
    tell_procedure,
    tell_understood,
)
from benchproof.reckon.joint import Made
from benchproof.specs import describe
from benchproof.tables.materials import material, materials

STATED = {
    "bore": "1 3/16 in",
    "land_length": "20 mm",
    "stroke": "40 mm",
    "bore_material": "cast iron",
    "piston_material": "gunmetal",
    "boiler_pressure": "80 psi",
}


def fits(text: str) -> bool:
    return text.endswith("\n") and all(len(line) <= 80 for line in text.splitlines())


def test_every_duty_and_bench_test_is_listed() -> None:
    text = tell_list([load_duty(key) for key in DUTIES], [load_bench_test(k) for k in BENCH_TESTS])
    assert fits(text)
    for key in (*DUTIES, *BENCH_TESTS):
        assert f"\n  {key:<12} " in text
    assert "(for piston-fit)" in text


def test_every_field_is_told_with_what_it_takes() -> None:
    text = tell_fields("Piston", PistonSpec)
    assert fits(text)
    for row in describe(PistonSpec):
        assert f"\n  {row.name}: {row.label.rpartition(': ')[2]}" in text
    assert (
        "  bore: bore (planned diameter of the cylinder)\n      must be stated; unit mm; " in text
    )
    assert "      default 75 %; unit %; from 15 % to 90 %" in text
    assert "      may be left out; unit °C; " in text
    assert "one of: turned to suit, cut separately" in text
    assert "*" not in text


def test_rows_of_a_list_stand_under_the_header_they_are_written_under() -> None:
    text = tell_fields("Drop", load_bench_test("drop-test").record_type)
    assert text.count("  under each [[reading]]:\n") == 1
    assert text.count("  under each [[reading.marks]]:\n  at: distance") == 1
    assert text.index("[[reading]]") > text.index("falls_free")


def test_what_was_understood_is_told_in_both_systems() -> None:
    text = tell_understood(PistonSpec.from_text(STATED))
    assert fits(text)
    assert text.startswith("\nAS UNDERSTOOD\n  bore: 30.163 mm (1.1875 in)\n")
    assert "bore material: grey iron" in text
    defaults = " ".join(text.partition("Not stated, so taken:")[2].split())
    assert "cut-off 75 %" in defaults
    assert "not stated" not in defaults
    engine = PistonSpec.from_text(
        {**STATED, "boiler_pressure": ""}, inherited={"boiler_pressure": "5 bar"}
    )
    assert "boiler pressure: 5 bar gauge (72.5 psi gauge) (engine)" in tell_understood(engine)


def test_a_reading_takes_one_line_and_a_spec_all_stated_has_no_rest() -> None:
    record: dict[str, Any] = {
        "piston_mass": "100 g",
        "travel": "20 mm",
        "air_temperature": "20 °C",
        "air_pressure": "1 bar abs",
        "sealed": "yes",
        "degreased": "yes",
        "falls_free": "yes",
        "piston_temperature": "20 °C",
        "bore_temperature": "20 °C",
        "reading": [{"posture": "upright", "time": "5:10"}],
    }
    text = tell_understood(load_bench_test("drop-test").record_type.from_text(record), "THE TEST")
    assert "\nTHE TEST\n" in text
    assert "  reading 1: posture upright, time over the travel 5 min 10 s\n" in text
    assert "Not stated" not in text


def test_sizes_made_are_told_as_understood() -> None:
    duty = PistonFit()
    features = duty.features(PistonSpec.from_text(STATED).spec)
    assert tell_made(features, {}) == ""
    made = {"piston": Made(29.987e-3, 2e-6, None), "bore": Made(30e-3, 3e-6, 30e-3)}
    text = tell_made(features, made)
    assert fits(text)
    assert "bore: 30 mm (1.1811 in), give or take 3 µm (0.12 thou)" in text
    assert "aimed at" in text
    assert "aim not" in text


def test_steps_are_numbered_and_hang() -> None:
    for key in BENCH_TESTS:
        text = tell_procedure(load_bench_test(key))
        assert fits(text)
        assert "\n  1. " in text
        assert all(line.startswith(("  ", "     ")) for line in text.splitlines()[2:])


def test_materials_stand_in_columns() -> None:
    text = tell_materials(materials())
    assert fits(text)
    rows = text.splitlines()[2:-2]
    assert len({len(row) for row in rows}) == 1
    assert any(row.startswith("grey iron") and row.endswith("-") for row in rows)


def test_one_material_carries_doubts_and_sources() -> None:
    gunmetal = tell_material(material("gun metal"))
    assert fits(gunmetal)
    assert "expansion, 20 to 200 °C: 18 ± " in gunmetal
    assert "yield or proof stress" in gunmetal
    iron, ptfe = tell_material(material("cast iron")), tell_material(material("ptfe"))
    assert "yield or proof stress" not in iron
    assert "highest working temperature: " in ptfe
    without_note = next(one for one in materials() if not one.note)
    assert fits(tell_material(without_note))


def test_checks_are_grouped_by_kind_and_source() -> None:
    found = [
        Check("test_one_thing", "A. Author, 1950, p. 3", "published"),
        Check("test_another_thing", "A. Author, 1950, p. 3", "published"),
        Check("test_from_the_head", "B. Author", "from memory"),
    ]
    text = tell_checks(found)
    assert text.startswith("Checks against the outside world: 2 published, 1 from memory\n")
    assert text.count("A. Author") == 1
    assert "\n      another thing\n      one thing\n" in text
    assert fits(tell_checks(checks()))


def test_text_is_laid_out_in_80_columns() -> None:
    long = "free-cutting brass " * 12
    assert all(len(line) <= 80 and not line.endswith("-") for line in wrapped(long))
    assert item("a point") == ["  - a point"]
    assert section("TITLE", []) == []
    assert section("TITLE", ["  x"]) == ["", "TITLE", "  x"]
    assert table([("left", long), ("longer", "right")])[0].startswith("  left    free-cutting")
    assert page(["a", "", ""]) == "a\n"
    assert [sentence(text) for text in ("it binds", "It binds.", "")] == [
        "It binds.",
        "It binds.",
        ".",
    ]
