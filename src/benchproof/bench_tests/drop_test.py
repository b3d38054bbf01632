"""Drop test: time a piston sinking down its own bore on the air that escapes past it.

The cylinder stands on plate glass, its end face sealed with petroleum jelly. The time goes with
the cube of the gap times how the piston lies, which is what steam sees too: a stopwatch measures
that product to a few percent where two micrometers leave it uncertain by half. One upright run
cannot tell gap from posture; a run with the cylinder tilted lays the piston on the wall and can.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Annotated, ClassVar

import numpy as np
from pydantic import model_validator

from benchproof.bench_tests.contract import LAY, Array, BenchTest, Figure, Flag
from benchproof.bench_tests.drop_screen import screen_drops
from benchproof.duties.contract import Belongs, Samples, Unknown
from benchproof.duties.matter import COLD, expansion_name
from benchproof.duties.piston_fit import PistonSpec
from benchproof.physics import air
from benchproof.physics.falling_piston import sink_time
from benchproof.physics.posture import STEEPEST_TAPER, parallel_offset_tapered_flow_factor
from benchproof.quantities import GAP_CONDUCTANCE, LENGTH, NUMBER
from benchproof.specs import (
    Angle,
    Choice,
    Duration,
    FieldError,
    Length,
    Mass,
    Pressure,
    Spec,
    Temperature,
)
from benchproof.specs import (
    Flag as YesNo,
)
from benchproof.spread import LogNormal, Normal

POSTURES = ("upright", "inverted", "tilted")
RUN_SCATTER = 0.017  # ln t of one run: marks, mass, clock and viscosity together
WATCH = 0.2  # s, start and stop by hand


class Mark(Spec):
    """A mark passed on the way down."""

    version: ClassVar[int] = 1
    at: Annotated[float, Length("distance from the start mark", minimum=0.5e-3, maximum=300e-3)]
    time: Annotated[float, Duration("time at the mark", unit="s", minimum=0.2, maximum=86400.0)]


class Drop(Spec):
    """One timed run."""

    version: ClassVar[int] = 1
    posture: Annotated[
        str,
        Choice("posture", options=POSTURES, help="inverted: the piston turned end for end"),
    ]
    time: Annotated[float, Duration("time over the travel", unit="s", minimum=0.5, maximum=86400.0)]
    tilt: Annotated[
        float | None,
        Angle(
            "tilt from upright",
            help="of cylinder and glass together; tilted runs only",
            unit="deg",
            minimum=np.radians(1.0),
            maximum=np.radians(60.0),
        ),
    ] = None
    added_mass: Annotated[
        float, Mass("dead weight on top", unit="g", minimum=0.0, maximum=20.0)
    ] = 0.0
    marks: tuple[Mark, ...] = ()

    @model_validator(mode="after")
    def _tilt_goes_with_tilted(self) -> Drop:
        if (self.posture == "tilted") != (self.tilt is not None):
            raise FieldError(
                "tilt", "is stated for a tilted run, such as tilt = '20 deg', and for no other"
            )
        if any(mark.time >= self.time for mark in self.marks):
            raise FieldError("marks", "must be passed before the run ends")
        for above, below in pairwise(self.marks):
            if below.at <= above.at or below.time <= above.time:
                raise FieldError("marks", "must be stated in the order they are passed")
        return self


class DropRecord(Spec):
    """One set-up of the drop test, and its runs."""

    version: ClassVar[int] = 1
    piston_mass: Annotated[
        float,
        Mass("mass of the piston", help="all that falls", unit="g", minimum=1e-4, maximum=20.0),
    ]
    travel: Annotated[
        float, Length("timed travel", help="between the marks", minimum=1e-3, maximum=300e-3)
    ]
    air_temperature: Annotated[
        float, Temperature("air temperature", minimum=263.15, maximum=313.15)
    ]
    air_pressure: Annotated[
        float,
        Pressure("air pressure", unit="mbar", minimum=0.6e5, maximum=1.1e5, absolute=True),
    ] = 101325.0
    piston_temperature: Annotated[
        float | None,
        Temperature(
            "piston temperature", help="as the air, if not stated", minimum=263.15, maximum=333.15
        ),
    ] = None
    bore_temperature: Annotated[
        float | None,
        Temperature(
            "cylinder temperature",
            help="as the air, if not stated",
            minimum=263.15,
            maximum=333.15,
        ),
    ] = None
    sealed: Annotated[bool, YesNo("end face sealed to the glass with petroleum jelly")] = True
    degreased: Annotated[bool, YesNo("degreased and dry")] = True
    falls_free: Annotated[
        str,
        Choice(
            "falls at once on an uneven surface",
            options=("yes", "no", "not tried"),
            help="the looseness check: no glass, no seal",
        ),
    ] = "not tried"
    reading: tuple[Drop, ...]

    @model_validator(mode="after")
    def _has_runs(self) -> DropRecord:
        if not 1 <= len(self.reading) <= 60:
            raise FieldError("reading", "needs one to sixty runs, each under [[reading]]")
        for number, run in enumerate(self.reading):
            if any(mark.at >= self.travel for mark in run.marks):
                raise FieldError(f"reading.{number}", "has a mark at or beyond the whole travel")
        return self

    @property
    def warmer_piston(self) -> float:
        """How much hotter the piston is than the cylinder, as stated [K]."""
        piston = self.piston_temperature or self.air_temperature
        return piston - (self.bore_temperature or self.air_temperature)


class DropForesight:
    """What each run of one set-up would take, in every sample."""

    def __init__(self, spec: PistonSpec, record: DropRecord) -> None:
        self.spec = spec
        self.record = record
        self.viscosity = float(air.viscosity(temperature=record.air_temperature))
        runs = record.reading
        self._kinds = list(dict.fromkeys((r.posture, r.tilt or 0.0, r.added_mass) for r in runs))
        self._kind_of = [self._kinds.index((r.posture, r.tilt or 0.0, r.added_mass)) for r in runs]
        self._log_times = np.log([r.time for r in runs])
        self._own = np.square(RUN_SCATTER) + np.square(WATCH / np.array([r.time for r in runs]))
        self._wanders = np.array([r.posture != "tilted" for r in runs])

    def test_clearance(self, samples: Samples) -> Array:
        """Diametral clearance [m] at the temperatures of the test."""
        spec, record = self.spec, self.record
        bore = record.bore_temperature or record.air_temperature
        difference = samples["drop_temperature_difference"]
        outer = samples[expansion_name(spec.bore_material)] * (bore - COLD)
        inner = samples[expansion_name(spec.piston_material)] * (bore + difference - COLD)
        return samples["bore"] - samples["piston"] + spec.bore * (outer - inner)

    def foresee(self, samples: Samples) -> Array:
        """Natural logarithm of each run's time [s], shape (n, runs); infinite where it hangs."""
        clearance = self.test_clearance(samples)
        times = np.stack(
            [self._log_time(kind, clearance, samples) for kind in self._kinds], axis=-1
        )
        return np.asarray(times[:, self._kind_of] + samples["drop_scale"][:, None])

    def _log_time(
        self, kind: tuple[str, float, float], clearance: Array, samples: Samples
    ) -> Array:
        posture, tilt, added = kind
        gap = np.maximum(0.5 * clearance, 1e-8)
        if posture == "tilted":
            steepest = 0.99 * STEEPEST_TAPER
            taper = np.clip(samples["drop_taper"] / gap, -steepest, steepest)
            offset = np.clip(
                1.0 - np.abs(taper) - samples["stand_off"] / gap, 0.0, 1.0 - np.abs(taper)
            )
            factor = parallel_offset_tapered_flow_factor(
                offset=offset,
                taper=taper,
                slenderness=self.spec.land_length / self.spec.bore,
            )
            friction = np.clip(samples["sliding_friction"], 0.0, None)
        else:
            factor = samples["drop_posture" if posture == "upright" else "drop_posture_inverted"]
            friction = np.zeros_like(gap)
        time = sink_time(
            travel=self.record.travel,
            diameter=self.spec.bore,
            radial_gap=gap,
            length=self.spec.land_length,
            mass=self.record.piston_mass + added,
            air_pressure=self.record.air_pressure,
            air_temperature=self.record.air_temperature,
            air_viscosity=self.viscosity,
            gas_constant=air.GAS_CONSTANT_AIR,
            flow_factor=factor,
            tilt=tilt,
            friction_coefficient=friction,
        )
        return np.where(clearance > 0.0, np.log(time), np.inf)

    def _variance(self, samples: Samples) -> Array:
        wander = np.square(samples["drop_scatter"])[:, None]
        return np.asarray(self._own + wander * self._wanders)

    def residuals(self, samples: Samples) -> Array:
        """Runs less what is foreseen, in standard deviations; shape (n, runs)."""
        miss = self._log_times - self.foresee(samples)
        return np.asarray(miss / np.sqrt(self._variance(samples)))

    def log_likelihood(self, samples: Samples) -> Array:
        """Log-likelihood of the times as taken, the scatter of single runs integrated out."""
        variance = self._variance(samples)
        miss = self._log_times - self.foresee(samples)
        fit = -0.5 * np.sum(np.square(miss) / variance + np.log(variance), axis=1)
        return np.asarray(np.where(np.isfinite(fit), fit, -np.inf))

    def figures(self, samples: Samples) -> Sequence[Figure]:
        """Gap conductance and its clearance, clearance, posture, taper: what the runs can tell."""
        postures = {run.posture for run in self.record.reading}
        found = [
            Figure(
                "clearance",
                "diametral clearance at 20 °C",
                LENGTH,
                samples["bore"] - samples["piston"],
            )
        ]
        lay = "upright" if "upright" in postures else "inverted"
        if lay in postures:
            factor = samples["drop_posture" if lay == "upright" else "drop_posture_inverted"]
            conductance = np.power(0.5 * self.test_clearance(samples), 3) * factor
            found += [
                Figure(
                    "conductance",
                    f"gap conductance h³F as it lay {lay}",
                    GAP_CONDUCTANCE,
                    conductance,
                ),
                Figure(
                    "flow_clearance",
                    f"clearance of a centred gap that flows as it did {lay}",
                    LENGTH,
                    2.0 * np.cbrt(conductance),
                ),
                Figure(
                    "posture",
                    f"how it lay {lay} (flow over centred: 0.5 cocked, 2.5 on one wall)",
                    NUMBER,
                    factor,
                ),
            ]
        if "tilted" in postures:
            found.append(
                Figure(
                    "taper", "taper of the gap, half of end to end", LENGTH, samples["drop_taper"]
                )
            )
        return found


