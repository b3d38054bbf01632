"""What the four bench tests of an injector share: places on the map, doubts, and what they teach.

Each reading is foreseen at the pressure and tank temperature as they were read. What a lasting
error of a gauge would have done is added by its slope there, worked out once.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Protocol

import numpy as np
from scipy.special import log_ndtr

from benchproof.bench_tests.contract import Array, Figure, Flag
from benchproof.duties.contract import Samples
from benchproof.duties.injector_corner import Corner, State
from benchproof.duties.injector_model import InjectorCones
from benchproof.duties.injector_sizes import service_of
from benchproof.duties.injector_spec import InjectorSpec
from benchproof.quantities import NUMBER

NO_JET: Final = -40.0
"""Log-likelihood of a jet that was there, and is not: impossible, yet with a slope to it."""

_SHARP: Final = 0.02  # share of the steam lost at an edge that is no longer called round
_LIKELY: Final = 0.3  # chance of that from which it is told: one round entry in forty is then

SLOPE_OVER: Final = 0.1e5
"""Step of pressure [Pa] over which slopes are taken."""


class Run(Protocol):
    """A run of the injector: gauge pressure of the steam [Pa] and temperature of the tank [K]."""

    @property
    def steam_pressure(self) -> float:
        """Gauge pressure [Pa]."""
        ...

    @property
    def feed_temperature(self) -> float:
        """Temperature of the tank [K]."""
        ...


class Bench:
    """One injector on the bench: what it does wherever it is tried."""

    def __init__(self, spec: InjectorSpec) -> None:
        self.spec = spec
        self.cones = InjectorCones(spec)
        self._service = service_of(spec)

    def corner(self, *, steam_pressure: float, feed_temperature: float) -> Corner:
        """Tables at a gauge pressure [Pa] and a tank temperature [K]."""
        return Corner(self._service.at(steam_pressure + self.spec.air_pressure, feed_temperature))

    def corners(self, runs: Sequence[Run], *, over: float = 0.0) -> list[Corner]:
        """Tables for each run, at its tank and ``over`` its gauge pressure by so much [Pa]."""
        return [
            self.corner(
                steam_pressure=run.steam_pressure + over, feed_temperature=run.feed_temperature
            )
            for run in runs
        ]


def log_between(value: Array, low: float, high: float, doubt: float) -> Array:
    """Log of the chance that a value, read with a ``doubt``, lies between two others.

    Any shape, one unit for all; ``low`` below ``high``, ``doubt`` above 0.
    """
    below, above = (low - value) / doubt, (high - value) / doubt
    # By the tail that is the smaller: nothing is then lost to rounding.
    flip = below > 0.0
    near, far = np.where(flip, -below, above), np.where(flip, -above, below)
    whole: Array = log_ndtr(near)
    return np.asarray(whole + np.log(-np.expm1(np.minimum(log_ndtr(far) - whole, -1e-12))))


def fed(state: State, doubt: float) -> Array:
    """Log of the chance that an injector that was seen to feed can: margin [-] within a doubt."""
    able: Array = log_ndtr((state.margin - 1.0) / doubt)
    return np.where(
        state.jets, able, NO_JET + np.minimum(np.log(np.maximum(state.over_fold, 1e-6)), 0.0)
    )


def coefficient_figures(samples: Samples) -> Sequence[Figure]:
    """What all injectors of this builder share, as the test has left it."""
    named = (
        ("steam_discharge", "steam discharge"),
        ("momentum", "momentum kept"),
        ("momentum_product", "momentum kept, squared, times recovery"),
        ("water_discharge", "water discharge"),
        ("mixing", "warmth of the chamber, from feed (0) to mixture (1)"),
    )
    # Of steam, with what his entries cost: that is what the next throat passes.
    passed = samples["steam_discharge"] * (1.0 - samples["entry_loss"])
    values = dict(samples) | {"steam_discharge": passed}
    return [Figure(name, label, NUMBER, np.asarray(values[name])) for name, label in named]


def sharp_entry(samples: Samples) -> Sequence[Flag]:
    """Say so where the steam throat's entry is likely not as round as it was stated to be."""
    loss = samples["entry_loss"]
    chance = float(np.mean(loss > _SHARP))
    if chance <= _LIKELY:
        return []
    low, high = (100.0 * float(np.quantile(loss, share)) for share in (0.05, 0.95))
    return [
        Flag(
            "entry not round",
            "The steam throat passes less than one with a rounded entry does: "
            f"{100.0 * chance:.0f} in 100 that its edge costs more than a fiftieth of the steam "
            f"(90 in 100: {low:.1f} to {high:.1f} %). Look at the edge under a glass and round "
            "it, or state its entry as drilled; wet steam or a thermometer that reads low looks "
            "just the same.",
        )
    ]
