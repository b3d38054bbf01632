"""Which book a command means, who is writing, and what is said when something is refused."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

if TYPE_CHECKING:
    from benchproof.book.model import Book

ENVIRONMENT = "BENCHPROOF_BOOK"
ENDING = ".book"

BookFile = Annotated[
    Path | None,
    Parameter(help="The book; else BENCHPROOF_BOOK, else the only *.book in this folder."),
]
Who = Annotated[str | None, Parameter(help="Who is writing; else the user's name.")]
When = Annotated[str | None, Parameter(help="Day, as 2026-03-01; today if left out.")]
Instead = Annotated[
    str | None,
    Parameter(help="Id of the record this corrects; benchproof history tells it."),
]
Note = Annotated[str | None, Parameter(help="Anything worth keeping.")]


def which_book(stated: Path | None) -> Path:
    """The book that is meant; refuses in words when that is not clear."""
    from benchproof.book.errors import NoBook

    if stated is not None:
        return stated
    told = os.environ.get(ENVIRONMENT)
    if told:
        return Path(told)
    here = books_here()
    if len(here) == 1:
        return here[0]
    if here:
        names = ", ".join(path.name for path in here)
        raise NoBook(f"there are {len(here)} books here: {names}. Say which: --book {here[0].name}")
    raise NoBook(
        "there is no book here. Name one with --book, or begin one: benchproof new my.book "
        '--workshop "My workshop"'
    )


def books_here() -> list[Path]:
    """Books in the current folder, by name."""
    return sorted(path for path in Path().glob(f"*{ENDING}") if path.is_file())


def a_book_is_meant(stated: Path | None) -> bool:
    """Whether a command that can do without a book is to use one."""
    return stated is not None or bool(os.environ.get(ENVIRONMENT)) or bool(books_here())


@contextmanager
def opened(stated: Path | None) -> Iterator[Book]:
    """Open the book that is meant, to look things up in it."""
    from benchproof.book.model import Book

    with Book.open(which_book(stated)) as book:
        yield book


@contextmanager
def entering(stated: Path | None, who: str | None) -> Iterator[Book]:
    """Open the book that is meant, to write in it; what is refused says nothing was written."""
    from benchproof.book.model import Book

    with nothing_written(), Book.open(which_book(stated), who=writer(who)) as book:
        yield book


@contextmanager
def nothing_written() -> Iterator[None]:
    """Say of whatever is refused inside that nothing was written."""
    from benchproof.book.errors import BookError
    from benchproof.refusing import RefusedEntryError, RefusedFileError
    from benchproof.specs import SpecError

    try:
        yield
    except BookError as wrong:
        raise type(wrong)(f"{str(wrong).rstrip('.')}.\nNothing was written.") from wrong
    except OSError as wrong:
        name = f"{wrong.filename}: " if wrong.filename else ""
        raise BookError(f"cannot use {name}{wrong.strerror}.\nNothing was written.") from wrong
    except RefusedFileError as wrong:
        raise RefusedEntryError(wrong.problems, wrong.path.name) from wrong
    except SpecError as wrong:
        raise RefusedEntryError(wrong.problems) from wrong


def writer(who: str | None) -> str:
    """Name written beside an entry."""
    return who or os.environ.get("USER") or os.environ.get("USERNAME") or ""


def day(stated: str | None) -> str:
    """Day of an entry as it was stated, today where none is; the book refuses what is no day."""
    return (stated or "").strip() or date.today().isoformat()


def only(book: Book, kind: str, name: str | None) -> str:
    """Id of the thing of a kind that is named, or of the only one there is."""
    from benchproof.book.errors import Conflict

    if name is not None:
        return book.find(kind, name).id
    there = book.state.of(kind)
    if len(there) == 1:
        return there[0].id
    if there:
        names = ", ".join(thing.name for thing in there)
        raise Conflict(
            f"the book has {len(there)} of kind {kind}: say which with --{kind}: {names}"
        )
    raise Conflict(f"the book has no {kind} yet; enter one: benchproof {kind} NAME")


def corrected(book: Book, key: str | None) -> str | None:
    """Whole id of the record that an entry corrects."""
    from benchproof.book.history import record_of

    return None if key is None else record_of(book, key).id


def stated_only(**fields: object) -> dict[str, object]:
    """Fields that somebody stated, as text."""
    return {name: str(value) for name, value in fields.items() if value is not None}
