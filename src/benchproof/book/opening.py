"""How the file of a book is opened, and what SQLite says about it, in words.

A file is looked at before anything may write to it: first its header, without locks and without
regard to a journal, then all of it through a connection that can only read.
"""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Final, Literal

from benchproof.book.errors import (
    BookError,
    BusyBook,
    Conflict,
    DamagedBook,
    ForeignFile,
    FullDisk,
    NewerBook,
    NoBook,
    OlderBook,
    ReadOnlyBook,
)
from benchproof.book.placing import journal_of

APPLICATION: Final = 0x42507266  # "BPrf", in the file's header
WAIT: Final = 10.0  # s to wait for another writer


def connect(
    path: Path, mode: Literal["rw", "ro", "rwc", "ro&immutable=1"], *, wait: float = WAIT
) -> sqlite3.Connection:
    """A connection to a file that can do no more than its mode says.

    It may be used from several threads, one at a time. No journal mode is set: a book says itself
    that it has a rollback journal, and setting it could write to a file that says otherwise.
    """
    connection = sqlite3.connect(
        f"{path.resolve().as_uri()}?mode={mode}",
        uri=True,
        timeout=wait,
        isolation_level=None,
        check_same_thread=False,
    )
    try:
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA trusted_schema = OFF")
        if mode.startswith("rw"):  # this one reads the file, and must not where it may be foreign
            connection.execute("PRAGMA synchronous = EXTRA")
    except BaseException:
        connection.close()
        raise
    return connection


def version_of(path: Path) -> int:
    """Book version in a file's header; :class:`ForeignFile` for a file that is no book."""
    if not path.is_file():
        raise NoBook(f"there is no book at {path}")
    with in_words(path), closing(connect(path, "ro&immutable=1")) as connection:
        try:
            (application,) = connection.execute("PRAGMA application_id").fetchone()
            (version,) = connection.execute("PRAGMA user_version").fetchone()
        except sqlite3.DatabaseError as wrong:
            if _name(wrong) != "SQLITE_NOTADB":
                raise
            raise ForeignFile(
                f"{path} is no book of this program, or its beginning is damaged"
            ) from wrong
    if application != APPLICATION:
        raise ForeignFile(f"{path} is no book of this program, or its beginning is damaged")
    return int(version)


def refuse_other_version(path: Path, version: int) -> None:
    """Raise :class:`NewerBook` or :class:`OlderBook` when the file is not of this version."""
    found = version_of(path)
    if found > version:
        raise NewerBook(
            f"{path} was written by a later version of this program (book version {found}, "
            f"here {version}); it is left untouched. Install the later version."
        )
    if found < version:
        raise OlderBook(f"{path} is of book version {found}; upgrade it to {version} first")


def refuse_unsound(path: Path, connection: sqlite3.Connection) -> None:
    """Raise :class:`DamagedBook` when SQLite finds fault with the structure of a file."""
    if connection.execute("PRAGMA journal_mode").fetchone() != ("delete",):
        raise DamagedBook(
            f"{path} was changed by another program: its journal mode is another. It is left "
            "untouched. Go back to the newest backup that opens."
        )
    if connection.execute("PRAGMA quick_check(1)").fetchone() != ("ok",):
        raise DamagedBook(damaged(path))


def is_half_written(path: Path, *, wait: float = WAIT) -> bool:
    """Whether a writer was stopped within a transaction that must be undone before reading."""
    if not journal_of(path.resolve()).exists():
        return False
    with closing(connect(path, "ro", wait=wait)) as connection:
        try:
            connection.execute("PRAGMA schema_version").fetchone()
        except sqlite3.Error as wrong:
            if _name(wrong).startswith("SQLITE_BUSY"):
                raise
            return _name(wrong) == "SQLITE_READONLY_ROLLBACK"
    return False


def undo_half_written(path: Path, *, wait: float = WAIT) -> None:
    """Let SQLite undo a transaction that its writer did not live to end."""
    with closing(connect(path, "rw", wait=wait)) as connection:
        connection.execute("PRAGMA schema_version").fetchone()


def damaged(path: Path, where: str = "") -> str:
    """What to say of a damaged file."""
    place = f" {where}" if where else ""
    return (
        f"{path} is damaged{place}: what it holds is not what was written. It is left untouched. "
        "Go back to the newest backup that opens; copy the damaged file away first."
    )


@contextmanager
def in_words(path: Path) -> Iterator[None]:
    """Turn what SQLite and the system say into words for a builder."""
    try:
        yield
    except BookError:
        raise
    except sqlite3.Error as wrong:
        raise _worded(path, wrong) from wrong
    except MemoryError as wrong:  # a damaged length asks for more than there is
        raise DamagedBook(damaged(path)) from wrong
    except OSError as wrong:
        if wrong.errno == errno.ENOSPC:
            raise FullDisk(_full(path)) from wrong
        raise ReadOnlyBook(f"{path} cannot be read or written: {wrong.strerror}") from wrong


def _worded(path: Path, wrong: sqlite3.Error) -> BookError:
    name = _name(wrong)
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return BusyBook(f"{path} is being written by another program; close it, or try again")
    if name.startswith("SQLITE_FULL"):
        return FullDisk(_full(path))
    if name.startswith(("SQLITE_READONLY", "SQLITE_PERM", "SQLITE_CANTOPEN", "SQLITE_AUTH")):
        return ReadOnlyBook(f"{path} cannot be written: look at the rights of file and folder")
    if name.startswith("SQLITE_CONSTRAINT"):
        return Conflict(f"{path} refused the record: {wrong}")
    if name.startswith("SQLITE_IOERR"):
        return ReadOnlyBook(f"{path} could not be read or written: the disk or the net failed")
    if isinstance(wrong, sqlite3.ProgrammingError):
        return BookError(f"{path} was closed; open it again")
    return DamagedBook(damaged(path))


def _name(wrong: sqlite3.Error) -> str:
    return getattr(wrong, "sqlite_errorname", None) or ""


def _full(path: Path) -> str:
    return f"no room is left on the disk of {path}; nothing of this was written"
