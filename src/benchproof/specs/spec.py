"""The base of every spec: SI only, frozen, bounds kept, typed text read apart from the model."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar, Self

from pydantic import BaseModel, ConfigDict

from benchproof.specs.layout import fields_of
from benchproof.specs.problems import SpecError
from benchproof.specs.reading import Reading
from benchproof.specs.understood import Understood


class Spec(BaseModel):
    """What a builder states for one duty or bench test, in SI.

    Every field carries a marker (``Length(...)``, ``Choice(...)``, ...) or is itself a spec or a
    tuple of specs. The model takes SI values only; what people write is read by ``from_text``.
    ``version`` counts the layouts a spec has had, so that text stored earlier can be upgraded.
    """

    version: ClassVar[int] = 1

    model_config = ConfigDict(frozen=True, extra="forbid", validate_default=True)

    @classmethod
    def __pydantic_init_subclass__(cls, **kwargs: Any) -> None:
        """Refuse, when the class is made, a field that does not say what it is."""
        super().__pydantic_init_subclass__(**kwargs)
        if cls.__pydantic_complete__:
            for _field in fields_of(cls):
                pass

    @classmethod
    def from_text(
        cls,
        stated: Mapping[str, object],
        *,
        inherited: Mapping[str, object] | None = None,
    ) -> Understood[Self]:
        """Read what people write; ``inherited`` is what the engine states, by its own names.

        Values are text, numbers, yes or no, groups (mappings) and lists of groups; empty text
        and None count as not stated. Raises SpecError with all problems at once, and nothing
        else, whatever is given.
        """
        reading = Reading(inherited or {})
        spec = reading.whole(cls, stated)
        if not isinstance(spec, cls):
            raise SpecError(reading.problems)
        return Understood(spec, reading.origin, reading.text)

    def to_si_json(self) -> dict[str, Any]:
        """Return the plain form in SI; ``model_validate`` reads it back as an equal spec."""
        return self.model_dump(mode="json")
