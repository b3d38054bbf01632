"""Damaged books: refused in words or read as they were, and never changed by being opened."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from benchproof.book.errors import BookError
from benchproof.book.store import Entry, Record, Store

PAGE = 4096


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, list[Record]]:
    path = tmp_path_factory.mktemp("whole") / "whole.book"
    with Store.create(path) as store:
        first = store.add([Entry("part", {"name": "piston"})])[0]
        for number in range(40):
            body = {"reading": number, "note": "nothing amiss " * (number * 4)}
            store.add([Entry("bore", body, subject=first.id, who="Ada")])
        store.add([Entry("drawing", {"name": "drawing"})], [random.Random(1).randbytes(20_000)])
        return path.read_bytes(), list(store.records)


def flipped(data: bytes, number: int, choice: random.Random) -> bytes:
    page = number % (len(data) // PAGE)
    spoilt = bytearray(data)
    reach = 100 if page == 0 and number % 2 else PAGE  # the header is small, and matters most
    for _ in range(choice.choice((1, 1, 3))):
        spoilt[page * PAGE + choice.randrange(reach)] ^= 1 << choice.randrange(8)
    return bytes(spoilt)


def zeroed(data: bytes, number: int, choice: random.Random) -> bytes:
    page = number % (len(data) // PAGE)
    return data[: page * PAGE] + bytes(PAGE) + data[(page + 1) * PAGE :]


def cut_short(data: bytes, number: int, choice: random.Random) -> bytes:
    if number % 3:
        return data[: choice.randrange(len(data))]
    return data[: PAGE * choice.randrange(len(data) // PAGE)]


@pytest.mark.parametrize(
    ("spoil", "times"),
    [(flipped, 220), (zeroed, 40), (cut_short, 40)],
    ids=["flipped", "zeroed", "cut short"],
)
def test_a_damaged_book_is_refused_or_read_as_it_was(
    spoil: Callable[[bytes, int, random.Random], bytes],
    times: int,
    whole: tuple[bytes, list[Record]],
    tmp_path: Path,
) -> None:
    data, records = whole
    assert len(data) > 15 * PAGE
    choice, refused, accepted = random.Random(spoil.__name__), 0, 0
    path = tmp_path / "spoilt.book"
    for number in range(times):
        spoilt = spoil(data, number, choice)
        path.write_bytes(spoilt)
        try:
            with Store.open(path) as store:
                assert store.records == records
                store.check_contents()
        except BookError as wrong:
            refused += "spoilt.book" in str(wrong)
        else:
            accepted += 1
        assert path.read_bytes() == spoilt
        assert [each.name for each in tmp_path.iterdir()] == ["spoilt.book"]
    assert refused + accepted == times
    assert refused > times // 2


def test_a_sound_book_is_not_changed_by_being_opened(
    whole: tuple[bytes, list[Record]], tmp_path: Path
) -> None:
    path = tmp_path / "sound #1 100%?.book"
    path.write_bytes(whole[0])
    with Store.open(path) as store:
        assert store.records == whole[1]
    assert path.read_bytes() == whole[0]


def test_a_journal_of_another_book_spoils_nothing(
    whole: tuple[bytes, list[Record]], tmp_path: Path
) -> None:
    other = tmp_path / "other.book"
    with Store.create(other) as store:
        store.add([Entry("note", {"text": "x" * 9000}) for _ in range(5)])
        connection = store._connection
        connection.execute("PRAGMA cache_size = 1")
        connection.execute("BEGIN IMMEDIATE")
        for number in range(100):
            connection.execute(
                "INSERT INTO content VALUES (?, ?)", (f"{number}", bytes([number]) * 5000)
            )
        journal = (tmp_path / "other.book-journal").read_bytes()
        connection.execute("ROLLBACK")
    path = tmp_path / "kept.book"
    path.write_bytes(whole[0])
    (tmp_path / "kept.book-journal").write_bytes(journal)
    with pytest.raises(BookError, match=r"kept\.book"):
        Store.open(path)
    assert path.read_bytes() == whole[0]
