"""Books: a large one opened and read, forty duties reviewed, and records written to the disk."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

import numpy as np

from benchmarks.timing import Figure, took
from benchproof.book.cache import Cache
from benchproof.book.demo import SPEC, left_drop_test, make_demo
from benchproof.book.kinds import stated_body
from benchproof.book.model import Book
from benchproof.book.records import Entry
from benchproof.book.review import review

PARTS, PIECES, SIZES, DUTIES, TESTED, MADE = 600, 6_000, 60_000, 40, 6, 10
WRITES = 100


def figures() -> Iterable[Figure]:
    """All of them; the book and its cache are thrown away afterwards."""
    with TemporaryDirectory(prefix="benchproof-") as folder:
        path = Path(folder, "large.book")
        fill(path)
        yield from opening(path)
        yield from reviewing(path)
        yield writing(Path(folder, "written.book"))


def fill(
    path: Path, *, duties: int = DUTIES, duty: Callable[[Book, int], None] | None = None
) -> None:
    """A book of 600 parts, 6 000 pieces, 60 000 sizes and forty duties of one engine.

    ``duty`` enters one by its number.
    """
    rng = np.random.default_rng(1908)
    with make_demo(path) as book:
        engine = book.find("engine", "Dunnock").id
        book.store.add(_parts(engine, rng))
        for number in range(duties - len(book.state.bindings)):
            (duty or _duty)(book, number)


def _parts(engine: str, rng: np.random.Generator) -> Iterator[Entry]:
    for part in range(PARTS):
        yield Entry(
            "part", stated_body("part", {"name": f"part {part}"}), engine, id=f"part {part}"
        )
    for piece in range(PIECES):
        body = stated_body("piece", {"name": f"piece {piece}"})
        yield Entry("piece", body, f"part {piece % PARTS}", id=f"piece {piece}")
    for number in range(SIZES):
        # Ten sizes of each piece, a fifth of them first cuts against an aim.
        first = number // PIECES < 2
        aim = 10e-3 + 1e-3 * (number % 30)
        body = {
            "feature": f"place {number // PIECES % 2}",
            "stated": {"size": "as read", "aim": "as drawn", "u": None},
            "taken": {"instrument": "micrometer"},
            "value": aim + 10e-6 * float(rng.standard_normal()),
            "u": 3e-6,
            "aim": aim if first else None,
            "cut": "first" if first else "again",
            "process": "bore" if number % 2 else "turn",
            "scale": aim,
            "when": f"2025-{number % 12 + 1:02d}-{number % 28 + 1:02d}",
        }
        yield Entry("size", body, f"piece {number % PIECES}")


def _duty(book: Book, number: int) -> None:
    """Duties of many bores, so that few of them are alike."""
    bore, piston = f"piece {2 * number}", f"piece {2 * number + 1}"
    spec: dict[str, Any] = SPEC | {"bore": f"{20 + number} mm"}
    name = f"fit {number}"
    book.bind("piston-fit", name, spec, {"bore": bore, "piston": piston}, engine="Dunnock")
    if number < TESTED + MADE:
        for piece, role, aim, read in (
            (bore, "bore", f"{20 + number} mm", f"{20 + number}.004 mm"),
            (piston, "piston", f"{19.975 + number} mm", f"{19.976 + number} mm"),
        ):
            book.measure(piece, role, read, aim=aim, taken={"when": "2026-01-10"})
    if number < TESTED:
        book.test(name, "drop-test", left_drop_test(), when="2026-02-01")


def opening(path: Path) -> Iterable[Figure]:
    """From the file to one part's sizes."""

    def opened() -> None:
        Book.open(path).close()

    def said() -> None:
        with Book.open(path) as book:
            assert book.state.sizes_of("piece 100")

    yield Figure(f"open a book of {SIZES} sizes, checked", took(opened, 3), at_most=3.0)
    yield Figure("and replay what it says", took(said, 3), at_most=5.0)
    with Book.open(path) as book:
        assert len(book.state.sizes) > SIZES
        figure = took(lambda: [book.state.sizes_of(f"piece {n}") for n in range(PARTS)])
        yield Figure("sizes of one piece", figure / PARTS, at_most=1e-3)

        def one_more() -> None:
            book.measure("piece 100", "place 9", "12 mm")
            assert book.state.sizes_of("piece 100", "place 9")

        yield Figure("one more size entered and seen", took(one_more), at_most=0.1)
        yield Figure("the lathe anew, from 12 000 parts", _anew(book))


def _anew(book: Book) -> float:
    start = perf_counter()
    assert book.lathe.standings["turn"].parts > 1000
    return perf_counter() - start


def reviewing(path: Path) -> Iterable[Figure]:
    """Forty duties of one engine: six tested, ten made, the rest planned."""
    with Book.open(path) as book:
        assert len(book.state.bindings) == DUTIES
        assert book.lathe.standings
        kept = Cache.beside(path)
        start = perf_counter()
        cold = review(book, cache=kept)
        yield Figure(f"review of {DUTIES} duties, cold", perf_counter() - start, at_most=5.0)
        warm = took(lambda: review(book, cache=kept))
        assert review(book, cache=kept) == cold
        yield Figure(f"review of {DUTIES} duties, from the cache", warm, at_most=0.2)
        kept.close()


def writing(path: Path) -> Figure:
    """Records written one by one, each on the disk before the next."""
    with Book.create(path, {"name": "shed"}) as book:
        start = perf_counter()
        for number in range(WRITES):
            book.enter("note", {"text": f"note {number}"})
        return Figure("one durable write", (perf_counter() - start) / WRITES)
