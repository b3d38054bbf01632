"""Mean and spread of the range of a few normal readings, for studies kept with pencil and paper.

Source: the standard table of Shewhart's constants as in D. C. Montgomery, Introduction to
Statistical Quality Control, appendix; the tests work d2 and d3 out again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from benchproof.tables.reading import rows


@dataclass(frozen=True)
class RangeConstants:
    """Mean ``d2`` and standard deviation ``d3`` of the range of n readings of unit spread."""

    d2: float
    d3: float


def range_constants(count: int) -> RangeConstants:
    """Constants of the range of ``count`` readings, 2 to 25; raises ``ValueError`` outside."""
    found = _by_count().get(count)
    if found is None:
        raise ValueError(f"the table of ranges goes from 2 to 25 readings, not {count}")
    return found


@lru_cache(maxsize=1)
def _by_count() -> Mapping[int, RangeConstants]:
    return MappingProxyType(
        {
            int(row["n"]): RangeConstants(float(row["d2"]), float(row["d3"]))
            for row in rows("control_chart_constants.csv")
        }
    )
