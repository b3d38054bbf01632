from __future__ import annotations

import csv
import json
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.book.errors import BookError, Conflict, NewerBook
from benchproof.book.exchange import export_book, import_book
from benchproof.book.store import Entry, Store

TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=12)
VALUE = st.recursive(
    st.none() | st.booleans() | st.integers() | TEXT | st.floats(allow_nan=False, width=64),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXT, inner, max_size=3),
    max_leaves=6,
).filter(lambda value: "inf" not in repr(value))
BODY = st.dictionaries(TEXT, VALUE, max_size=4)
KIND = TEXT.filter(lambda text: bool(text.strip()))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(KIND, BODY, TEXT), max_size=6), st.lists(st.binary(), max_size=3))
def test_a_book_made_of_its_export_is_the_same(
    held: list[tuple[str, dict[str, Any], str]], contents: list[bytes]
) -> None:
    with (
        tempfile.TemporaryDirectory() as place,
        Store.create(Path(place, "first.book")) as store,
    ):
        store.add([Entry(kind, body, who=who) for kind, body, who in held], contents)
        export_book(store, Path(place, "out"))
        made = import_book(Path(place, "out"), Path(place, "second.book"))
        with Store.open(made) as again:
            assert again.records == store.records
            assert again.contents() == store.contents()
            assert again.head == store.head


@pytest.fixture
def out(tmp_path: Path) -> Path:
    with Store.create(tmp_path / "first.book") as store:
        part = store.add([Entry("a/part", {"name": "=SUM(A1)", "u": {"low": -2}})], [b"drawing"])
        store.add([Entry("note", {"text": "two"}, subject=part[0].id)])
        return export_book(store, tmp_path / "out")


def rewrite(path: Path, change: Callable[[dict[str, Any]], object]) -> None:
    told = json.loads(path.read_text(encoding="utf-8"))
    change(told)
    path.write_text(json.dumps(told), encoding="utf-8")


def refused(out: Path, error: type[BookError] = BookError) -> None:
    target = out.parent / "second.book"
    with pytest.raises(error):
        import_book(out, target)
    assert sorted(each.name for each in out.parent.iterdir()) == ["first.book", "out"]


def test_a_sheet_can_be_read_and_runs_nothing(out: Path) -> None:
    with (out / "sheets" / "01 a part.csv").open(encoding="utf-8-sig", newline="") as file:
        (row,) = csv.DictReader(file)
    assert row["name"] == "'=SUM(A1)"
    assert row["u.low"] == "-2"


def test_every_file_of_an_export_is_needed_and_checked(out: Path) -> None:
    for path in sorted(each for each in out.rglob("*") if each.is_file()):
        data = path.read_bytes()
        for spoilt in (data[:-1], data[: len(data) // 2], b"", data.replace(b"t", b"u")):
            if spoilt == data or (path.suffix == ".json" and spoilt == data[:-1]):
                continue  # without its last line break a manifest says the same
            path.write_bytes(spoilt)
            refused(out)
        path.unlink()
        refused(out)
        path.write_bytes(data)
    (out / "files" / "more").write_bytes(b"")
    refused(out)


@pytest.mark.parametrize("key", ["records", "contents", "head", "files", "format", "book_version"])
def test_a_manifest_that_says_otherwise_is_refused(out: Path, key: str) -> None:
    rewrite(out / "manifest.json", lambda told: told.update({key: 0}))
    refused(out)


def test_an_export_of_a_later_version_is_refused(out: Path) -> None:
    rewrite(out / "manifest.json", lambda told: told.update(format_version=2))
    refused(out, NewerBook)


def test_nothing_is_overwritten(out: Path) -> None:
    with pytest.raises(Conflict):
        import_book(out, out.parent / "first.book")
    with Store.open(out.parent / "first.book") as store, pytest.raises(Conflict):
        export_book(store, out)
