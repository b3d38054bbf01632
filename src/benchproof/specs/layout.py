"""How a spec is laid out: its fields, each with its marker or its nested spec."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from benchproof.quantities.errors import shortened
from benchproof.specs.markers import MARKERS, Group, Marker, members


@dataclass(frozen=True)
class Field:
    """One field of a spec.

    Exactly one of ``marker``, ``group`` (one nested spec) and ``rows`` (a tuple of nested specs)
    is given. ``optional`` fields may be None.
    """

    name: str
    label: str
    info: FieldInfo
    marker: Marker | None = None
    group: type[BaseModel] | None = None
    rows: type[BaseModel] | None = None
    optional: bool = False

    @property
    def default(self) -> Any:
        """The default value [SI]; meaningless where ``required``."""
        return self.info.get_default(call_default_factory=True)

    @property
    def required(self) -> bool:
        """Whether there is no default."""
        return self.info.is_required()


def fields_of(spec_type: type[BaseModel]) -> Iterator[Field]:
    """Fields of a spec in their order; raises TypeError for one that does not say what it is."""
    for name, info in spec_type.model_fields.items():
        yield _field(spec_type, name, info)


def _field(spec_type: type[BaseModel], name: str, info: FieldInfo) -> Field:
    annotation = info.annotation
    notes = [*info.metadata, *_notes(annotation)]
    types = members(annotation)
    optional = type(None) in types
    marker = next((note for note in notes if isinstance(note, MARKERS)), None)
    group = next((note for note in notes if isinstance(note, Group)), None)
    label = marker.label if marker else group.label if group else name.replace("_", " ")
    if marker is not None:
        return Field(name, label, info, marker=marker, optional=optional)
    for part in types:
        if isinstance(part, type) and issubclass(part, BaseModel):
            return Field(name, label, info, group=part, optional=optional)
        if get_origin(part) is tuple:
            row, *more = get_args(part)
            if more == [...] and isinstance(row, type) and issubclass(row, BaseModel):
                return Field(name, label, info, rows=row, optional=optional)
    raise TypeError(
        f"{spec_type.__name__}.{name} must carry a marker such as Length(...), "
        f"or be a spec or a tuple of specs: {shortened(str(annotation))}"
    )


def _notes(annotation: Any) -> list[Any]:
    """Return the metadata of Annotated types inside a union."""
    notes: list[Any] = []
    if get_origin(annotation) is Annotated:
        notes.extend(annotation.__metadata__)
    for part in get_args(annotation):
        if get_origin(part) is not tuple:
            notes.extend(_notes(part))
    return notes
