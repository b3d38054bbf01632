"""The sheet of a bench test: how it is done, readings to fill in or as taken, what they showed."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

import pytest

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.duties import load_duty
from benchproof.papers.bench_sheet import SIGNING, bench_sheet, for_type
from benchproof.papers.cards import About
from benchproof.papers.readings import as_taken, to_fill_in
from benchproof.reckon.plan import Job
from benchproof.reckon.result import Result, bench_result
from benchproof.specs import describe
from benchproof.workshop.lathe import assumed_lathe
from examples import RECORDS, SPECS
from papers.reading_pdf import root, words

ABOUT = About(title="Left one", engine="Dunnock", roles=(("bore", "left cylinder"),))
each_test = pytest.mark.parametrize("key", BENCH_TESTS)


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text)


@each_test
def test_a_blank_sheet_asks_for_everything_a_record_holds(key: str) -> None:
    test = load_bench_test(key)
    rows = [row for row in describe(test.record_type) if row.name.count("*") < 2]
    table = to_fill_in(test, whole=True)
    asked = {blank.label for blank in (*table.conditions, *table.columns)}
    assert asked == {row.label.removeprefix("reading: ") for row in rows}
    brief = to_fill_in(test, whole=False)
    must = {row.label for row in rows if row.required and not row.name.startswith("reading.")}
    assert {blank.label for blank in brief.conditions} == must


@each_test
@pytest.mark.parametrize("paper", ["A5", "A4"])
def test_a_blank_sheet_tells_the_procedure_and_who_saw_it(key: str, paper: Any) -> None:
    test = load_bench_test(key)
    pdf = bench_sheet(test, about=ABOUT, paper=paper)
    text = words(pdf)
    for step in test.procedure(None):
        assert plain(step) in text
    assert plain(SIGNING) in text
    assert "witnessed by" in text
    assert not re.search(r"\b(safe|approved|certified)\b", text, re.IGNORECASE)
    assert root(pdf)["/Lang"] == "en-GB"


@lru_cache
def result() -> Result:
    job = Job(load_duty("piston-fit"), SPECS["piston-fit"], assumed_lathe(), {})
    record = RECORDS["piston-fit"]["drop-test"]
    return bench_result(job, load_bench_test("drop-test"), record, draws=1024)


def test_a_sheet_with_readings_tells_them_and_what_they_showed() -> None:
    test, record = load_bench_test("drop-test"), RECORDS["piston-fit"]["drop-test"]
    pdf = bench_sheet(
        test, about=ABOUT, record=record, result=result(), lead=["Leave it."], when="2026-02-16"
    )
    text = words(pdf)
    for told in ("Leave it.", "2026-02-16", "5 min 20 s", "inverted", "left cylinder"):
        assert told in text
    data, _ = for_type(test, about=ABOUT, record=record, result=result())
    needs = [merit for merit in result().answer.merits if merit.need is not None]
    assert len(data["result"]["needs"]) == len(needs)
    assert {row["label"] for row in data["result"]["measured"]} == {
        figure.label[:1].upper() + figure.label[1:] for figure in result().measured
    }
    again = bench_sheet(
        test, about=ABOUT, record=record, result=result(), lead=["Leave it."], when="2026-02-16"
    )
    assert again == pdf


def test_columns_nobody_wrote_in_are_left_out_and_inches_are_told_in_inches() -> None:
    test, record = load_bench_test("drop-test"), RECORDS["piston-fit"]["drop-test"]
    table = as_taken(test, record, "inch")
    assert [blank.label for blank in table.columns] == [
        "posture",
        "time over the travel",
        "tilt from upright",
    ]
    assert [row[2] for row in table.rows] == ["–", "–", "20°"]
    told = dict(zip((blank.label for blank in table.conditions), table.said, strict=True))
    assert told["timed travel"] == "0.7874 in"
    assert "piston temperature" not in told
