from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from benchproof.book.backups import back_up, backups, folder_of, restore
from benchproof.book.errors import BookError, Conflict
from benchproof.book.store import Entry, Store


@pytest.fixture
def store(tmp_path: Path) -> Store:
    made = Store.create(tmp_path / "my engine.book")
    made.add([Entry("note", {"text": "begun"})], [b"a drawing"])
    return made


def test_a_backup_is_named_by_its_date_and_equal(store: Store) -> None:
    made = back_up(store, at=datetime(2026, 11, 25, 14, 32))
    again = back_up(store, at=datetime(2026, 11, 25, 14, 32))
    assert made == folder_of(store.path) / "my engine 2026-11-25 1432.book"
    assert again.name == "my engine 2026-11-25 1432 2.book"
    assert backups(store.path) == [again, made]
    with Store.open(made) as copy:
        assert copy.records == store.records
        assert copy.content(store.contents()[0]) == b"a drawing"


def test_the_newest_and_one_a_month_are_kept_and_nothing_else_is_touched(store: Store) -> None:
    folder = folder_of(store.path)
    folder.mkdir()
    other = folder / "my engine 2025-01-01 0000.book"  # so named, but no book
    other.write_text("a shopping list")
    (folder / "other 2025-01-01 0000.book").write_text("another's")
    for month in (8, 9, 10):
        for day in (1, 2):
            back_up(store, at=datetime(2026, month, day), keep=2)
    kept = [path.name[10:20] for path in backups(store.path)]
    assert kept == ["2026-10-02", "2026-10-01", "2026-09-02", "2026-08-02", "2025-01-01"]
    assert other.read_text() == "a shopping list"
    assert (folder / "other 2025-01-01 0000.book").exists()


def test_a_backup_with_an_old_date_is_not_thrown_away_at_once(store: Store) -> None:
    for day in (20, 21, 22):
        back_up(store, at=datetime(2026, 11, day), keep=2)
    assert back_up(store, at=datetime(2026, 11, 1), keep=2).exists()


def test_restoring_makes_the_same_book_and_never_overwrites(store: Store, tmp_path: Path) -> None:
    made = back_up(store)
    with pytest.raises(Conflict):
        restore(made, store.path)
    with Store.open(restore(made, tmp_path / "again.book")) as again:
        assert again.head == store.head
        assert again.contents() == store.contents()


def test_a_journal_left_where_a_book_is_restored_to_is_refused(
    store: Store, tmp_path: Path
) -> None:
    made = back_up(store)
    (tmp_path / "again.book-journal").write_bytes(b"left over")
    with pytest.raises(Conflict, match="journal"):
        restore(made, tmp_path / "again.book")


def test_a_damaged_backup_is_not_restored(store: Store, tmp_path: Path) -> None:
    made = back_up(store)
    made.write_bytes(made.read_bytes().replace(b"a drawing", b"a dr@wing"))
    with pytest.raises(BookError):
        restore(made, tmp_path / "again.book")
    assert not (tmp_path / "again.book").exists()
    assert list(tmp_path.glob(".*")) == []
