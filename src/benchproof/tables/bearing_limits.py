"""What a bearing metal stands when rubbed without a full film: pressure, and pressure × speed.

The product of mean pressure and rubbing speed is what heats and wears a bearing in the boundary
regime. Published limits are for steady running at room temperature with some oil, on a steel
journal, and differ between books by a factor of two.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from benchproof.tables.materials import material
from benchproof.tables.reading import rows

LIMIT_FACTOR: Final = 1.3
"""One standard deviation between what books allow for one metal multiplies or divides by it."""

_SOURCES: Final = MappingProxyType(
    {
        "mott": "R. L. Mott, Machine Elements in Mechanical Design, table 16-1, boundary "
        "lubrication at room temperature; the pressure from memory",
        "memory": "from memory of handbook tables of plain bearings",
    }
)
_MEGA: Final = 1e6


@dataclass(frozen=True, kw_only=True)
class BearingLimits:
    """Most mean ``pressure`` [Pa] and ``pressure_speed`` [Pa m/s] of a bearing material."""

    pressure: float
    pressure_speed: float
    needs_oil: bool
    source: str


def bearing_limits(name: str) -> BearingLimits | None:
    """Return the limits of a material of any name it goes by; None where nothing is known.

    Raises :class:`benchproof.tables.materials.UnknownMaterial`.
    """
    return _limits().get(material(name).key)


def bearing_materials() -> tuple[str, ...]:
    """Names of the materials whose limits are known."""
    return tuple(_limits())


@lru_cache(maxsize=1)
def _limits() -> Mapping[str, BearingLimits]:
    return MappingProxyType(
        {
            row["material"]: BearingLimits(
                pressure=float(row["pressure_mpa"]) * _MEGA,
                pressure_speed=float(row["pressure_speed_mpa_m_s"]) * _MEGA,
                needs_oil=row["needs_oil"] == "yes",
                source=_SOURCES[row["source"]],
            )
            for row in rows("bearing_limits.csv")
        }
    )
