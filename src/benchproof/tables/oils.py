"""Named oils: what each has for viscosity at 40 and at 100 °C, and its density.

An ISO VG number is the kinematic viscosity at 40 °C in mm²/s, give or take a tenth (ISO 3448:1992).
The figure at 100 °C goes by how the oil was made; those here are of plain mineral oils of
viscosity index about 95. A maker's own two figures are better.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from benchproof.tables.reading import rows

GRADE_FACTOR: Final = 1.06
"""One standard deviation of an oil within its grade: anywhere within a tenth of the number."""

_SOURCES: Final = MappingProxyType(
    {
        "vi95": "ISO 3448:1992 at 40 °C; at 100 °C a plain mineral oil, from memory",
        "steam": "ISO 3448:1992 at 40 °C; at 100 °C a compounded steam oil, from memory",
    }
)
_SQUARE_MILLIMETRE: Final = 1e-6


class UnknownOil(ValueError):
    """A name no oil here goes by; ``given`` is the name."""

    def __init__(self, given: str) -> None:
        super().__init__(given)
        self.given = given

    def __str__(self) -> str:
        return f"no oil is called {self.given!r}; there are: {', '.join(oil_keys())}"


@dataclass(frozen=True, kw_only=True)
class Oil:
    """An oil: kinematic viscosity at 40 and 100 °C [m²/s], density at 15 °C [kg/m³]."""

    key: str
    aliases: tuple[str, ...]
    at_40: float
    at_100: float
    density_15: float
    source: str


def oil(name: str) -> Oil:
    """Return the oil of a name or another name for it, in any capitals; raises UnknownOil."""
    found = _by_name().get(_plain(name))
    if found is None:
        raise UnknownOil(name)
    return found


def oil_keys() -> tuple[str, ...]:
    """Names of all oils, thinnest first."""
    return tuple(each.key for each in oils())


@lru_cache(maxsize=1)
def oils() -> tuple[Oil, ...]:
    """All oils, thinnest first."""
    return tuple(
        Oil(
            key=row["key"],
            aliases=tuple(row["aliases"].split(";")),
            at_40=float(row["at_40_mm2_s"]) * _SQUARE_MILLIMETRE,
            at_100=float(row["at_100_mm2_s"]) * _SQUARE_MILLIMETRE,
            density_15=float(row["density_15_kg_m3"]),
            source=_SOURCES[row["source"]],
        )
        for row in rows("oils.csv")
    )


@lru_cache(maxsize=1)
def _by_name() -> Mapping[str, Oil]:
    return MappingProxyType(
        {_plain(name): each for each in oils() for name in (each.key, *each.aliases)}
    )


def _plain(name: str) -> str:
    return " ".join(name.replace("-", " ").split()).casefold()
