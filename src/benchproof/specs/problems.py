"""What is wrong with what a builder stated: every problem at once, each naming its field."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    """One thing wrong: where, what was given, why it was refused, what to try.

    ``field`` is a dotted path (``grooves.count``, ``reading.2.time``); ``given`` is empty where
    nothing was.
    """

    field: str
    label: str
    given: str
    message: str
    example: str = ""

    def __str__(self) -> str:
        told = f"{self.label} ({self.field}): {self.message}"
        if self.given and self.given not in self.message:
            told = f"{told} (given: {self.given})"
        return f"{told}; try {self.example}" if self.example else told


class SpecError(ValueError):
    """A spec that cannot be used, with all its problems."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class FieldError(ValueError):
    """Raised by a spec's own validator to say which field is at fault, and why.

    ``field`` is a field's name in that spec, or a dotted path below it.
    """

    def __init__(self, field: str, message: str, *, example: str = "") -> None:
        super().__init__(f"{field}: {message}")
        self.field = field
        self.message = message
        self.example = example
