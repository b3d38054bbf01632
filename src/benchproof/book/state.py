"""What a book says, replayed from its records: nothing here is stored.

A correction replaces what it corrects. A correction struck out is as if it had never been made:
what it corrected stands again. A first record struck out takes all its corrections with it. All
stay in the history. What is entered in another order says the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from benchproof.book.kinds import KINDS, spec_of
from benchproof.book.store import Record
from benchproof.reckon.lot_entries import LotPiece

Held = TypeVar("Held")


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
    machine: str | None
    when: str
    record: Record
    entered: int = 0

    @property
    def order(self) -> tuple[str, int]:
        """Day it was taken, then the order of entry; one without a date has the day of entry."""
        return (self.when or self.record.at[:10], self.entered)


@dataclass(frozen=True)
class Binding:
    """A duty on a set of pieces: which piece plays which role."""

    id: str
    duty: str
    engine: str
    name: str
    stated: dict[str, Any]
    roles: dict[str, str]
    machine: str | None
    record: Record


@dataclass(frozen=True)
class Tested:
    """One bench test of a binding: readings as stated, and everything it was reckoned with.

    ``beside`` are tests of other kinds done on the same pieces, to be taken together with it.
    """

    id: str
    binding: str
    test: str
    stated: dict[str, Any]
    resolved: dict[str, Any]
    when: str
    record: Record
    entered: int = 0
    beside: tuple[Tested, ...] = ()

    @property
    def order(self) -> tuple[str, int]:
        """Day it was done, then the order of entry; one without a date has the day of entry."""
        return (self.when or self.record.at[:10], self.entered)


@dataclass(frozen=True)
class LotReadingHeld:
    """One piece of a lot as it was read: as first cut, and again after another cut."""

    id: str
    lot: str
    number: int
    setting: int
    set_for: float
    value: float
    again: float | None
    u: float
    when: str
    record: Record

    @property
    def day(self) -> str:
        """Day it was read; one without a date has the day of entry."""
        return self.when or self.record.at[:10]

    @property
    def piece(self) -> LotPiece:
        """The piece as a lot is reckoned from it."""
        return LotPiece(self.number, self.setting, self.set_for, self.value, self.again)


@dataclass(frozen=True)
class _Sorted:
    """Readings of one lot as ``held``, by number, and the first of each setting."""

    held: dict[str, LotReadingHeld]
    by_number: dict[int, LotReadingHeld]
    first: tuple[LotReadingHeld, ...]

    @classmethod
    def of(cls, held: dict[str, LotReadingHeld]) -> _Sorted:
        by_number: dict[int, LotReadingHeld] = {}
        for each in held.values():
            other = by_number.get(each.number)
            # By time and id, so that the order of entry does not decide.
            if other is None or (other.record.at, other.id) < (each.record.at, each.id):
                by_number[each.number] = each
        first: dict[int, LotReadingHeld] = {}
        for each in by_number.values():
            if each.number < first.setdefault(each.setting, each).number:
                first[each.setting] = each
        return cls(held, by_number, tuple(first.values()))


class State:
    """Everything a book says now; once made it never changes.

    Each thing has the id of its first record, whatever corrections follow.
    """

    def __init__(self) -> None:
        self.things: dict[str, Thing] = {}
        self.bindings: dict[str, Binding] = {}
        self._sizes: dict[str, Size] = {}
        self._tests: dict[str, Tested] = {}
        self._attachments: dict[str, Record] = {}
        self._of_kind: dict[str, dict[str, Thing]] = {}
        self._of_piece: dict[str, dict[str, Size]] = {}
        self._in_lots: dict[str, LotReadingHeld] = {}
        self._of_lot: dict[str, dict[str, LotReadingHeld]] = {}
        self._of_numbers: dict[str, _Sorted] = {}
        # Worked out when first asked for, and begun anew by each state that follows: things by what
        # they belong to, and specs of duties as read.
        self._of_subject: dict[str, dict[str | None, list[Thing]]] = {}
        self.understood: dict[str, Any] = {}
        # First record of each record; of each first one the chain of it and its corrections.
        self._first: dict[str, str] = {}
        self._chains: dict[str, tuple[Record, ...]] = {}
        self._struck: set[str] = set()

    @property
    def sizes(self) -> list[Size]:
        """Every size, in the order of entry."""
        return list(self._sizes.values())

    @property
    def tests(self) -> list[Tested]:
        """Every bench test, in the order of entry."""
        return list(self._tests.values())

    @property
    def attachments(self) -> list[Record]:
        """Records of every file kept, in the order of entry."""
        return list(self._attachments.values())

    def of(self, kind: str, subject: str | None = None) -> list[Thing]:
        """Things of a kind, of one subject if given, in the order of entry."""
        things = self._of_kind.get(kind, {}).values()
        if subject is None:
            return list(things)
        if kind not in self._of_subject:
            sorted_out: dict[str | None, list[Thing]] = {}
            for thing in things:
                sorted_out.setdefault(thing.subject, []).append(thing)
            self._of_subject[kind] = sorted_out
        return list(self._of_subject[kind].get(subject, ()))

    def sizes_of(self, piece: str, feature: str | None = None) -> list[Size]:
        """Sizes taken of a piece, the earliest work first."""
        sizes = self._of_piece.get(piece, {}).values()
        found = [size for size in sizes if feature is None or size.feature == feature]
        return sorted(found, key=lambda size: size.order)

    def lot_readings(self, lot: str) -> Mapping[int, LotReadingHeld]:
        """Readings of a lot by number of the piece; of two first entries the later one stands."""
        return self._sorted(lot).by_number

    def first_of_settings(self, lot: str) -> Sequence[LotReadingHeld]:
        """The first piece read of each setting of a lot."""
        return self._sorted(lot).first

    def _sorted(self, lot: str) -> _Sorted:
        held = self._of_lot.get(lot, {})
        kept = self._of_numbers.get(lot)
        if kept is None or kept.held is not held:  # a table that changes is made anew
            kept = self._of_numbers[lot] = _Sorted.of(held)
        return kept

    def lost(self, piece: str) -> list[tuple[str, int]]:
        """When a piece was scrapped, as :attr:`Size.order` counts; a new one goes by its name."""
        return sorted(
            (thing.spec.when or thing.record.at[:10], thing.record.seq)
            for thing in self.of("scrapped", piece)
        )

    def tests_of(self, binding: str) -> list[Tested]:
        """Bench tests of a binding, the earliest first."""
        found = [test for test in self._tests.values() if test.binding == binding]
        return sorted(found, key=lambda test: test.order)

    def first_of(self, key: str) -> str | None:
        """Id of the first record of what a record enters or corrects; None for any other."""
        return self._first.get(key)

    def standing_record(self, first: str) -> Record | None:
        """The record that says now what a first record began; None when that is struck out."""
        if first in self._struck:
            return None
        chain = self._chains.get(first, ())
        return next((r for r in reversed(chain) if r.id not in self._struck), None)

    def is_struck(self, key: str) -> bool:
        """Whether a record is struck out, itself or with the thing it belongs to."""
        return key in self._struck or self._first.get(key, "") in self._struck

    def followed_by(self, records: Iterable[Record]) -> State:
        """What a book says with more records at its end; this state stays as it is."""
        after = State()
        for name, held in vars(self).items():
            setattr(after, name, held.copy())
        after._of_subject, after.understood = {}, {}
        touched: dict[str, None] = {}
        for record in records:
            if record.kind == "struck out":
                struck = record.supersedes or ""
                after._struck.add(struck)
                first = after._first.get(struck, struck)
            else:
                before = record.supersedes
                first = record.id if before is None else after._first.get(before, before)
                after._first[record.id] = first
                after._chains[first] = (*after._chains.get(first, ()), record)
            touched[first] = None
        own: set[int] = set()
        for first in touched:
            after._settle(first, own)
        return after

    def _settle(self, first: str, own: set[int]) -> None:
        """Put in place what a chain of records says now; ``own`` are the tables not shared."""
        size, thing = self._sizes.get(first), self.things.get(first)
        read = self._in_lots.get(first)
        record = self.standing_record(first)
        if size is not None and (record is None or record.subject != size.piece):
            del _mine(self._of_piece, size.piece, own)[first]
        if read is not None and (record is None or record.subject != read.lot):
            del _mine(self._of_lot, read.lot, own)[first]
        if record is None:
            if thing is not None:
                del _mine(self._of_kind, thing.kind, own)[first]
            for table in (
                self.things,
                self.bindings,
                self._sizes,
                self._tests,
                self._attachments,
                self._in_lots,
            ):
                table.pop(first, None)
            return
        entered = self._chains[first][0].seq
        if record.kind in KINDS:
            thing = _thing(first, record)
            self.things[first] = _mine(self._of_kind, record.kind, own)[first] = thing
        elif record.kind == "size":
            size = _size(first, record, entered)
            self._sizes[first] = _mine(self._of_piece, size.piece, own)[first] = size
        elif record.kind == "lot reading":
            read = _lot_reading(first, record)
            self._in_lots[first] = _mine(self._of_lot, read.lot, own)[first] = read
        elif record.kind == "duty":
            self.bindings[first] = _binding(first, record)
        elif record.kind == "bench test":
            self._tests[first] = _tested(first, record, entered)
        elif record.kind == "attachment":
            self._attachments[first] = record


def _mine(tables: dict[str, dict[str, Held]], name: str, own: set[int]) -> dict[str, Held]:
    """A table within a table that no other state shares."""
    found = tables.get(name)
    if found is None or id(found) not in own:
        found = tables[name] = dict(found or {})
        own.add(id(found))
    return found


def replay(records: Iterable[Record]) -> State:
    """Replay records into what they say now."""
    return State().followed_by(records)


def _thing(first: str, record: Record) -> Thing:
    spec = spec_of(record.kind, record.body)
    return Thing(first, record.kind, record.subject, spec, record)


def _size(first: str, record: Record, entered: int) -> Size:
    body = record.body
    return Size(
        first,
        str(record.subject),
        body["feature"],
        body["value"],
        body["u"],
        body["aim"],
        body["cut"],
        body["process"],
        body["scale"],
        body.get("machine"),
        body["when"],
        record,
        entered,
    )


def _lot_reading(first: str, record: Record) -> LotReadingHeld:
    body = record.body
    return LotReadingHeld(
        first,
        str(record.subject),
        body["number"],
        body["setting"],
        body["set_for"],
        body["value"],
        body["again"],
        body["u"],
        body["when"],
        record,
    )


def _binding(first: str, record: Record) -> Binding:
    body = record.body
    return Binding(
        first,
        body["duty"],
        str(record.subject),
        body["name"],
        body["stated"],
        body["roles"],
        body.get("route", {}).get("machine"),
        record,
    )


def _tested(first: str, record: Record, entered: int) -> Tested:
    body = record.body
    return Tested(
        first,
        str(record.subject),
        body["test"],
        body["stated"],
        body["resolved"],
        body["when"],
        record,
        entered,
    )
