"""Sizes nobody would expect, questioned before they are entered: most are slips of the pen."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from math import hypot
from typing import Any, Final

from benchproof.book.model import Book
from benchproof.book.state import Thing
from benchproof.features import PROCESSES
from benchproof.quantities import LENGTH, System, show

MANY_SPREADS: Final = 6.0
FAR_OFF: Final = 1e-3  # m; a slip of a whole millimetre is the commonest with a micrometer


def unlikely(
    book: Book,
    piece: Thing,
    body: Mapping[str, Any],
    *,
    instead_of: str | None = None,
    system: System = "metric",
    today: date | None = None,
) -> list[str]:
    """What is odd about a size as :meth:`Book.read_size` read it; nothing when it is likely.

    A size is odd when it lies more than a millimetre from its aim (else from the size before, else
    from what is drawn), or more than six spreads of what the lathe has shown from its aim. The
    record it stands ``instead_of`` is left out. A day that is still to come is odd, too.
    """
    if str(body["when"]) > (today or date.today()).isoformat():
        return [f"{body['when']} is still to come"]
    feature, value, aim = body["feature"], float(body["value"]), body["aim"]
    role = book.role_of(piece, feature)
    if role is not None and role.feature.kind is not LENGTH:
        return []
    beside, what = aim, "its aim"
    if beside is None:
        wrong = None if instead_of is None else book.state.first_of(instead_of)
        before = [s for s in book.state.sizes_of(piece.id, feature) if s.id != wrong]
        beside, what = (before[-1].value, "the size before") if before else (None, "")
    if beside is None and role is not None:
        beside, what = role.feature.aim, "what is drawn"
    if beside is None:
        return []
    off = value - float(beside)
    told = f"{show(abs(off), LENGTH, system=system)} {'over' if off > 0.0 else 'under'} {what}"
    if abs(off) > FAR_OFF * (1.0 + 1e-9):
        return [f"{told}, {show(float(beside), LENGTH, system=system)}: more than a millimetre"]
    process = body["process"]
    if aim is None or process is None or body["cut"] != "first":
        return []
    standing = book.lathe_called(body["machine"]).standings[process]
    unit = PROCESSES[process].unit_at(float(body["scale"]))
    spread = hypot(standing.spread_quantile(0.5) * unit, float(body["u"]))
    if abs(off) > MANY_SPREADS * spread:
        return [
            f"{told}: {abs(off) / spread:.0f} times the spread this lathe has shown "
            f"({show(spread, LENGTH, system=system)})"
        ]
    return []
