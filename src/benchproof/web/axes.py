"""Axes of charts: round figures to mark, and where on the picture a value stands."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Axis:
    """Values from ``low`` to ``high`` along a picture from ``start`` to ``end`` [px]."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Place of a value, kept within the picture."""
        share = (value - self.low) / (self.high - self.low) if self.high > self.low else 0.5
        return self.start + min(max(share, 0.0), 1.0) * (self.end - self.start)

    def marks(self, most: int = 5) -> list[float]:
        """Round values to mark, ``most`` or fewer."""
        spread = self.high - self.low
        if not (spread > 0.0 and math.isfinite(spread)):
            return [self.low]
        rough = spread / most
        power = 10.0 ** math.floor(math.log10(rough))
        step = next(power * each for each in (1.0, 2.0, 2.5, 5.0, 10.0) if power * each >= rough)
        first = math.ceil(self.low / step - 1e-9)
        last = math.floor(self.high / step + 1e-9)
        return [number * step for number in range(first, last + 1)]

    def decimals(self, most: int = 5) -> int:
        """Decimals that tell the marks apart."""
        marks = self.marks(most)
        if len(marks) < 2:
            return 3
        step = marks[1] - marks[0]
        return next((d for d in range(9) if abs(round(step, d) - step) < 1e-9 * step), 9)


def px(number: float) -> str:
    """A place on the picture, to a tenth of a pixel."""
    return f"{number:.1f}".removesuffix(".0")
