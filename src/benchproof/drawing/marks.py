"""Marks that say more than a size: surface finish, datum letters, notes on a leader."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from benchproof.drawing.geometry import Point


@dataclass(frozen=True, kw_only=True)
class Finish:
    """Surface roughness Ra [m] wanted of the surface at ``at`` (ISO 21920-1 mark).

    ``process`` is a word where only one way of making it will do ("lapped").
    """

    at: Point
    roughness: float
    process: str = ""
    parameter: str = "Ra"


@dataclass(frozen=True, kw_only=True)
class Datum:
    """A datum letter set on the surface or axis at ``at`` (ISO 5459)."""

    at: Point
    letter: str


@dataclass(frozen=True, kw_only=True)
class Note:
    """A few words on a leader to ``at``."""

    at: Point
    text: str


Mark: TypeAlias = Finish | Datum | Note
