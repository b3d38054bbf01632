"""The JSON form of a spread: its parameters and a ``kind``, so that no two are confused."""

from __future__ import annotations

import math
import numbers
from collections.abc import Mapping
from dataclasses import fields
from typing import Annotated, Any, Final, TypeAlias

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from benchproof.spread import Below, Fixed, LogNormal, LogUniform, Normal, Spread, Uniform

SPREADS: Final = (Fixed, Normal, Uniform, LogUniform, LogNormal, Below)
_KINDS: Final[dict[str, type[Spread]]] = {
    "fixed": Fixed,
    "normal": Normal,
    "uniform": Uniform,
    "log-uniform": LogUniform,
    "log-normal": LogNormal,
    "below": Below,
}
_NAMES: Final = {spread_type: kind for kind, spread_type in _KINDS.items()}


def spread_to_json(spread: Spread) -> dict[str, object]:
    """Return the plain form of a spread: ``{"kind": "normal", "mean": 10.0, "sd": 3.0}``."""
    form: dict[str, object] = {"kind": _NAMES[type(spread)]}
    for field in fields(spread):
        value = getattr(spread, field.name)
        form[field.name] = spread_to_json(value) if isinstance(value, SPREADS) else value
    return form


def spread_from_json(form: object) -> Spread:
    """Spread of its plain form, of a bare SI number (exact) or of itself.

    Raises ValueError for anything else and for parameters that are not finite.
    """
    if isinstance(form, SPREADS):
        spread: Spread = form
    elif isinstance(form, numbers.Real):
        spread = Fixed(as_float(form))
    elif isinstance(form, Mapping) and isinstance(kind := form.get("kind"), str) and kind in _KINDS:
        spread_type: Any = _KINDS[kind]
        given = {name: value for name, value in form.items() if name != "kind"}
        if set(given) != {field.name for field in fields(spread_type)}:
            names = ", ".join(field.name for field in fields(spread_type))
            raise ValueError(f"a {kind} spread is stated by {names}")
        if spread_type is Below:
            spread = Below(_gap(spread_from_json(given["gap"])))
        else:
            spread = spread_type(**{name: as_float(value) for name, value in given.items()})
    else:
        raise ValueError(f"is not a spread: its kind is one of {', '.join(_KINDS)}")
    if not all(math.isfinite(number) for number in parameters(spread)):
        raise ValueError("a spread needs finite numbers")
    return spread


def as_float(value: object) -> float:
    """Return a number as a float; raises ValueError for what is none, text included."""
    if isinstance(value, bool) or not isinstance(value, numbers.Real):
        raise ValueError("must be a number in SI units")
    try:
        return float(value)
    except OverflowError:
        raise ValueError("is beyond belief") from None


def parameters(spread: Spread) -> list[float]:
    """All numbers that state a spread."""
    if isinstance(spread, Below):
        return parameters(spread.gap)
    return [float(getattr(spread, field.name)) for field in fields(spread)]


def spread_json_schema() -> JsonSchemaValue:
    """JSON schema of the plain form."""
    return {
        "anyOf": [
            {
                "type": "object",
                "properties": {
                    "kind": {"const": kind},
                    **{
                        field.name: {"type": "object" if kind == "below" else "number"}
                        for field in fields(spread_type)
                    },
                },
                "required": ["kind", *(field.name for field in fields(spread_type))],
                "additionalProperties": False,
            }
            for kind, spread_type in _KINDS.items()
        ]
    }


def _gap(spread: Spread) -> LogUniform | LogNormal | Uniform:
    if isinstance(spread, (LogUniform, LogNormal, Uniform)):
        return spread
    raise ValueError("a gap is a uniform, log-uniform or log-normal spread")


class SpreadForm:
    """Annotation that makes pydantic read and write a spread in its plain form."""

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Schema of one spread."""
        del source, handler  # every spread has the same form
        return core_schema.no_info_plain_validator_function(
            spread_from_json,
            serialization=core_schema.plain_serializer_function_ser_schema(spread_to_json),
        )

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """JSON schema of one spread."""
        del schema, handler
        return spread_json_schema()


SpreadField: TypeAlias = Annotated[Spread, SpreadForm()]
"""A spread as a field of any pydantic model."""
