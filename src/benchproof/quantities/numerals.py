"""Numbers as people write them: 12, 25,4, 7/16, 1 7/16, 1-7/16, 1½, 1e-3; read exactly.

Every pattern here is linear: no text, however hostile, makes it go back over itself.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

LONGEST: Final = 100
"""No quantity needs more characters than this."""

_SAME: Final = str.maketrans(
    {
        "\N{MINUS SIGN}": "-",
        "\N{HYPHEN}": "-",
        "\N{NON-BREAKING HYPHEN}": "-",
        "\N{FIGURE DASH}": "–",
        "\N{EM DASH}": "–",
        "\N{GREEK SMALL LETTER MU}": "µ",
        "\N{FRACTION SLASH}": "/",
        "\N{DIVISION SLASH}": "/",
        "\N{DOUBLE PRIME}": '"',
        "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
        "\N{LEFT DOUBLE QUOTATION MARK}": '"',
        "\N{PRIME}": "'",
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{MASCULINE ORDINAL INDICATOR}": "°",
        "\N{RING ABOVE}": "°",
        "\N{DEGREE CELSIUS}": "°C",
        "\N{DEGREE FAHRENHEIT}": "°F",
        "\N{KELVIN SIGN}": "K",
        "\N{SQUARE MM}": "mm",
        "\N{SUBSCRIPT TWO}": "2",
        "\N{HORIZONTAL ELLIPSIS}": "...",
        "\N{TWO DOT LEADER}": "..",
        "\t": " ",
    }
)
_VULGAR: Final = {
    character: f"{top}/{bottom}"
    for character, top, bottom in (
        ("½", 1, 2), ("⅓", 1, 3), ("⅔", 2, 3), ("¼", 1, 4), ("¾", 3, 4), ("⅕", 1, 5),
        ("⅖", 2, 5), ("⅗", 3, 5), ("⅘", 4, 5), ("⅙", 1, 6), ("⅚", 5, 6), ("⅛", 1, 8),
        ("⅜", 3, 8), ("⅝", 5, 8), ("⅞", 7, 8), ("⅒", 1, 10), ("⅑", 1, 9), ("⅐", 1, 7),
    )
}  # fmt: skip

# A dot belongs to the number only when no second dot follows: "2..4" is a range.
_DECIMAL = r"(?:[0-9]+(?:[.,][0-9]+|\.(?![.0-9]))?|[.,][0-9]+)(?:[eE][+-]?[0-9]{1,3}(?![0-9]))?"
_FRACTION = r"(?:[0-9]{1,6}(?: |-))?[0-9]{1,6}/[0-9]{1,6}(?![0-9/.,])"
UNSIGNED: Final = rf"(?:{_FRACTION}|{_DECIMAL})(?![0-9.,/])"
"""Pattern of a number without its sign."""
NUMBER: Final = rf"[+-]? ?{UNSIGNED}"
"""Pattern of a number."""

_PARTS = re.compile(
    rf"(?P<sign>[+-]?) ?(?:(?:(?P<whole>[0-9]+)[ -])?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)"
    rf"|(?P<decimal>{_DECIMAL}))"
)
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")


class NumeralError(ValueError):
    """Why text is no number; the caller adds what was asked for."""


@dataclass(frozen=True)
class Numeral:
    """An exact number, and whether it was written as a vulgar fraction."""

    value: Fraction
    vulgar: bool = False


def tidy(text: str) -> str:
    """Text with one spelling for every dash, prime and space; raises NumeralError."""
    if len(text) > LONGEST:
        raise NumeralError(f"is longer than {LONGEST} characters")
    text = text.strip(" \t\r\n").translate(_SAME)
    letters: list[str] = []
    for letter in text:
        if unicodedata.category(letter)[0] == "C":
            raise NumeralError("contains a control character")
        if letter in _VULGAR:
            joint = " " if letters and letters[-1].isdigit() else ""
            letters.append(f"{joint}{_VULGAR[letter]} ")
        else:
            letters.append(" " if letter.isspace() else letter)
    spaced = " ".join("".join(letters).split()).replace("''", '"')
    return re.sub(r"(?<=[0-9]) ?/ ?(?=[0-9])", "/", spaced)


def numeral(text: str) -> Numeral:
    """Read a number that matches NUMBER; raises NumeralError when it can be read in two ways."""
    parts = _PARTS.fullmatch(text)
    if parts is None:
        raise NumeralError("is not a number")
    sign = -1 if parts["sign"] == "-" else 1
    if parts["decimal"]:
        return Numeral(sign * _decimal(parts["decimal"]))
    top, bottom = int(parts["top"]), int(parts["bottom"])
    if bottom == 0:
        raise NumeralError("divides by zero")
    share = Fraction(top, bottom)
    if parts["whole"] is None:
        return Numeral(sign * share, vulgar=True)
    if share >= 1:
        raise NumeralError("has a fraction of one or more after a whole number")
    return Numeral(sign * (int(parts["whole"]) + share), vulgar=True)


def _decimal(text: str) -> Fraction:
    if "," in text:
        if _THOUSANDS.match(text):
            first, last = text.split(",")
            raise NumeralError(
                f"has a comma that may part thousands or decimals: "
                f"write {first}.{last.rstrip('0') or '0'} or {first}{last}"
            )
        text = text.replace(",", ".")
    return Fraction(text if text[0] != "." else f"0{text}")
