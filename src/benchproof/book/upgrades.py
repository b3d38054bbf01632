"""Upgrades: how a book of an earlier version becomes one of today's, with nothing lost.

A function stands under the version it starts from and leads to the next. All that are missing
run in one transaction, with a record for each and the whole check of the book at its end: the
book is afterwards of today's version, or as it was.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from datetime import datetime
from pathlib import Path
from types import MappingProxyType
from typing import Final

from benchproof.book import backups
from benchproof.book import store as stores
from benchproof.book.backups import folder_of
from benchproof.book.errors import NewerBook, OlderBook
from benchproof.book.opening import (
    connect,
    in_words,
    is_half_written,
    refuse_unsound,
    undo_half_written,
    version_of,
)
from benchproof.book.placing import placed
from benchproof.book.store import Entry, Store

Upgrade = Callable[[sqlite3.Connection], None]

UPGRADES: Final[Mapping[int, Upgrade]] = MappingProxyType({})  # version 1 is the first


def upgrade(
    path: Path, *, upgrades: Mapping[int, Upgrade] = UPGRADES, copy_first: bool = True
) -> Path | None:
    """Bring a book to today's version; hand back the backup made first, None if none was made.

    Raises :class:`NewerBook` for a later version, :class:`OlderBook` when no upgrade leads on.
    """
    version_of(path)
    with in_words(path):
        if is_half_written(path):
            undo_half_written(path)
        begun = version_of(path)
        if begun > stores.VERSION:
            raise NewerBook(f"{path} was written by a later version of this program; install it")
        if begun == stores.VERSION:
            return None
        missing = range(begun, stores.VERSION)
        if not all(version in upgrades for version in missing):
            raise OlderBook(f"{path} is of book version {begun}, from which nothing leads on")
        with closing(connect(path, "ro")) as reading:
            refuse_unsound(path, reading)
        with closing(connect(path, "rw")) as connection:
            connection.execute("BEGIN EXCLUSIVE")
            try:
                if connection.execute("PRAGMA user_version").fetchone() != (begun,):
                    raise OlderBook(f"{path} is being upgraded by another program; try again")
                backup = _copy(path) if copy_first else None
                for version in missing:
                    upgrades[version](connection)
                    connection.execute(f"PRAGMA user_version = {version + 1}")
                Store(path, connection).record_upgrades(
                    [Entry("upgraded", {"from": version, "to": version + 1}) for version in missing]
                )
                connection.execute("COMMIT")
            except BaseException:
                if connection.in_transaction:
                    connection.execute("ROLLBACK")
                raise
    Store.open(path, read_only=True).close()
    return backup


def restore(backup: Path, to: Path, *, upgrades: Mapping[int, Upgrade] = UPGRADES) -> Path:
    """Make a book of today's version of a backup, which stays as it is and may be an older one."""
    if version_of(backup) >= stores.VERSION:
        return backups.restore(backup, to)
    with in_words(to), placed(to) as part:
        shutil.copyfile(backup, part)
        upgrade(part, upgrades=upgrades, copy_first=False)
        backups.check(part)
    return to


def _copy(path: Path) -> Path:
    """A copy of the book as it was; nothing can have changed it since its lock was taken."""
    folder = folder_of(path)
    folder.mkdir(exist_ok=True)
    moment, number = f"{path.stem} {datetime.now():%Y-%m-%d %H%M}", 1
    target = folder / f"{moment}.book"
    while target.exists():
        number += 1
        target = folder / f"{moment} {number}.book"
    with (
        placed(target) as part,
        closing(connect(path, "ro&immutable=1")) as source,
        closing(connect(part, "rwc")) as copy,
    ):
        source.backup(copy)
        refuse_unsound(part, copy)
    return target
