"""What a field of a spec is: a quantity, a choice from a list, words, or yes and no.

A marker stands inside ``Annotated`` and carries all that a form, a document or a refusal needs.
A quantity's bounds hold for typed text and for SI numbers given to the model alike.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Annotated, Any, Final, TypeAlias, get_args, get_origin

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from benchproof import quantities
from benchproof.quantities import Kind
from benchproof.quantities.parsing import bounds_text
from benchproof.quantities.spreads import bounded_values
from benchproof.specs.spread_form import (
    SPREADS,
    as_float,
    spread_from_json,
    spread_json_schema,
    spread_to_json,
)
from benchproof.spread import Spread


@dataclass(frozen=True)
class Quantity:
    """A physical quantity: a float, an int (a count) or a Spread, in SI.

    ``unit`` is what a bare number is read in; empty takes the kind's usual one. ``minimum`` and
    ``maximum`` [SI] are allowed themselves unless ``exclusive``; without them the kind's own
    limits of belief hold. ``inherits`` names what the engine states for it. Raises LookupError
    for a unit that is none of the kind's, ValueError for bounds upside down.
    """

    kind: Kind
    label: str
    help: str = ""
    unit: str = ""
    minimum: float | None = None
    maximum: float | None = None
    inherits: str | None = None
    exclusive: bool = False

    def __post_init__(self) -> None:
        if not self.unit:
            object.__setattr__(self, "unit", USUAL_UNITS.get(self.kind.name, ""))
        self.kind.named(self.unit)
        lower, upper = self.limits
        if not lower <= upper:
            raise ValueError(f"{self.label}: bounds from {lower} down to {upper}")

    @property
    def limits(self) -> tuple[float, float]:
        """Least and greatest value [SI]."""
        kind = self.kind
        lower = kind.lowest if self.minimum is None else max(self.minimum, kind.floor)
        return lower, kind.highest if self.maximum is None else self.maximum

    @property
    def bounds(self) -> str:
        """The stated bounds in words, in the field's unit; empty without any."""
        return bounds_text(
            self.kind, self.minimum, self.maximum, unit=self.unit, exclusive=self.exclusive
        )

    def check(self, value: float | Spread) -> None:
        """Raise ValueError unless an SI value or spread lies within the bounds and is finite."""
        lower, upper = self.limits
        numbers = bounded_values(value) if isinstance(value, SPREADS) else (float(value),)
        for number in numbers:
            if not math.isfinite(number):
                raise ValueError("must be a finite number")
            within = lower < number < upper if self.exclusive else lower <= number <= upper
            if not within:
                shown = quantities.show(number, self.kind, unit=self.unit)
                bounds = bounds_text(
                    self.kind, lower, upper, unit=self.unit, exclusive=self.exclusive
                )
                raise ValueError(f"{shown} is out of bounds: give {self.kind.phrase} {bounds}")

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Schema that takes SI numbers (or spreads) within bounds and no text."""
        del handler  # nothing is coerced: "16" could be metres or micrometres
        parts = members(source)
        takes_none, takes_spread = type(None) in parts, not parts.isdisjoint(SPREADS)

        def validate(value: object) -> float | Spread | None:
            if value is None and takes_none:
                return None
            result: float | Spread
            if takes_spread:
                result = spread_from_json(value)
            else:
                result = as_float(value)
                if int in parts:
                    if not result.is_integer():
                        raise ValueError("must be a whole number")
                    result = int(result)
            self.check(result)
            return result

        def serialise(value: float | Spread | None) -> object:
            return spread_to_json(value) if isinstance(value, SPREADS) else value

        return core_schema.no_info_plain_validator_function(
            validate,
            serialization=core_schema.plain_serializer_function_ser_schema(serialise),
            metadata={
                "takes_none": takes_none,
                "takes_spread": takes_spread,
                "whole": int in parts,
            },
        )

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """JSON schema: an SI number within bounds, or a spread, with its unit named."""
        del handler
        facts: dict[str, Any] = schema.get("metadata", {})
        form: JsonSchemaValue
        if facts.get("takes_spread"):
            form = spread_json_schema()
        else:
            lower, upper = self.limits
            names = ("exclusiveMinimum", "exclusiveMaximum")
            lowest, highest = names if self.exclusive else ("minimum", "maximum")
            number = "integer" if facts.get("whole") else "number"
            form = {"type": number, lowest: lower, highest: upper}
        if facts.get("takes_none"):
            form = {"anyOf": [form, {"type": "null"}]}
        return {**form, "description": self.help or self.label, "unit": self.kind.unit}


USUAL_UNITS: Final = {
    "length": "mm",
    "area": "mm²",
    "mass": "g",
    "duration": "s",
    "temperature": "°C",
    "temperature difference": "K",
    "gauge pressure": "bar",
    "absolute pressure": "bar",
    "pressure difference": "bar",
    "stress": "MPa",
    "speed of rotation": "rpm",
    "fraction": "%",
    "angle": "°",
    "mass flow": "g/s",
    "force": "N",
    "volume": "mL",
    "torque": "N·m",
    "volume flow": "mL/min",
    "speed": "m/s",
    "viscosity": "mPa·s",
}
"""Unit a bare number is read in where a field names none, by kind."""

Length = partial(Quantity, quantities.LENGTH)
Area = partial(Quantity, quantities.AREA)
Mass = partial(Quantity, quantities.MASS)
Duration = partial(Quantity, quantities.DURATION)
Temperature = partial(Quantity, quantities.TEMPERATURE)
TemperatureDifference = partial(Quantity, quantities.TEMPERATURE_DIFFERENCE)
PressureDifference = partial(Quantity, quantities.PRESSURE_DIFFERENCE)
Stress = partial(Quantity, quantities.STRESS)
Rotation = partial(Quantity, quantities.SPEED_OF_ROTATION)
Fraction = partial(Quantity, quantities.FRACTION)
Angle = partial(Quantity, quantities.ANGLE)
Taper = partial(Quantity, quantities.TAPER)
MassFlow = partial(Quantity, quantities.MASS_FLOW)
VolumeFlow = partial(Quantity, quantities.VOLUME_FLOW)
Speed = partial(Quantity, quantities.SPEED)
Viscosity = partial(Quantity, quantities.VISCOSITY)
Force = partial(Quantity, quantities.FORCE)
Torque = partial(Quantity, quantities.TORQUE)
Volume = partial(Quantity, quantities.VOLUME)
Number = partial(Quantity, quantities.NUMBER)
Count = partial(Quantity, quantities.COUNT)


def Pressure(  # noqa: N802 (named as the other quantities are)
    label: str,
    help: str = "",
    unit: str = "bar",
    minimum: float | None = None,
    maximum: float | None = None,
    inherits: str | None = None,
    exclusive: bool = False,
    *,
    absolute: bool = False,
) -> Quantity:
    """Return a gauge pressure [Pa], or an ``absolute`` one."""
    kind = quantities.ABSOLUTE_PRESSURE if absolute else quantities.GAUGE_PRESSURE
    return Quantity(kind, label, help, unit, minimum, maximum, inherits, exclusive)


@dataclass(frozen=True)
class Choice:
    """One of a list of words; ``options`` may be a function, asked when it is needed.

    ``why`` says why there are no others, to whoever asks for one.
    """

    label: str
    options: Callable[[], Sequence[str]] | tuple[str, ...]
    help: str = ""
    inherits: str | None = None
    why: str = ""

    @property
    def words(self) -> tuple[str, ...]:
        """The words to choose from."""
        return tuple(self.options() if callable(self.options) else self.options)

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Schema that takes the words exactly as they stand in the list."""
        takes_none = type(None) in members(source)

        def validate(value: object) -> object:
            if not ((value is None and takes_none) or value in self.words):
                raise ValueError(f"must be one of {', '.join(self.words)}")
            return value

        return core_schema.no_info_after_validator_function(validate, handler(source))


