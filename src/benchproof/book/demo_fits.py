"""Tyres, axleboxes, drain cocks and a pipe union of the demo book's engine; all of it invented.

Specs and readings are the input files that ship with the demo, so that a builder finds the same
figures in both.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib.resources import as_file, files
from typing import Any, Final

from benchproof.book.model import Book
from benchproof.specs import read_toml

# Part, its group, how many off, and its pieces.
PARTS: Final[Sequence[tuple[str, str, int, tuple[str, ...]]]] = (
    ("wheel", "wheels and axles", 6, ("leading left wheel", "leading right wheel")),
    ("tyre", "wheels and axles", 6, ("leading left tyre", "leading right tyre")),
    ("axle", "wheels and axles", 3, ("leading axle, left end", "leading axle, right end")),
    ("axlebox", "wheels and axles", 6, ("leading left axlebox", "leading right axlebox")),
    ("axlebox bush", "wheels and axles", 6, ("leading left bush", "leading right bush")),
    ("drain cock body", "feed and fittings", 4, ("left front cock body", "right front cock body")),
    ("drain cock plug", "feed and fittings", 4, ("left front cock plug", "right front cock plug")),
    ("clack", "feed and fittings", 1, ("clack fitting",)),
    ("union nut", "feed and fittings", 6, ("clack union nut",)),
    ("union nipple", "feed and fittings", 6, ("clack union nipple",)),
)


def enter_fits(book: Book, engine: str) -> None:
    """Enter parts, duties, sizes and bench tests of the small fits of an engine, by its name."""
    owner = book.find("engine", engine).id
    for name, group, off, pieces in PARTS:
        part = book.enter("part", {"name": name, "group": group, "off": str(off)}, subject=owner)
        for piece in pieces:
            book.enter("piece", {"name": piece}, subject=part.id)
    for side in ("left", "right"):
        _tyre(book, engine, side)
        _axlebox(book, engine, side)
        _cock(book, engine, side)
    _union(book, engine)
    _made(book)


def _bind(book: Book, duty: str, name: str, file: str, roles: Mapping[str, str], of: str) -> None:
    book.bind(duty, name, _file(file), roles, engine=of)


def _file(name: str) -> dict[str, Any]:
    with as_file(files("benchproof.demo") / f"{name}.toml") as path:
        return dict(read_toml(path))


def _tyre(book: Book, engine: str, side: str) -> None:
    roles = {"seat": f"leading {side} wheel", "tyre bore": f"leading {side} tyre"}
    _bind(book, "tyre-fit", f"leading {side} tyre fit", "tyre", roles, engine)


def _axlebox(book: Book, engine: str, side: str) -> None:
    roles = {
        "housing bore": f"leading {side} axlebox",
        "bush outside": f"leading {side} bush",
        "bore": f"leading {side} bush",
        "journal": f"leading axle, {side} end",
    }
    _bind(book, "running-fit", f"leading {side} journal", "running", roles, engine)


def _cock(book: Book, engine: str, side: str) -> None:
    roles = {"body angle": f"{side} front cock body", "plug angle": f"{side} front cock plug"}
    _bind(book, "taper-cock", f"{side} front drain cock", "cock", roles, engine)


def _union(book: Book, engine: str) -> None:
    roles = {
        "nut thread": "clack union nut",
        "seat cone": "clack fitting",
        "nipple cone": "clack union nipple",
        "fitting thread": "clack fitting",
    }
    _bind(book, "pipe-union", "clack union", "union", roles, engine)


def _made(book: Book) -> None:
    """What is made, measured and tested so far: the left side, mostly."""

    def measured(piece: str, feature: str, size: str, when: str, **more: Any) -> None:
        taken = {"when": when} | ({"instrument": more.pop("gauge")} if "gauge" in more else {})
        book.measure(piece, feature, size, taken=taken, **more)

    def turned(piece: str, feature: str, size: str, aim: str, when: str) -> None:
        measured(piece, feature, size, when, aim=aim, gauge="digital micrometer")

    turned("leading left wheel", "seat", "93.980 mm", "94 mm", "2026-01-17")
    measured(
        "leading left tyre",
        "tyre bore",
        "93.860 mm",
        "2026-01-18",
        aim="93.857 mm",
        gauge="bore gauge",
    )
    book.test("leading left tyre fit", "growth", _file("growth"), when="2026-01-20")
    book.test("leading left tyre fit", "witness-mark", _file("witness"), when="2026-01-31")
    turned("leading right wheel", "seat", "94.004 mm", "94 mm", "2026-01-24")
    turned("leading axle, left end", "journal", "12.694 mm", "12.7 mm", "2026-01-10")
    turned("leading axle, right end", "journal", "12.697 mm", "12.7 mm", "2026-01-10")
    measured("left front cock body", "body angle", "5.73 deg", "2026-02-20", u="4 arcmin")
    measured("left front cock plug", "plug angle", "5.70 deg", "2026-02-20", u="2 arcmin")
    book.test("left front drain cock", "bubble-test", _file("bubble"), when="2026-02-21")
    measured("clack union nut", "nut thread", "5.985 mm", "2026-02-22", u="8 um")
    measured("clack fitting", "fitting thread", "5.905 mm", "2026-02-22", u="4 um", aim="5.900 mm")
    book.test("clack union", "pressure-hold", _file("hold"), when="2026-02-23")
