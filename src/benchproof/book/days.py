"""Days as a book keeps them: year, month and day, so that they sort as text."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from benchproof.specs import Problem, SpecError

DAYS = ("when", "checked")


def a_day(stated: str, field: str = "when") -> str:
    """A day as 2026-03-01, none as none; raises ``SpecError`` for what is no day."""
    if not stated.strip():
        return ""
    try:
        return date.fromisoformat(stated.strip()).isoformat()
    except ValueError:
        words = "is no day; give year, month and day"
        raise SpecError([Problem(field, field, stated, words, "2026-03-01")]) from None


def with_days(stated: Mapping[str, object]) -> dict[str, object]:
    """What was stated, its days as a book keeps them."""
    return {
        name: a_day(str(value), name) if name in DAYS and value is not None else value
        for name, value in stated.items()
    }
