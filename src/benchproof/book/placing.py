"""New files and folders that are there whole or not at all, and never in the place of another."""

from __future__ import annotations

import os
import shutil
import sys
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from benchproof.book.errors import Conflict


@contextmanager
def placed(path: Path) -> Iterator[Path]:
    """Hand out a path beside ``path`` to write to; what was written is put in place at the end.

    Raises :class:`Conflict` when the place is taken. After any failure nothing is left.
    """
    refuse_taken(path)
    part = path.with_name(f".{uuid.uuid4().hex}.part")
    try:
        yield part
        if part.is_file():
            synchronize(part)
        _move(part, path)
        synchronize(path.parent)
    finally:
        if part.is_dir():
            shutil.rmtree(part, ignore_errors=True)
        for left in (part, journal_of(part)):
            with suppress(OSError):
                left.unlink()


def journal_of(path: Path) -> Path:
    """Where SQLite keeps what a transaction of a book overwrites, until it is through."""
    return path.with_name(path.name + "-journal")


def refuse_taken(path: Path) -> None:
    """Raise :class:`Conflict` when something is at a path, or lies there for a book of that name.

    A journal that an old book of the same name left would spoil the new one when it is opened.
    """
    for taken in (path, journal_of(path)):
        if os.path.lexists(taken):
            raise Conflict(f"{taken} is there already; choose another name, or move it away")


def synchronize(path: Path) -> None:
    """Wait until a file or the names in a folder are on the disk."""
    if path.is_dir() and sys.platform == "win32":  # Windows opens no folders
        return
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _move(part: Path, path: Path) -> None:
    refuse_taken(path)
    if part.is_file():
        with suppress(OSError):  # a second name never replaces a file, but some disks know none
            path.hardlink_to(part)
            return
        refuse_taken(path)
    part.rename(path)
