"""Measuring instruments, how far each is trusted, and how such doubts add up.

A doubt is a *standard uncertainty* u: one standard deviation of the error of one reading, by a
careful person at room temperature. Independent doubts add as squares; the interval that holds
the truth with a stated probability follows from Student's t with the effective degrees of
freedom of Welch and Satterthwaite.

Source: JCGM 100:2008, Evaluation of measurement data - Guide to the expression of uncertainty in
measurement (GUM), 5.1.2, 6.2.1, G.4.1 and G.6.4.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from scipy.special import ndtri, stdtrit

Measures = Literal["length", "angle", "duration", "mass", "temperature"]

# Rounding must not turn 19 degrees of freedom, worked out as 18.999 999 999, into 18.
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Instrument:
    """A measuring instrument and the standard uncertainty of one reading with it.

    ``u`` is in the SI unit of what it ``measures`` (m, rad, s, kg, K); ``source`` says where the
    figure comes from. Raises ``ValueError`` when ``u`` is not a finite number above zero.
    """

    key: str
    name: str
    measures: Measures
    u: float
    source: str

    def __post_init__(self) -> None:
        if not (math.isfinite(self.u) and self.u > 0.0):
            raise ValueError(
                f"the standard uncertainty of {self.name!r} cannot be {self.u}: "
                "every instrument leaves some doubt, give a number above zero"
            )


INSTRUMENTS: Mapping[str, Instrument] = MappingProxyType(
    {
        instrument.key: instrument
        for instrument in (
            Instrument(
                "micrometer", "25 mm micrometer read to 0.01 mm", "length", 3e-6, "from memory"
            ),
            Instrument(
                "digital micrometer", "digital micrometer, 0.001 mm", "length", 2e-6, "from memory"
            ),
            Instrument("caliper", "caliper", "length", 20e-6, "from memory"),
            Instrument("bore gauge", "three-leg bore gauge", "length", 3e-6, "from memory"),
            Instrument(
                "telescopic gauge",
                "telescopic gauge read by micrometer",
                "length",
                10e-6,
                "from memory",
            ),
            Instrument(
                "gauge pins",
                "gauge pins in steps of 0.01 mm",
                "length",
                1e-5 / math.sqrt(12.0),
                "own calculation: anywhere within one step",
            ),
            Instrument(
                "taper plug",
                "taper plug of 13 degrees pushed home, where it stops",
                "length",
                15e-6,
                "judgement: its mark read to 0.06 mm along the tube",
            ),
            Instrument("clock", "dial test indicator, 0.01 mm", "length", 4e-6, "judgement"),
            Instrument(
                "protractor",
                "vernier protractor, 5 arcmin",
                "angle",
                math.radians(5.0 / 60.0) / math.sqrt(12.0),
                "own calculation: anywhere within one graduation",
            ),
            Instrument(
                "sine bar", "100 mm sine bar on slips, clocked", "angle", 4e-6 / 0.1, "judgement"
            ),
            Instrument("stopwatch", "stopwatch by hand", "duration", 0.2, "from memory"),
            Instrument(
                "video",
                "film at 25 frames a second",
                "duration",
                0.04 / math.sqrt(6.0),
                "own calculation: start and stop each anywhere within one frame",
            ),
            Instrument("kitchen scale", "kitchen scale, 1 g", "mass", 1e-3, "judgement"),
            Instrument(
                "thermometer", "digital thermometer, ±1 °C", "temperature", 0.6, "judgement"
            ),
        )
    }
)


def combined(u: Sequence[float], sensitivities: Sequence[float] | None = None) -> float:
    """Return the combined standard uncertainty of independent doubts, in the result's unit.

    ``u`` are the standard uncertainties of the inputs, ``sensitivities`` how much the result
    changes per unit of each (all 1 when left out). Raises ``ValueError`` for an empty list, a
    negative or unbounded uncertainty, or lists of unequal length. Source: GUM 5.1.2, eq. (11a).
    """
    return math.hypot(*_contributions(u, sensitivities))


def welch_satterthwaite(
    u: Sequence[float],
    degrees_of_freedom: Sequence[float],
    sensitivities: Sequence[float] | None = None,
) -> float:
    """Return the effective degrees of freedom of a combined standard uncertainty, not truncated.

    ``degrees_of_freedom`` are 1 or more each, ``math.inf`` for a doubt taken as known. Arguments
    are otherwise those of :func:`combined`, with the same refusals. Source: GUM G.4.1, eq. (G.2b).
    """
    contributions = _contributions(u, sensitivities)
    if len(degrees_of_freedom) != len(contributions):
        raise ValueError(
            f"{len(contributions)} uncertainties need as many degrees of freedom, "
            f"not {len(degrees_of_freedom)}"
        )
    if not all(degrees >= 1.0 for degrees in degrees_of_freedom):
        raise ValueError(f"degrees of freedom are 1 or more each, not {list(degrees_of_freedom)}")
    total = math.hypot(*contributions)
    if total == 0.0:
        return math.inf
    # Shares of the whole, because fourth powers of microns in metres would run out of digits.
    poverty = sum(
        (contribution / total) ** 4 / degrees
        for contribution, degrees in zip(contributions, degrees_of_freedom, strict=True)
    )
    return 1.0 / poverty if poverty > 0.0 else math.inf


def coverage_factor(*, degrees_of_freedom: float = math.inf, probability: float = 0.95) -> float:
    """Return how many standard uncertainties either side hold the truth with a probability.

    Degrees of freedom that are not whole are truncated to the next whole number below, which the
    guide allows and which never narrows the interval. Raises ``ValueError`` outside
    0 < probability < 1 and below one degree of freedom. Source: GUM G.3.2 and G.6.4.
    """
    if not 0.0 < probability < 1.0:
        raise ValueError(f"a probability lies between 0 and 1, not {probability}")
    if not degrees_of_freedom >= 1.0:
        raise ValueError(f"degrees of freedom are 1 or more, not {degrees_of_freedom}")
    share = 0.5 * (1.0 + probability)
    if math.isinf(degrees_of_freedom):
        return float(ndtri(share))
    return float(stdtrit(math.floor(degrees_of_freedom * (1.0 + _ROUNDING)), share))


def expanded(
    *, combined: float, degrees_of_freedom: float = math.inf, probability: float = 0.95
) -> float:
    """Return the half-width of the interval that holds the truth, in the unit of ``combined``.

    ``combined`` is a combined standard uncertainty, zero or more; refusals as in
    :func:`coverage_factor`. Source: GUM 6.2.1 and G.6.4.
    """
    if not combined >= 0.0:
        raise ValueError(f"a standard uncertainty is zero or more, not {combined}")
    return combined * coverage_factor(
        degrees_of_freedom=degrees_of_freedom, probability=probability
    )


def _contributions(u: Sequence[float], sensitivities: Sequence[float] | None) -> list[float]:
    """Size of each input's share of the result's doubt."""
    if not u:
        raise ValueError("there is no uncertainty to combine: give at least one")
    if not all(math.isfinite(each) and each >= 0.0 for each in u):
        raise ValueError(f"standard uncertainties are zero or more each, not {list(u)}")
    if sensitivities is None:
        return list(u)
    if len(sensitivities) != len(u):
        raise ValueError(
            f"{len(u)} uncertainties need as many sensitivities, not {len(sensitivities)}"
        )
    return [abs(each * change) for each, change in zip(u, sensitivities, strict=True)]
