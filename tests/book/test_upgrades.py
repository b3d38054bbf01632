from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from benchproof.book import store as stores
from benchproof.book.backups import backups
from benchproof.book.errors import BookError, Conflict, NewerBook, NoBook, OlderBook
from benchproof.book.opening import version_of
from benchproof.book.store import Store
from benchproof.book.upgrades import UPGRADES, restore, upgrade

FIXTURE = Path(__file__).parent / "fixtures" / "version_1.book"
HEAD = "2b483a362cc54274e1e082956ef4ef0248af47df93e835de4493fd56df2fea51"
NOTES = "CREATE TABLE note (text TEXT NOT NULL) STRICT"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return Path(shutil.copy(FIXTURE, tmp_path / "old.book"))


@pytest.fixture
def version_2(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stores, "VERSION", 2)
    monkeypatch.setattr(stores, "SCHEMA", (*stores.SCHEMA, NOTES))


def add_notes(connection: sqlite3.Connection) -> None:
    connection.execute(NOTES)


def test_a_book_of_version_1_is_read_as_it_was_written(book: Path) -> None:
    upgrade(book)
    with Store.open(book) as store:
        known = store.records[:4]
        assert [record.id for record in known] == ["part-1", "piece-1", "bore-1", "bore-2"]
        assert known[3].supersedes == "bore-1"
        assert known[3].body == {"size": "30.014 mm", "note": "read amiss: µ, ½, 🔧"}
        assert known[3].chain.hex() == HEAD
        assert sorted(len(store.content(each)) for each in store.contents()) == [10, 5120]


def test_upgrades_lead_from_each_version_to_the_next() -> None:
    assert sorted(UPGRADES) == list(range(1, stores.VERSION))


@pytest.mark.usefixtures("version_2")
def test_an_upgrade_backs_up_first_and_leaves_its_record(book: Path) -> None:
    before = book.read_bytes()
    with pytest.raises(OlderBook):
        Store.open(book)
    assert book.read_bytes() == before
    made = upgrade(book, upgrades={1: add_notes})
    assert made is not None
    assert made == backups(book)[0]
    assert version_of(made) == 1
    with Store.open(book) as store:
        assert store.records[3].chain.hex() == HEAD
        assert [(r.kind, r.body) for r in store.records[4:]] == [("upgraded", {"from": 1, "to": 2})]
    assert upgrade(book, upgrades={1: add_notes}) is None


@pytest.mark.usefixtures("version_2")
def test_an_older_backup_is_restored_as_a_book_of_today(book: Path, tmp_path: Path) -> None:
    before = book.read_bytes()
    made = restore(book, tmp_path / "again.book", upgrades={1: add_notes})
    with Store.open(made) as store:
        assert store.records[3].chain.hex() == HEAD
        assert store.records[-1].kind == "upgraded"
    assert book.read_bytes() == before
    assert sorted(each.name for each in tmp_path.iterdir()) == ["again.book", "old.book"]


@pytest.mark.usefixtures("version_2")
def test_several_upgrades_run_in_turn(book: Path) -> None:
    with sqlite3.connect(book) as connection:
        connection.execute("PRAGMA user_version = 0")
        connection.execute("DROP TRIGGER content_stays")
    connection.close()
    trigger = next(sql for sql in stores.SCHEMA if "content_stays" in sql)

    def add_trigger(connection: sqlite3.Connection) -> None:
        connection.execute(trigger)

    upgrade(book, upgrades={0: add_trigger, 1: add_notes})
    with Store.open(book) as store:
        assert [r.body["to"] for r in store.records[4:]] == [1, 2]


@pytest.mark.usefixtures("version_2")
@pytest.mark.parametrize("wrong", ["fails", "does nothing", "is missing"])
def test_after_a_failed_upgrade_the_book_is_as_it_was(book: Path, wrong: str) -> None:
    def fails(connection: sqlite3.Connection) -> None:
        add_notes(connection)
        raise Conflict("no way on")

    before = book.read_bytes()
    steps = {"fails": {1: fails}, "does nothing": {1: lambda c: None}, "is missing": {}}[wrong]
    with pytest.raises(BookError):
        upgrade(book, upgrades=steps)
    assert book.read_bytes() == before
    assert not book.with_name("old.book-journal").exists()


def test_a_newer_book_is_left_untouched(book: Path) -> None:
    with sqlite3.connect(book) as connection:
        connection.execute("PRAGMA user_version = 2")
    connection.close()
    before = book.read_bytes()
    for attempt in (upgrade, Store.open):
        with pytest.raises(NewerBook, match="later version"):
            attempt(book)
    assert book.read_bytes() == before
    assert not backups(book)


def test_where_no_book_is_nothing_is_upgraded(tmp_path: Path) -> None:
    with pytest.raises(NoBook):
        upgrade(tmp_path / "none.book")
