"""What was typed into a form: flat names, to and from the groups and rows of a spec."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from pydantic import BaseModel

from benchproof.specs.layout import fields_of

MOST_ROWS: Final = 200
DEEPEST: Final = 6
_NUMBER: Final = re.compile(r"[0-9]{1,6}")


def flat(stated: Mapping[str, Any], path: str = "") -> dict[str, str]:
    """Stated values under dotted names: ``grooves.count``, ``reading.0.time``."""
    found: dict[str, str] = {}
    for name, value in stated.items():
        here = f"{path}{name}"
        if isinstance(value, Mapping):
            found |= flat(value, f"{here}.")
        elif isinstance(value, list | tuple):
            for number, row in enumerate(value):
                if isinstance(row, Mapping):
                    found |= flat(row, f"{here}.{number}.")
        elif isinstance(value, bool):
            found[here] = "yes" if value else "no"
        elif value is not None:
            found[here] = str(value)
    return found


def row_numbers(typed: Mapping[str, str], path: str) -> list[int]:
    """Numbers of the rows under a name in which something stands, as they were numbered."""
    found = set()
    for name, text in typed.items():
        if name.startswith(path) and text.strip():
            number = name[len(path) :].partition(".")[0]
            if _NUMBER.fullmatch(number):
                found.add(int(number))
    return sorted(found)[:MOST_ROWS]


def nested(
    spec_type: type[BaseModel], typed: Mapping[str, str], path: str = "", depth: int = 0
) -> dict[str, Any]:
    """What was typed for a spec, as groups and rows; names the spec does not know are left out."""
    found: dict[str, Any] = {}
    for field in fields_of(spec_type):
        here = f"{path}{field.name}"
        if field.marker is not None:
            text = typed.get(here, "")
            if text.strip():
                found[field.name] = text
        elif depth >= DEEPEST:
            continue
        elif field.group is not None:
            inner = nested(field.group, typed, f"{here}.", depth + 1)
            if inner:
                found[field.name] = inner
        elif field.rows is not None:
            rows = [
                nested(field.rows, typed, f"{here}.{number}.", depth + 1)
                for number in row_numbers(typed, f"{here}.")
            ]
            if rows:
                found[field.name] = rows
    return found
