"""Lettering after ISO 3098: heights of capitals, and how wide a line of text comes out.

Widths are those of DejaVu Sans Condensed, in thousandths of the type size; Arial and Liberation
Sans stand within a few per cent. The writers fix every line to the width reckoned here, so that
a box that is free on paper stays free whatever typeface the reader has.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

CAPITAL_OVER_TYPE_SIZE: Final = 0.729
ASCENT: Final = 1.06  # of the height of capitals, above the base line
DESCENT: Final = 0.34  # below it
FONTS: Final = "'DejaVu Sans Condensed','Liberation Sans',Arial,Helvetica,sans-serif"

_OTHER = 600
_WIDTHS: Mapping[str, int] = MappingProxyType(
    {
        character: width
        for characters, width in (
            ("il\u2032", 250),
            ("I", 266),
            ("J'", 266),
            (" ,.|", 286),
            ("/:;\u2033", 337),
            ("-f[]()", 351),
            ("tr", 370),
            ("!", 361),
            ('"', 414),
            ("°", 450),
            ("s", 469),
            ("?", 478),
            ("czL", 500),
            ("F", 518),
            ("kvxyPTY", 543),
            ("abdeghnopquE0123456789µ", 572),
            ("KRSX", 626),
            ("ABCVZ", 628),
            ("UG", 698),
            ("HNDOQØ", 708),
            ("w+=±×−<>~", 754),
            ("M", 777),
            ("%", 855),
            ("m", 877),
            ("W—", 900),
        )
        for character in characters
    }
)


def type_size(height: float) -> float:
    """Type size [mm] whose capitals are ``height`` [mm] high."""
    return height / CAPITAL_OVER_TYPE_SIZE


def width_of(text: str, height: float) -> float:
    """Width [mm] of a line of text with capitals ``height`` [mm] high."""
    return sum(_WIDTHS.get(each, _OTHER) for each in text) / 1000.0 * type_size(height)


def wrapped(text: str, height: float, width: float) -> list[str]:
    """Lines of a text, none wider than ``width`` [mm] unless one word alone is."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, height) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def shortened(text: str, height: float, width: float) -> str:
    """Return the text, cut with an ellipsis where it is wider than ``width`` [mm]."""
    if width_of(text, height) <= width:
        return text
    while text and width_of(text + "…", height) > width:
        text = text[:-1]
    return text.rstrip() + "…"
