"""Round bar as it is stocked: sizes in millimetres, and in inches by sixteenths and eighths.

Common practice of metal merchants; none stocks every size in every metal.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import Final

from benchproof.quantities import System

_MILLIMETRES: Final = (
    *(float(size) for size in range(2, 16)),
    *(16.0, 18.0, 20.0, 22.0, 25.0, 28.0, 30.0, 32.0, 35.0, 38.0, 40.0, 45.0, 50.0, 55.0, 60.0),
    *(65.0, 70.0, 75.0, 80.0, 90.0, 100.0, 110.0, 120.0, 130.0, 140.0, 150.0),
)
_INCHES: Final = (
    *(sixteenths / 16 for sixteenths in range(1, 17)),
    *(eighths / 8 for eighths in range(9, 25)),
    *(quarters / 4 for quarters in range(13, 25)),
)
_PLAY: Final = 1e-9  # [m] what a size in inches may differ by through its conversion


def next_bar(diameter: float, system: System) -> float | None:
    """Smallest round bar [m] that is stocked and no smaller than ``diameter`` [m].

    None above 150 mm or 6 inches, where bar is bought to order.
    """
    unit, sizes = (1e-3, _MILLIMETRES) if system == "metric" else (25.4e-3, _INCHES)
    place = bisect_left(sizes, (diameter - _PLAY) / unit)
    return sizes[place] * unit if place < len(sizes) else None
