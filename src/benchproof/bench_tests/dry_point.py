"""Dry point: boiler pressures between which the overflow of a running injector just runs dry.

There the jet just fills the delivery throat: all that comes in goes through. It ties the jet's
speed, and so its momentum, to the flow that the ring lets in.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, ClassVar, Final

import numpy as np
from pydantic import model_validator
from scipy.special import log_ndtr

from benchproof.bench_tests.contract import Array, BenchTest, Figure, Flag
from benchproof.bench_tests.injector_bench import NO_JET, Bench, coefficient_figures
from benchproof.bench_tests.injector_records import (
    GAUGE_DOUBT,
    FeedTemperature,
    GaugeDoubt,
    require_readings,
    require_rising,
)
from benchproof.duties.contract import Samples, Unknown
from benchproof.duties.injector_spec import HIGHEST, LOWEST, InjectorSpec
from benchproof.quantities import GAUGE_PRESSURE, echo
from benchproof.specs import Pressure, Spec
from benchproof.spread import Normal

_SEEN: Final = 0.003  # spill or void that eyes do not tell from dry, one standard deviation
_WIDE: Final = 1e5


class Dried(Spec):
    """Between which pressures the overflow went dry."""

    version: ClassVar[int] = 1
    dripped_at: Annotated[
        float,
        Pressure("still dripped at", help="steam, gauge", minimum=LOWEST, maximum=1.2 * HIGHEST),
    ]
    dry_at: Annotated[
        float,
        Pressure("dry at", help="steam, gauge, still feeding", minimum=LOWEST,
                 maximum=1.2 * HIGHEST),
    ]  # fmt: skip
    feed_temperature: Annotated[float, FeedTemperature()]

    @model_validator(mode="after")
    def _rises(self) -> Dried:
        require_rising(
            self.dripped_at,
            self.dry_at,
            "dry_at",
            "must be above the pressure at which it dripped: an overflow dries as pressure rises",
        )
        return self


class DryRecord(Spec):
    """Dry points of one injector."""

    version: ClassVar[int] = 1
    gauge_doubt: Annotated[float, GaugeDoubt()] = GAUGE_DOUBT
    reading: tuple[Dried, ...]

    @model_validator(mode="after")
    def _has_readings(self) -> DryRecord:
        require_readings(len(self.reading))
        return self


class DryForesight:
    """How full the delivery throat would be at both ends of each reading, in every sample."""

    def __init__(self, spec: InjectorSpec, record: DryRecord) -> None:
        self.record = record
        self.bench = Bench(spec)
        self._ends = [
            tuple(
                self.bench.corner(steam_pressure=pressure, feed_temperature=run.feed_temperature)
                for pressure in (run.dripped_at, run.dry_at)
            )
            for run in record.reading
        ]

    def _fullness(self, samples: Samples) -> tuple[Array, Array]:
        """Fullness [-] at both ends of each reading, (n, readings, 2); and the cost of no jet."""
        cones = self.bench.cones(samples)
        gauge = samples["dry_gauge"]
        found, cost = [], np.zeros_like(gauge)
        for run, ends in zip(self.record.reading, self._ends, strict=True):
            low, high = (corner.perform(cones) for corner in ends)
            both = low.jets & high.jets
            slope = np.where(both, high.fullness - low.fullness, 0.0)
            off = slope / (run.dry_at - run.dripped_at) * gauge
            found.append(np.stack([low.fullness - off, high.fullness - off], axis=-1))
            cost = cost + np.where(both, 0.0, NO_JET)
        return np.stack(found, axis=1), cost

    def _in_doubts(self, full: Array) -> Array:
        """How far each end is on its right side, in doubts; shape (n, readings, 2)."""
        off = (full - 1.0) / _SEEN
        return np.stack([off[..., 0], -off[..., 1]], axis=-1)

    def residuals(self, samples: Samples) -> Array:
        """How far each reading is on the wrong side, in doubts, 0 where it is right."""
        side = self._in_doubts(self._fullness(samples)[0])
        wrong = np.clip(-side, 0.0, None)
        return np.asarray(np.where(wrong[..., 0] > wrong[..., 1], -wrong[..., 0], wrong[..., 1]))

    def log_likelihood(self, samples: Samples) -> Array:
        """Log of the chance that it still dripped at the one end and was dry at the other."""
        full, cost = self._fullness(samples)
        chance: Array = log_ndtr(self._in_doubts(full))
        return np.asarray(cost + chance.sum(axis=(1, 2)))

    def figures(self, samples: Samples) -> Sequence[Figure]:
        """Coefficients."""
        return coefficient_figures(samples)


class DryPoint(BenchTest[DryRecord]):
    """Raise the pressure until the overflow just runs dry."""

    key = "dry-point"
    title = "Dry point"
    summary = "The pressure at which the overflow just runs dry ties the jet's speed to its flow."
    serves = ("injector",)
    record_type = DryRecord
    theory = (
        "At the dry point the delivery throat passes all that comes in. Spill falls with pressure "
        "until then, air is drawn above. In the range where the combining throat runs solid the "
        "spill does not move with pressure and there is no dry point. Spill or air of 0.3 % is "
        "not told from dry by eye."
    )
    sources = ("Balances of mass and momentum: V. A. B. Hughes, The Steam Injector, 1912, page 98; "
               "what eyes tell from dry: judgement",)  # fmt: skip

    def procedure(self, spec: InjectorSpec | None) -> Sequence[str]:
        """Steps at the bench."""
        return (
            "Set up as for the catch-test, with its cautions: clamped, glasses, gloves, nobody "
            "before the overflow, a second person at the steam valve.",
            "Let the delivery go against boiler pressure. Start at a pressure where it plainly "
            "spills.",
            "Let the fire raise the pressure slowly, a tenth of a bar in half a minute, never "
            "above the safety valves. Watch the end of the overflow against a dark card, from the "
            "side.",
            "Note the last pressure at which a drop fell, and the first at which none did for "
            "ten seconds and a slip of paper was drawn to the pipe.",
            "Note the tank's temperature at that moment. Do it two or three times, and write down "
            "each.",
        )

    def unknowns(self, spec: InjectorSpec, record: DryRecord) -> Sequence[Unknown]:
        """The lasting error of the gauge."""
        return [Unknown("dry_gauge", Normal(0.0, record.gauge_doubt), "error of the gauge",
                        "bench test")]  # fmt: skip

    def prepare(self, spec: InjectorSpec, record: DryRecord) -> DryForesight:
        """Tables at both ends of each reading."""
        return DryForesight(spec, record)

    def screen(self, spec: InjectorSpec, record: DryRecord) -> Sequence[Flag]:
        """What the readings alone give away."""
        found = []
        for number, run in enumerate(record.reading, 1):
            if run.dry_at - run.dripped_at > _WIDE:
                found.append(
                    Flag(
                        "wide",
                        f"Reading {number} leaves "
                        f"{echo(run.dripped_at, GAUGE_PRESSURE)} to "
                        f"{echo(run.dry_at, GAUGE_PRESSURE)} open: go more slowly.",
                        "note",
                    )
                )
        low = max(run.dripped_at for run in record.reading)
        high = min(run.dry_at for run in record.reading)
        if low > high + 4.0 * record.gauge_doubt:
            found.append(
                Flag(
                    "differ",
                    "Readings do not overlap: the tank warmed up, the steam was wet, or the water "
                    "cock was touched between them.",
                )
            )
        return found
