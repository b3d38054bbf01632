"""The store in ordinary and less ordinary days: ids sent twice, full disks, busy neighbours."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import threading
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from benchproof.book.errors import (
    BusyBook,
    Conflict,
    DamagedBook,
    ForeignFile,
    FullDisk,
    NoBook,
    ReadOnlyBook,
)
from benchproof.book.store import Entry, Store

PART = Entry("part", {"name": "piston"}, id="part-1")

HOLDER = """
import sqlite3, sys
connection = sqlite3.connect(sys.argv[1], isolation_level=None)
connection.execute("BEGIN EXCLUSIVE")
print("held", flush=True)
sys.stdin.read()
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "my engine #2 100%?.book"


@pytest.fixture
def store(path: Path) -> Store:
    return Store.create(path)


def test_records_come_back_as_they_were_written(store: Store, path: Path) -> None:
    made = store.add([PART, Entry("bore", {"size": "½ µm", "n": [1, 2.5, None]}, subject="part-1")])
    assert [record.seq for record in made] == [1, 2]
    with Store.open(path) as again:
        assert again.records == made == store.records
        assert again.records[1].body == {"size": "½ µm", "n": [1, 2.5, None]}
        assert again.head == store.head == made[-1].chain
        assert again.get("part-1") == made[0]
        assert again.get("part-2") is None


def test_what_is_sent_twice_is_stored_once(store: Store, path: Path) -> None:
    first = store.add([PART, PART])
    assert store.add([replace(PART, at="2020-01-01T00:00:00Z")]) == first[:1] == first[1:]
    with Store.open(path) as again:
        assert len(again.records) == 1


@pytest.mark.parametrize(
    "other",
    [
        replace(PART, body={"name": "rod"}),
        replace(PART, kind="piece"),
        Entry("bore", {}, subject="nothing"),
        Entry("bore", {}, supersedes="nothing"),
    ],
)
def test_what_does_not_go_with_the_book_is_refused_whole(
    store: Store, path: Path, other: Entry
) -> None:
    store.add([PART])
    with pytest.raises(Conflict):
        store.add([Entry("note", {"text": "before"}), other], [b"a drawing"])
    assert len(store.records) == 1
    assert store.contents() == []
    with Store.open(path) as again:
        assert len(again.records) == 1


@pytest.mark.parametrize(
    "change",
    [
        {"kind": ""},
        {"kind": "  "},
        {"kind": "a\0b"},
        {"kind": 3},
        {"id": "x" * 201},
        {"id": "\ud800"},
        {"subject": ""},
        {"supersedes": ""},
        {"who": "\udfff"},
        {"who": "x" * 201},
        {"at": "yesterday"},
        {"at": "2026-11-25"},
        {"at": "2026-11-25T14:32:00"},
        {"body": {"x": "a\0b"}},
        {"body": {"\ud800": 1}},
        {"body": {"x": float("nan")}},
        {"body": {"x": float("inf")}},
        {"body": {"x": 10**400}},
        {"body": {1: "x"}},
        {"body": {"x": {1, 2}}},
        {"body": {"x": "y" * 2**20}},
        {"body": ["x"]},
    ],
    ids=lambda change: str(change)[:30].encode("ascii", "replace").decode(),
)
def test_what_a_book_cannot_hold_is_refused(store: Store, change: dict[str, Any]) -> None:
    with pytest.raises(Conflict):
        store.add([replace(Entry("note", {"text": "x"}), **change)])
    assert store.records == []
    assert len(store.add([PART])) == 1


def test_tables_within_tables_without_end_are_refused(store: Store) -> None:
    deep: dict[str, Any] = {}
    for _ in range(5000):
        deep = {"x": deep}
    with pytest.raises(Conflict):
        store.add([Entry("note", deep)])


def test_evidence_is_neither_changed_nor_removed(store: Store, path: Path) -> None:
    store.add([PART], [b"a drawing"])
    connection = sqlite3.connect(path)
    for deed in ("UPDATE record SET who = 'x'", "DELETE FROM record", "DELETE FROM content"):
        with pytest.raises(sqlite3.IntegrityError, match="evidence is added to"):
            connection.execute(deed)
    connection.close()


