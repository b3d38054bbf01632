"""The file of a large engine, against its reckoning alone and its typesetting alone."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

from benchmarks.books import fill
from benchmarks.timing import Figure
from benchproof.book.cache import Cache
from benchproof.book.demo import SPEC, left_drop_test
from benchproof.book.model import Book
from benchproof.book.review import review
from benchproof.papers.engine_file import engine_file, for_type
from benchproof.papers.typesetting import typeset

DUTIES, TESTED = 150, 25


def figures() -> Iterable[Figure]:
    """A book of 600 parts with 150 duties, no two alike; it is thrown away afterwards."""
    with TemporaryDirectory(prefix="benchproof-") as folder:
        path = Path(folder, "large.book")
        fill(path, duties=DUTIES, duty=_distinct)
        with Book.open(path) as book:
            assert book.lathe.standings
            yield from _of_a_file(book, Path(folder))


def _of_a_file(book: Book, folder: Path) -> Iterable[Figure]:
    kept, alone = Cache(folder / "file.cache"), Cache(folder / "review.cache")
    cold, pdf = _took(lambda: engine_file(book, "Dunnock", cache=kept))
    reckoned, _ = _took(lambda: review(book, "Dunnock", cache=alone))
    warm, again = _took(lambda: engine_file(book, "Dunnock", cache=kept))
    assert pdf == again
    data, pictures = for_type(book, "Dunnock", cache=kept)
    # Otherwise the typesetter would be handed what it has just set.
    data["title"] += ", once more"
    set_in_type, _ = _took(lambda: typeset("engine", data, pictures))
    of = f"{DUTIES} duties"
    yield Figure(
        f"engine file of {of}, cold", cold, "their reckoning alone", reckoned, at_most=20.0
    )
    yield Figure("engine file, from the cache", warm, "typesetting alone", set_in_type)
    kept.close()
    alone.close()


def _took(run: Any) -> tuple[float, Any]:
    """Time of one run [s] and what it gave: each is cold but once."""
    start = perf_counter()
    found = run()
    return perf_counter() - start, found


def _distinct(book: Book, number: int) -> None:
    """A duty of a bore of its own; the first are made and tested."""
    bore, piston = f"piece {2 * number}", f"piece {2 * number + 1}"
    size, name = 15.0 + 0.25 * number, f"fit {number}"
    spec: dict[str, Any] = SPEC | {"bore": f"{size} mm"}
    book.bind("piston-fit", name, spec, {"bore": bore, "piston": piston}, engine="Dunnock")
    if number < TESTED:
        for piece, role, aim, read in (
            (bore, "bore", f"{size} mm", f"{size + 0.004} mm"),
            (piston, "piston", f"{size - 0.025} mm", f"{size - 0.024} mm"),
        ):
            book.measure(piece, role, read, aim=aim, taken={"when": "2026-01-10"})
        book.test(name, "drop-test", left_drop_test(), when="2026-02-01")
