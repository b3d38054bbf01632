"""Days as a book keeps them: year, month and day, so that they sort as text."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TypeVar

from benchproof.specs import Problem, Spec, SpecError, Understood

SpecT = TypeVar("SpecT", bound=Spec)

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


def understood_with_days(kind: type[SpecT], stated: Mapping[str, object]) -> Understood[SpecT]:
    """Read what was stated, its days as a book keeps them; ``SpecError`` has every problem."""
    kept, problems = dict(stated), list[Problem]()
    for name in DAYS:
        if kept.get(name) is None:
            continue
        try:
            kept[name] = a_day(str(kept[name]), name)
        except SpecError as refused:
            problems += refused.problems
            del kept[name]
    try:
        found = kind.from_text(kept)
    except SpecError as refused:
        raise SpecError([*refused.problems, *problems]) from None
    if problems:
        raise SpecError(problems)
    return found
