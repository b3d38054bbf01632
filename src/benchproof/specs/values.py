"""One stated value, to SI or to the word it stands for."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Any

from benchproof.quantities import parse, parse_spread
from benchproof.quantities.errors import shortened
from benchproof.specs.layout import Field
from benchproof.specs.markers import Choice, Flag, Marker, Quantity, Words, members
from benchproof.specs.problems import FieldError
from benchproof.specs.spread_form import SPREADS

_YES = frozenset({"yes", "y", "true", "on", "1", "ja", "oui"})
_NO = frozenset({"no", "n", "false", "off", "0", "nein", "non"})


def read_value(given: object, marker: Marker, field: Field) -> Any:
    """SI value of one stated value; raises QuantityError or FieldError."""
    if isinstance(marker, Quantity):
        types = members(field.info.annotation)
        reader = parse if types.isdisjoint(SPREADS) else parse_spread
        value = reader(
            given,  # type: ignore[arg-type] # whatever it is, the reader refuses it itself
            marker.kind,
            default_unit=marker.unit,
            minimum=marker.minimum,
            maximum=marker.maximum,
            exclusive=marker.exclusive,
        )
        return int(value) if isinstance(value, float) and int in types else value
    if isinstance(marker, Flag):
        return _yes_or_no(given, field.name)
    if isinstance(given, bool) and isinstance(marker, Words):
        raise FieldError(field.name, "must be text")
    if not isinstance(given, (str, int, float)):  # yes and no may be words to choose from
        raise FieldError(field.name, "must be text")
    text = given.strip() if isinstance(given, str) else shortened(given)
    if isinstance(marker, Words):
        return _words(text, marker, field.name)
    return _chosen(text, marker, field.name)


def _yes_or_no(given: object, name: str) -> bool:
    if isinstance(given, bool):
        return given
    if isinstance(given, (str, int)):
        word = shortened(given).strip().casefold()
        if word in _YES or word in _NO:
            return word in _YES
    raise FieldError(name, "must be yes or no", example="yes")


def _words(text: str, marker: Words, name: str) -> str:
    if len(text) > marker.max_length:
        raise FieldError(name, f"has more than {marker.max_length} characters")
    if not all(letter.isprintable() or letter in "\n\t\r" for letter in text):
        raise FieldError(name, "contains a control character")
    return text


def _chosen(text: str, marker: Choice, name: str) -> str:
    words = marker.words
    folded = {word.casefold(): word for word in words}
    wanted = " ".join(text[:200].split()).casefold()
    if wanted in folded:
        return folded[wanted]
    close = get_close_matches(wanted, folded, 1)
    example = folded[close[0]] if close else next(iter(words), "")
    why = f": {marker.why}" if marker.why else ""
    told = f"“{shortened(text)}” is not one of {listed(words)}{why}"
    raise FieldError(name, told, example=example)


def listed(words: tuple[str, ...], most: int = 12) -> str:
    """Return the first ``most`` words with commas between."""
    more = f" and {len(words) - most} more" if len(words) > most else ""
    return ", ".join(words[:most]) + more
