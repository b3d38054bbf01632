"""Throttle test: the delivery is throttled against a gauge until the jet breaks.

The highest pressure it delivers against, over the jet's dynamic pressure, is the recovery of the
delivery cone. Together with the momentum that catch-test and dry-point tell it fixes both.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, ClassVar, Final

import numpy as np
from pydantic import model_validator

from benchproof.bench_tests.contract import Array, BenchTest, Figure, Flag
from benchproof.bench_tests.injector_bench import (
    NO_JET,
    Bench,
    coefficient_figures,
    log_between,
)
from benchproof.bench_tests.injector_records import (
    GAUGE_DOUBT,
    FeedTemperature,
    GaugeDoubt,
    SteamPressure,
    require_readings,
    require_rising,
)
from benchproof.duties.contract import Samples, Unknown
from benchproof.duties.injector_spec import InjectorSpec
from benchproof.quantities import FRACTION, show
from benchproof.specs import Pressure, PressureDifference, Spec
from benchproof.spread import Normal

_MOST: Final = 25e5
_READ_TO: Final = 0.3  # of a division, one standard deviation
_WIDE: Final = 0.1


class Throttled(Spec):
    """Against which delivery pressures the jet held and broke."""

    version: ClassVar[int] = 1
    steam_pressure: Annotated[float, SteamPressure()]
    feed_temperature: Annotated[float, FeedTemperature()]
    held_at: Annotated[
        float,
        Pressure("still fed at", help="delivery gauge", minimum=0.5e5, maximum=_MOST),
    ]
    broke_at: Annotated[
        float,
        Pressure("broke at", help="delivery gauge, highest seen", minimum=0.5e5, maximum=_MOST),
    ]

    @model_validator(mode="after")
    def _rises(self) -> Throttled:
        require_rising(
            self.held_at,
            self.broke_at,
            "broke_at",
            "must be above the pressure at which it still fed; by a division when nothing better "
            "was seen",
        )
        return self


class ThrottleRecord(Spec):
    """Throttlings of one injector."""

    version: ClassVar[int] = 1
    gauge_doubt: Annotated[float, GaugeDoubt()] = GAUGE_DOUBT
    gauge_division: Annotated[
        float,
        PressureDifference(
            "one division of the delivery gauge", unit="bar", minimum=100.0, maximum=1e5
        ),
    ] = 1e4
    reading: tuple[Throttled, ...]

    @model_validator(mode="after")
    def _has_readings(self) -> ThrottleRecord:
        require_readings(len(self.reading))
        return self


class ThrottleForesight:
    """Highest delivery pressure at each reading, in every sample."""

    def __init__(self, spec: InjectorSpec, record: ThrottleRecord) -> None:
        self.record = record
        self.bench = Bench(spec)
        self._corners = self.bench.corners(record.reading)
        self._scatter = _READ_TO * record.gauge_division

    def foresee(self, samples: Samples) -> tuple[Array, Array]:
        """Highest delivery pressure as the gauge reads it [Pa], (n, readings); cost of no jet."""
        cones = self.bench.cones(samples)
        found, cost = [], np.zeros_like(samples["throttle_gauge"])
        for corner in self._corners:
            state = corner.perform(cones)
            found.append(state.highest + samples["throttle_gauge"])
            cost = cost + np.where(state.jets, 0.0, NO_JET)
        return np.stack(found, axis=1), cost

    def residuals(self, samples: Samples) -> Array:
        """Middle of each reading less what is foreseen, in doubts of its width and scatter."""
        seen, _ = self.foresee(samples)
        held, broke = (
            np.array([getattr(run, name) for run in self.record.reading])
            for name in ("held_at", "broke_at")
        )
        doubt = np.hypot((broke - held) / np.sqrt(12.0), self._scatter)
        return np.asarray((0.5 * (held + broke) - seen) / doubt)

    def log_likelihood(self, samples: Samples) -> Array:
        """Log of the chance that the jet broke just between."""
        seen, found = self.foresee(samples)
        for row, run in enumerate(self.record.reading):
            found = found + log_between(seen[:, row], run.held_at, run.broke_at, self._scatter)
        return np.asarray(found)

    def figures(self, samples: Samples) -> Sequence[Figure]:
        """Coefficients, and the recovery of this very delivery cone."""
        recovery = self.bench.cones(samples)["recovery"]
        return [
            *coefficient_figures(samples),
            Figure("recovery", "recovery of this delivery cone", FRACTION, recovery),
        ]


class ThrottleTest(BenchTest[ThrottleRecord]):
    """Throttle the delivery until the jet breaks."""

    key = "throttle-test"
    title = "Throttle test"
    summary = "The highest pressure the jet delivers against tells what its cone gives back."
    serves = ("injector",)
    record_type = ThrottleRecord
    theory = (
        "The jet's dynamic pressure times the recovery is the highest delivery pressure. Alone "
        "the test fixes little more than momentum squared times recovery, which is what the lowest "
        "working pressure hangs on. A delivery throat measured 5 µm large moves momentum and "
        "recovery opposite ways, and their product by half a part in a hundred."
    )
    sources = (
        "Delivery velocity: V. A. B. Hughes, The Steam Injector, 1912, pages 41 and 98",
        "A gauge is read to a third of its division: judgement",
    )

    def procedure(self, spec: InjectorSpec | None) -> Sequence[str]:
        """Steps at the bench."""
        return (
            "Set up as for the catch-test, with its cautions. Put a needle valve and a gauge that "
            "reads to twice the boiler pressure between injector and clack; when the jet breaks, "
            "steam and scalding water leave at the overflow at once.",
            "All on the delivery must bear twice the boiler pressure, tried with cold water "
            "before; never shut the valve fully.",
            "Start at a pressure at which it plainly spills, valve open, and hold the steam "
            "pressure steady.",
            "Close the valve by small steps, ten seconds each. Note the highest gauge at which it "
            "still fed, and the reading at which it broke.",
            "Open the valve, shut the steam, let it cool until it lifts again. Three times; write "
            "down each.",
        )

    def unknowns(self, spec: InjectorSpec, record: ThrottleRecord) -> Sequence[Unknown]:
        """The lasting error of the delivery gauge against that of the steam."""
        return [Unknown("throttle_gauge", Normal(0.0, record.gauge_doubt),
                        "error of the delivery gauge", "bench test")]  # fmt: skip

    def prepare(self, spec: InjectorSpec, record: ThrottleRecord) -> ThrottleForesight:
        """Tables at each reading."""
        return ThrottleForesight(spec, record)

    def screen(self, spec: InjectorSpec, record: ThrottleRecord) -> Sequence[Flag]:
        """What the readings alone give away."""
        found = []
        for number, run in enumerate(record.reading, 1):
            ratio = run.broke_at / run.steam_pressure
            if run.held_at > 2.0 * run.steam_pressure:
                found.append(
                    Flag(
                        "too strong",
                        f"Reading {number} held {ratio:.1f} times the steam's pressure: no "
                        "injector of this kind does. Look at both gauges.",
                    )
                )
            if run.broke_at < run.steam_pressure:
                found.append(
                    Flag(
                        "below boiler",
                        f"Reading {number} broke below the boiler's own pressure: this injector "
                        "does not feed there. Look for a burr, a leak of air, a warm tank.",
                        "note",
                    )
                )
            if run.broke_at - run.held_at > _WIDE * run.held_at:
                found.append(
                    Flag("wide", f"Reading {number} is open by more than a tenth, "
                         f"{show(ratio, FRACTION)} of the steam's pressure at its top: smaller "
                         "steps.", "note")
                )  # fmt: skip
        return found
