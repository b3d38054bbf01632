"""Find what an address names, and the address of what a record names."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import chain

from benchproof.bench_tests import load_bench_test
from benchproof.book.history import history
from benchproof.book.model import Book
from benchproof.book.state import Binding, State, Tested, Thing
from benchproof.book.store import Record
from benchproof.telling_books import record_line
from benchproof.web.asking import missing


def thing_at(book: Book, kind: str, key: str) -> Thing:
    """The thing of a kind with an id; a page that is not there otherwise."""
    found = book.state.things.get(key)
    if found is None or found.kind != kind:
        raise missing(kind)
    return found


def binding_at(book: Book, key: str) -> Binding:
    """The duty with an id; a page that is not there otherwise."""
    found = book.state.bindings.get(key)
    if found is None:
        raise missing("duty")
    return found


def record_at(book: Book, key: str) -> Record:
    """The record with an id; a page that is not there otherwise."""
    found = book.store.get(key)
    if found is None:
        raise missing("record")
    return found


def address_of(book: Book, key: str | None) -> str:
    """Where a thing or a duty is shown; the history where it has no page of its own."""
    state = book.state
    if key in state.bindings:
        return f"/duty/{key}"
    if test_called(book, key) is not None:
        return f"/test/{key}"
    thing = state.things.get(key or "")
    if thing is None:
        return "/"
    if thing.kind in {"engine", "part", "piece", "lot"}:
        return f"/{thing.kind}/{thing.id}"
    if thing.kind == "machine":
        return f"/lathe/{thing.id}"
    if thing.kind == "workshop":
        return "/settings"
    if thing.kind == "instrument":
        return "/lathe#instruments"
    if thing.subject is not None and thing.kind in {"note", "scrapped", "event", "past part"}:
        return address_of(book, thing.subject)
    return f"/history?about={thing.id}"


def called(book: Book, key: str | None) -> str:
    """What a thing or a duty is called."""
    state = book.state
    if key in state.bindings:
        return state.bindings[key].name
    test = test_called(book, key)
    if test is not None:
        return f"{load_bench_test(test.test).title} of {test.order[0]}"
    thing = state.things.get(key or "")
    return thing.name if thing is not None else ""


def test_called(book: Book, key: str | None) -> Tested | None:
    """The bench test with this id, if there is one."""
    return book.state._tests.get(key or "")


def owner_of(book: Book, thing: Thing | None) -> Thing | None:
    """What a thing belongs to; None where that was struck out, or where it belongs to nothing."""
    return None if thing is None else book.state.things.get(thing.subject or "")


def pieces_to_choose(book: Book, engine: str | None) -> list[dict[str, str]]:
    """Every piece of an engine, or of all, with the name of its part."""
    found = []
    for piece in book.state.of("piece"):
        part = owner_of(book, piece)
        if part is not None and engine in {None, part.subject}:
            found.append({"id": piece.id, "name": piece.name, "part": part.name})
    return found


def duties_of_piece(book: Book, piece: str) -> list[Binding]:
    """Duties in which a piece plays a role."""
    return [b for b in book.state.bindings.values() if piece in b.roles.values()]


class _Names(Mapping[str, str]):
    """What ids are called, looked up when they are asked for."""

    def __init__(self, state: State) -> None:
        self._state = state

    def __getitem__(self, key: str) -> str:
        if key in self._state.bindings:
            return self._state.bindings[key].name
        return self._state.things[key].name

    def __iter__(self) -> Iterator[str]:
        return chain(self._state.things, self._state.bindings)

    def __len__(self) -> int:
        return len(self._state.things) + len(self._state.bindings)


def told_history(book: Book, about: str | None = None, most: int = 400) -> list[dict[str, object]]:
    """Records in words, the newest first: what, when, who, and what became of it."""
    state = book.state
    names = _Names(state)
    rows: list[dict[str, object]] = []
    for line in reversed(history(book, about)[-most:]):
        record = line.record
        first = state.first_of(record.id)
        standing = state.standing_record(first) if first else None
        lives = standing is not None and record.id in {first, standing.id}
        rows.append(
            {
                "id": record.id,
                "kind": record.kind,
                "about": line.about,
                "at": record.at,
                "who": record.who,
                "words": record_line(record, names),
                "corrected": line.corrected_by is not None,
                "struck": line.struck_by is not None,
                "can_strike": lives and record.kind not in {"struck out", "workshop"},
                "can_correct": standing is not None
                and standing.id == record.id
                and record.kind in CORRECTED_HERE,
            }
        )
    return rows


CORRECTED_HERE = frozenset(
    {"engine", "part", "piece", "machine", "instrument", "note", "scrapped", "event", "past part"}
    | {"size", "duty", "bench test", "lot", "workshop"}
)
