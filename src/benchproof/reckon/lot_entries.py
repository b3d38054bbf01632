"""Readings of a lot as they are entered: which piece, of which setting, cut at which stop.

A column is entered whole or in instalments. Settings are counted from 1 over the lot. What a
column does not say follows from what is held already: a piece belongs to the setting of the one
before it unless a re-set is marked, and its stop stood where it stood for the setting's others.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from benchproof.reckon.lot_evidence import LotReading

Settings = Literal["stated", "marked", "not said"]

SAME = 1e-12
"""Sizes [m] that differ by less are one size."""


@dataclass(frozen=True)
class LotEntry:
    """One row of a column of readings; sizes in metres.

    ``setting`` is the number stated beside it, or else counts the re-sets marked above it in the
    column. ``stop`` is the size the stop is said to stand for since the last re-set and
    ``moved`` by how much it was moved after that; ``again`` the reading after another cut.
    """

    id: str
    number: int
    value: float
    setting: int = 0
    stop: float | None = None
    moved: float = 0.0
    again: float | None = None
    text: str = ""


@dataclass(frozen=True)
class LotSheet:
    """A column of readings, by number of the piece; ``settings`` says whence they are known.

    ``afresh`` tells that a re-set is marked in front of the first one.
    """

    entries: tuple[LotEntry, ...]
    settings: Settings = "not said"
    afresh: bool = False


@dataclass(frozen=True)
class LotPiece:
    """A piece of a lot as it is held: its number, setting, the size of its stop, its readings."""

    number: int
    setting: int
    set_for: float
    value: float
    again: float | None = None

    @property
    def last(self) -> float:
        """Its last reading [m]."""
        return self.value if self.again is None else self.again


def placed(
    sheet: LotSheet, held: Mapping[int, LotPiece], *, stop: float, interval: int | None = None
) -> list[LotPiece]:
    """The pieces of a sheet as they are to be held, beside what is ``held`` by number.

    ``stop`` [m] is where it stands at a re-set for which no size is stated. Where no re-set is
    marked, a piece that is held stays in its setting, and a new one follows the piece before it,
    to the next setting after ``interval`` pieces if that is stated.
    """
    entries = sorted(sheet.entries, key=lambda each: each.number)
    known = dict(held)
    base = _base(sheet, entries, held)
    found = []
    before: LotPiece | None = None
    numbers = sorted(held)
    begun: dict[int, int] = {}  # first piece of each setting
    for each in sorted(held.values(), key=lambda piece: piece.number):
        begun.setdefault(each.setting, each.number)
    place, moved = 0, 0.0
    for entry in entries:
        # The piece before it, whether held or of this sheet.
        while place < len(numbers) and numbers[place] < entry.number:
            if before is None or numbers[place] > before.number:
                before = known[numbers[place]]
            place += 1
        was = held.get(entry.number)
        if sheet.settings == "stated":
            setting = entry.setting
        elif sheet.settings == "marked":
            setting = base + entry.setting
        elif was is not None:
            setting = was.setting
        else:
            setting = _follows(before, begun, entry.number, interval)
        begun[setting] = min(begun.get(setting, entry.number), entry.number)
        beside = before if before is not None and before.setting == setting else None
        again = entry.again if entry.again is not None or was is None else was.again
        piece = LotPiece(
            entry.number,
            setting,
            _stop(entry, was, beside, stop, entry.moved - (0.0 if beside is None else moved)),
            entry.value,
            again,
        )
        known[piece.number] = before = piece
        moved = entry.moved
        found.append(piece)
    return found


def lot_readings(pieces: Iterable[LotPiece]) -> list[LotReading]:
    """Readings in the order of their numbers; the place in a setting is counted by number.

    A piece that was not read took its turn all the same, and wore the tool.
    """
    ordered = sorted(pieces, key=lambda piece: piece.number)
    first: dict[int, int] = {}
    for piece in ordered:
        first.setdefault(piece.setting, piece.number)
    return [
        LotReading(
            size=piece.value,
            set_for=piece.set_for,
            setting=piece.setting,
            place=piece.number - first[piece.setting],
            recut=piece.again,
        )
        for piece in ordered
    ]


def same(one: LotPiece, other: LotPiece) -> bool:
    """Whether two say the same of a piece."""
    sizes = [(one.value, other.value), (one.set_for, other.set_for)]
    if one.again is not None and other.again is not None:
        sizes.append((one.again, other.again))
    return (
        (one.number, one.setting) == (other.number, other.setting)
        and (one.again is None) == (other.again is None)
        and all(abs(first - second) < SAME for first, second in sizes)
    )


def _base(sheet: LotSheet, entries: Sequence[LotEntry], held: Mapping[int, LotPiece]) -> int:
    """Setting of a sheet's first piece, where re-sets are marked: that of the piece before it."""
    before = [number for number in held if number < entries[0].number]
    if not before:
        return 1
    return held[max(before)].setting + sheet.afresh


def _follows(
    before: LotPiece | None, begun: Mapping[int, int], number: int, interval: int | None
) -> int:
    if before is None:
        return 1
    due = interval is not None and number - begun[before.setting] >= interval
    return before.setting + due


def _stop(
    entry: LotEntry, was: LotPiece | None, beside: LotPiece | None, stop: float, more: float
) -> float:
    """Where the stop stood for a piece: stated, moved, held, as for the one before, or as planned.

    ``beside`` is the piece before it in its setting; since then the stop was moved ``more`` [m].
    """
    if entry.stop is not None:
        return entry.stop + entry.moved
    if was is not None and not entry.moved and (beside is None or was.setting == beside.setting):
        return was.set_for
    return (stop if beside is None else beside.set_for) + more
