"""What a feature is usually read with, where nobody says: never taken as exact."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

USUAL_GAUGE: Final = MappingProxyType(
    {"bore": "bore gauge", "ream": "bore gauge", "turn": "digital micrometer"}
)
"""Instrument by process; common practice."""

OTHERWISE: Final = "caliper"


def usual_gauge(process: str) -> str:
    """Name of the instrument that work of a process is usually read with."""
    return USUAL_GAUGE.get(process, OTHERWISE)
