"""Readings of a bench test on paper: a table to fill in, or the readings as they were taken."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

from pydantic import BaseModel

from benchproof.bench_tests.contract import BenchTest
from benchproof.quantities import System, show, show_spread
from benchproof.specs import Choice, Flag, Quantity
from benchproof.specs.layout import Field, fields_of
from benchproof.specs.spread_form import SPREADS
from benchproof.specs.understood import show_value

_READING = "reading"


@dataclass(frozen=True)
class Blank:
    """One thing to write down: its name, the unit a bare number is taken in, what is allowed.

    ``otherwise`` is what is taken where nothing is written.
    """

    label: str
    unit: str
    options: tuple[str, ...]
    otherwise: str


@dataclass(frozen=True)
class Table:
    """Conditions of a test and its readings: blanks with empty rows, or what was written."""

    conditions: tuple[Blank, ...]
    columns: tuple[Blank, ...]
    said: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()

    @property
    def plain(self) -> dict[str, Any]:
        """The table as plain data."""
        return asdict(self)


def to_fill_in(test: BenchTest[Any], *, whole: bool) -> Table:
    """Everything that a record of the test asks for; not ``whole``: only what must be stated."""
    conditions = [
        _blank(field)
        for field in fields_of(test.record_type)
        if field.marker is not None and (whole or field.required)
    ]
    columns = [_blank(field) for field in _of_a_reading(test)]
    return Table(tuple(conditions), tuple(columns))


def as_taken(test: BenchTest[Any], record: BaseModel, system: System) -> Table:
    """What was written down, in one measuring system; columns nobody wrote in are left out."""
    stated = [
        (field, text)
        for field in fields_of(test.record_type)
        if field.marker is not None and (text := _text(field, getattr(record, field.name), system))
    ]
    readings = getattr(record, _READING)
    fields = [
        field
        for field in _of_a_reading(test)
        if any(getattr(row, field.name) not in {None, field.default} for row in readings)
        or field.required
    ]
    return Table(
        tuple(_blank(field) for field, _ in stated),
        tuple(_blank(field) for field in fields),
        tuple(text for _, text in stated),
        tuple(
            tuple(_text(field, getattr(row, field.name), system) or "–" for field in fields)
            for row in readings
        ),
    )


def _of_a_reading(test: BenchTest[Any]) -> Iterator[Field]:
    for field in fields_of(test.record_type):
        if field.name == _READING and field.rows is not None:
            yield from (each for each in fields_of(field.rows) if each.marker is not None)


def _blank(field: Field) -> Blank:
    marker = field.marker
    assert marker is not None
    unit = marker.kind.named(marker.unit).symbol if isinstance(marker, Quantity) else ""
    options: tuple[str, ...] = ()
    if isinstance(marker, Choice):
        options = marker.words
    elif isinstance(marker, Flag):
        options = ("yes", "no")
    otherwise = "" if field.required else show_value(field.default, marker)
    return Blank(field.label, unit, options, "" if otherwise == "not stated" else otherwise)


def _text(field: Field, value: Any, system: System) -> str:
    """A value as written, empty where nothing was."""
    marker = field.marker
    if value is None or marker is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(marker, Quantity):
        if isinstance(value, SPREADS):
            return show_spread(value, marker.kind, system=system)
        return show(value, marker.kind, system=system)
    return str(value)
