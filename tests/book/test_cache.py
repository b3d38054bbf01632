import sqlite3
from pathlib import Path

import pytest

from benchproof.book.cache import Cache


def test_what_is_kept_is_there_again(tmp_path: Path) -> None:
    kept = Cache.beside(tmp_path / "shed.book")
    assert kept.path == tmp_path / "shed.book.cache"
    assert kept.get("a") is None
    kept.put("a", {"right": 0.25, "words": "½ µm"})
    kept.put("b", {})
    kept.put("b", {"right": 1.0})
    kept.close()
    again = Cache(kept.path)
    assert again.get("a") == {"right": 0.25, "words": "½ µm"}
    assert again.get("b") == {"right": 1.0}
    again.close()


@pytest.mark.parametrize("rubbish", [b"no cache at all", b"SQLite format 3\x00" + b"\xff" * 4096])
def test_a_file_that_is_no_cache_is_not_used(tmp_path: Path, rubbish: bytes) -> None:
    path = tmp_path / "x.cache"
    path.write_bytes(rubbish)
    kept = Cache(path)
    kept.put("a", {"right": 0.5})
    assert kept.get("a") is None
    kept.close()


def test_a_place_that_cannot_be_written_is_not_used(tmp_path: Path) -> None:
    kept = Cache(tmp_path / "missing" / "x.cache")
    kept.put("a", {"right": 0.5})
    assert kept.get("a") is None
    kept.close()


@pytest.mark.parametrize("text", ["{", "[1]", "null", b"\xff\xfe"])
def test_an_entry_that_cannot_be_read_is_not_used(tmp_path: Path, text: str | bytes) -> None:
    path = tmp_path / "x.cache"
    kept = Cache(path)
    kept.put("a", {"right": 0.5})
    with sqlite3.connect(path) as other:
        other.execute("UPDATE answer SET data = ?", (text,))
    other.close()
    assert kept.get("a") is None
    kept.put("a", {"right": 0.75})
    assert kept.get("a") == {"right": 0.75}
    kept.close()


def test_a_table_of_another_make_is_not_used(tmp_path: Path) -> None:
    path = tmp_path / "x.cache"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE answer (thing TEXT)")
    other.close()
    kept = Cache(path)
    kept.put("a", {"right": 0.5})
    assert kept.get("a") is None
    kept.close()
