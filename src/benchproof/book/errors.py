"""What can go wrong with a book, in words: what happened, that nothing was lost, what to try."""

from __future__ import annotations


class BookError(Exception):
    """A book that cannot be opened, read or written; the text says what to try."""


class NoBook(BookError):
    """There is no file, or it is none that can be read at all."""


class ForeignFile(BookError):
    """The file is no book."""


class NewerBook(BookError):
    """A later program wrote the book; it is left untouched."""


class OlderBook(BookError):
    """An earlier program wrote the book; it must be upgraded first."""


class DamagedBook(BookError):
    """The file is damaged or cut short; it is left untouched."""


class BusyBook(BookError):
    """Another program is writing and did not let go in time."""


class ReadOnlyBook(BookError):
    """The file or its folder cannot be written."""


class FullDisk(BookError):
    """There is no room left; what was being written is not in the book."""


class Conflict(BookError):
    """What was to be written does not go with what the book holds."""
