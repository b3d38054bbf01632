"""Catch test: what an injector delivers and spills in a minute, by bucket, watch and thermometer.

Delivery and spill together with the rise in temperature tell how much steam went in and how much
water: the warmth of the mixture is a measure of the steam a hundred times finer than weighing the
tank. So the test fixes the steam throat's discharge and what the ring lets in; how fast the jet
is, and so momentum, shows in what the delivery throat passes while it spills.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, ClassVar, Final

import numpy as np
from pydantic import model_validator

from benchproof.bench_tests.contract import Array, BenchTest, Figure, Flag
from benchproof.bench_tests.injector_bench import (
    SLOPE_OVER,
    Bench,
    coefficient_figures,
    fed,
    sharp_entry,
)
from benchproof.bench_tests.injector_records import (
    GAUGE_DOUBT,
    THERMOMETER_DOUBT,
    FeedTemperature,
    GaugeDoubt,
    SteamPressure,
    require_readings,
)
from benchproof.duties.contract import Samples, Unknown
from benchproof.duties.injector_corner import Corner, State
from benchproof.duties.injector_sizes import plan_of
from benchproof.duties.injector_spec import InjectorSpec
from benchproof.quantities import GAUGE_PRESSURE, MASS_FLOW, NUMBER, TEMPERATURE, echo
from benchproof.specs import (
    Duration,
    FieldError,
    Fraction,
    Mass,
    Spec,
    Temperature,
    TemperatureDifference,
)
from benchproof.spread import Normal

_LEAST_TIME: Final = 20.0
_FAR_OFF: Final = 2.0
_RISE: Final = (5.0, 85.0)


class Caught(Spec):
    """What was caught in one run."""

    version: ClassVar[int] = 1
    steam_pressure: Annotated[float, SteamPressure()]
    feed_temperature: Annotated[float, FeedTemperature()]
    time: Annotated[float, Duration("time", minimum=5.0, maximum=3600.0)]
    delivered: Annotated[
        float, Mass("delivered", help="weighed, bucket taken off", minimum=1e-3, maximum=200.0)
    ]
    spilled: Annotated[
        float,
        Mass("spilled", help="at the overflow; 0 when it was dry", minimum=0.0, maximum=200.0),
    ]
    delivery_temperature: Annotated[
        float | None,
        Temperature(
            "delivered at", help="of the delivery, in its stream", minimum=278.15, maximum=400.0
        ),
    ] = None

    @model_validator(mode="after")
    def _is_warmer(self) -> Caught:
        if (
            self.delivery_temperature is not None
            and self.delivery_temperature <= self.feed_temperature
        ):
            raise FieldError("delivery_temperature", "must be above the tank's: steam went in")
        return self


class CatchRecord(Spec):
    """Runs of one injector, caught and weighed."""

    version: ClassVar[int] = 1
    gauge_doubt: Annotated[float, GaugeDoubt()] = GAUGE_DOUBT
    thermometer_doubt: Annotated[
        float,
        TemperatureDifference(
            "doubt of the thermometers",
            help="standard uncertainty of their difference",
            minimum=0.05,
            maximum=5.0,
        ),
    ] = THERMOMETER_DOUBT
    mass_doubt: Annotated[
        float,
        Fraction(
            "doubt of what is caught",
            help="standard uncertainty of scale, watch and splashes, share of the whole",
            minimum=0.001,
            maximum=0.1,
        ),
    ] = 0.01
    reading: tuple[Caught, ...]

    @model_validator(mode="after")
    def _has_runs(self) -> CatchRecord:
        require_readings(len(self.reading))
        return self


class CatchForesight:
    """What each run would deliver, spill and read, in every sample."""

    def __init__(self, spec: InjectorSpec, record: CatchRecord) -> None:
        self.record = record
        self.bench = Bench(spec)
        self._corners = self.bench.corners(record.reading)
        # Beside each, a little higher: what a lasting error of the gauge would have done.
        self._higher = self.bench.corners(record.reading, over=SLOPE_OVER)

    @staticmethod
    def _of(corner: Corner, state: State) -> Array:
        return np.stack([state.delivered, state.spilled, corner.temperature(state)], axis=-1)

    def foresee(self, samples: Samples) -> tuple[Array, Array]:
        """Delivery and spill [kg/s] and temperature [K] of each run, shape (n, runs, 3); chances.

        Second, the log of the chance that such an injector was seen to run.
        """
        cones = self.bench.cones(samples)
        gauge = samples["catch_gauge"]
        found, able = [], np.zeros_like(gauge)
        for corner, higher in zip(self._corners, self._higher, strict=True):
            state = corner.perform(cones)
            seen = self._of(corner, state)
            slope = (self._of(higher, higher.perform(cones)) - seen) / SLOPE_OVER
            seen = seen - gauge[:, None] * slope
            seen[:, :2] *= 1.0 + samples["catch_mass"][:, None]
            seen[:, 2] += samples["catch_warmth"]
            found.append(seen)
            able = able + fed(state, self.record.gauge_doubt / corner.needed)
        return np.stack(found, axis=1), able

    def _in_doubts(self, seen: Array) -> Array:
        """Readings less what is foreseen, in standard deviations; shape (n, runs, 3)."""
        found = np.zeros_like(seen)
        for row, run in enumerate(self.record.reading):
            whole = (run.delivered + run.spilled) / run.time
            delivered, spilled = run.delivered / run.time, run.spilled / run.time
            # Drips and splashes go either way: the spill is known to a share of the whole.
            doubt = 0.3 * self.record.mass_doubt * whole + 0.1e-3 / run.time
            found[:, row, 0] = (delivered - seen[:, row, 0]) / doubt
            found[:, row, 1] = (spilled - seen[:, row, 1]) / doubt
            if run.delivery_temperature is not None:
                warmth = run.delivery_temperature - seen[:, row, 2]
                found[:, row, 2] = warmth / (0.5 * self.record.thermometer_doubt)
        return found

    def residuals(self, samples: Samples) -> Array:
        """Of each run whichever of delivery, spill and warmth is farthest off, in doubts."""
        off = self._in_doubts(self.foresee(samples)[0])
        worst = np.argmax(np.abs(off), axis=2)[..., None]
        return np.take_along_axis(off, worst, axis=2)[..., 0]

    def log_likelihood(self, samples: Samples) -> Array:
        """Log-likelihood of all that was caught and read."""
        seen, able = self.foresee(samples)
        off = self._in_doubts(seen)
        return np.asarray(able - 0.5 * np.sum(np.square(off), axis=(1, 2)))

    def figures(self, samples: Samples) -> Sequence[Figure]:
        """Coefficients, and what went in at the first run."""
        corner = self._corners[0]
        cones = self.bench.cones(samples)
        state = corner.perform(cones)
        return [
            *coefficient_figures(samples),
            Figure(
                "throat",
                "steam this throat passes, over the critical flow",
                NUMBER,
                cones["steam_discharge"],
            ),
            Figure("steam", "steam used, first run", MASS_FLOW, state.steam_flow),
            Figure("water", "water taken in, first run", MASS_FLOW, state.water_flow),
            Figure("warmth", "delivery, first run", TEMPERATURE, corner.temperature(state)),
        ]


class CatchTest(BenchTest[CatchRecord]):
    """Catch what an injector delivers and spills."""

    key = "catch-test"
    title = "Catch test"
    summary = "What is delivered and spilled in a minute, and how warm, tells steam and water."
    serves = ("injector",)
    record_type = CatchRecord
    theory = (
        "Balances of mass and heat: the rise in temperature tells the steam for each pound of "
        "water. One kelvin too much reads as 2.7 % more steam; a steam wet by 5 % as 4 % less. "
        "Flows while it spills tell the jet's speed in the delivery throat, so a throat measured "
        "5 µm large takes 2 % off the momentum. Gauge, scale and thermometers may each be off all "
        "day alike."
    )
    sources = (
        "Entrainment by heat: V. A. B. Hughes, The Steam Injector, 1912, page 89",
        "Doubts of gauge, scale and thermometer: judgement",
    )

    def procedure(self, spec: InjectorSpec | None) -> Sequence[str]:
        """Steps at the bench."""
        pressure = "working pressure"
        if spec is not None:
            pressure = echo(spec.boiler_pressure, GAUGE_PRESSURE)
        return (
            "Steam only from a boiler passed under the code where you live, with somebody at the "
            "steam valve; glasses, gloves, long sleeves. What comes out scalds.",
            "Clamp injector, pipes and hoses; lead delivery through its clack against a valve set "
            f"to the boiler's own pressure, {pressure}, and then into a bucket with a lid; lead "
            "the overflow down into a second one. Never hold a hose.",
            "Put a thermometer in the tank and one in the delivery's stream; have both in one cup "
            "of warm water first and note how they differ.",
            "Start it, let it settle for half a minute, then swing both hoses over the buckets "
            "together and start the watch. A minute or more.",
            "Swing both away together, stop the watch, shut the steam, and only then go near.",
            "Weigh both. Write down every run as it was: pressure at the start and the end must "
            "not differ by more than a tenth of a bar.",
            "One run where it plainly spills, one at or near dry, tell more than two alike.",
        )

    def unknowns(self, spec: InjectorSpec, record: CatchRecord) -> Sequence[Unknown]:
        """Lasting errors of gauge, scale and thermometers on the day."""
        return [
            Unknown("catch_gauge", Normal(0.0, record.gauge_doubt), "error of the gauge",
                    "bench test"),
            Unknown("catch_mass", Normal(0.0, record.mass_doubt), "error of scale and watch",
                    "bench test"),
            Unknown("catch_warmth", Normal(0.0, record.thermometer_doubt),
                    "difference of the thermometers", "bench test"),
        ]  # fmt: skip

    def prepare(self, spec: InjectorSpec, record: CatchRecord) -> CatchForesight:
        """Tables at each run's pressure and tank temperature."""
        return CatchForesight(spec, record)

    def screen(self, spec: InjectorSpec, record: CatchRecord) -> Sequence[Flag]:
        """What the readings alone give away."""
        found = []
        planned = float(plan_of(spec).running.delivered)
        for number, run in enumerate(record.reading, 1):
            rate = run.delivered / run.time
            if not planned / _FAR_OFF < rate < planned * _FAR_OFF:
                found.append(
                    Flag(
                        "far from planned",
                        f"Run {number} delivered {echo(rate, MASS_FLOW)} where "
                        f"{echo(planned, MASS_FLOW)} was planned: is it this "
                        "injector, was the bucket's own weight taken off, are the units right?",
                    )
                )
            if run.delivery_temperature is not None:
                rise = run.delivery_temperature - run.feed_temperature
                if not _RISE[0] < rise < _RISE[1]:
                    found.append(
                        Flag(
                            "odd warmth",
                            f"Run {number} warmed the water by {rise:.0f} °C "
                            f"({1.8 * rise:.0f} °F): look at the thermometers.",
                        )
                    )
        if all(run.delivery_temperature is None for run in record.reading):
            found.append(
                Flag(
                    "no warmth",
                    "No delivery was taken the temperature of: steam and water cannot then be "
                    "told apart.",
                    "note",
                )
            )
        if min(run.time for run in record.reading) < _LEAST_TIME:
            found.append(
                Flag("short", "A run under 20 s: hands on the hoses count as much as the flow.",
                     "note")
            )  # fmt: skip
        return found

    def afterwards(
        self, spec: InjectorSpec, record: CatchRecord, samples: Samples
    ) -> Sequence[Flag]:
        """Whether the throat's entry is as round as it was stated to be."""
        return sharp_entry(samples)
