"""What to saw off a bar or have cast: the blank that a turned part is made from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from benchproof.tables.castings import Allowance, Contraction, allowances, contraction, methods

BAR: Final = "bar"
MOULDING: Final = tuple(method for method in methods() if method != BAR)
"""Ways of casting that an allowance is known for."""
PARTING: Final = 3e-3
"""[m] What a parting tool or a saw takes off the length (common practice)."""
_LEAST_HELD, _MOST_HELD = 10e-3, 25e-3  # [m] depth that three jaws want, and that they have
SMALL_PATTERN: Final = 75e-3
"""[m] Across which rapping may make up for the contraction (Lineham, p. 63)."""


class NoAllowance(ValueError):
    """A part larger than the tables go, or a way of casting they do not know."""


@dataclass(frozen=True, kw_only=True)
class Blank:
    """A round blank: ``diameter`` and ``length`` [m] as sawn or as cast, and where they come from.

    A casting has the size of its pattern too, where the contraction of its metal is known and
    the way of casting has a pattern that shrinks by that alone.
    """

    made_as: str
    diameter: float
    length: float
    allowance: Allowance
    contraction: Contraction | None = None
    pattern: tuple[float, float] | None = None
    notes: tuple[str, ...] = ()
    held: float = 0.0
    """[m] Of the length: what the chuck holds while the part is turned."""

    @property
    def sources(self) -> tuple[str, ...]:
        """Where the figures come from."""
        found = [f"machining allowance: {self.allowance.source}"]
        if self.contraction is not None:
            found.append(f"contraction of {self.contraction.metal}: {self.contraction.source}")
        return tuple(found)


def bar_blank(*, diameter: float, length: float) -> Blank:
    """Least bar for a turned part of ``diameter`` and ``length`` [m], sawn or parted off.

    Faced at both ends, held by as much as it is thick, but by 10 mm at the least and the depth of
    the jaws, 25 mm, at the most (common practice). Raises :class:`NoAllowance`.
    """
    left = _allowance(BAR, max(diameter, length))
    held = min(max(diameter, _LEAST_HELD), _MOST_HELD)
    return Blank(
        made_as=BAR,
        diameter=diameter + 2.0 * left.per_face,
        length=length + 2.0 * left.per_face + PARTING + held,
        allowance=left,
        notes=(
            "Bar: the next size stocked; its length has what is faced off, what parting takes, "
            "and what the chuck holds.",
        ),
        held=held,
    )


def casting_blank(*, diameter: float, length: float, metal: str, moulding: str) -> Blank | None:
    """Casting and pattern for a turned part of ``diameter`` and ``length`` [m].

    ``metal`` is a material by name; None for one that is not cast, as far as the tables know.
    Raises :class:`NoAllowance`.
    """
    shrinks = contraction(metal)
    if shrinks is None:
        return None
    left = _allowance(moulding, max(diameter, length))
    cast = (diameter + 2.0 * left.per_face, length + 2.0 * left.per_face)
    if moulding == "lost wax":
        return Blank(
            made_as=moulding,
            diameter=cast[0],
            length=cast[1],
            allowance=left,
            notes=("Wax and shell shrink and grow too: ask the foundry for the pattern's size.",),
        )
    notes = ["Draught and fillets come on top."]
    if max(cast) < SMALL_PATTERN and moulding == "green sand by hand":
        notes.append(
            "So small a pattern may need no contraction sideways, where rapping opens the mould; "
            "it always does upwards."
        )
    return Blank(
        made_as=moulding,
        diameter=cast[0],
        length=cast[1],
        allowance=left,
        contraction=shrinks,
        pattern=(cast[0] * (1.0 + shrinks.middle), cast[1] * (1.0 + shrinks.middle)),
        notes=tuple(notes),
    )


def _allowance(method: str, largest: float) -> Allowance:
    rows = allowances(method)
    if not rows:
        raise NoAllowance(f"no allowance is known for {method!r}; known: {', '.join(methods())}")
    for row in rows:
        if largest <= row.up_to * (1.0 + 1e-9):
            return row
    raise NoAllowance(
        f"the table for {method} ends at {rows[-1].up_to * 1e3:.0f} mm; "
        f"the part measures {largest * 1e3:.1f} mm"
    )
