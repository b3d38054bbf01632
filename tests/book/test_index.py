"""The index of a book gives the history that reading every record gives."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchproof.book.demo import make_demo
from benchproof.book.history import history
from benchproof.book.index import Index
from benchproof.book.model import Book


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Book:
    book = make_demo(tmp_path_factory.mktemp("index") / "demo.book")
    note = book.enter("note", {"text": "scored"}, subject=book.find("piece", "left piston").id)
    mended = book.enter("note", {"text": "lapped"}, supersedes=note.id)
    book.strike_out(mended.id, "it was not")
    again = book.enter("note", {"text": "polished"}, supersedes=note.id)
    book.strike_out(again.supersedes or "", "all of it")
    return book


def by_reading_all(book: Book, about: str) -> list[str]:
    """Ids of all records about a thing, from the first record to the last."""
    bindings = book.state.bindings
    wanted = {about, *(b.id for b in bindings.values() if about in b.roles.values())}
    if about in bindings:
        wanted = {about, *bindings[about].roles.values()}
    roots: dict[str, str] = {}
    found = []
    for record in book.store.records:
        before = record.supersedes
        root = roots[record.id] = record.id if before is None else roots[before]
        if root in wanted or record.subject in wanted:
            wanted.add(root)
            found.append(record.id)
    return found


def test_each_thing_has_the_history_of_all_its_records(demo: Book) -> None:
    for about in [*demo.state.things, *demo.state.bindings]:
        told = [line.record.id for line in history(demo, about)]
        assert told == by_reading_all(demo, about), about


def test_an_index_carried_on_is_the_index_of_all(demo: Book, tmp_path: Path) -> None:
    records = demo.store.records
    whole = Index().followed_by(records)
    for cut in (1, len(records) // 2, len(records) - 1):
        before = Index().followed_by(records[:cut])
        kept = {name: repr(held) for name, held in vars(before).items()}
        carried = before.followed_by(records[cut:])
        whole.about(set())
        carried.about(set())
        assert vars(carried) == vars(whole)
        assert {name: repr(held) for name, held in vars(before).items()} == kept


def test_what_was_struck_out_corrects_nothing(demo: Book) -> None:
    notes = [line for line in history(demo) if line.record.kind == "note"]
    first = next(line for line in notes if line.record.body["stated"]["text"] == "scored")
    last = next(line for line in notes if line.record.body["stated"]["text"] == "polished")
    assert first.corrected_by == last.record.id
    assert last.struck_by is not None
