"""Two people at one thing: who comes second is shown both, and nothing is overwritten unseen."""

from __future__ import annotations

from collections.abc import Mapping

from benchproof.book.errors import Conflict
from benchproof.book.model import Book
from benchproof.book.store import Record


class Stale(Exception):
    """The record a form was drawn from has been corrected since; ``now`` is what stands."""

    def __init__(self, now: Record) -> None:
        super().__init__("changed by somebody else meanwhile")
        self.now = now


def check_fresh(book: Book, first: str, drawn_from: str, key: str) -> Record:
    """The record that stands now, if it is the one a form was drawn from.

    What was sent before under the same ``key`` is let through: it is in the book already. Raises
    ``Stale``, or ``Conflict`` where the thing was struck out meanwhile.
    """
    now = book.state.standing_record(first)
    if now is None:
        raise Conflict("it was struck out meanwhile, by you or somebody else; enter it anew")
    if now.id != drawn_from and book.store.get(key) is None:
        raise Stale(now)
    return now


def differences(
    theirs: Mapping[str, str], mine: Mapping[str, str], labels: Mapping[str, str]
) -> list[tuple[str, str, str]]:
    """What differs: the field in words, what stands in the book, what was typed here."""
    return [
        (labels.get(name, name.replace("_", " ")), theirs.get(name, ""), mine.get(name, ""))
        for name in dict.fromkeys([*labels, *theirs, *mine])
        if theirs.get(name, "").strip() != mine.get(name, "").strip()
    ]
