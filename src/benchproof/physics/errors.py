"""What a physics function says when it is asked outside its range.

Nothing is extrapolated silently: a function states its range and refuses the rest. Samples of
a forward model that may stray are sorted out by their duty before they reach physics.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array: TypeAlias = NDArray[np.float64]


class OutOfRange(ValueError):
    """A quantity lies outside the range in which a formula or table holds.

    ``quantity`` names it, ``given`` is the value farthest out (or not a number) and ``allowed``
    the lowest and highest value accepted, both in SI in ``unit``. ``hint`` says what to try.
    """

    def __init__(
        self, quantity: str, given: float, allowed: tuple[float, float], unit: str, hint: str = ""
    ) -> None:
        super().__init__(quantity, given, allowed, unit, hint)
        self.quantity = quantity
        self.given = given
        self.allowed = allowed
        self.unit = unit
        self.hint = hint

    def __str__(self) -> str:
        low, high = self.allowed
        said = f"{self.quantity} {self.given:.6g} {self.unit} is outside {low:.6g} to {high:.6g}"
        return f"{said} {self.unit}" + (f": {self.hint}" if self.hint else "")


def require_within(
    quantity: str,
    values: ArrayLike,
    *,
    low: float,
    high: float,
    unit: str,
    hint: str = "",
) -> Array:
    """Values as an array [``unit``], once every one of them is known to lie within a range.

    ``values``, ``low`` and ``high`` [``unit``, of the SI], ``values`` of any shape; the ends
    belong to the range. Raises OutOfRange with the value farthest out; what is not a number is
    out of every range.
    """
    checked = np.asarray(values, dtype=np.float64)
    inside = (checked >= low) & (checked <= high)
    if not inside.all():
        outside = checked[~inside]
        farthest = outside[np.argmax(np.abs(outside - 0.5 * (low + high)))]
        raise OutOfRange(quantity, float(farthest), (low, high), unit, hint)
    return checked
