"""Leak-down: time the pressure in a closed volume falling past the piston.

The piston is held in its bore, air is shut in behind it, and the pressure is timed between two
gauge readings. The time tells the gap's conductance in the posture in which the piston is held,
which nobody knows: the clearance found is that of a centred gap that leaks alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, ClassVar

import numpy as np
from pydantic import model_validator

from benchproof.bench_tests.contract import LAY, Array, BenchTest, Figure, Flag
from benchproof.duties.contract import Samples, Unknown
from benchproof.duties.matter import COLD, expansion_name
from benchproof.duties.piston_fit import PistonSpec
from benchproof.physics import air
from benchproof.physics.pressure_decay import decay_time
from benchproof.quantities import DURATION, GAP_CONDUCTANCE, LENGTH, NUMBER, show
from benchproof.specs import (
    Duration,
    FieldError,
    Pressure,
    Spec,
    Temperature,
    Volume,
)
from benchproof.spread import Normal

RUN_SCATTER = 0.02  # ln t of one run: gauge and clock
MOST_PRESSURE = 3e5  # gauge; above it the laminar law and good sense both end
WIDE_GAP = 10e-6  # radial; wider gaps leave the laminar law before 3 bar


class PressureFall(Spec):
    """One timed fall of pressure."""

    version: ClassVar[int] = 1
    start_pressure: Annotated[
        float,
        Pressure("start pressure", help="gauge", unit="bar", minimum=1e4, maximum=MOST_PRESSURE),
    ]
    end_pressure: Annotated[
        float,
        Pressure("end pressure", help="gauge", unit="bar", minimum=5e3, maximum=MOST_PRESSURE),
    ]
    time: Annotated[float, Duration("time of the fall", unit="s", minimum=0.3, maximum=86400.0)]

    @model_validator(mode="after")
    def _falls(self) -> PressureFall:
        if self.end_pressure >= self.start_pressure:
            raise FieldError("end_pressure", "must be below the start pressure")
        return self


class LeakDownRecord(Spec):
    """One set-up of the leak-down, and its runs."""

    version: ClassVar[int] = 1
    volume: Annotated[
        float,
        Volume(
            "volume shut in",
            help="cylinder, pipes and bottle together",
            unit="mL",
            minimum=1e-7,
            maximum=5e-3,
        ),
    ]
    volume_uncertainty: Annotated[
        float,
        Volume("doubt about the volume", unit="mL", minimum=0.0, maximum=1e-3),
    ] = 1e-6
    air_temperature: Annotated[
        float, Temperature("air temperature", minimum=263.15, maximum=313.15)
    ]
    air_pressure: Annotated[
        float,
        Pressure("air pressure", unit="mbar", minimum=0.6e5, maximum=1.1e5, absolute=True),
    ] = 101325.0
    reading: tuple[PressureFall, ...]

    @model_validator(mode="after")
    def _has_runs(self) -> LeakDownRecord:
        if not 1 <= len(self.reading) <= 60:
            raise FieldError("reading", "needs one to sixty runs, each under [[reading]]")
        if self.volume_uncertainty > 0.3 * self.volume:
            raise FieldError(
                "volume_uncertainty",
                "must be below a third of the volume (1 mL is taken where none is stated)",
            )
        return self


class LeakDownForesight:
    """What each fall of one set-up would take, in every sample."""

    def __init__(self, spec: PistonSpec, record: LeakDownRecord) -> None:
        self.spec = spec
        self.record = record
        self.viscosity = float(air.viscosity(temperature=record.air_temperature))
        times = np.array([run.time for run in record.reading])
        self._log_times = np.log(times)
        self._sd = np.hypot(RUN_SCATTER, 0.2 / times)

    def _gap(self, samples: Samples) -> Array:
        spec = self.spec
        growth = (
            samples[expansion_name(spec.bore_material)]
            - samples[expansion_name(spec.piston_material)]
        )
        rise = self.record.air_temperature - COLD
        return 0.5 * (samples["bore"] - samples["piston"] + spec.bore * growth * rise)

    def foresee(self, samples: Samples) -> Array:
        """Natural logarithm of each fall's time [s], shape (n, runs)."""
        gap = self._gap(samples)
        volume = self.record.volume * (1.0 + samples["leak_volume"])
        times = np.stack(
            [
                decay_time(
                    diameter=self.spec.bore,
                    radial_gap=np.maximum(gap, 1e-8),
                    length=self.spec.land_length,
                    volume=np.maximum(volume, 1e-9),
                    start_pressure=run.start_pressure + self.record.air_pressure,
                    end_pressure=run.end_pressure + self.record.air_pressure,
                    ambient_pressure=self.record.air_pressure,
                    viscosity=self.viscosity,
                    temperature=self.record.air_temperature,
                    gas_constant=air.GAS_CONSTANT_AIR,
                    flow_factor=samples["leak_posture"],
                )
                for run in self.record.reading
            ],
            axis=-1,
        )
        return np.where(gap[:, None] > 0.0, np.log(times), np.inf)

    def residuals(self, samples: Samples) -> Array:
        """Runs less what is foreseen, in standard deviations; shape (n, runs)."""
        return np.asarray((self._log_times - self.foresee(samples)) / self._sd)

    def log_likelihood(self, samples: Samples) -> Array:
        """Log-likelihood of the times as taken."""
        fit = -0.5 * np.sum(np.square(self.residuals(samples)), axis=1)
        return np.asarray(np.where(np.isfinite(fit), fit, -np.inf))

    def figures(self, samples: Samples) -> Sequence[Figure]:
        """Gap conductance and its clearance, clearance, posture."""
        gap = self._gap(samples)
        conductance = np.power(gap, 3) * samples["leak_posture"]
        return [
            Figure("conductance", "gap conductance h³F as held", GAP_CONDUCTANCE, conductance),
            Figure(
                "flow_clearance",
                "clearance of a centred gap that leaks alike",
                LENGTH,
                2.0 * np.cbrt(conductance),
            ),
            Figure(
                "clearance",
                "diametral clearance at 20 °C",
                LENGTH,
                samples["bore"] - samples["piston"],
            ),
            Figure(
                "posture",
                "how it was held (flow over centred: 0.5 cocked, 2.5 on one wall)",
                NUMBER,
                samples["leak_posture"],
            ),
        ]


