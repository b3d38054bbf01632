"""What was understood of what a builder stated, and where each value comes from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Generic, Literal, TypeAlias, TypeVar

from pydantic import BaseModel

from benchproof.quantities import echo, echo_spread
from benchproof.specs.layout import fields_of
from benchproof.specs.markers import Marker, Quantity
from benchproof.specs.spread_form import SPREADS

if TYPE_CHECKING:
    from benchproof.specs.spec import Spec

Origin: TypeAlias = Literal["stated", "engine", "default"]
SpecT_co = TypeVar("SpecT_co", bound="Spec", covariant=True)


@dataclass(frozen=True)
class Understood(Generic[SpecT_co]):
    """A spec with the origin of each value and the text it was read from.

    Keys are dotted paths (``grooves.count``, ``reading.2.time``); ``text`` holds only what was
    stated or came from the engine.
    """

    spec: SpecT_co
    origin: dict[str, Origin]
    text: dict[str, str]

    def echo(self) -> list[tuple[str, str, Origin]]:
        """Label, value in both measuring systems and origin of every value, in order."""
        return [
            (label, shown, self.origin[path]) for path, label, shown in _leaves(self.spec, "", "")
        ]


def show_value(value: Any, marker: Marker) -> str:
    """Text of one field's value, quantities in both measuring systems."""
    if value is None:
        return "not stated"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(marker, Quantity):
        if isinstance(value, SPREADS):
            return echo_spread(value, marker.kind)
        return echo(value, marker.kind)
    return str(value)


def _leaves(spec: BaseModel, path: str, label: str) -> list[tuple[str, str, str]]:
    leaves: list[tuple[str, str, str]] = []
    for field in fields_of(type(spec)):
        value = getattr(spec, field.name)
        here, name = path + field.name, f"{label}{field.label}"
        if field.marker is not None:
            leaves.append((here, name, show_value(value, field.marker)))
        elif value is None or value == ():
            leaves.append((here, name, "not stated" if value is None else "none"))
        elif field.group is not None:
            leaves.extend(_leaves(value, f"{here}.", f"{name}: "))
        else:
            for number, row in enumerate(value):
                leaves.extend(_leaves(row, f"{here}.{number}.", f"{name} {number + 1}: "))
    return leaves
