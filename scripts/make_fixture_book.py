"""Make the small book of version 1 that every later version must open: run once, then kept."""

from __future__ import annotations

import sys
from pathlib import Path

from benchproof.book.store import Entry, Store

TARGET = Path(__file__).resolve().parent.parent / "tests/book/fixtures/version_1.book"
WHEN = "2026-11-25T14:32:00+00:00"


def make(path: Path) -> None:
    """Write the book; the same every time."""
    entries = [
        Entry("part", {"name": "cylinder", "off": 2}, who="Ada", at=WHEN, id="part-1"),
        Entry("piece", {"name": "left"}, subject="part-1", who="Ada", at=WHEN, id="piece-1"),
        Entry("bore", {"size": "30.004 mm"}, subject="piece-1", who="Ben", at=WHEN, id="bore-1"),
        Entry(
            "bore",
            {"size": "30.014 mm", "note": "read amiss: µ, ½, 🔧"},
            subject="piece-1",
            supersedes="bore-1",
            at=WHEN,
            id="bore-2",
        ),
    ]
    with Store.create(path) as store:
        store.add(entries, [b"a drawing\n", bytes(range(256)) * 20])


if __name__ == "__main__":
    make(Path(sys.argv[1]) if len(sys.argv) > 1 else TARGET)
