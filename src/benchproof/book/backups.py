"""Backups: dated copies of a book in a folder beside it, each checked before it counts."""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from benchproof.book.errors import BookError, DamagedBook
from benchproof.book.opening import in_words, version_of
from benchproof.book.placing import placed
from benchproof.book.store import Store


def folder_of(book: Path) -> Path:
    """Where the backups of a book are kept unless another folder is named."""
    return book.with_name(f"{book.stem} backups")


def back_up(
    store: Store, folder: Path | None = None, *, keep: int = 10, at: datetime | None = None
) -> Path:
    """Make a dated copy of a book, check it, and hand back its path.

    The newest ``keep`` copies stay, and the newest of each month. Nothing is deleted but books
    in that folder named as backups of this one, and only once the new copy was found sound.
    """
    place = folder or folder_of(store.path)
    moment = f"{at or datetime.now():%Y-%m-%d %H%M}"
    with in_words(place):
        place.mkdir(parents=True, exist_ok=True)
        target, number = place / f"{store.path.stem} {moment}.book", 1
        while target.exists():
            number += 1
            target = place / f"{store.path.stem} {moment} {number}.book"
        with placed(target) as part:
            store.copy_to(part)
            check(part)
        _thin(store.path, place, keep=keep, new=target)
    return target


def backups(path: Path, folder: Path | None = None) -> list[Path]:
    """Backups of a book, the newest first, by the dates in their names."""
    place = folder or folder_of(path)
    found = {each: key for each in place.glob("*.book") if (key := _dated(path, each))}
    return sorted(found, key=lambda each: found[each], reverse=True)


def check(path: Path) -> None:
    """Read all of a book, and every file kept in it; :class:`BookError` when it is not sound."""
    with Store.open(path, read_only=True) as copy:
        copy.check_contents()


def restore(backup: Path, to: Path) -> Path:
    """Make a book of a backup; never in the place of another, and only of a sound one."""
    with in_words(to), placed(to) as part:
        with Store.open(backup, read_only=True) as copy:
            copy.check_contents()
            head = copy.head
            copy.copy_to(part)
        with Store.open(part, read_only=True) as restored:
            if restored.head != head:
                raise DamagedBook(f"what was restored to {to} is not what {backup} holds")
            restored.check_contents()
    return to


def _dated(book: Path, found: Path) -> tuple[datetime, int] | None:
    named = re.fullmatch(
        re.escape(book.stem) + r" (\d{4}-\d\d-\d\d \d{4})(?: ([1-9]\d*))?\.book", found.name
    )
    if named is None or found.is_symlink() or not found.is_file():
        return None
    try:
        return datetime.strptime(named[1], "%Y-%m-%d %H%M"), int(named[2] or 1)
    except ValueError:
        return None


def _thin(book: Path, place: Path, *, keep: int, new: Path) -> None:
    kept = {new}
    months: set[str] = set()
    for number, each in enumerate(backups(book, place)):
        month = each.name[len(book.stem) + 1 :][:7]
        if number < keep or month not in months:
            kept.add(each)
        months.add(month)
    for each in backups(book, place):
        if each not in kept:
            with suppress(BookError, OSError):  # what is no book stays where it is
                version_of(each)
                each.unlink()
