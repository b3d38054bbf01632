"""Bench tests on the screen: any of them has its form, and what it shows stands there at once."""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Collection
from dataclasses import replace
from typing import Any

import pytest

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.book import tested
from benchproof.book.demo import left_drop_test
from benchproof.book.tested import result_of, standing_test
from benchproof.quantities import LENGTH, show
from benchproof.reckon.plan import Job
from benchproof.reckon.result import Result
from benchproof.web.typed import flat
from web.screens import Browser, hidden, ids, words


def drop_test(demo: Browser) -> str:
    """Address of the drop test of the left piston."""
    return f"/duty/{ids(demo)['left piston fit']}/test/drop-test"


def of_duty(demo: Browser, keys: Collection[str]) -> str:
    """Id of a duty of one of these kinds in the demo book."""
    bindings = demo.app.state.desk.read().state.bindings.values()
    found = next((b.id for b in bindings if b.duty in keys), None)
    if found is None:
        pytest.skip(f"the demo has no {' and no '.join(keys)}")
    return str(found)


@pytest.mark.parametrize("key", BENCH_TESTS)
def test_every_bench_test_has_its_form(demo: Browser, key: str) -> None:
    bench = load_bench_test(key)
    duty = of_duty(demo, bench.serves)
    page = demo.get(f"/duty/{duty}/test/{key}").text
    for name in bench.record_type.model_fields:
        assert f'name="{name}' in page, name
    visible = re.sub(r"<template>.*?</template>\s*<button", "", page, flags=re.DOTALL)
    found = re.findall(r'\sid="([^"]+)"', visible)
    assert len(found) == len(set(found))
    assert set(re.findall(r'<label for="([^"]+)"', visible)) <= set(found)


def test_what_was_read_is_entered_once_and_shown_at_once(demo: Browser) -> None:
    address = drop_test(demo)
    typed = flat(left_drop_test()) | {"when": "2026-03-02"}
    typed["key"] = hidden(demo.get(address).text, "key")
    first, again = demo.post(address, typed), demo.post(address, typed)
    assert first.headers["location"] == again.headers["location"]
    book = demo.app.state.desk.read()
    test = book.state.tests_of(ids(demo)["left piston fit"])[-1]
    assert test.record.id == typed["key"]
    assert test.stated == left_drop_test()
    found = result_of(book.job(book.state.bindings[test.binding]), test)
    told = words(demo.then(first).text)
    clearance = next(f for f in found.measured if f.name == "clearance")
    assert show(clearance.median, LENGTH).split()[0][:4] in told
    assert "Steam past the piston" in told
    assert "What to do next" in told


def test_readings_show_what_they_say_before_they_are_entered(demo: Browser) -> None:
    typed = flat(left_drop_test())
    before = len(demo.app.state.desk.read().store.records)
    page = demo.post(f"{drop_test(demo)}/live", typed).text
    assert "6 readings show" in words(page)
    lacking = {name: text for name, text in typed.items() if name != "travel"}
    assert "Still missing: timed travel" in words(
        demo.post(f"{drop_test(demo)}/live", lacking).text
    )
    assert len(demo.app.state.desk.read().store.records) == before


def test_readings_count_together_with_tests_in_the_book(demo: Browser) -> None:
    # The drop test is in the book, of the same sizes: it counts beside a leak-down that is being
    # typed, just as it does once that is entered.
    duty = ids(demo)["left piston fit"]
    leak = f"/duty/{duty}/test/leak-down"
    typed = {
        "volume": "25 ml",
        "air_temperature": "20 C",
        "reading.0.start_pressure": "3 bar",
        "reading.0.end_pressure": "2 bar",
        "reading.0.time": "0.4 s",
    }
    told = words(demo.post(f"{leak}/live?full", typed).text)
    assert "Taken together with what is in the book: drop test on plate glass of 2026" in told
    assert "7 readings show" in told
    done = words(demo.then(demo.post(leak, typed)).text)
    assert "7 readings show" in done
    assert odds(told) == odds(done)
    # A correction takes the place of the test that it corrects, not one beside it.
    test = demo.app.state.desk.read().state.tests_of(duty)[-1]
    again = words(demo.post(f"{leak}/live?full", typed | {"instead_of": test.id}).text)
    assert odds(again) == odds(told)


