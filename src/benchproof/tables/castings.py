"""What a casting shrinks by, and what is left on a blank to be machined off.

Contraction is linear, from the pattern to the cold casting; two old books of the trade differ by
a quarter, and no book knows one foundry's sand. The allowance is per face, by the largest size of
the blank.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from benchproof.tables.materials import material
from benchproof.tables.reading import rows

_INCHES_PER_FOOT: Final = 12
_BOOKS: Final = MappingProxyType(
    {
        "dooley_in_per_ft": "Dooley, Applied Science for Metal Workers, ch. XXXI, 426",
        "lineham_in_per_ft": "Lineham, A Text-book of Mechanical Engineering, p. 63",
    }
)
_SOURCES: Final = MappingProxyType(
    {
        "common": "common practice",
        "model": "common practice with castings for models",
        "iso8062-e": "ISO 8062:1994, table 2, grade E, from memory",
        "iso8062-g": "ISO 8062:1994, table 2, grade G, from memory",
        "iso8062-h": "ISO 8062:1994, table 2, grade H, from memory",
    }
)


@dataclass(frozen=True, kw_only=True)
class Contraction:
    """Linear contraction of a cast metal [-], least and most of what books allow."""

    metal: str
    least: float
    most: float
    source: str

    @property
    def middle(self) -> float:
        """Halfway between least and most [-]."""
        return 0.5 * (self.least + self.most)


@dataclass(frozen=True, kw_only=True)
class Allowance:
    """What is left to machine off each face of a blank [m], up to a largest size of it [m]."""

    method: str
    up_to: float
    per_face: float
    source: str


def contraction(name: str) -> Contraction | None:
    """Contraction of a material of any name it goes by; None where it is not in the books.

    Raises :class:`benchproof.tables.materials.UnknownMaterial`.
    """
    return _contractions().get(material(name).key)


def allowances(method: str) -> tuple[Allowance, ...]:
    """Rows for a method of making the blank, the smallest first; none for an unknown one."""
    return _allowances().get(method, ())


def methods() -> tuple[str, ...]:
    """Ways of making a blank that the table knows, bar first."""
    return tuple(_allowances())


@lru_cache(maxsize=1)
def _contractions() -> Mapping[str, Contraction]:
    found: dict[str, Contraction] = {}
    for row in rows("pattern_contraction.csv"):
        shares = [float(Fraction(row[book])) / _INCHES_PER_FOOT for book in _BOOKS]
        one = Contraction(
            metal=row["metal"],
            least=min(shares),
            most=max(shares),
            source="; ".join(f"{book}: {row[column]} in per ft" for column, book in _BOOKS.items()),
        )
        found |= dict.fromkeys(row["materials"].split(";"), one)
    return MappingProxyType(found)


@lru_cache(maxsize=1)
def _allowances() -> Mapping[str, tuple[Allowance, ...]]:
    found: dict[str, tuple[Allowance, ...]] = {}
    for row in rows("machining_allowance.csv"):
        one = Allowance(
            method=row["method"],
            up_to=float(row["up_to_mm"]) * 1e-3,
            per_face=float(row["per_face_mm"]) * 1e-3,
            source=_SOURCES[row["source"]],
        )
        found[one.method] = (*found.get(one.method, ()), one)
    return MappingProxyType(found)
