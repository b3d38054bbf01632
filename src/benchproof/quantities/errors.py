"""The refusal of what was typed: what was given, what is allowed, what to try."""

from __future__ import annotations


class QuantityError(ValueError):
    """Typed text that cannot be read as the quantity asked for.

    ``given`` is what was typed (shortened), ``allowed`` what may be given, ``example`` a text
    that would be accepted in its form. The error's own text is one sentence.
    """

    def __init__(self, reason: str, *, given: str, allowed: str, example: str) -> None:
        super().__init__(f"{reason}; give {allowed}, such as {example}")
        self.reason = reason
        self.given = given
        self.allowed = allowed
        self.example = example


def shortened(given: object, *, length: int = 60) -> str:
    """Text of anything at all, short enough to print and without what a terminal would obey."""
    if isinstance(given, bool):
        return "yes" if given else "no"
    if isinstance(given, int):
        # Python refuses to print an int of thousands of digits.
        return str(given) if given.bit_length() < 128 else "a number of very many digits"
    if isinstance(given, float):
        return float.__repr__(given)
    if isinstance(given, str):
        head = given[: length + 1]
        clean = "".join(
            letter if letter.isprintable() else "\N{REPLACEMENT CHARACTER}" for letter in head
        )
        return clean if len(clean) <= length else f"{clean[:length]}…"
    if given is None:
        return "nothing"
    if isinstance(given, (list, tuple)):
        return "a list"
    return "a group of values" if isinstance(given, dict) else "something else"


WITHOUT_WORDS = frozenset({"a list", "a group of values", "something else"})
"""What is no text and no number is told as one of these."""