def test_a_spec_typed_over_is_judged_by_what_was_learned_before(
    demo: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    # While somebody types, what the readings taught is kept: the answers are the same as afresh.
    book = demo.app.state.desk.read()
    binding = book.state.bindings[ids(demo)["left piston fit"]]
    test, job = standing_test(book, binding), book.job(binding)
    assert test is not None
    typed = [
        replace(job, spec=job.spec.model_copy(update={"boiler_pressure": pressure}))
        for pressure in (5e5, 8e5)
    ]

    def afresh(now: Job[Any]) -> Result:
        monkeypatch.setattr(tested, "_KNOWN", OrderedDict())
        return result_of(now, test, brief=True)

    wanted = [afresh(now) for now in typed]
    monkeypatch.setattr(tested, "inferred", None)  # would fail if called
    assert [result_of(now, test, brief=True) for now in typed] == wanted


def odds(page: str) -> list[str]:
    """The odds that a page says."""
    found = re.search(r"right first time (\S+) still correctable (\S+) lost (\S+)", page)
    assert found
    return list(found.groups())


def test_a_row_with_choices_alone_is_no_reading_yet(demo: Browser) -> None:
    typed = flat(left_drop_test())
    typed |= {"reading.9.posture": "upright", "reading.9.time": " "}
    page = demo.post(f"{drop_test(demo)}/live", typed).text
    assert "6 readings show" in words(page)
    gap = {name.replace("reading.5.", "reading.7."): text for name, text in typed.items()}
    gap["reading.7.time"] = "eighty"
    page = demo.post(f"{drop_test(demo)}/live", gap).text
    notes = re.search(r'id="f-reading-7-time-notes">(.*?)</div>', page, re.DOTALL)
    assert notes
    assert 'class="wrong"' in notes[1]


def test_what_is_out_of_range_is_said_beside_its_field_and_nothing_is_lost(demo: Browser) -> None:
    typed = flat(left_drop_test()) | {"air_temperature": "95 C", "reading.0.time": "0.1 s"}
    answer = demo.post(drop_test(demo), typed)
    assert answer.status_code == 422
    assert 'value="95 C"' in answer.text
    assert 'value="2 min 2 s"' in answer.text or 'value="2:02"' in answer.text
    for name in ("air_temperature", "reading-0-time"):
        box = re.search(rf'<input id="f-{name}".*?</div>', answer.text, re.DOTALL)
        assert box
        assert 'class="wrong"' in box[0], name
    assert hidden(answer.text, "key")


def test_marks_stand_within_their_run(demo: Browser) -> None:
    typed = flat(left_drop_test()) | {
        "reading.0.marks.0.at": "10 mm",
        "reading.0.marks.0.time": "60 s",
        "reading.0.marks.1.at": "15 mm",
        "reading.0.marks.1.time": "92 s",
    }
    answer = demo.then(demo.post(drop_test(demo), typed))
    test = demo.app.state.desk.read().state.tests[-1]
    assert [mark["at"] for mark in test.stated["reading"][0]["marks"]] == ["10 mm", "15 mm"]
    assert "15 mm" in answer.text
    blank = demo.get(drop_test(demo)).text
    assert 'name="reading.NUMBER.marks.INNER.at"' in blank
    assert 'name="reading.0.marks.INNER.at"' in blank


def test_a_bench_test_is_corrected_and_the_old_one_stays(demo: Browser) -> None:
    test = demo.app.state.desk.read().state.tests_of(ids(demo)["left piston fit"])[0]
    where = demo.get(f"/correct/{test.id}").headers["location"]
    pages = [demo.get(where).text for _ in range(2)]
    typed = flat(test.stated) | {"instead_of": test.id, "when": "2026-02-17"}
    sent = [
        typed | {"drawn_from": hidden(page, "drawn_from"), "reading.0.time": time}
        for page, time in zip(pages, ("2 min 3 s", "2 min 4 s"), strict=True)
    ]
    assert demo.post(drop_test(demo), sent[0]).headers["location"] == f"/test/{test.id}"
    late = demo.post(drop_test(demo), sent[1])
    assert late.status_code == 409
    assert "Changed meanwhile" in late.text
    page = demo.get(f"/test/{test.id}").text
    assert "2 min 3 s" in page
    assert "corrected since" in page


def test_a_test_of_another_duty_is_not_there(demo: Browser) -> None:
    duty = ids(demo)["left piston fit"]
    assert demo.get(f"/duty/{duty}/test/growth").status_code == 404
    assert demo.get(f"/duty/{duty}/test/none").status_code == 404
    assert demo.get("/test/none").status_code == 404


def test_a_test_that_is_done_again_counts_no_more(demo: Browser) -> None:
    before = demo.app.state.desk.read().state.tests_of(ids(demo)["left piston fit"])[-1]
    demo.post(drop_test(demo), flat(left_drop_test()) | {"when": "2026-03-02"})
    assert "not counted any more" in demo.get(f"/test/{before.id}").text
