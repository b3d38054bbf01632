"""Commands that make books, look after them, and carry them elsewhere."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Final

from cyclopts import Parameter

from benchproof.book_commands.opening import (
    ENDING,
    BookFile,
    Note,
    Who,
    nothing_written,
    opened,
    which_book,
    writer,
)
from benchproof.book_commands.tour import tour
from benchproof.exits import ANSWERED, say


def new(
    file: Path,
    *,
    workshop: Annotated[str | None, Parameter(help="Whose workshop it is kept in.")] = None,
    demo: Annotated[
        bool, Parameter(negative="", help="Fill it with the invented engine Dunnock.")
    ] = False,
    note: Note = None,
    who: Who = None,
) -> int:
    """Begin a book.

    Parameters
    ----------
    file
        Where it is to lie, such as workshop.book.
    """
    from benchproof.book.demo import make_demo
    from benchproof.book.errors import Conflict
    from benchproof.book.model import Book
    from benchproof.telling_books import tell_begun

    with nothing_written():
        if file.suffix != ENDING:
            raise Conflict(f"call it {file.with_suffix(ENDING).name}, so that it is found here")
        if demo:
            if workshop is not None:
                raise Conflict("the demo book has an invented workshop: leave out --workshop")
            made = make_demo(file)
        elif workshop is None:
            raise Conflict('say whose workshop it is: --workshop "My workshop"')
        else:
            stated = {"name": workshop} | ({} if note is None else {"note": note})
            made = Book.create(file, stated, who=writer(who))
    with made:
        count = len(made.store.records)
    say(tell_begun(file, count, demo=demo))
    return ANSWERED


def verify(*, book: BookFile = None) -> int:
    """Check every record and every file kept in a book against its hash."""
    from benchproof.telling_books import tell_verified

    with opened(book) as kept:
        contents = kept.store.contents()
        for sha256 in contents:
            kept.store.content(sha256)
        said = tell_verified(
            kept.store.path, len(kept.store.records), len(contents), kept.store.head.hex()
        )
    say(said)
    return ANSWERED


def backup(
    folder: Path | None = None,
    *,
    keep: Annotated[int, Parameter(help="How many backups to keep.")] = 10,
    book: BookFile = None,
) -> int:
    """Copy the book, checked, beside it or into another folder.

    Parameters
    ----------
    folder
        Where the copy goes; beside the book if left out.
    """
    from benchproof.book.backups import back_up
    from benchproof.telling_books import tell_written

    with opened(book) as kept:
        made = back_up(kept.store, folder, keep=keep)
    say(tell_written("Backed up to", made))
    return ANSWERED


def restore(backup: Path, file: Path) -> int:
    """Make a book again from a backup; a file that is there already stays as it is.

    Parameters
    ----------
    backup
        The backup.
    file
        Where the book is to lie.
    """
    from benchproof.book.upgrades import restore as restored
    from benchproof.telling_books import tell_written

    with nothing_written():
        restored(backup, file)
    say(tell_written("Restored to", file))
    return ANSWERED


def export(folder: Path, *, book: BookFile = None) -> int:
    """Write the whole book to a folder in open formats (JSON and CSV), with checksums.

    Parameters
    ----------
    folder
        A new folder.
    """
    from benchproof.book.exchange import export_book
    from benchproof.telling_books import tell_written

    with nothing_written(), opened(book) as kept:
        export_book(kept.store, folder)
    say(tell_written("Exported to", folder))
    return ANSWERED


def import_(folder: Path, file: Path) -> int:
    """Make a book from an exported folder, once every checksum is right.

    Parameters
    ----------
    folder
        What benchproof export wrote.
    file
        Where the new book is to lie.
    """
    from benchproof.book.exchange import import_book
    from benchproof.telling_books import tell_written

    with nothing_written():
        import_book(folder, file)
    say(tell_written("Imported into", file))
    return ANSWERED


def upgrade(*, book: BookFile = None) -> int:
    """Bring a book of an earlier version up to this one, once it is backed up."""
    from benchproof.book.upgrades import upgrade as upgraded
    from benchproof.telling_books import tell_written

    path = which_book(book)
    with nothing_written():
        before = upgraded(path)
    if before is not None:
        say(tell_written("As it was before, kept at", before))
    say(tell_written("Up to date:", path))
    return ANSWERED


COMMANDS: Final[dict[str, Callable[..., int]]] = {
    "tour": tour,
    "new": new,
    "verify": verify,
    "backup": backup,
    "restore": restore,
    "export": export,
    "import": import_,
    "upgrade": upgrade,
}
