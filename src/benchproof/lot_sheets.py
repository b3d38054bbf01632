"""A sheet of a lot's readings as people keep it: pieces, re-sets, moves of the stop, second cuts.

A pasted column may hold marks on lines of their own: ``re-set``, ``re-set for 7.994 mm``,
``moved to 7.992 mm``, ``moved by -2 um``. A table may have columns named *setting*, *set for*,
*again* (the reading after another cut) and, for pairing, *hand*. Everything else is as in
:mod:`benchproof.columns_of_readings`.
"""

from __future__ import annotations

import re
import stat
import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final, Literal, cast

from benchproof.columns_of_readings import ColumnError, ColumnReading, Decimal, read_column
from benchproof.quantities import COUNT, LENGTH, Kind, QuantityError, parse, show
from benchproof.quantities.errors import shortened
from benchproof.reckon.lot_entries import LotEntry, LotSheet, Settings
from benchproof.reckon.pairing import Hand, Measured
from benchproof.refusing import RefusedFileError
from benchproof.specs import Problem, SpecError
from benchproof.workshop.lot_spec import MOST_PIECES

LARGEST: Final = 1_000_000
"""No column of readings needs a larger file [bytes]."""

FARTHEST_STOP: Final = 1e-3
"""From the limits to where a stop is set [m]; more is a slip of the pen or the unit."""

MOST_SETTINGS: Final = 500
MOST_TO_PAIR: Final = 500
_MOST_PROBLEMS: Final = 12
_FARTHEST_MOVE: Final = 1e-3  # m; more is no correction of a stop
_FARTHEST_SHARE: Final = 0.25  # of the size expected; what lies nearer, only the limits can tell
_FARTHEST_APART: Final = 0.5  # share of its size by which a piece may differ from its mates
_MARK: Final = re.compile(
    r"[\s#*-]*(?P<what>re-?set|(?:stop\s+)?moved?)\b(?:\s+(?P<how>for|to|at|by)\b)?"
    r"\s*(?P<size>.*?)[\s;,]*",
    re.IGNORECASE,
)
_PLAIN_REMARK: Final = re.compile(r"\s*(?://|;|#(?!\s*[0-9])).*")
_SEPARATORS: Final = ("\t", ";", ",")
_SETTING, _STOP, _AGAIN, _HAND = "setting", "set for", "again", "hand"
_KNOWN: Final = (_SETTING, _STOP, _AGAIN, _HAND)
_NUMBERS: Final = ("no", "no.", "nr", "nr.", "#", "number", "piece", "piece no")
_HANDS: Final = {"left": "left", "l": "left", "right": "right", "r": "right"}
_UNIT_OF_HEADER: Final = re.compile(r"[\[(].*?[\])]|,\s*\S{1,6}\s*$")


def text_of(path: Path) -> str:
    """Text of a file of readings, or of the standard input where it is ``-``.

    Raises ``SpecError`` when it is missing, no plain file, too large or not UTF-8.
    """
    if str(path) == "-":
        return _decoded(path, sys.stdin.buffer.read(LARGEST + 1))
    if path.suffix.casefold() == ".toml" and path.is_file():
        raise _refused(path, "is a TOML file where a column of readings is asked for", "holes.csv")
    content = None
    try:
        mode = path.stat().st_mode
        if stat.S_ISREG(mode):  # a pipe would keep us waiting
            with path.open("rb") as stream:
                content = stream.read(LARGEST + 1)
    except FileNotFoundError:
        raise _refused(path, "does not exist") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise _refused(path, f"cannot be read: {reason}") from None
    if content is None:
        folder = stat.S_ISDIR(mode)
        raise _refused(path, "is a folder; name the file in it" if folder else "is no plain file")
    return _decoded(path, content)


def read_lot_sheet(
    path: Path,
    *,
    near: float,
    column: str | None = None,
    decimal: Decimal | None = None,
    unit: str = "mm",
    sheet: str = "",
) -> LotSheet:
    """Read a sheet of a lot's readings; raises ``SpecError`` with every problem.

    ``near`` [m] is the size to expect, ``column`` the name of the column of readings, ``unit``
    that of bare numbers; ``sheet`` tells lots of equal readings apart in the ids.
    """
    text = text_of(path)
    try:
        return lot_sheet(text, near=near, column=column, decimal=decimal, unit=unit, sheet=sheet)
    except SpecError as refused:
        raise RefusedFileError(path, refused.problems) from None


