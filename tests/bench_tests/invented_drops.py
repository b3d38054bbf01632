"""Invented pistons whose truth is known, and the times their drop tests would give."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from benchproof.bench_tests.drop_test import Drop, DropRecord, DropTest
from benchproof.duties.matter import expansion_name
from benchproof.duties.piston_fit import PistonFit, PistonSpec
from benchproof.reckon.learning import Learned, learn
from benchproof.reckon.plan import Job
from benchproof.workshop.lathe import assumed_lathe

UPRIGHT_AND_TILTED = (*["upright"] * 4, *["tilted"] * 2)


@cache
def piston() -> PistonSpec:
    """A 30 mm gunmetal piston."""
    return PistonSpec(
        bore=30e-3,
        land_length=20e-3,
        stroke=40e-3,
        bore_material="gunmetal",
        piston_material="gunmetal",
        boiler_pressure=8e5,
    )


def record(times: list[float], postures: tuple[str, ...], **more: Any) -> DropRecord:
    """A set-up with these times."""
    return DropRecord(
        piston_mass=101.8e-3,
        travel=20e-3,
        air_temperature=293.15,
        reading=tuple(
            Drop(posture=posture, time=time, tilt=np.radians(20.0) if posture == "tilted" else None)
            for posture, time in zip(postures, times, strict=True)
        ),
        **more,
    )


@dataclass(frozen=True)
class Truth:
    """One invented piston and the nuisances of its test."""

    clearance: float
    values: dict[str, float]

    @property
    def conductance(self) -> float:
        """h³F as it lay upright [m3], at the temperatures of the test."""
        grown = -30e-3 * self.values[expansion_name("gunmetal")]
        warm = self.clearance + grown * self.values["drop_temperature_difference"]
        return float((0.5 * warm) ** 3 * self.values["drop_posture"])


def invented(rng: np.random.Generator, clearance: float, **held: float) -> Truth:
    """A truth drawn from what the test itself believes beforehand, some of it held."""
    template = record([100.0] * 6, UPRIGHT_AND_TILTED)
    values = {expansion_name("gunmetal"): 18.0e-6}
    for unknown in DropTest().unknowns(piston(), template):
        score = np.array([rng.standard_normal()])
        values[unknown.name] = float(unknown.spread.at(score)[0])
    return Truth(clearance, values | held)


def times_of(truth: Truth, rng: np.random.Generator, postures: tuple[str, ...]) -> list[float]:
    """Times the truth would give, with the scatter of single runs."""
    foresight = DropTest().prepare(piston(), record([100.0] * len(postures), postures))
    samples = {name: np.array([value]) for name, value in truth.values.items()}
    samples |= {"bore": np.array([30e-3]), "piston": np.array([30e-3 - truth.clearance])}
    sd = [
        np.hypot(0.017, truth.values["drop_scatter"]) if posture != "tilted" else 0.017
        for posture in postures
    ]
    logs = foresight.foresee(samples)[0] + np.array(sd) * rng.standard_normal(len(postures))
    return [float(time) for time in np.exp(logs)]


def inferred(
    times: list[float], postures: tuple[str, ...], *, draws: int = 2048, seed: int = 1
) -> tuple[Learned, dict[str, np.ndarray], Any]:
    """What the drop test makes of the times, knowing nothing of the sizes."""
    job = Job(PistonFit(), piston(), assumed_lathe(), {})
    taken = record(times, postures)
    joint = job.joint(
        unmeasured=job.duty.unmeasured(job.spec),
        more_unknowns=DropTest().unknowns(piston(), taken),
        pieces=True,
    )
    foresight = DropTest().prepare(piston(), taken)
    learned = learn(
        lambda normals: foresight.log_likelihood(joint.samples(normals)),
        columns=len(joint.columns),
        draws=draws,
        seed=seed,
    )
    return learned, joint.samples(learned.normals), foresight
