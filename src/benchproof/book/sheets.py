"""Records as sheets for people: one table of comma-separated values for each kind."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, Final

from benchproof.book.records import Record

HEAD: Final = ("seq", "id", "at", "who", "subject", "supersedes")
LONGEST_LIST: Final = 12  # longer ones stand in one cell


def write_sheets(records: Iterable[Record], folder: Path) -> list[Path]:
    """Write one sheet a kind into a folder; for reading, not for making a book again."""
    kinds: dict[str, list[Record]] = {}
    for record in records:
        kinds.setdefault(record.kind, []).append(record)
    written: list[Path] = []
    for number, (kind, held) in enumerate(sorted(kinds.items()), 1):
        plain = re.sub(r"[^a-z0-9]+", " ", kind.lower()).strip()[:60] or "records"
        path = folder / f"{number:02d} {plain}.csv"
        rows = [(record, dict(_flat(record.body))) for record in held]
        names = list(dict.fromkeys(name for _, row in rows for name in row))
        with path.open("w", encoding="utf-8-sig", newline="") as file:
            sheet = csv.writer(file)
            sheet.writerow([*HEAD, *map(_cell, names)])
            for record, row in rows:
                fixed = (_cell(getattr(record, name)) for name in HEAD)
                sheet.writerow([*fixed, *(_cell(row.get(name)) for name in names)])
        written.append(path)
    return written


def _flat(value: Any, name: str = "") -> Iterable[tuple[str, Any]]:
    inner: Iterable[tuple[Any, Any]]
    if isinstance(value, Mapping) and value:
        inner = value.items()
    elif isinstance(value, list) and 0 < len(value) <= LONGEST_LIST:
        inner = enumerate(value, 1)
    else:
        yield name, value
        return
    for key, each in inner:
        yield from _flat(each, f"{name}.{key}" if name else str(key))


def _cell(value: Any) -> str:
    """A value as text that no spreadsheet takes for a formula."""
    if value is None:
        return ""
    if not isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    return "'" + value if value.startswith(("=", "+", "-", "@", "\t", "\r")) else value