def lot_sheet(
    text: str,
    *,
    near: float,
    column: str | None = None,
    decimal: Decimal | None = None,
    unit: str = "mm",
    sheet: str = "",
) -> LotSheet:
    """Read the text of a sheet; see :func:`read_lot_sheet`."""
    lines, marks = _marks(text, unit, near)
    table = _Table(lines, unit, decimal)
    readings = table.column(column, near=near, sheet=sheet)
    problems = [_at_line(each, "pieces are counted from 1") for each in readings if each.number < 1]
    if len(readings) > MOST_PIECES:
        problems = [
            Problem("column", "column", "", f"has {len(readings)} readings; {MOST_PIECES} at most")
        ]
    if problems:
        raise SpecError(problems)
    again = table.beside(_AGAIN, LENGTH, near=near)
    stops = table.beside(_STOP, LENGTH, filled=True)
    _check_stops(readings, stops, near, unit)
    settings = table.beside(_SETTING, COUNT, filled=True)
    marked = _Marked(marks)
    entries: dict[int, LotEntry] = {}
    for each in readings:
        counted, stop, moved = marked.at(each.line)
        entries.setdefault(
            each.number,
            LotEntry(
                each.id,
                each.number,
                each.value,
                int(settings.get(each.line, counted)),
                stops.get(each.line, stop),
                moved,
                again.get(each.line),
                each.text,
            ),
        )
    how: Settings = "not said"
    if settings:
        how = "stated"
        _check_settings(readings, settings)
    elif marked.resets:
        how = "marked"
    numbers = {entry.setting for entry in entries.values()}
    if len(numbers) > MOST_SETTINGS:
        message = f"has {len(numbers)} settings; {MOST_SETTINGS} at most"
        raise SpecError([Problem("column", "column", "", message)])
    return LotSheet(tuple(entries.values()), how, marked.afresh)


