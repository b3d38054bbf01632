"""Counting what leaks: bubbles or drops in a stated time, or a volume caught.

How many are seen in a time is a count: a Poisson law whose rate itself varies by a tenth from one
reading to the next, since a seat is never quite the same twice. None seen is a count like any
other: it is exp(-expected) likely, so it bounds a leak from above and never says that there is
none. How large a bubble or a drop is, one value for a set-up, is left to the draw.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from typing import Annotated, ClassVar, Final, Protocol

import numpy as np
from pydantic import model_validator

from benchproof.bench_tests.contract import Array, Figure, Flag
from benchproof.duties.cock_leak import DROP, CockLeak, Wedge, steam_at, water_at
from benchproof.duties.cock_spec import CockSpec
from benchproof.duties.contract import Samples
from benchproof.quantities import ANGLE, DURATION, LENGTH, MASS_FLOW, NUMBER, VOLUME, show
from benchproof.specs import Choice, Count, Duration, FieldError, Spec, Volume

PLACES = ("all", "outlet", "small end", "large end")
READING_SCATTER: Final = 0.1  # of the rate, from one reading to the next: judgement
_SHAPE: Final = READING_SCATTER**-2
_REPEATS_APART: Final = 2.5
_TOO_QUICK: Final = 3.0  # a second; nobody counts faster
_LOG_SMALLEST: Final = 1e-300


class Caught(Spec):
    """What was seen at one place in one time: a count, or a volume."""

    version: ClassVar[int] = 1
    where: Annotated[
        str,
        Choice(
            "where it was seen",
            options=PLACES,
            help="the ends of the seat apart from the outlet tell the mismatch of the angles",
        ),
    ] = "all"
    time: Annotated[float, Duration("time watched", unit="min", minimum=1.0, maximum=604800.0)]
    count: Annotated[
        int | None,
        Count("bubbles or drops seen", help="0 when none was seen", minimum=0, maximum=100000),
    ] = None
    volume: Annotated[
        float | None,
        Volume("volume caught", help="in place of a count", unit="mL", minimum=0.0, maximum=1e-2),
    ] = None
    volume_uncertainty: Annotated[
        float,
        Volume("doubt about the volume", unit="mL", minimum=1e-10, maximum=1e-3),
    ] = 0.1e-6

    @model_validator(mode="after")
    def _one_of_two(self) -> Caught:
        if (self.count is None) == (self.volume is None):
            raise FieldError("count", "state either a count (0 when none was seen) or a volume")
        return self


class LeakRecord(Protocol):
    """What a record of either test holds."""

    @property
    def reading(self) -> tuple[Caught, ...]:
        """What was seen."""
        ...


def check_readings(readings: Sequence[Caught]) -> None:
    """Raise FieldError unless there are one to sixty readings."""
    if not 1 <= len(readings) <= 60:
        raise FieldError("reading", "needs one to sixty readings, each under [[reading]]")


class LeakForesight(ABC):
    """What each reading of one set-up would be, in every sample."""

    size_name: str
    size_label: str
    scale_name: str

    def __init__(self, spec: CockSpec, readings: Sequence[Caught]) -> None:
        self.spec = spec
        self.leak = CockLeak(spec)
        self._readings = readings
        self._water, self._steam = water_at(spec, spec.pressure), steam_at(spec)

    @abstractmethod
    def rate(self, samples: Samples, wedge: Wedge) -> Array:
        """Volume that leaks in all, as it is seen [m³/s]."""

    def foresee(self, samples: Samples) -> Array:
        """Volume expected in each reading [m³], shape (n, readings)."""
        wedge = self.leak.wedge(samples)
        rate = self.rate(samples, wedge) * np.exp(samples[self.scale_name])
        shares = {where: self.leak.share(wedge, where) for where in self._places}
        volumes = [rate * shares[each.where] * each.time for each in self._readings]
        return np.maximum(np.stack(volumes, axis=-1), 0.0)

    @property
    def _places(self) -> list[str]:
        return list(dict.fromkeys(each.where for each in self._readings))

    def log_likelihood(self, samples: Samples) -> Array:
        """Log-likelihood of the readings as taken."""
        volumes = self.foresee(samples)
        size = samples[self.size_name]
        total = np.zeros_like(size)
        for column, each in enumerate(self._readings):
            volume = volumes[:, column]
            if each.count is None:
                total += -0.5 * np.square((_caught(each) - volume) / _volume_sd(each))
            else:
                total += count_log_likelihood(count=each.count, expected=volume / size)
        return total

    def residuals(self, samples: Samples) -> Array:
        """Readings less what is foreseen, in standard deviations; shape (n, readings)."""
        volumes = self.foresee(samples)
        size = samples[self.size_name]
        columns = []
        for column, each in enumerate(self._readings):
            volume = volumes[:, column]
            if each.count is None:
                columns.append((_caught(each) - volume) / _volume_sd(each))
            else:
                mean = volume / size
                sd = np.sqrt(np.maximum(mean + mean * mean / _SHAPE, 0.25))
                columns.append((each.count - mean) / sd)
        return np.stack(columns, axis=-1)

    def figures(self, samples: Samples) -> Sequence[Figure]:
        """Gap at the port, mismatch left, what water and steam will leak, size of one drop."""
        wedge = self.leak.wedge(samples)
        found = [Figure("gap", "gap at the port, radial", LENGTH, wedge.gap)]
        if self.spec.lapping != "full":
            mismatch = 2.0 * wedge.left / self.spec.length
            found.append(Figure("mismatch", "mismatch left in the angles", ANGLE, mismatch))
        return [
            *found,
            Figure(
                "drops",
                "drops of cold water a minute at working pressure",
                NUMBER,
                (60.0 / DROP) * self.leak.liquid(wedge, self._water),
            ),
            Figure(
                "steam",
                "dry steam lost at working pressure",
                MASS_FLOW,
                self.leak.gas(wedge, self._steam),
            ),
            Figure(self.size_name, self.size_label, VOLUME, samples[self.size_name]),
        ]


def count_log_likelihood(*, count: int, expected: Array) -> Array:
    """Log-likelihood of a count when so many are expected [-], their rate varying by a tenth.

    A gamma mixture of Poisson laws, all constant terms kept. Minus infinity where something
    was seen and nothing can come. Source: negative binomial distribution.
    """
    constant = math.lgamma(count + _SHAPE) - math.lgamma(_SHAPE) - math.lgamma(count + 1.0)
    total = np.log1p(expected / _SHAPE) * (-_SHAPE - count) + constant
    if count == 0:
        return np.asarray(total)
    seen = count * np.log(np.maximum(expected, _LOG_SMALLEST) / _SHAPE)
    return np.where(expected > 0.0, total + seen, -np.inf)


def _caught(reading: Caught) -> float:
    assert reading.volume is not None
    return reading.volume


def _volume_sd(reading: Caught) -> float:
    return math.hypot(reading.volume_uncertainty, READING_SCATTER * _caught(reading))


def screen_counts(readings: Sequence[Caught], *, thing: str, clean: bool) -> list[Flag]:
    """What counts alone give away; ``thing`` is a bubble or a drop."""
    found = []
    if not clean:
        found.append(
            Flag(
                "not clean",
                "Oil, grease or compound shuts a gap of a few microns and hangs there: the seat "
                "looks tight and is not. Wash plug and body, dry them, and test again.",
                "spoilt",
            )
        )
    if all(each.count == 0 or each.volume == 0.0 for each in readings):
        longest = show(max(each.time for each in readings), DURATION)
        found.append(
            Flag(
                "none seen",
                f"No {thing} in {longest}: that sets a bound to the leak and no more. Watching "
                "longer lowers the bound in proportion.",
                "note",
            )
        )
    rates = _rates(readings)
    if any(max(each) > _REPEATS_APART * min(each) for each in rates.values() if len(each) > 1):
        found.append(
            Flag(
                "repeats differ",
                f"Repeats at one place differ by more than {_REPEATS_APART:.1f} times: the plug "
                "seats differently each time, or carries dirt. Wash, seat it with the same pull, "
                "and repeat.",
            )
        )
    if any(each.count is not None and each.count > _TOO_QUICK * each.time for each in readings):
        found.append(
            Flag(
                "too quick",
                f"More than three {thing}s a second cannot be counted: catch the volume instead.",
            )
        )
    if all(each.where == "outlet" for each in readings):
        found.append(
            Flag(
                "outlet only",
                "Only the outlet was watched. Most of a leak leaves at the ends of the seat: watch "
                "them too, each apart from the outlet, and the mismatch shows.",
                "note",
            )
        )
    return found


def _rates(readings: Sequence[Caught]) -> Mapping[str, list[float]]:
    """Rates of repeats at one place, counts of four or more and volumes apart."""
    found: dict[str, list[float]] = {}
    for each in readings:
        if each.count is not None and each.count >= 4:
            found.setdefault(f"{each.where} count", []).append(each.count / each.time)
        elif each.volume:
            found.setdefault(f"{each.where} volume", []).append(each.volume / each.time)
    return found
