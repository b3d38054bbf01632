"""Every record of a book in the order of entry, and what became of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

from benchproof.book.errors import Conflict
from benchproof.book.model import Book
from benchproof.book.store import Record

SHORT = 8  # letters of an id that people type


@dataclass(frozen=True)
class Line:
    """A record, the name of what it is about, and which record corrected it or struck it out."""

    record: Record
    about: str
    corrected_by: str | None
    struck_by: str | None


def history(book: Book, about: str | None = None) -> list[Line]:
    """Tell every record, or those about one thing: an engine, a part, a piece, a duty.

    ``about`` is an id as :func:`named` finds it. A piece has the duties it plays a role in and
    their bench tests; a duty has its pieces.
    """
    known = book.index
    records, roots = book.store.records, known.roots
    chosen: Iterable[int] = range(len(records))
    if about is not None:
        chosen = known.about(_start(book, about))
    lines = []
    for place in chosen:
        record = records[place]
        root = roots[record.id]
        gone = known.struck.get(record.id) or (root != record.id and known.struck.get(root)) or None
        lines.append(Line(record, _name(book, record.subject), known.corrected_by(record.id), gone))
    return lines


def _start(book: Book, about: str) -> set[str]:
    state = book.state
    if about in state.bindings:
        return {about, *state.bindings[about].roles.values()}
    return {about, *(b.id for b in state.bindings.values() if about in b.roles.values())}


def _name(book: Book, key: str | None) -> str:
    if key is None:
        return ""
    state = book.state
    if key in state.bindings:
        return state.bindings[key].name
    return state.things[key].name if key in state.things else key[:SHORT]


def named(book: Book, name: str) -> str:
    """Id of what goes by a name of any kind, or by an id or its beginning; refuses in words."""
    state = book.state
    wanted = name.strip().casefold()
    known = {t.id: (t.kind, t.name) for t in state.things.values() if hasattr(t.spec, "name")}
    known |= {b.id: ("duty", b.name) for b in state.bindings.values()}
    found = [key for key, (_, called) in known.items() if called.casefold() == wanted]
    if not found:
        found = [root for root in set(book.index.roots.values()) if _begins(root, wanted)]
    if len(found) == 1:
        return found[0]
    if len(found) > 1:
        kinds = ", ".join(f"{known.get(k, ('record', ''))[0]} {k[:SHORT]}" for k in found)
        raise Conflict(f"{len(found)} things are called {name!r}; name one by its id: {kinds}")
    names = [called for _, called in known.values()]
    near = get_close_matches(name, names, n=1, cutoff=0.5)
    hint = f"; did you mean {near[0]!r}?" if near else ""
    raise Conflict(f"the book has nothing called {name!r}{hint}")


def record_of(book: Book, key: str) -> Record:
    """The record whose id is or begins with ``key``; refuses in words."""
    found = [r for r in book.store.records if _begins(r.id, key.strip().casefold())]
    if len(found) == 1:
        return found[0]
    if found:
        raise Conflict(f"{len(found)} records begin with {key!r}; type more of the id")
    raise Conflict(f"the book has no record {key!r}; benchproof history tells the id of each")


def _begins(key: str, typed: str) -> bool:
    return key == typed or (len(typed) >= 4 and key.startswith(typed))
