"""A spec's fields as rows, for forms, documents and commands."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import BaseModel

from benchproof.specs.layout import Field, fields_of
from benchproof.specs.markers import Choice, Quantity
from benchproof.specs.understood import show_value


@dataclass(frozen=True)
class FieldRow:
    """One field in words: ``default`` and ``bounds`` as shown; empty where there are none.

    ``name`` is a dotted path; ``*`` stands for the number of a row. ``form`` is the kind of
    quantity, or choice, words, yes or no, list.
    """

    name: str
    label: str
    help: str
    form: str
    unit: str
    required: bool
    default: str
    bounds: str
    inherits: str
    options: tuple[str, ...]


def describe(spec_type: type[BaseModel]) -> list[FieldRow]:
    """Rows of all fields of a spec, nested groups opened, in order."""
    return _rows(spec_type, "", "", None)


def _rows(
    spec_type: type[BaseModel], path: str, label: str, defaults: BaseModel | None
) -> list[FieldRow]:
    rows: list[FieldRow] = []
    for field in fields_of(spec_type):
        here, name = path + field.name, label + field.label
        known = defaults is not None or not field.required
        default = getattr(defaults, field.name) if defaults is not None else field.default
        if field.marker is not None:
            rows.append(_row(field, here, name, default if known else None, known))
            continue
        nested = field.group or field.rows
        assert nested is not None
        if path.count(".") > 4:  # a spec that holds itself
            continue
        if field.group is not None:
            inner = default if known else None
            rows.extend(_rows(nested, f"{here}.", f"{name}: ", inner))
        else:
            rows.extend(_rows(nested, f"{here}.*.", f"{name}: ", None))
    return rows


def _row(field: Field, name: str, label: str, default: object, known: bool) -> FieldRow:
    marker = field.marker
    assert marker is not None
    quantity = marker if isinstance(marker, Quantity) else None
    return FieldRow(
        name=name,
        label=label,
        help=marker.help,
        form=quantity.kind.name if quantity else _FORMS[type(marker).__name__],
        unit=quantity.kind.named(quantity.unit).symbol if quantity else "",
        required=not known,
        default=show_value(default, marker) if known else "",
        bounds=quantity.bounds if quantity else "",
        inherits=marker.inherits or "",
        options=marker.words if isinstance(marker, Choice) else (),
    )


_FORMS = {"Choice": "choice", "Words": "words", "Flag": "yes or no"}
