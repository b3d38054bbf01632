"""Pressure hold: pump the union up with cold water, shut it off, watch gauge and joint.

Water hardly gives, so a drop lost is a good deal of pressure; air left inside takes that away.
How much a lost drop moves the gauge (the *give* of what is shut in) is therefore a nuisance that is
inferred along with the leak. Nothing seen is a result too: an upper bound, set by the gauge's
divisions, by the steadiness of the water's temperature, and by how long one watched.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, ClassVar

import numpy as np
from pydantic import model_validator
from scipy.special import gammaln

from benchproof.bench_tests.contract import Array, BenchTest, Figure, Flag
from benchproof.duties.contract import Samples, Unknown
from benchproof.duties.pipe_union import UnionSpec
from benchproof.duties.union_model import DROP, UnionModel
from benchproof.quantities import (
    DURATION,
    GAUGE_PRESSURE,
    NUMBER,
    PRESSURE_DIFFERENCE,
    VOLUME_FLOW,
    echo,
    show,
)
from benchproof.specs import (
    Choice,
    Count,
    Duration,
    FieldError,
    Pressure,
    PressureDifference,
    Spec,
    TemperatureDifference,
    Volume,
)
from benchproof.spread import LogNormal, LogUniform, Spread

WATER_STIFFNESS = 2.2e9  # bulk modulus of water at 20 °C [Pa] (from memory)
WATER_EXPANSION = 2.1e-4 - 3.0 * 17e-6  # of water at 20 °C less that of a copper pipe [1/K]
READ_TO = 0.3  # standard deviation of one reading, over a division
AIR = 101325.0
NOT_COUNTED = -1


class HeldRun(Spec):
    """One hold: gauge at the start and at the end, and drops counted at the union."""

    version: ClassVar[int] = 1
    start_pressure: Annotated[
        float,
        Pressure("gauge at the start", unit="bar", minimum=0.5e5, maximum=60e5),
    ]
    end_pressure: Annotated[
        float, Pressure("gauge at the end", unit="bar", minimum=0.0, maximum=60e5)
    ]
    time: Annotated[float, Duration("time held", unit="min", minimum=10.0, maximum=86400.0)]
    drops: Annotated[
        int | None,
        Count(
            "drops counted at the union",
            help="0 when watched and dry; leave out when not watched",
            minimum=0,
            maximum=100_000,
        ),
    ] = None

    gauge_was: Annotated[
        str,
        Choice(
            "gauge was",
            help="a joint that drips soon empties what gives: keep the pressure up, and count",
            options=("left alone", "kept up by pumping"),
        ),
    ] = "left alone"

    @model_validator(mode="after")
    def _can_be(self) -> HeldRun:
        if self.end_pressure > 1.05 * self.start_pressure:
            raise FieldError("end_pressure", "must not lie above the start: did the water warm up?")
        if self.gauge_was == "kept up by pumping" and self.drops is None:
            raise FieldError("drops", "must be counted where the gauge was kept up by pumping")
        return self


class PressureHoldRecord(Spec):
    """One set-up of the pressure hold, and its runs."""

    version: ClassVar[int] = 1
    water_volume: Annotated[
        float,
        Volume(
            "water shut in",
            help="pipe, pump and hose together",
            unit="mL",
            minimum=1e-7,
            maximum=20e-3,
        ),
    ]
    pumped: Annotated[
        float | None,
        Volume(
            "water pumped in",
            help="to go from nothing to the first start pressure, by the plunger's stroke",
            unit="mL",
            minimum=1e-9,
            maximum=1e-3,
        ),
    ] = None
    gauge_division: Annotated[
        float,
        PressureDifference("one division of the gauge", unit="bar", minimum=100.0, maximum=5e5),
    ]
    pump_alone: Annotated[
        str,
        Choice(
            "pump and gauge alone",
            help="tried first against a plug in place of the union",
            options=("held", "not tried"),
        ),
    ] = "not tried"
    temperature_drift: Annotated[
        float,
        TemperatureDifference(
            "drift of the water's temperature",
            help="standard deviation over one hold",
            unit="K",
            minimum=0.0,
            maximum=5.0,
        ),
    ] = 0.1
    reading: tuple[HeldRun, ...]

    @model_validator(mode="after")
    def _has_runs(self) -> PressureHoldRecord:
        if not 1 <= len(self.reading) <= 60:
            raise FieldError("reading", "needs one to sixty holds, each under [[reading]]")
        if self.pumped is not None and self.pumped > self.water_volume:
            raise FieldError("pumped", "is more than the water shut in")
        return self


class PressureHoldForesight:
    """What gauge and joint would show of each hold, in every sample."""

    def __init__(self, spec: UnionSpec, record: PressureHoldRecord) -> None:
        self.spec = spec
        self.record = record
        self.model = UnionModel(spec)
        runs = record.reading
        self._start = np.array([run.start_pressure for run in runs])
        self._time = np.array([run.time for run in runs])
        self._fall = self._start - np.array([run.end_pressure for run in runs])
        counted = [NOT_COUNTED if run.drops is None else run.drops for run in runs]
        self._drops = np.array(counted, dtype=float)
        self._watched = self._drops >= 0.0
        self._alone = np.array([run.gauge_was == "left alone" for run in runs])
        self._read = READ_TO * np.sqrt(2.0) * record.gauge_division

    def _leaks(self, samples: Samples) -> tuple[Array, Array]:
        """Flow past the seat at each start, and all flow, as conductances [m³/(s Pa)]."""
        seat = np.stack(
            [self.model.leak_at(samples, float(start)) / start for start in self._start], axis=-1
        )
        return seat, seat + samples["hold_other_leak"][:, None]

    def foresee(self, samples: Samples) -> tuple[Array, Array, Array]:
        """Fall of the gauge [Pa], its standard deviation [Pa], and drops, each (n, runs)."""
        seat, whole = self._leaks(samples)
        give = np.maximum(samples["hold_give"], 1e-20)[:, None]
        lost = -np.expm1(-np.minimum(whole * self._time / give, 700.0))
        fall = self._start * lost
        # What leaves at the union is the seat's share of all that leaves.
        out = np.where(self._alone, seat / whole * give * fall, seat * self._start * self._time)
        drops = out / (DROP * samples["hold_drop"][:, None])
        drift = self.record.water_volume * WATER_EXPANSION * self.record.temperature_drift / give
        return fall, np.hypot(self._read, drift), drops

    def residuals(self, samples: Samples) -> Array:
        """Gauge less what is foreseen, in standard deviations; shape (n, holds).

        A hold whose drops were counted shows whichever of gauge and count is farther off; one
        kept up by pumping its count alone.
        """
        fall, doubt, drops = self.foresee(samples)
        by_gauge = (self._fall - fall) / doubt
        by_count = (self._drops - drops) / np.sqrt(drops + 1.0)
        take = self._watched & (~self._alone | (np.abs(by_count) > np.abs(by_gauge)))
        return np.asarray(np.where(take, by_count, by_gauge))

    def log_likelihood(self, samples: Samples) -> Array:
        """Log-likelihood of gauge readings and counts; drift of single holds is integrated out."""
        fall, doubt, drops = self.foresee(samples)
        gauge = -0.5 * np.square((self._fall - fall) / doubt) - np.log(doubt / self._read)
        gauge = np.where(self._alone, gauge, 0.0)
        mean = np.maximum(drops, 1e-12)
        count = np.where(
            self._watched,
            self._drops * np.log(mean) - mean - gammaln(np.maximum(self._drops, 0.0) + 1.0),
            0.0,
        )
        return np.asarray(np.sum(gauge + count, axis=1))

    def figures(self, samples: Samples) -> Sequence[Figure]:
        """Leak at test pressure, past the seat and elsewhere, and the give of what is shut in."""
        pressure = self.spec.test_pressure
        seat = self.model.leak_at(samples, pressure)
        other = samples["hold_other_leak"] * pressure
        margin, _ = self.model.seat(
            samples, self.model.preload(samples) - pressure * self.model.pushed_on
        )
        return [
            Figure("seat_leak", "water past the seat at test pressure", VOLUME_FLOW, seat),
            Figure("seat_drops", "the same in drops an hour", NUMBER, seat * 3600.0 / DROP),
            Figure("other_leak", "water lost elsewhere", VOLUME_FLOW, other),
            Figure(
                "give",
                "what a lost drop takes off the gauge",
                PRESSURE_DIFFERENCE,
                DROP / samples["hold_give"],
            ),
            Figure("seal_margin", "seat pressure over that which seals", NUMBER, margin),
        ]


class PressureHold(BenchTest[PressureHoldRecord]):
    """Pump a union up cold with water, shut it off, and watch."""

    key = "pressure-hold"
    title = "Pressure hold with cold water"
    summary = "A gauge that stays, and a joint that stays dry, bound what the union leaks."
    serves = ("pipe-union",)
    bears_on = ("seal_margin", "weep")
    record_type = PressureHoldRecord
    theory = (
        "Pressure falls as the leak over the give of what is shut in: water, pipe, hose and air. "
        "Drops are counted against a drop of 0.05 mL within a quarter. One tenth of a degree "
        "moves a gauge on air-free water by some fifth of a bar (3 psi), so a still gauge alone "
        "proves little over hours. Holding cold says nothing of heat and shaking."
    )
    sources = (
        "Give of water: bulk modulus 2.2 GPa (from memory); air by Boyle's law",
        "Drop of 0.05 mL: common practice",
        "Fall of pressure: own derivation",
    )

    def procedure(self, spec: UnionSpec | None) -> Sequence[str]:
        """Steps at the bench, each caution at its step; the pressure where the spec is known."""
        goal = "the test pressure"
        if spec is not None:
            goal = echo(spec.test_pressure, GAUGE_PRESSURE)
        return (
            "Water only, cold, the same as the room. Never compressed air: a litre of it at this "
            "pressure throws what lets go, water only drips.",
            "Try the pump and its gauge alone first, against a plug; say so in the record.",
            "Take a gauge that was checked against another of known standing, reading to about "
            "twice the test pressure; note one division.",
            "Fill from the lowest point with the highest joint slack, tilt and tap until no more "
            "bubbles come, then tighten: all air must be out, it hides a leak and stores energy.",
            f"Stand clear of the end of pipe and plug, wear glasses, and pump to {goal} in "
            "steps; look at each. Not more than your inspector asks.",
            "Shut the pump off. Dry the union, put dry paper under it, wait five minutes for the "
            "temperature, and only then read the gauge.",
            "Read again after ten minutes or more, and count the drops at the union: write 0 when "
            "you watched and it stayed dry. If it drips, keep the pressure up by pumping and count "
            "for a stated time.",
            "Let the pressure down before you touch a spanner. Boiler and fittings are for the "
            "boiler inspector and the code where you live: this test is for you, not for them.",
        )

    def unknowns(self, spec: UnionSpec, record: PressureHoldRecord) -> Sequence[Unknown]:
        """Give of what is shut in, leaks elsewhere, size of a drop."""
        other: Spread = LogUniform(1e-20, 1e-15)
        if record.pump_alone == "held":
            other = LogUniform(1e-21, 1e-18)
        return [
            Unknown(
                "hold_give",
                self.give(record),
                "give of the water and air shut in",
                "bench test",
                "water, hose and a little air; judgement",
            ),
            Unknown("hold_other_leak", other, "leaks other than the union's", "bench test"),
            Unknown("hold_drop", LogNormal(1.0, 1.25), "size of a drop over 0.05 mL", "bench test"),
        ]

    def give(self, record: PressureHoldRecord) -> Spread:
        """Volume lost for a fall of pressure [m³/Pa]: by the plunger, or guessed from the volume.

        Guessed: water with 0.3 % of air at atmospheric pressure, compressed, within a factor 2.5.
        """
        first = record.reading[0].start_pressure
        if record.pumped is not None:
            return LogNormal(record.pumped / first, 1.3)
        water = record.water_volume / WATER_STIFFNESS * 1.3
        air = 0.003 * record.water_volume * AIR / (first + AIR) ** 2
        return LogNormal(water + air, 2.5)

    def prepare(self, spec: UnionSpec, record: PressureHoldRecord) -> PressureHoldForesight:
        """Readings, and how far each can be trusted."""
        return PressureHoldForesight(spec, record)

    def screen(self, spec: UnionSpec, record: PressureHoldRecord) -> Sequence[Flag]:
        """What the readings alone give away."""
        found = []
        runs = record.reading
        if max(run.start_pressure for run in runs) > 1.1 * spec.test_pressure:
            found.append(
                Flag(
                    "over test pressure",
                    "The gauge stood over the test pressure of the spec: ask your inspector before "
                    "going there, and look for parts that have taken a set.",
                )
            )
        elif max(run.start_pressure for run in runs) < 0.95 * spec.test_pressure:
            wanted = echo(spec.test_pressure, GAUGE_PRESSURE)
            found.append(
                Flag(
                    "short of test pressure",
                    f"The gauge never stood at the test pressure of the spec, {wanted}: this is "
                    "no test at that pressure. Pump it up to there and hold it again.",
                )
            )
        if all(run.drops in {None, 0} and run.end_pressure >= run.start_pressure for run in runs):
            longest = max(run.time for run in runs)
            found.append(
                Flag(
                    "nothing seen",
                    f"Held for {show(longest, DURATION)}, nothing seen: what stands above is an "
                    "upper bound, not a measurement. Longer, with dry paper under it, bounds it "
                    "closer.",
                    "note",
                )
            )
        if record.pump_alone == "not tried" and any(
            run.end_pressure < run.start_pressure - record.gauge_division for run in runs
        ):
            found.append(
                Flag(
                    "pump not tried",
                    "The gauge fell, but the pump was never tried alone: its valve may be what "
                    "leaks. Plug it off and hold that.",
                )
            )
        if all(run.drops is None for run in runs):
            found.append(
                Flag(
                    "not watched",
                    "No drops were counted: look at the union too, and write 0 when it is dry.",
                    "note",
                )
            )
        if record.pumped is None:
            found.append(
                Flag(
                    "give guessed",
                    "Note how much water the plunger put in: it tells how much "
                    "air was left and so what a fall of the gauge means.",
                    "note",
                )
            )
        return found
