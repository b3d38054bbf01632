"""What a book says, replayed from its records: nothing here is stored.

A correction replaces what it supersedes; a record struck out is left out; both stay in the
history. What is entered in another order says the same.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from benchproof.book.records import KINDS, spec_of
from benchproof.book.store import Record


@dataclass(frozen=True)
class Thing:
    """One entity of the book: its id, what it belongs to, and its latest reading."""

    id: str
    kind: str
    subject: str | None
    spec: Any
    record: Record

    @property
    def name(self) -> str:
        """What people call it."""
        return str(getattr(self.spec, "name", "") or self.kind)


@dataclass(frozen=True)
class Size:
    """One size taken of a feature of a piece."""

    id: str
    piece: str
    feature: str
    value: float
    u: float
    aim: float | None
    cut: str
    process: str | None
    scale: float
    when: str
    record: Record


@dataclass(frozen=True)
class Binding:
    """A duty on a set of pieces: which piece plays which role."""

    id: str
    duty: str
    engine: str
    name: str
    stated: dict[str, Any]
    roles: dict[str, str]
    record: Record


@dataclass(frozen=True)
class Tested:
    """One bench test of a binding: readings as stated, and everything it was reckoned with."""

    id: str
    binding: str
    test: str
    stated: dict[str, Any]
    resolved: dict[str, Any]
    when: str
    record: Record


@dataclass
class State:
    """Everything a book says now."""

    things: dict[str, Thing] = field(default_factory=dict)
    sizes: list[Size] = field(default_factory=list)
    bindings: dict[str, Binding] = field(default_factory=dict)
    tests: list[Tested] = field(default_factory=list)
    attachments: list[Record] = field(default_factory=list)

    def of(self, kind: str, subject: str | None = None) -> list[Thing]:
        """Things of a kind, of one subject if given, in the order of entry."""
        return [
            thing
            for thing in self.things.values()
            if thing.kind == kind and (subject is None or thing.subject == subject)
        ]

    def sizes_of(self, piece: str, feature: str | None = None) -> list[Size]:
        """Sizes taken of a piece, the earliest work first."""
        found = [
            s for s in self.sizes if s.piece == piece and (feature is None or s.feature == feature)
        ]
        return sorted(found, key=lambda size: (size.when, size.record.at, size.id))

    def tests_of(self, binding: str) -> list[Tested]:
        """Bench tests of a binding, the earliest first."""
        found = [test for test in self.tests if test.binding == binding]
        return sorted(found, key=lambda test: (test.when, test.record.at, test.id))


def replay(records: Iterable[Record]) -> State:
    """Replay records into what they say now."""
    ordered = list(records)
    struck = {r.supersedes for r in ordered if r.kind == "struck out"}
    root: dict[str, str] = {}
    latest: dict[str, Record] = {}
    for record in ordered:
        if record.kind == "struck out":
            continue
        first = record.id
        if record.supersedes is not None:
            first = root.get(record.supersedes, record.supersedes)
        root[record.id] = first
        if record.id not in struck:
            latest[first] = record
        elif latest.get(first) is not None and latest[first].id == record.id:
            del latest[first]
    state = State()
    for first, record in latest.items():
        _place(state, first, record)
    return state


def _place(state: State, first: str, record: Record) -> None:
    body = record.body
    if record.kind in KINDS:
        spec = spec_of(record.kind, body)
        state.things[first] = Thing(first, record.kind, record.subject, spec, record)
    elif record.kind == "size":
        state.sizes.append(
            Size(
                first,
                str(record.subject),
                body["feature"],
                body["value"],
                body["u"],
                body["aim"],
                body["cut"],
                body["process"],
                body["scale"],
                body["when"],
                record,
            )
        )
    elif record.kind == "duty":
        state.bindings[first] = Binding(
            first,
            body["duty"],
            str(record.subject),
            body["name"],
            body["stated"],
            body["roles"],
            record,
        )
    elif record.kind == "bench test":
        state.tests.append(
            Tested(
                first,
                str(record.subject),
                body["test"],
                body["stated"],
                body["resolved"],
                body["when"],
                record,
            )
        )
    elif record.kind == "attachment":
        state.attachments.append(record)
