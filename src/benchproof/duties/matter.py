"""What duties share about materials: the name a spec gives one, and the draw of its expansion.

Parts of one material share one draw of its expansion: a piston and a bore of one metal grow alike,
whatever that metal's true figure is.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar, Self

from pydantic import ValidationInfo, field_validator

from benchproof.duties.contract import Unknown
from benchproof.specs import Spec, Understood
from benchproof.spread import Normal
from benchproof.tables.materials import UnknownMaterial, material

COLD = 293.15  # sizes are stated at 20 degrees Celsius (ISO 1:2022)
_LONGEST_NAME = 60


class MaterialSpec(Spec):
    """A spec some of whose choices are materials, which go by any name the trade has for them."""

    material_fields: ClassVar[tuple[str, ...]] = ()

    @classmethod
    def from_text(
        cls,
        stated: Mapping[str, object],
        *,
        inherited: Mapping[str, object] | None = None,
    ) -> Understood[Self]:
        """Read what people write; a material goes by any name the trade has for it."""
        if isinstance(stated, Mapping):
            stated = {
                name: trade_name(given) if name in cls.material_fields else given
                for name, given in stated.items()
            }
        return super().from_text(stated, inherited=inherited)

    @field_validator("*", mode="before")
    @classmethod
    def _one_name_for_each(cls, given: object, info: ValidationInfo) -> object:
        return trade_name(given) if info.field_name in cls.material_fields else given


def trade_name(given: object) -> object:
    """Name a material has here, of any name it goes by; what is none is left as it is."""
    if isinstance(given, str) and len(given) <= _LONGEST_NAME:
        try:
            return material(given).key
        except UnknownMaterial:
            pass
    return given


def expansion_name(key: str) -> str:
    """Name of the one draw of expansion that all parts of a material share."""
    return f"expansion of {material(key).key}"


def expansion_unknowns(*keys: str) -> list[Unknown]:
    """One draw of expansion for each different material among these."""
    found = []
    for key in dict.fromkeys(material(each).key for each in keys):
        expansion = material(key).expansion
        found.append(
            Unknown(
                expansion_name(key),
                Normal(expansion.value, expansion.u),
                f"expansion of {key}",
                "builder",
                expansion.source,
            )
        )
    return found
