"""A lot on the screen: each reading once, each decision by word and mark, how many more."""

from __future__ import annotations

import re
from typing import Any

import pytest

from benchproof.book.lots import lot_plan, progress
from benchproof.book.model import Book
from web.screens import Browser, hidden, ids, words


def lot(demo: Browser) -> str:
    """Address of the lot that is half done."""
    return f"/lot/{ids(demo)['ferrules']}"


def held(demo: Browser) -> dict[int, tuple[Any, Any, Any]]:
    """Setting and readings of each piece held."""
    readings = demo.app.state.desk.read().state.lot_readings(ids(demo)["ferrules"])
    return {n: (r.setting, r.value, r.again) for n, r in readings.items()}


def test_a_reading_is_entered_once_and_judged_at_once(demo: Browser) -> None:
    key = hidden(demo.get(lot(demo)).text, "key")
    typed = {"key": key, "number": "23", "size": "7.993", "unit": "mm"}
    assert demo.post(lot(demo), typed).status_code == 303
    again = demo.post(lot(demo), typed)
    assert again.status_code == 303
    assert held(demo)[23] == (3, pytest.approx(7.993e-3, rel=1e-12), None)
    page = demo.then(again).text
    assert "Piece 23: accept" in words(page)
    assert 'value="24"' in page
    assert page.count('class="mark-of') >= 23


def test_the_page_says_what_the_lot_says(demo: Browser) -> None:
    with Book.open(demo.app.state.desk.path) as book:
        thing = book.find("lot", "ferrules")
        report = progress(book, thing, lot_plan(book, thing))
    assert report is not None
    told = words(demo.get(lot(demo)).text)
    assert f"{report.so_far.accepted} of {report.plan.wanted} accepted" in told
    assert f"{report.so_far.more} more" in told
    assert report.plan.steps[0] in told
    fragment = demo.get(f"{lot(demo)}/so-far").text
    assert 'data-following="23"' in fragment
    assert "<svg" in fragment


def test_a_piece_that_is_held_already_is_questioned(demo: Browser) -> None:
    typed = {"number": "22", "size": "7.991", "unit": "mm"}
    asked = demo.post(lot(demo), typed)
    assert asked.status_code == 409
    assert "it is in the book already" in words(asked.text)
    assert 'value="7.991"' in asked.text
    before = held(demo)[22]
    assert demo.post(lot(demo), typed | {"sure": "yes"}).status_code == 303
    assert held(demo)[22] != before
    assert "corrected since" in demo.get(lot(demo)).text


def test_what_lies_far_off_is_questioned(demo: Browser) -> None:
    typed = {"number": "23", "size": "79.93", "unit": "mm"}
    asked = demo.post(lot(demo), typed)
    assert asked.status_code == 409
    assert "more than a millimetre outside" in words(asked.text)
    assert "--sure" not in asked.text
    assert 23 not in held(demo)


def test_a_stop_set_afresh_begins_a_setting(demo: Browser) -> None:
    demo.post(lot(demo), {"number": "23", "size": "7.993", "unit": "mm", "fresh": "yes"})
    assert held(demo)[23][0] == 4
    typed = {"number": "24", "size": "7.999", "unit": "mm", "fresh": "yes", "stop": "7.996"}
    assert demo.post(lot(demo), typed).status_code == 303
    assert held(demo)[24][0] == 5
    readings = demo.app.state.desk.read().state.lot_readings(ids(demo)["ferrules"])
    assert readings[24].set_for == pytest.approx(7.996e-3, rel=1e-12)
    assert "cut once more" in words(demo.get(lot(demo)).text)


def test_read_after_another_cut(demo: Browser) -> None:
    demo.post(lot(demo), {"number": "23", "size": "7.999", "unit": "mm"})
    demo.post(lot(demo), {"number": "23", "size": "7.992", "unit": "mm", "again": "yes"})
    assert held(demo)[23][1:] == (pytest.approx(7.999e-3), pytest.approx(7.992e-3))
    none = demo.post(lot(demo), {"number": "40", "size": "7.992", "unit": "mm", "again": "yes"})
    assert none.status_code == 422
    assert "No first reading" in words(none.text)


def test_every_problem_of_a_reading_is_told_at_once(demo: Browser) -> None:
    answer = demo.post(lot(demo), {"number": "x", "size": "eight", "stop": "no", "when": "May"})
    assert answer.status_code == 422
    for name in ("number", "size", "stop", "when"):
        notes = answer.text.split(f'id="{name}-notes"', 1)[1].split("</div>", 1)[0]
        assert 'class="wrong"' in notes, name


def test_a_new_lot_from_its_part(demo: Browser) -> None:
    part = ids(demo)["piston"]
    stated = {"name": "pistons", "wanted": "10", "lower": "29.97", "upper": "29.99"}
    refused = demo.post(f"/enter/lot?about={part}", stated | {"upper": "", "about": part})
    assert refused.status_code == 422
    page = demo.then(demo.post("/enter/lot", stated | {"about": part})).text
    assert "Not begun" in words(page)
    assert re.search(r"Prepare \d+ blanks for 10 good ones", words(page))
    assert "pistons" in demo.get(f"/part/{part}").text