def check_mates(bores: Sequence[Measured], pins: Sequence[Measured], unit: str) -> None:
    """Refuse pieces that nobody would pair: sizes far apart are a slip of the unit.

    Raises ``SpecError`` naming every hole and shaft that is far from the others.
    """
    middle = sorted(each.size for each in (*bores, *pins))[(len(bores) + len(pins)) // 2]
    problems = [
        Problem(
            each.name,
            each.name,
            _say(each.size, unit),
            f"is nothing like the others, about {_say(middle, unit)}: is it a slip of the unit? "
            "Write the unit beside the number, or say --readings-in",
            _say(middle, unit),
        )
        for each in (*bores, *pins)
        if not abs(each.size - middle) <= _FARTHEST_APART * middle
    ]
    if problems:
        raise SpecError(problems[:_MOST_PROBLEMS])


def read_measured(
    path: Path,
    *,
    u: float,
    prefix: str,
    column: str | None = None,
    decimal: Decimal | None = None,
    unit: str = "mm",
) -> list[Measured]:
    """Measured pieces to be paired, each read within ``u`` [m]; raises ``SpecError``.

    A piece is called by its number after ``prefix``; a column *hand* says left or right.
    """
    text = text_of(path)
    try:
        table = _Table(text.lstrip("\N{ZERO WIDTH NO-BREAK SPACE}").splitlines(), unit, decimal)
        readings = table.column(column)
        if len(readings) > MOST_TO_PAIR:
            message = f"has {len(readings)} pieces; {MOST_TO_PAIR} at most are paired"
            raise SpecError([Problem("column", "column", "", message)])
        hands = table.words(_HAND)
        found: dict[int, Measured] = {}
        for each in readings:
            hand = _HANDS.get(hands.get(each.line, "").casefold(), "either")
            name = f"{prefix} {each.number}"
            found.setdefault(each.number, Measured(name, each.value, u, cast(Hand, hand)))
        return list(found.values())
    except SpecError as refused:
        raise RefusedFileError(path, refused.problems) from None


def _decoded(path: Path, content: bytes) -> str:
    if len(content) > LARGEST:
        raise _refused(path, f"is larger than {LARGEST} bytes")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _refused(path, f"is not UTF-8 text (line {line}); save it as UTF-8") from None


def _refused(path: Path, message: str, example: str = "") -> SpecError:
    return SpecError([Problem(path.name or str(path), "file", str(path), message, example)])


def _at_line(reading: ColumnReading, message: str) -> Problem:
    where = f"line {reading.line}"
    return Problem(where, where, reading.text, message)


def _check_settings(readings: Sequence[ColumnReading], settings: Mapping[int, float]) -> None:
    problems = []
    for each in readings:
        if each.line not in settings:
            problems.append(_at_line(each, "no setting stands beside it or above"))
        elif not 1 <= settings[each.line] <= 1e6:
            problems.append(_at_line(each, "settings are counted from 1"))
    if problems:
        raise SpecError(problems[:_MOST_PROBLEMS])


def _check_stops(
    readings: Sequence[ColumnReading], stops: Mapping[int, float], near: float, unit: str
) -> None:
    problems = []
    for each in readings:
        if each.line in stops and (far := _no_stop(stops[each.line], near, unit)):
            where = f"line {each.line}"
            problems.append(Problem(where, where, "", f"set for: {far}", _say(near, unit)))
    if problems:
        raise SpecError(problems[:_MOST_PROBLEMS])


class _Table:
    """Columns of a text whose lines keep their numbers."""

    def __init__(self, lines: list[str], unit: str, decimal: Decimal | None) -> None:
        self.lines, self.unit, self.decimal = lines, unit, decimal
        self.separator, self.header = self._header()

    def _header(self) -> tuple[str, list[str]]:
        """Names of the columns, where the first line that is no remark holds several."""
        first = next((x for x in self.lines if x.strip() and not _PLAIN_REMARK.fullmatch(x)), "")
        for separator in _SEPARATORS:
            names = [name.strip().strip('"').strip() for name in first.split(separator)]
            if len(names) > 1 and any(_bare(n) in {*_KNOWN, *_NUMBERS} for n in names):
                return separator, names
        return "", []

    def column(
        self, column: str | None, *, near: float | None = None, sheet: str = ""
    ) -> list[ColumnReading]:
        """The readings; ``column`` names theirs where that is not clear."""
        if column is None and any(_bare(name) in _KNOWN for name in self.header):
            others = [n for n in self.header if n and _bare(n) not in {*_KNOWN, *_NUMBERS}]
            if len(others) == 1:
                column = others[0]
        return self._read(LENGTH, column, near=near, sheet=sheet)

    def beside(
        self, name: str, kind: Kind, *, near: float | None = None, filled: bool = False
    ) -> dict[int, float]:
        """Values of another column by line; empty cells take the one above if ``filled``."""
        named = next((each for each in self.header if _bare(each) == name), None)
        if named is None or not any(self.words(name).values()):
            return {}
        found = {each.line: each.value for each in self._read(kind, named, near=near)}
        if not filled:
            return found
        last: float | None = None
        for line in range(1, len(self.lines) + 1):
            last = found.get(line, last)
            if last is not None:
                found[line] = last
        return found

    def words(self, name: str) -> dict[int, str]:
        """Words of a column by line; none where there is no such column."""
        place = next((p for p, each in enumerate(self.header) if _bare(each) == name), None)
        if place is None:
            return {}
        begun = False
        found = {}
        for number, line in enumerate(self.lines, 1):
            cells = [cell.strip().strip('"').strip() for cell in line.split(self.separator)]
            if begun and place < len(cells) and not _PLAIN_REMARK.fullmatch(line):
                found[number] = cells[place]
            begun = begun or cells == self.header
        return found

    def _read(
        self, kind: Kind, column: str | None, *, near: float | None = None, sheet: str = ""
    ) -> list[ColumnReading]:
        default = self.unit if kind is LENGTH else ""

        def read(decimal: Decimal | None) -> list[ColumnReading]:
            return read_column(
                "\n".join(self.lines),
                kind=kind,
                default_unit=default,
                column=column,
                decimal=decimal,
                near=near,
                sheet=sheet,
            )

        try:
            if near is not None and self.decimal is None:
                # 7,995 is no eight metres where eight millimetres are expected: that settles it.
                with suppress(ColumnError):
                    return read("comma")
            return read(self.decimal)
        except ColumnError as refused:
            problems = [
                Problem(where, where, shortened(each.text) if each.text else "", each.message)
                for each in refused.problems[:_MOST_PROBLEMS]
                for where in [f"line {each.line}" if each.line else "column"]
            ]
            more = len(refused.problems) - len(problems)
            if more > 0:
                problems.append(Problem("column", "column", "", f"has {more} more such lines"))
            raise SpecError(problems) from None


Mark = tuple[int, Literal["reset", "to", "by"], float | None]


def _marks(text: str, unit: str, near: float) -> tuple[list[str], list[Mark]]:
    """Lines of a text with its marks blanked out, and the marks: line, what, size [m]."""
    lines = text.lstrip("\N{ZERO WIDTH NO-BREAK SPACE}").splitlines()
    marks: list[Mark] = []
    problems = []
    for place, line in enumerate(lines):
        found = _MARK.fullmatch(line)
        if found is None:
            continue
        lines[place] = ""
        where = f"line {place + 1}"
        reset = found["what"].casefold().startswith("re")
        how = (found["how"] or "").casefold()
        if reset and not found["size"] and not how:
            marks.append((place + 1, "reset", None))
            continue
        if not found["size"] or (not reset and how not in {"to", "by"}) or (reset and how == "by"):
            message = "write re-set, re-set for SIZE, moved to SIZE or moved by SIZE"
            problems.append(Problem(where, where, shortened(line), message, "re-set for 7.994 mm"))
            continue
        least = -_FARTHEST_MOVE if how == "by" else None
        try:
            size = parse(found["size"].replace(",", "."), LENGTH, default_unit=unit, minimum=least)
        except QuantityError as wrong:
            problems.append(Problem(where, where, shortened(line), str(wrong), wrong.example))
            continue
        if how != "by" and (far := _no_stop(size, near, unit)):
            example = f"re-set for {_say(near, unit)}"
            problems.append(Problem(where, where, shortened(line), far, example))
            continue
        marks.append((place + 1, "reset" if reset else "by" if how == "by" else "to", size))
    if problems:
        raise SpecError(problems[:_MOST_PROBLEMS])
    return lines, marks


def _no_stop(size: float, near: float, unit: str) -> str:
    """Why a stop was hardly set for a size [m], ``near`` [m] being expected; empty if it was."""
    if abs(size - near) <= max(FARTHEST_STOP, _FARTHEST_SHARE * near):
        return ""
    return (
        f"is {_say(size, unit)}, and no stop is set so far from the limits of this lot, about "
        f"{_say(near, unit)}: is it a slip of the pen, or of the unit?"
    )


def _say(size: float, unit: str) -> str:
    return show(size, LENGTH, unit=unit)


class _Marked:
    """What the marks above a line say; lines are asked for from the top."""

    def __init__(self, marks: Sequence[Mark]) -> None:
        self._marks = list(marks)
        self.resets = any(what == "reset" for _, what, _ in marks)
        self.afresh = False
        self._setting, self._stop, self._moved = 0, None, 0.0
        self._read = 0  # readings since the last re-set
        self._any = False

    _stop: float | None

    def at(self, line: int) -> tuple[int, float | None, float]:
        """Re-sets so far, the size the stop stands for if it is said, and how far it was moved."""
        while self._marks and self._marks[0][0] < line:
            where, what, size = self._marks.pop(0)
            if what == "by":
                if not self._read and self._stop is None:
                    message = "no piece stands above it: say what the stop was set for"
                    told = f"line {where}"
                    raise SpecError([Problem(told, told, "", message, "re-set for 7.994 mm")])
                self._moved += size or 0.0
                continue
            if what == "reset":
                self.afresh = self.afresh or not self._any
                self._setting += bool(self._read)
                self._read = 0
                self._stop = size
            else:
                self._stop = size
            self._moved = 0.0
        self._read += 1
        self._any = True
        return self._setting, self._stop, self._moved


def _bare(name: str) -> str:
    return _UNIT_OF_HEADER.sub("", name).strip().casefold()