@dataclass(frozen=True)
class Words:
    """Free text."""

    label: str
    help: str = ""
    max_length: int = 200
    inherits: str | None = None

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Schema that takes text of no more than ``max_length`` characters."""

        def validate(value: object) -> object:
            if isinstance(value, str) and len(value) > self.max_length:
                raise ValueError(f"must not be longer than {self.max_length} characters")
            return value

        return core_schema.no_info_after_validator_function(validate, handler(source))


@dataclass(frozen=True)
class Flag:
    """Yes or no."""

    label: str
    help: str = ""
    inherits: str | None = None


@dataclass(frozen=True)
class Group:
    """A label for a nested spec; without one its field name serves."""

    label: str
    help: str = ""


Marker: TypeAlias = Quantity | Choice | Words | Flag
MARKERS: Final[tuple[type[Marker], ...]] = get_args(Marker)


def members(annotation: Any) -> set[Any]:
    """Plain types of an annotation: unions opened, ``Annotated`` and containers taken off."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return members(get_args(annotation)[0])
    parts = get_args(annotation)
    if origin is not None and not isinstance(origin, type):  # typing.Union, Literal
        return set().union(*(members(part) for part in parts)) if parts else set()
    if parts and origin is not tuple:  # X | Y
        return set().union(*(members(part) for part in parts))
    return {annotation}
