"""A book held still: what it said at one moment, to be read by many while others write."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NoReturn

from benchproof.book.model import Book
from benchproof.book.records import Entry
from benchproof.book.store import Store


class StillStore(Store):
    """The records of a store as they stood; it has no file and takes no more."""

    def __init__(self, store: Store) -> None:
        self.path = store.path
        self.records = list(store.records)
        self._by_id = {record.id: record for record in self.records}
        self._of = store

    def content(self, sha256: str) -> bytes:
        """A file kept in the book, which never changes; read from where it lies."""
        return self._of.content(sha256)

    def refresh(self) -> None:
        """Nothing to do: what is held still does not change."""

    def close(self) -> None:
        """Nothing to close: there is no file."""

    def add(self, entries: Iterable[Entry], contents: Iterable[bytes] = ()) -> NoReturn:
        """Refuse: whoever wants to write asks the desk for the book itself."""
        raise TypeError("a book held still takes no entries")


def held_still(book: Book) -> Book:
    """A book that says for ever what this one says now; reading it needs no lock."""
    state, index = book.state, book.index
    still = Book(StillStore(book.store), book.who)
    # Handed over, so that a book of very many records is not replayed from its beginning.
    still._state = (len(still.store.records), state)
    still._lathes = book._lathes
    still._index = index
    return still
