"""What the workshop's materials are: each figure with its uncertainty and its source.

One row of ``materials.csv`` is one material under the name the trade calls it by, with other
names it goes by. A figure cannot exist here without a standard uncertainty, which covers the
scatter between bars and castings of that name, and without a source; figures that nobody has
looked up say "from memory".
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from benchproof.tables.reading import rows


@dataclass(frozen=True, kw_only=True)
class Value:
    """A figure with its standard uncertainty, both in SI, and where it comes from."""

    value: float
    u: float
    source: str

    def __post_init__(self) -> None:
        if not (math.isfinite(self.value) and math.isfinite(self.u) and self.u > 0.0):
            raise ValueError(f"{self.value} ± {self.u}: a figure needs an uncertainty over zero")
        if not self.source.strip():
            raise ValueError(f"{self.value} ± {self.u}: a figure needs a source")


class UnknownMaterial(ValueError):
    """A name no material here goes by; ``given`` is the name, ``suggestions`` the closest."""

    def __init__(self, given: str, suggestions: tuple[str, ...]) -> None:
        super().__init__(given, suggestions)
        self.given = given
        self.suggestions = suggestions

    def __str__(self) -> str:
        closest = ", ".join(self.suggestions)
        return f"no material is called {self.given!r}; " + (
            f"did you mean {closest}?" if closest else "see the list of materials"
        )


@dataclass(frozen=True, kw_only=True)
class Material:
    """One material of the workshop.

    ``density`` [kg/m3]; ``youngs_modulus`` [Pa]; ``poisson_ratio`` [-]; ``expansion`` [1/K],
    mean linear, 20 to 200 C; ``yield_strength`` [Pa], or 0.2 % proof stress, None where the
    material has none; ``tensile_strength`` [Pa]; ``conductivity`` [W/(m K)]; ``specific_heat``
    [J/(kg K)]; ``highest_temperature`` [K] it may work at, None where nothing is stated (which
    is no leave to run it hot). Strengths are at 20 C and are typical, not the least a bar may
    have: a stress allowed in a pressure part comes from its code, never from here.
    """

    key: str
    name: str
    aliases: tuple[str, ...]
    family: str
    density: Value
    youngs_modulus: Value
    poisson_ratio: Value
    expansion: Value
    conductivity: Value
    specific_heat: Value
    yield_strength: Value | None = None
    tensile_strength: Value | None = None
    highest_temperature: Value | None = None
    note: str = ""


# Column in the file, SI per unit of that column, and what is added after scaling.
_COLUMNS: Mapping[str, tuple[str, float, float]] = MappingProxyType(
    {
        "density": ("density_kg_m3", 1.0, 0.0),
        "youngs_modulus": ("youngs_modulus_gpa", 1e9, 0.0),
        "poisson_ratio": ("poisson_ratio", 1.0, 0.0),
        "expansion": ("expansion_um_m_k", 1e-6, 0.0),
        "yield_strength": ("yield_mpa", 1e6, 0.0),
        "tensile_strength": ("tensile_mpa", 1e6, 0.0),
        "conductivity": ("conductivity_w_m_k", 1.0, 0.0),
        "specific_heat": ("specific_heat_j_kg_k", 1.0, 0.0),
        "highest_temperature": ("highest_working_c", 1.0, 273.15),
    }
)


def material(key: str) -> Material:
    """The material that goes by a name or another name for it.

    Capitals, hyphens and spacing do not matter. Raises UnknownMaterial.
    """
    found = _by_name().get(_plain(key))
    if found is None:
        raise UnknownMaterial(key, _closest(key))
    return found


def material_keys() -> tuple[str, ...]:
    """Names of all materials, in the order of the file (by family)."""
    return tuple(each.key for each in materials())


def metals_that_yield() -> tuple[str, ...]:
    """Names of the materials with a published yield: those that neither crack nor creep first."""
    return tuple(each.key for each in materials() if each.yield_strength is not None)


@lru_cache(maxsize=1)
def materials() -> tuple[Material, ...]:
    """All materials, in the order of the file (by family)."""
    sources = {row["code"]: row["text"] for row in rows("material_sources.csv")}
    return tuple(_material(row, sources) for row in rows("materials.csv"))


def _material(row: Mapping[str, str], sources: Mapping[str, str]) -> Material:
    figures = {
        name: Value(
            value=float(row[column]) * unit + zero,
            u=float(row[f"{column}_u"]) * unit,
            source=sources[row[f"{column}_source"]],
        )
        for name, (column, unit, zero) in _COLUMNS.items()
        if row[column]
    }
    return Material(
        key=row["key"],
        name=row["name"],
        aliases=tuple(row["aliases"].split(";")),
        family=row["family"],
        note=row["note"],
        **figures,
    )


@lru_cache(maxsize=1)
def _by_name() -> Mapping[str, Material]:
    return MappingProxyType(
        {_plain(name): each for each in materials() for name in (each.key, *each.aliases)}
    )


def _plain(name: str) -> str:
    return re.sub(r"[\s_-]+", " ", name).strip().casefold()


def _closest(name: str) -> tuple[str, ...]:
    from difflib import get_close_matches

    near = get_close_matches(_plain(name), list(_by_name()), n=5, cutoff=0.6)
    # Several names of one material are one suggestion.
    return tuple(dict.fromkeys(_by_name()[each].key for each in near))[:3]
