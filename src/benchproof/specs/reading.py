"""What a builder stated, to the SI values of a spec: stated, else the engine's, else default.

Nothing a mapping may hold makes this fail with anything but a list of problems.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any

from pydantic import BaseModel, ValidationError

from benchproof.quantities import QuantityError, parse, show, write_spread
from benchproof.quantities.errors import shortened
from benchproof.specs.layout import Field, fields_of
from benchproof.specs.markers import Choice, Flag, Marker, Quantity
from benchproof.specs.problems import FieldError, Problem
from benchproof.specs.spread_form import SPREADS
from benchproof.specs.understood import Origin
from benchproof.specs.values import listed, read_value

MOST_ROWS = 1000
MOST_UNKNOWN = 20
MOST_NESTED = 10


class Reading:
    """Reads one stated mapping; collects problems, origins and texts on the way."""

    def __init__(self, inherited: Mapping[str, object]) -> None:
        self.inherited = inherited
        self.problems: list[Problem] = []
        self.origin: dict[str, Origin] = {}
        self.text: dict[str, str] = {}

    def whole(self, spec_type: type[BaseModel], stated: object) -> BaseModel | None:
        """Return the spec of anything at all that may have been given for it."""
        if isinstance(stated, Mapping):
            return self.spec(spec_type, stated)
        self._note("spec", "spec", stated, "must be named values, each on a line of its own")
        return None

    def spec(
        self,
        spec_type: type[BaseModel],
        stated: Mapping[object, object],
        *,
        path: str = "",
        label: str = "",
        defaults: BaseModel | None = None,
    ) -> BaseModel | None:
        """Return the spec, or None when it has problems, which are then noted.

        ``defaults`` is a nested group's default, whose values stand where nothing is stated.
        """
        before = len(self.problems)
        layout = list(fields_of(spec_type))
        self._unknown(stated, layout, path)
        values = {field.name: self._field(field, stated, path, label, defaults) for field in layout}
        if len(self.problems) > before:
            return None
        try:
            return spec_type(**values)
        except ValidationError as error:
            for detail in error.errors(include_url=False):
                where = ".".join(str(part) for part in detail["loc"])
                cause = detail.get("ctx", {}).get("error")
                self._refused(cause, where, detail["msg"], layout, path)
        except ArithmeticError:
            self._refused(None, "", "cannot be reckoned with these values", layout, path)
        return None

    def _field(
        self,
        field: Field,
        stated: Mapping[object, object],
        path: str,
        label: str,
        defaults: BaseModel | None,
    ) -> Any:
        here, name = path + field.name, label + field.label
        given = stated.get(field.name)
        blank = given is None or (isinstance(given, str) and not given.strip())
        if field.marker is None:
            return self._nested(field, None if blank else given, here, name, defaults)
        marker = field.marker
        source: Origin = "stated"
        if blank and marker.inherits is not None:
            given, source = self.inherited.get(marker.inherits), "engine"
            blank = given is None or (isinstance(given, str) and not given.strip())
        if not blank:
            self.origin[here] = source
            self.text[here] = given if isinstance(given, str) else shortened(given)
            try:
                return read_value(given, marker, field)
            except QuantityError as error:
                message = error.reason + f"; give {error.allowed}"
                example = "" if ": try " in error.reason else _usual(field) or error.example
                self._note(here, name, given, _from(source) + message, example)
            except FieldError as error:
                self._note(here, name, given, _from(source) + error.message, error.example)
            return None
        self.origin[here] = "default"
        if defaults is not None:
            return getattr(defaults, field.name)
        if field.required:
            self._missing(marker, here, name)
            return None
        return field.default

    def _nested(
        self, field: Field, given: object, here: str, name: str, defaults: BaseModel | None
    ) -> Any:
        if defaults is not None:
            default = getattr(defaults, field.name)
        else:
            default = None if field.required else field.default
        if field.rows is not None:
            return self._rows(field, given, here, name, default)
        assert field.group is not None
        if given is None and default is None and not field.required:
            self.origin[here] = "default"
            return None
        if here.count(".") >= MOST_NESTED:
            self._note(here, name, None, "is nested too deep")
            return None
        if given is not None and not isinstance(given, Mapping):
            self._note(here, name, given, f"must be named values, under a line [{here}]")
            return None
        return self.spec(
            field.group, given or {}, path=f"{here}.", label=f"{name}: ", defaults=default
        )

    def _rows(self, field: Field, given: object, here: str, name: str, default: Any) -> Any:
        assert field.rows is not None
        if given is None:
            if field.required:
                self._note(here, name, None, f"is not stated; {_rows_of(here)}", _one_of(here))
            for number, row in enumerate(default or ()):
                self._mark_default(row, f"{here}.{number}.")
            if not default:
                self.origin[here] = "default"
            return default
        if not isinstance(given, (list, tuple)):
            self._note(here, name, given, f"must be rows: {_rows_of(here)}", _one_of(here))
            return None
        if len(given) > MOST_ROWS:
            self._note(here, name, given, f"has {len(given)} rows; give {MOST_ROWS} at most")
            return None
        if here.count(".") >= MOST_NESTED:
            self._note(here, name, given, "is nested too deep")
            return None
        if not given:
            self.origin[here] = "stated"
        rows = []
        for number, row in enumerate(given):
            if isinstance(row, Mapping):
                where, called = f"{here}.{number}.", f"{name} {number + 1}: "
                rows.append(self.spec(field.rows, row, path=where, label=called))
            else:
                message = f"must be a row of named values: {_rows_of(here)}"
                self._note(f"{here}.{number}", f"{name} {number + 1}", row, message)
        return tuple(rows)

    def _mark_default(self, spec: BaseModel, path: str) -> None:
        for field in fields_of(type(spec)):
            value = getattr(spec, field.name)
            if isinstance(value, BaseModel):
                self._mark_default(value, f"{path}{field.name}.")
            elif field.rows is not None and value:
                for number, row in enumerate(value):
                    self._mark_default(row, f"{path}{field.name}.{number}.")
            else:
                self.origin[path + field.name] = "default"

    def _unknown(self, stated: Mapping[object, object], layout: list[Field], path: str) -> None:
        names = [field.name for field in layout]
        strangers = [key for key in stated if not isinstance(key, str) or key not in names]
        for key in strangers[:MOST_UNKNOWN]:
            shown = shortened(key).strip() or "(no name)"
            close = get_close_matches(shown.replace(" ", "_").casefold(), names, 1)
            hint = f"; did you mean '{close[0]}'?" if close else f"; known are {', '.join(names)}"
            self._note(path + shown, shown, stated[key], f"is not a field here{hint}")
        if len(strangers) > MOST_UNKNOWN:
            more = len(strangers) - MOST_UNKNOWN
            where = path.removesuffix(".") or "spec"
            self._note(where, where, None, f"has {more} more fields that are not known here")

    def _missing(self, marker: Marker, here: str, name: str) -> None:
        message, example = "is not stated", ""
        if isinstance(marker, Quantity):
            try:
                parse(
                    "",
                    marker.kind,
                    default_unit=marker.unit,
                    minimum=marker.minimum,
                    maximum=marker.maximum,
                    exclusive=marker.exclusive,
                )
            except QuantityError as error:
                message, example = f"is not stated; give {error.allowed}", error.example
        elif isinstance(marker, Choice):
            message = f"is not stated; give one of {listed(marker.words)}"
        elif isinstance(marker, Flag):
            message, example = "is not stated; give yes or no", "yes"
        if marker.inherits is not None:
            message += " (the engine does not state it either)"
        self._note(here, name, None, message, example)

    def _refused(
        self, cause: object, where: str, message: str, layout: list[Field], path: str
    ) -> None:
        """Note what a validator of a spec said, under the field it is about."""
        example = ""
        if isinstance(cause, FieldError):
            where, message, example = cause.field, cause.message, cause.example
        elif isinstance(cause, ValueError):
            message = str(cause)
        if not where:
            where = _named_in(message, layout)
        first = where.split(".")[0]
        field = next((field for field in layout if field.name == first), None)
        label = field.label if field else (path.removesuffix(".") or "spec")
        here = (path + where).removesuffix(".") or "spec"
        self._note(here, label, self.text.get(here), message, example)

    def _note(self, field: str, label: str, given: object, message: str, example: str = "") -> None:
        shown = "" if given is None else shortened(given)
        self.problems.append(Problem(field, label, shown, message, example))


def _rows_of(path: str) -> str:
    """How rows of a list are written in a file."""
    return f"put a line {_one_of(path)} above the values of each"


def _one_of(path: str) -> str:
    return f"[[{path}]]"


def _named_in(message: str, layout: list[Field]) -> str:
    """Name of the field that a validator's message speaks of first, or nothing."""
    found = [
        (place.start(), -len(word), field.name)
        for field in layout
        for word in (field.label, field.name)
        if (place := re.search(rf"\b{re.escape(word)}\b", message))
    ]
    return min(found)[2] if found else ""


def _from(source: Origin) -> str:
    return "from the engine: " if source == "engine" else ""


def _usual(field: Field) -> str:
    """Text of what a quantity is taken to be where it is not stated; empty where it must be."""
    marker, value = field.marker, None if field.required else field.default
    if value is None or not isinstance(marker, Quantity):
        return ""
    if isinstance(value, SPREADS):
        return write_spread(value, marker.kind, marker.unit)
    return show(value, marker.kind, unit=marker.unit or None)
