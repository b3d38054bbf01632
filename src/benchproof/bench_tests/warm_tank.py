"""Warm tank: the feed is warmed until the injector knocks off.

With a warmer feed the combining cone's vacuum goes, less water comes in, and at last the steam is
not condensed. Where that happens tells how cold the vapour in the chamber is: nearer to the feed,
or to the mixture.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, ClassVar, Final

import numpy as np
from pydantic import model_validator
from scipy.special import log_ndtr

from benchproof.bench_tests.contract import Array, BenchTest, Figure, Flag
from benchproof.bench_tests.injector_bench import Bench, coefficient_figures
from benchproof.bench_tests.injector_records import (
    THERMOMETER_DOUBT,
    SteamPressure,
    require_readings,
    require_rising,
)
from benchproof.duties.contract import Samples, Unknown
from benchproof.duties.injector_corner import State
from benchproof.duties.injector_spec import COLDEST, InjectorSpec
from benchproof.physics.injector_running import Cause
from benchproof.quantities import TEMPERATURE, echo
from benchproof.specs import Spec, Temperature, TemperatureDifference
from benchproof.spread import Normal

_HOTTEST: Final = 363.15
_STEADY: Final = 0.01  # of inflow or delivery pressure: how far from its limit it may break
_CHOKED: Final = -0.05
_WIDE: Final = 5.0


class Warmed(Spec):
    """Between which tank temperatures it knocked off."""

    version: ClassVar[int] = 1
    steam_pressure: Annotated[float, SteamPressure()]
    ran_at: Annotated[
        float,
        Temperature("still ran at", help="tank", minimum=COLDEST, maximum=_HOTTEST),
    ]
    broke_at: Annotated[
        float,
        Temperature("broke at", help="tank", minimum=COLDEST, maximum=_HOTTEST),
    ]

    @model_validator(mode="after")
    def _rises(self) -> Warmed:
        require_rising(
            self.ran_at, self.broke_at, "broke_at", "must be above the warmth at which it ran"
        )
        return self


class WarmRecord(Spec):
    """Feed limits of one injector."""

    version: ClassVar[int] = 1
    thermometer_doubt: Annotated[
        float,
        TemperatureDifference(
            "doubt of the thermometer",
            help="standard uncertainty of its lasting error",
            minimum=0.05,
            maximum=5.0,
        ),
    ] = THERMOMETER_DOUBT
    reading: tuple[Warmed, ...]

    @model_validator(mode="after")
    def _has_readings(self) -> WarmRecord:
        require_readings(len(self.reading))
        return self


class WarmForesight:
    """How far from knocking off it would be at both ends of each reading, in every sample."""

    def __init__(self, spec: InjectorSpec, record: WarmRecord) -> None:
        self.record = record
        self.bench = Bench(spec)
        self._ends = [
            tuple(
                self.bench.corner(steam_pressure=run.steam_pressure, feed_temperature=warmth)
                for warmth in (run.ran_at, run.broke_at)
            )
            for run in record.reading
        ]

    @staticmethod
    def _strength(state: State) -> Array:
        """How far inside its nearest limit it is, as a share; below 0 it has knocked off."""
        condensed = np.log(np.maximum(state.over_fold, 1e-3))
        strength = np.where(
            state.jets, np.minimum(condensed, np.log(np.maximum(state.margin, 1e-3))), condensed
        )
        choked = state.cause == Cause.THROAT_CHOKED
        return np.where(choked, np.minimum(strength, _CHOKED), strength)

    def _sides(self, samples: Samples) -> Array:
        """How far each end is on its right side, in doubts; shape (n, readings, 2)."""
        cones = self.bench.cones(samples)
        found = []
        for run, ends in zip(self.record.reading, self._ends, strict=True):
            ran, broke = (self._strength(corner.perform(cones)) for corner in ends)
            slope = (broke - ran) / (run.broke_at - run.ran_at)
            off = slope * samples["warm_thermometer"]
            found.append(np.stack([ran - off, off - broke], axis=-1) / _STEADY)
        return np.stack(found, axis=1)

    def residuals(self, samples: Samples) -> Array:
        """How far each reading is on the wrong side, in doubts, 0 where it is right."""
        wrong = np.clip(-self._sides(samples), 0.0, None)
        return np.asarray(np.where(wrong[..., 0] > wrong[..., 1], -wrong[..., 0], wrong[..., 1]))

    def log_likelihood(self, samples: Samples) -> Array:
        """Log of the chance that it ran at the one end and had broken at the other."""
        chance: Array = log_ndtr(self._sides(samples))
        return np.asarray(chance.sum(axis=(1, 2)))

    def figures(self, samples: Samples) -> Sequence[Figure]:
        """Coefficients."""
        return coefficient_figures(samples)


class WarmTank(BenchTest[WarmRecord]):
    """Warm the tank until it knocks off."""

    key = "warm-tank"
    title = "Warm tank"
    summary = "The tank temperature at which it knocks off tells the vacuum in its cone."
    serves = ("injector",)
    record_type = WarmRecord
    theory = (
        "Vapour over water somewhere between feed and mixture fills the combining chamber; where, "
        "is a closure of our own that nobody has published. The warmest feed with which the "
        "balance of condensing has a root fixes it. A break within one part in a hundred of the "
        "limit is taken as being at it."
    )
    sources = (
        "Vacuum against temperature: V. A. B. Hughes, The Steam Injector, 1912, pages 96 and 109",
        "Chamber between feed and mixture: own closure",
    )

    def procedure(self, spec: InjectorSpec | None) -> Sequence[str]:
        """Steps at the bench."""
        return (
            "Set up as for the catch-test, with its cautions: at the break steam and scalding "
            "water leave at the overflow at once. Nobody before it, a hand at the steam valve.",
            "Have hot and cold water ready. Start with the tank cold and the injector feeding "
            "steadily at a steady pressure.",
            "Warm the tank by 2 °C (4 °F) at a time with hot water, stirred; wait half a minute "
            "at each.",
            "Note the warmest tank with which it ran for that half minute, and the one with which "
            "it broke. Read the thermometer in the tank's outlet.",
            "Shut the steam, let it cool, and come at the limit once more from below.",
        )

    def unknowns(self, spec: InjectorSpec, record: WarmRecord) -> Sequence[Unknown]:
        """The lasting error of the thermometer."""
        return [Unknown("warm_thermometer", Normal(0.0, record.thermometer_doubt),
                        "error of the thermometer", "bench test")]  # fmt: skip

    def prepare(self, spec: InjectorSpec, record: WarmRecord) -> WarmForesight:
        """Tables at both ends of each reading."""
        return WarmForesight(spec, record)

    def screen(self, spec: InjectorSpec, record: WarmRecord) -> Sequence[Flag]:
        """What the readings alone give away."""
        found = []
        for number, run in enumerate(record.reading, 1):
            if run.broke_at - run.ran_at > _WIDE:
                found.append(
                    Flag(
                        "wide",
                        f"Reading {number} leaves {echo(run.ran_at, TEMPERATURE)} to "
                        f"{echo(run.broke_at, TEMPERATURE)} open: smaller steps tell more.",
                        "note",
                    )
                )
            if run.ran_at < spec.warmest_feed:
                found.append(
                    Flag(
                        "colder than wanted",
                        f"Reading {number}: it was last seen running colder than the warmest tank "
                        f"it is to work with, {echo(spec.warmest_feed, TEMPERATURE)}.",
                        "note",
                    )
                )
        return found
