"""The desk: one book, many readers, writers one by one, nothing twice."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from benchproof.book.errors import NoBook
from benchproof.book.model import Book
from benchproof.book.store import Store
from benchproof.web.desk import Desk
from benchproof.web.forms import form_of
from benchproof.web.judging import judged
from benchproof.web.snapshot import held_still
from benchproof.web.typed import flat, nested
from web.screens import demo_book


def test_a_book_held_still_does_not_change(tmp_path: Path) -> None:
    with Book.open(demo_book(tmp_path)) as book:
        still = held_still(book)
        before = len(still.store.records)
        book.enter("engine", {"name": "Wren"})
        assert [t.name for t in still.state.of("engine")] == ["Dunnock"]
        assert len(still.store.records) == before
        with pytest.raises(TypeError, match="no entries"):
            still.enter("engine", {"name": "Heron"})


def test_many_writers_lose_and_double_nothing(tmp_path: Path) -> None:
    path = demo_book(tmp_path)
    desk = Desk(path)
    before = len(desk.read().store.records)

    def enter(number: int) -> None:
        def deed(book: Book) -> tuple[str, ...]:
            stated = {"name": f"no. {number}"}
            return (book.enter("engine", stated, key=f"entry-{number:06}").id,)

        # Each is sent twice, as a tablet does that heard no answer.
        for _ in range(2):
            desk.write(f"writer {number % 4}", "", deed)
            assert any(t.name == f"no. {number}" for t in desk.read().state.of("engine"))

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(enter, range(60)))
    desk.close()
    with Store.open(path) as store:
        names = [r.body["stated"]["name"] for r in store.records[before:]]
    assert sorted(names) == sorted(f"no. {number}" for number in range(60))


def test_the_same_question_is_reckoned_once(tmp_path: Path) -> None:
    desk = Desk(demo_book(tmp_path))
    book = desk.read()
    binding = book.binding("right piston fit")
    with ThreadPoolExecutor(4) as pool:
        found = list(
            pool.map(lambda _: judged(desk.reckoning, book, binding, quick=True), range(8))
        )
    assert len({id(each.answer) for each in found}) == 1
    full = judged(desk.reckoning, book, binding)
    assert not full.quick
    assert judged(desk.reckoning, book, binding, quick=True).answer is full.answer
    desk.close()


def test_without_a_book_nothing_is_read(tmp_path: Path) -> None:
    desk = Desk(tmp_path / "none.book")
    with pytest.raises(NoBook, match="no book yet"):
        desk.read()
    desk.begin("Ada's")
    desk.begin(None)  # too late: there is one
    assert [w.name for w in desk.read().state.of("workshop")] == ["Ada's"]
    desk.close()


def test_what_was_typed_comes_back_as_it_was_stated(tmp_path: Path) -> None:
    from benchproof.bench_tests import load_bench_test
    from benchproof.book.demo import left_drop_test

    record = load_bench_test("drop-test").record_type
    stated = left_drop_test()
    typed = flat(stated)
    assert typed["reading.4.tilt"] == "20 deg"
    assert nested(record, typed) == stated
    gap = {name: text for name, text in typed.items() if not name.startswith("reading.1.")}
    assert len(nested(record, gap)["reading"]) == len(stated["reading"]) - 1
    boxes = {box.name: box for box in form_of(record, typed).boxes}
    assert boxes["reading.0.time"].understood == "2 min 5 s"
    assert boxes["reading.4.posture"].options
