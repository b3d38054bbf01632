"""A column of readings as people keep it: pasted, from a spreadsheet, or off a slip of paper.

One reading a line, or a table with a column of them. Any unit, decimal comma or point, with or
without a header, blank lines and remarks in between, and numbering such as ``17: 5.02``. Every
problem is told at once and nothing is guessed: a misread size scraps a part.

Each row has a stable identifier, so that a column pasted twice, or pasted again with more
readings at its end, is taken once.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from benchproof.quantities import DURATION, LENGTH, Kind, QuantityError, parse, show

Decimal = Literal["comma", "point"]

MOST_LINES: Final = 5000
_PIECE: Final = r"\s*(?:(?:no|nr|piece)\b\.?\s*|#\s*)?"
_NUMBERED: Final = re.compile(
    _PIECE + r"(?P<number>[0-9]{1,5})\s*[:)](?P<rest>\s*\S.*)", re.IGNORECASE
)
_A_NUMBER: Final = re.compile(_PIECE + r"[+-]? ?[.,]?[0-9½¼¾⅛].*", re.IGNORECASE)
_REMARK: Final = re.compile(r"\s*(?:#(?!\s*[0-9])|//|;).*")
_IN_HEADER: Final = re.compile(
    r"[\[(]\s*(?P<unit>[^\])]{1,12}?)\s*[\])]|,\s*(?P<after>\S{1,6})\s*$"
)
_AS_THOUSANDS: Final = re.compile(r"(?<![0-9.,])[1-9][0-9]{0,2},[0-9]{3}(?![0-9.,])")
_COMMA: Final = re.compile(r"[0-9],[0-9]")
_NUMBER_NAMES: Final = frozenset({"no", "no.", "nr", "nr.", "#", "number", "piece", "piece no"})
_TWICE: Final = 2.0
_USUAL_UNITS: Final = ("mm", "in", "thou", "µm")


@dataclass(frozen=True)
class ColumnReading:
    """One reading.

    ``id`` is stable: it follows from the sheet's name, the ``number`` of the piece and the value.
    ``number`` is the one written beside the reading, or its count in the column; ``numbered``
    says which. ``value`` is in SI, ``text`` what was written and ``line`` where, from 1.
    """

    id: str
    number: int
    numbered: bool
    value: float
    text: str
    line: int


@dataclass(frozen=True)
class ColumnProblem:
    """A line that cannot be read, counted from 1 (0 for the column as a whole), and why."""

    line: int
    text: str
    message: str


class ColumnError(ValueError):
    """A column that cannot be taken, with every problem in it."""

    def __init__(self, problems: Sequence[ColumnProblem]) -> None:
        self.problems = tuple(problems)
        super().__init__(
            "\n".join(
                f"line {each.line}: {each.message}" if each.line else each.message
                for each in self.problems
            )
        )


def read_column(
    text: str,
    *,
    kind: Kind = LENGTH,
    default_unit: str = "mm",
    column: str | None = None,
    decimal: Decimal | None = None,
    near: float | None = None,
    sheet: str = "",
    first_number: int = 1,
) -> list[ColumnReading]:
    r"""Read a column of readings.

    A bare number is in the unit of its header, such as ``diameter [mm]``, or else in
    ``default_unit``. ``column`` names the column to take from a table of several. ``decimal``
    settles whether ``29,986`` has a decimal comma where no other line does. ``near`` [SI] is the
    size to expect: a reading of less than half or more than twice of it is refused as a slip of
    unit. ``sheet`` tells sheets of equal readings apart; ``first_number`` is the piece that a
    column without numbers begins with. Raises ``ColumnError`` with every problem.

    >>> [reading.value for reading in read_column("17: 5,02\n18: 4.99 mm")]
    [0.00502, 0.00499]
    """
    lines = text.lstrip("\N{ZERO WIDTH NO-BREAK SPACE}").splitlines()
    if len(lines) > MOST_LINES:
        raise ColumnError([ColumnProblem(0, "", f"has more than {MOST_LINES} lines")])
    rows = [
        (place, line)
        for place, line in enumerate(lines, start=1)
        if line.strip() and not _REMARK.fullmatch(line)
    ]
    cells, unit = _chosen(rows, kind, default_unit, column)
    cells = _commas_settled(cells, decimal)
    readings: list[ColumnReading] = []
    problems: list[ColumnProblem] = []
    for cell in cells:
        try:
            value = parse(cell.text, kind, default_unit=unit)
        except QuantityError as error:
            problems.append(ColumnProblem(cell.line, cell.written, str(error)))
            continue
        if near is not None and not abs(near) / _TWICE <= abs(value) <= abs(near) * _TWICE:
            message = _far_off(cell, value, near, kind, unit)
            problems.append(ColumnProblem(cell.line, cell.written, message))
            continue
        counted = first_number + len(readings) + len(problems)
        number = counted if cell.number is None else cell.number
        readings.append(
            ColumnReading(
                id=_identifier(sheet, number, value),
                number=number,
                numbered=cell.number is not None,
                value=value,
                text=cell.written,
                line=cell.line,
            )
        )
    problems += _twice(readings)
    if not readings and not problems:
        problems.append(ColumnProblem(0, "", "there is no reading in it: one a line is wanted"))
    if problems:
        raise ColumnError(sorted(problems, key=lambda each: each.line))
    return readings


def _far_off(cell: _Cell, value: float, near: float, kind: Kind, unit: str) -> str:
    """Why a reading is refused that is nothing like the size expected, and what to write."""
    told = (
        f"“{cell.written}” is read as {show(value, kind, unit=unit)}, nothing like the size "
        f"expected, about {show(near, kind, unit=unit)}"
    )
    for other in _USUAL_UNITS if kind is LENGTH else ():
        try:
            meant = parse(f"{cell.text} {other}", kind, default_unit=unit)
        except QuantityError:
            continue
        if abs(near) / _TWICE <= meant <= abs(near) * _TWICE:
            return f"{told}: a slip of the unit? If it is, write {cell.text} {other}"
    return f"{told}: a slip of the unit, or of the pen?"


@dataclass(frozen=True)
class _Cell:
    """A reading before it is read: ``text`` to read, and what was ``written``."""

    line: int
    number: int | None
    text: str
    written: str


def _chosen(
    rows: Sequence[tuple[int, str]], kind: Kind, default_unit: str, column: str | None
) -> tuple[list[_Cell], str]:
    """Cells of the column to take, and the unit of bare numbers in it."""
    separator = _separator(rows, kind)
    table = [
        (line, [each.strip().strip('"').strip() for each in text.split(separator)])
        if separator
        else (line, [text.strip().strip('"')])
        for line, text in rows
    ]
    header: list[str] = []
    if table and not any(_A_NUMBER.fullmatch(cell) for cell in table[0][1]):
        header = table[0][1]
        table = table[1:]
    place = _place(table, header, column)
    numbers = _number_place(table, header, place)
    unit = _unit_of(header[place], kind, default_unit) if place < len(header) else default_unit
    cells = []
    for line, row in table:
        if place >= len(row) or not row[place]:
            continue
        written = row[place]
        number, text = _numbering(written, kind)
        if number is None and numbers is not None and row[numbers].isdecimal():
            number = int(row[numbers])
        cells.append(_Cell(line, number, text, written))
    return cells, unit


def _separator(rows: Sequence[tuple[int, str]], kind: Kind) -> str | None:
    """What parts the columns; ``None`` for a single one. A comma may as well be a decimal one."""
    for sign in ("\t", ";"):
        if sum(sign in text for _, text in rows) > len(rows) // 2:
            return sign
    with_comma = [text for _, text in rows if "," in text]
    if len(with_comma) <= len(rows) // 2:
        return None
    plain = (_numbering(text.strip(), kind)[1] for text in with_comma)
    if any(text.count(",") > 1 or ", " in text or "." in text for text in plain):
        return ","
    return None


def _place(table: Sequence[tuple[int, list[str]]], header: list[str], column: str | None) -> int:
    """Which column holds the readings."""
    if column is not None:
        names = [_bare(name) for name in header]
        if _bare(column) not in names:
            there = f"; there are: {', '.join(header)}" if header else ": the table has no header"
            raise ColumnError([ColumnProblem(0, column, f"no column “{column}”{there}")])
        return names.index(_bare(column))
    width = max((len(row) for _, row in table), default=1)
    full = [
        place
        for place in range(width)
        if any(place < len(row) and _A_NUMBER.fullmatch(row[place]) for _, row in table)
    ]
    readings = [place for place in full if place != _number_place(table, header, None)]
    if len(readings) > 1:
        told = ", ".join(header) or f"{len(readings)} columns of numbers and no header"
        message = f"which column holds the readings? There are: {told}; name one"
        raise ColumnError([ColumnProblem(0, "", message)])
    return readings[0] if readings else (full[0] if full else 0)


def _number_place(
    table: Sequence[tuple[int, list[str]]], header: list[str], readings: int | None
) -> int | None:
    """Which column numbers the pieces: by its name, or whole numbers that rise from row to row."""
    width = min((len(row) for _, row in table), default=1)
    for place in range(width):
        if place == readings or width < 2:
            continue
        column = [row[place] for _, row in table]
        if not all(cell.isdecimal() and len(cell) < 6 for cell in column):
            continue
        named = place < len(header) and header[place].strip().lower() in _NUMBER_NAMES
        values = [int(cell) for cell in column]
        rising = all(after > before for before, after in pairwise(values))
        if named or (rising and place == 0):
            return place
    return None


def _numbering(text: str, kind: Kind) -> tuple[int | None, str]:
    """Take ``17:`` or ``no. 17)`` off the front of a reading.

    Where a colon may belong to the reading itself (4:12 of time, 1:50 of taper) only a blank
    after it makes it a number of a piece.
    """
    found = _NUMBERED.fullmatch(text)
    if found is None or ((kind is DURATION or kind.ratio) and not found["rest"][0].isspace()):
        return None, text
    return int(found["number"]), found["rest"].strip()


def _commas_settled(cells: list[_Cell], decimal: Decimal | None) -> list[_Cell]:
    """Write decimal commas as points where the column as a whole says what a comma is."""
    if decimal is None:
        commas = [cell for cell in cells if _COMMA.search(cell.text)]
        sure = [cell for cell in commas if not _AS_THOUSANDS.search(cell.text)]
        pointed = any("." in cell.text for cell in cells)
        decimal = "comma" if sure and not (pointed and len(sure) < len(commas)) else None
    if decimal != "comma":
        return cells
    return [
        _Cell(cell.line, cell.number, re.sub(r"(?<=[0-9]),(?=[0-9])", ".", cell.text), cell.written)
        for cell in cells
    ]


def _unit_of(name: str, kind: Kind, default_unit: str) -> str:
    found = _IN_HEADER.search(name)
    if found is None:
        return default_unit
    unit = found["unit"] or found["after"]
    if kind.find(unit) is None:
        message = f"the header “{name}” has a unit “{unit}” that is not known here"
        raise ColumnError([ColumnProblem(1, name, message)])
    return unit


def _twice(readings: Sequence[ColumnReading]) -> list[ColumnProblem]:
    """Numbers that stand beside two different readings."""
    seen: dict[int, ColumnReading] = {}
    problems = []
    for each in readings:
        first = seen.setdefault(each.number, each)
        if first is not each and first.value != each.value:
            message = (
                f"piece {each.number} stands here with “{each.text}” and on line {first.line} "
                f"with “{first.text}”: keep one"
            )
            problems.append(ColumnProblem(each.line, each.text, message))
    return problems


def _identifier(sheet: str, number: int, value: float) -> str:
    """Follows from what was read and not from how it was written: 5,02 and 5.02 mm are one."""
    told = f"{sheet}\x1f{number}\x1f{float(value)!r}"
    return hashlib.sha256(told.encode("utf-8")).hexdigest()[:16]


def _bare(name: str) -> str:
    return _IN_HEADER.sub("", name).strip().lower()
