"""Fields that the records of an injector's bench tests share."""

from __future__ import annotations

from functools import partial
from typing import Final

from benchproof.duties.injector_spec import COLDEST, HIGHEST, LOWEST
from benchproof.specs import FieldError, Pressure, PressureDifference, Temperature

SteamPressure = partial(
    Pressure, "steam pressure", help="at the injector, gauge", minimum=LOWEST, maximum=1.2 * HIGHEST
)
FeedTemperature = partial(
    Temperature, "tank", help="temperature of the feed", minimum=COLDEST, maximum=353.15
)
GaugeDoubt = partial(
    PressureDifference,
    "doubt of the gauge",
    help="standard uncertainty of its lasting error",
    unit="bar",
    minimum=100.0,
    maximum=1e5,
)
GAUGE_DOUBT: Final = 5e3
"""Lasting error of a gauge unless said otherwise [Pa]: half a division of 0.1 bar, judgement."""
THERMOMETER_DOUBT: Final = 0.5
"""Doubt of one temperature unless said otherwise [K]: judgement."""
MOST_READINGS: Final = 40


def require_readings(count: int) -> None:
    """Raise FieldError unless there are one to forty readings."""
    if not 1 <= count <= MOST_READINGS:
        raise FieldError("reading", "needs one to forty readings, each under [[reading]]")


def require_rising(low: float, high: float, field: str, words: str) -> None:
    """Raise FieldError for ``field`` unless ``high`` is above ``low``."""
    if high <= low:
        raise FieldError(field, words)