class DropTest(BenchTest[DropRecord]):
    """Time the piston sinking down its bore on plate glass."""

    key = "drop-test"
    title = "Drop test on plate glass"
    summary = "A stopwatch measures the leak past a piston, and tells clearance from posture."
    serves = ("piston-fit",)
    record_type = DropRecord
    theory = (
        "The piston's weight holds a small air pressure under it; the air escapes through the gap "
        "(laminar, with slip at the walls). No measured fall of a model piston has been "
        "published that we know of: the law is that of an air dashpot, the posture's share in it "
        "a calculation."
    )
    sources = (
        "Dashpot law: Massey, Mechanics of Fluids (from memory)",
        "Slip: Sharipov, coefficient 1.016 for diffuse walls (from memory)",
        "Air: US Standard Atmosphere 1976, Sutherland's form (from memory)",
        "Stand-off 1 ± 0.4 µm, sliding friction 0.15 ± 0.05, taper 0.7 µm: judgement",
    )

    def procedure(self, spec: PistonSpec) -> Sequence[str]:
        """Steps at the bench."""
        return (
            "Degrease piston and bore, dry them, and leave both on one plate for 30 minutes: a "
            "handled piston is a larger one. Rings out, rod hole plugged.",
            "Looseness check: on an uneven surface, no glass, the piston must drop at once under "
            "its own weight. If it hangs, look for dirt, burr or an oval bore; stop here.",
            "Weigh all that falls. Mark the timed travel: start at least 1 mm (0.04 in) below "
            "where the piston is let go, end at least that much above the glass.",
            "Ring the end face with petroleum jelly outside and stand the cylinder on plate "
            "glass. Let the piston in at the top, wait 5 s, and time it between the marks.",
            "Four upright runs or more, the piston turned a quarter between runs; note every "
            "time, not the mean. Then one or two with the piston end for end (inverted).",
            "Two runs with cylinder and glass clamped together and tilted 20 degrees: the piston "
            "then lies on the wall, which tells clearance from posture. Hold the clamp: a "
            "cylinder sliding off the bench hurts feet and glass.",
            "One run with about its own mass again on top: it should take half the time. If not, "
            "friction is at work.",
            "Note the air's temperature and pressure (as it is here, not reduced to sea level).",
        )

    def unknowns(self, spec: PistonSpec, record: DropRecord) -> Sequence[Unknown]:
        """One posture for the set-up, the taper always, and what a tilted run leans on."""
        bench: Belongs = "bench test"
        found = [
            Unknown("drop_posture", LAY, "how it lay upright", bench),
            Unknown("drop_scatter", LogNormal(0.03, 2.0), "how far upright runs differ", bench),
            Unknown("drop_scale", Normal(0.0, 0.008), "viscosity, mass and land length", bench),
            Unknown(
                "drop_temperature_difference",
                Normal(record.warmer_piston, 0.2),
                "piston warmer than cylinder",
                bench,
            ),
        ]
        postures = {run.posture for run in record.reading}
        if "inverted" in postures:
            found.append(Unknown("drop_posture_inverted", LAY, "how it lay inverted", bench))
        if "tilted" in postures:
            found += [
                Unknown("drop_taper", Normal(0.0, 0.7e-6), "taper of the gap", bench),
                Unknown("stand_off", Normal(1e-6, 0.4e-6), "stand-off at the wall", bench),
                Unknown("sliding_friction", Normal(0.15, 0.05), "sliding friction", bench),
            ]
        return found

    def prepare(self, spec: PistonSpec, record: DropRecord) -> DropForesight:
        """Group runs that one prediction serves."""
        return DropForesight(spec, record)

    def screen(self, spec: PistonSpec, record: DropRecord) -> Sequence[Flag]:
        """What the times alone give away."""
        return screen_drops(record)