def test_a_changed_record_is_found(store: Store, path: Path) -> None:
    store.add([PART, Entry("bore", {"size": "30.004 mm"})])
    store.close()
    data = path.read_bytes()
    path.write_bytes(data.replace(b"30.004", b"30.014"))
    with pytest.raises(DamagedBook, match="record 2"):
        Store.open(path)


def test_a_changed_kept_file_is_found(store: Store, path: Path) -> None:
    store.add([PART], [b"a drawing"])
    store.close()
    path.write_bytes(path.read_bytes().replace(b"a drawing", b"a dr@wing"))
    with Store.open(path) as again, pytest.raises(DamagedBook, match="kept in it"):
        again.check_contents()


def test_two_open_books_see_each_other(store: Store, path: Path) -> None:
    with Store.open(path) as other:
        other.add([PART])
        store.add([Entry("bore", {}, subject="part-1")])
        other.refresh()
        assert other.records == store.records
        assert [record.seq for record in other.records] == [1, 2]


def test_threads_may_share_a_book(store: Store, path: Path) -> None:
    threads = [
        threading.Thread(target=lambda: [store.add([Entry("note", {})]) for _ in range(5)])
        for _ in range(4)
    ]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    with Store.open(path) as again:
        assert len(again.records) == 20


def test_a_book_that_another_program_holds_is_busy(store: Store, path: Path) -> None:
    with Store.open(path, wait=0.05) as waiting:
        holder = subprocess.Popen(
            [sys.executable, "-c", HOLDER, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )
        with holder:
            assert holder.stdout is not None
            assert holder.stdout.readline() == b"held\n"
            for attempt in (lambda: waiting.add([PART]), lambda: Store.open(path, wait=0.05)):
                with pytest.raises(BusyBook, match="try again"):
                    attempt()
            holder.kill()
        assert len(waiting.add([PART])) == 1


def test_on_a_full_disk_nothing_is_half_written(store: Store, path: Path) -> None:
    store.add([PART])
    (pages,) = store._connection.execute("PRAGMA page_count").fetchone()
    store._connection.execute(f"PRAGMA max_page_count = {pages + 2}")
    with pytest.raises(FullDisk, match="no room"):
        store.add([Entry("note", {"text": "x"}), Entry("note", {"text": "y" * 50_000})])
    assert len(store.records) == 1
    store._connection.execute("PRAGMA max_page_count = 100000")
    store.add([Entry("note", {"text": "y" * 50_000})])
    with Store.open(path) as again:
        assert again.records == store.records


def test_a_book_opened_to_be_read_is_not_written(store: Store, path: Path) -> None:
    store.add([PART])
    with Store.open(path, read_only=True) as reading:
        assert reading.records == store.records
        with pytest.raises(ReadOnlyBook, match="cannot be written"):
            reading.add([Entry("note", {})])


def test_a_taken_place_is_not_written_over(store: Store, path: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.book"
    other.write_text("a shopping list")
    for attempt in (lambda: Store.create(other), lambda: store.copy_to(other)):
        with pytest.raises(Conflict, match="there already"):
            attempt()
    assert other.read_text() == "a shopping list"


def test_what_is_no_book_is_left_untouched(tmp_path: Path) -> None:
    with pytest.raises(NoBook):
        Store.open(tmp_path)
    with pytest.raises(NoBook):
        Store.open(tmp_path / "none.book")
    wal = sqlite3.connect(tmp_path / "other.db")
    wal.execute("PRAGMA journal_mode = WAL")
    wal.execute("CREATE TABLE x (y)")
    wal.close()
    (tmp_path / "text.book").write_text("a shopping list " * 100)
    (tmp_path / "empty.book").touch()
    for name in ("other.db", "text.book", "empty.book"):
        before = (tmp_path / name).read_bytes()
        with pytest.raises(ForeignFile):
            Store.open(tmp_path / name)
        assert (tmp_path / name).read_bytes() == before
    assert len(list(tmp_path.iterdir())) == 3


def test_a_file_too_large_is_refused(store: Store) -> None:
    with pytest.raises(Conflict, match="64 at the most"):
        store.add([PART], [bytes(64 * 2**20 + 1)])
    assert store.records == []