class LeakDown(BenchTest[LeakDownRecord]):
    """Time the pressure of shut-in air falling past the piston."""

    key = "leak-down"
    title = "Leak-down with air"
    summary = "The fall of pressure in a closed volume measures the leak as the piston is held."
    serves = ("piston-fit",)
    record_type = LeakDownRecord
    theory = (
        "Laminar flow with slip, isothermal. From 3 bar gauge the law over-predicts the flow by "
        "2 parts in a hundred at 20 µm radial gap and 8 at 30 µm: use 1 bar for wide gaps. The "
        "posture in which the piston is held is unknown, so the clearance is known only to ten "
        "or fourteen parts in a hundred."
    )
    sources = (
        "Isothermal laminar decay with slip: own derivation, checked by integration",
        "Air: US Standard Atmosphere 1976, Sutherland's form (from memory)",
    )

    def procedure(self, spec: PistonSpec) -> Sequence[str]:
        """Steps at the bench."""
        return (
            "Blank the end of the cylinder with a plate and gasket, no gland and no valve: they "
            "leak too. Degrease the piston, plug the rod hole, rings out.",
            "Hold the piston by a stop that cannot let go: air behind a piston throws it like a "
            "shot. Nobody in line with it; a guard over the bench.",
            "Compressed air stores energy: 3 bar (45 psi) at the most, as small a volume as will "
            "do, eye protection, a relief valve set just above the test. Never an air test of a "
            "boiler.",
            "Pump up, shut the valve, and wait a minute or two: one degree of cooling takes over a "
            "hundredth of a bar (0.2 psi) off the gauge.",
            "Time the fall between two gauge readings. From 3 to 2 bar (45 to 30 psi) for narrow "
            "gaps, from 1 to 0.5 bar (15 to 7 psi) for wide ones. Three runs or more, the piston "
            "turned between them.",
            "Measure the volume shut in by filling it with water and weighing it.",
        )

    def unknowns(self, spec: PistonSpec, record: LeakDownRecord) -> Sequence[Unknown]:
        """How the piston is held, and the volume."""
        return [
            Unknown("leak_posture", LAY, "how it was held", "bench test"),
            Unknown(
                "leak_volume",
                Normal(0.0, float(np.hypot(record.volume_uncertainty / record.volume, 0.008))),
                "volume, viscosity and land length",
                "bench test",
            ),
        ]

    def prepare(self, spec: PistonSpec, record: LeakDownRecord) -> LeakDownForesight:
        """Viscosity and the readings' own scatter."""
        return LeakDownForesight(spec, record)

    def screen(self, spec: PistonSpec, record: LeakDownRecord) -> Sequence[Flag]:
        """What the readings alone give away."""
        found = []
        same = {(run.start_pressure, run.end_pressure) for run in record.reading}
        times = [run.time for run in record.reading]
        if len(same) == 1 and len(times) > 1 and max(times) > min(times) * 4.0 / 3.0:
            found.append(
                Flag(
                    "wanders",
                    f"Runs spread from {show(min(times), DURATION)} to "
                    f"{show(max(times), DURATION)}: the piston shifts, or the air had "
                    "not settled. Wait longer, hold it better.",
                )
            )
        if min(times) < 3.0:
            found.append(
                Flag(
                    "too quick",
                    "A fall under 3 s: the hand on the watch is a large part of it. Add a bottle "
                    "of known volume.",
                    "note",
                )
            )
        return found
