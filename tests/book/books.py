"""Books to try things on: a small one on disk, and records that were never written anywhere."""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from benchproof.book.model import Book
from benchproof.book.records import FIRST_CHAIN, Entry, Record, complete
from benchproof.book.state import State, replay

AT = "2026-03-01T10:00:00+00:00"
SPEC = {
    "bore": "30 mm",
    "land_length": "20 mm",
    "stroke": "40 mm",
    "bore_material": "gunmetal",
    "piston_material": "gunmetal",
}


def small_book(folder: Path) -> Book:
    """A lathe, an engine at 5 bar, a cylinder and a piston, and the duty between them."""
    book = Book.create(folder / "small.book", {"name": "shed"}, who="tester")
    book.enter("machine", {"name": "lathe"}, key="lathe")
    book.enter("engine", {"name": "Wren", "boiler_pressure": "5 bar"}, key="wren")
    book.enter("part", {"name": "cylinder"}, subject="wren", key="part")
    for piece in ("cylinder", "piston"):
        book.enter("piece", {"name": piece}, subject="part", key=piece)
    bind(book)
    return book


def bind(book: Book, **changed: Any) -> Record:
    stated = {**SPEC, **changed}
    roles = {"bore": "cylinder", "piston": "piston"}
    return book.bind("piston-fit", "piston fit", stated, roles, engine="Wren", key="fit")


def past_part(
    key: str, *, aim: float, came_out: float, u: float, when: str = "", process: str = "turn"
) -> Entry:
    """A part made before the book was kept; sizes in metres."""
    read = {
        "process": process,
        "aim": aim,
        "came_out": came_out,
        "u": u,
        "instrument": "",
        "when": when,
    }
    return Entry("past part", {"version": 1, "stated": {}, "si": read}, at=AT, id=key)


def size(
    key: str,
    *,
    piece: str,
    value: float,
    u: float = 2e-6,
    aim: float | None = None,
    cut: str = "first",
    when: str = "",
    scale: float = 20e-3,
    process: str | None = "turn",
    supersedes: str | None = None,
) -> Entry:
    """A size of a piston; sizes in metres."""
    body = {
        "feature": "piston",
        "value": value,
        "u": u,
        "aim": aim,
        "cut": cut,
        "process": process,
        "scale": scale,
        "when": when,
    }
    return Entry("size", body, piece, supersedes, at=AT, id=key)


def piece(key: str) -> Entry:
    return Entry("piece", {"version": 1, "stated": {}, "si": {"name": key}}, at=AT, id=key)


def event(key: str, *, when: str, trust: float = 0.25, process: str = "all") -> Entry:
    read = {"what": "new bearings", "when": when, "trust": trust, "process": process}
    return Entry("event", {"version": 1, "stated": {}, "si": read}, at=AT, id=key)


def struck_out(key: str, record: str) -> Entry:
    return Entry("struck out", {"why": "a slip"}, None, record, at=AT, id=key)


def written(entries: Iterable[Entry]) -> list[Record]:
    """Records as a book would hold them, entered in this order."""
    records: list[Record] = []
    head = FIRST_CHAIN
    for seq, entry in enumerate(entries, 1):
        records.append(complete(entry, seq=seq, before=head))
        head = records[-1].chain
    return records


def state_of(*entries: Entry) -> State:
    return replay(written(entries))


def in_another_order(entries: Sequence[Entry], shuffler: random.Random) -> list[Entry]:
    """Another order in which they could be entered: whatever one speaks of stands before it."""
    left = list(entries)
    shuffler.shuffle(left)
    ordered: list[Entry] = []
    known: set[str] = set()
    while left:
        ready = next(e for e in left if {e.subject, e.supersedes} - {None} <= known)
        left.remove(ready)
        ordered.append(ready)
        known.add(ready.id)
    return ordered
