"""The desk: the one book that is open, a lock before it, and who wrote what last.

Pages read a book held still (:mod:`benchproof.web.snapshot`) and so never wait for each other;
only writing takes the lock. What other programs have added is read on before every page.
"""

from __future__ import annotations

import threading
from collections import defaultdict, deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

from benchproof.book.demo import make_demo
from benchproof.book.errors import BookError, NoBook
from benchproof.book.model import Book
from benchproof.quantities import System
from benchproof.web.printing import Printing
from benchproof.web.reckoning import Reckoning
from benchproof.web.snapshot import held_still

Made = TypeVar("Made")
MOST_UNDONE = 20  # entries of one browser that can be undone
MOST_BROWSERS = 200


class Desk:
    """One open book, or none yet; the reckoning beside it; the last entries of each browser."""

    def __init__(self, path: Path, *, who: str = "") -> None:
        self.path = path
        self.who = who
        self.reckoning = Reckoning()
        self.printing = Printing()
        self._lock = threading.RLock()
        self._book: Book | None = None
        self._still: tuple[bytes, Book] | None = None
        self._entered: dict[str, deque[tuple[str, ...]]] = defaultdict(
            lambda: deque(maxlen=MOST_UNDONE)
        )
        if path.exists():
            self._book = Book.open(path, who=who)

    def close(self) -> None:
        """Let go of the book and stop reckoning."""
        self.reckoning.close()
        self.printing.close()
        with self._lock:
            if self._book is not None:
                self._book.close()

    @property
    def has_book(self) -> bool:
        """Whether there is a book to show."""
        return self._book is not None

    def begin(self, workshop: str | None, *, units: System = "metric") -> None:
        """Make the book that is missing: for a workshop of this name, or the demo one."""
        with self._lock:
            if self._book is not None:
                return
            if workshop is None:
                made = make_demo(self.path)
                made.close()
                self._book = Book.open(self.path, who=self.who)
            else:
                stated = {"name": workshop, "units": units}
                self._book = Book.create(self.path, stated, who=self.who)

    def read(self) -> Book:
        """The book as it stands, held still; refuses in words where there is none."""
        with self._lock:
            if self._book is None:
                raise NoBook("there is no book yet; begin one on the first page")
            self._book.store.refresh()
            head = self._book.store.head
            if self._still is None or self._still[0] != head:
                self._still = (head, held_still(self._book))
            return self._still[1]

    @property
    def units(self) -> System:
        """Measuring system that the workshop wants to be answered in; metric without a book."""
        try:
            workshops = self.read().state.of("workshop")
        except BookError:
            return "metric"
        return "inch" if workshops and workshops[0].spec.units == "inch" else "metric"

    @contextmanager
    def writing(self, who: str) -> Iterator[Book]:
        """The book itself, for one writer at a time."""
        with self._lock:
            if self._book is None:
                raise NoBook("there is no book yet; begin one on the first page")
            self._book.store.refresh()
            self._book.who = who
            yield self._book

    def content(self, sha256: str) -> bytes:
        """A file kept in the book."""
        with self._lock:
            if self._book is None:
                raise NoBook("there is no book yet")
            return self._book.store.content(sha256)

    def write(self, who: str, browser: str, deed: Callable[[Book], tuple[str, ...]]) -> None:
        """Do a deed that gives the ids of what it entered, so that this browser can undo it."""
        with self.writing(who) as book:
            entered = deed(book)
        if entered and browser:
            known = self._entered[browser]
            if not known or known[-1] != entered:
                known.append(entered)
            while len(self._entered) > MOST_BROWSERS:
                self._entered.pop(next(iter(self._entered)))

    def last_entered(self, browser: str) -> tuple[str, ...]:
        """Ids of what this browser entered last and has not undone."""
        known = self._entered.get(browser)
        return known[-1] if known else ()

    def forget_last(self, browser: str) -> None:
        """What was entered last is undone."""
        known = self._entered.get(browser)
        if known:
            known.pop()
