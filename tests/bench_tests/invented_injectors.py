"""Invented injectors with hidden coefficients, and what a bench would read of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from benchproof.bench_tests.catch_test import CatchRecord, CatchTest, Caught
from benchproof.bench_tests.contract import BenchTest
from benchproof.bench_tests.dry_point import Dried, DryPoint, DryRecord
from benchproof.bench_tests.throttle_test import Throttled, ThrottleRecord, ThrottleTest
from benchproof.bench_tests.warm_tank import Warmed, WarmRecord, WarmTank
from benchproof.duties.injector import InjectorDuty
from benchproof.duties.injector_model import DRAFT, InjectorCones
from benchproof.duties.injector_sizes import service_of
from benchproof.duties.injector_spec import InjectorSpec
from benchproof.physics.injector_limits import dry_point, feed_limit
from benchproof.physics.ranges import Numbers
from benchproof.reckon.joint import Made
from benchproof.reckon.plan import Job
from benchproof.workshop.lathe import assumed_lathe

SPEC = InjectorSpec(
    boiler_pressure=6e5, lowest_pressure=4e5, feed=0.6e-3 / 60.0, head=0.1, reserve=0.0
)
DUTY = InjectorDuty()
TANK = 288.15
CATCHES = (6e5, 4.5e5)
GAUGE, WARMTH, MASS = 5e3, 0.5, 0.01


@dataclass(frozen=True)
class Invented:
    """The hidden truth, the job with its sizes as measured, and its tests."""

    truth: dict[str, float]
    job: Job[InjectorSpec]
    tests: list[tuple[BenchTest[Any], Any]]


def invented(seed: int, **hidden: float) -> Invented | None:
    """An injector as an untried builder makes it; nothing if it would not run on the bench."""
    rng = np.random.default_rng(seed)
    job = Job(DUTY, SPEC, assumed_lathe(), {})
    joint = job.joint()
    drawn = joint.samples(rng.standard_normal((len(joint.columns), 1)))
    truth = {name: float(values[0]) for name, values in drawn.items()} | hidden
    made = {}
    for feature in joint.features:
        u = 15e-6 if feature.name == DRAFT else 3e-6
        size = truth[feature.name] + u * float(rng.standard_normal())
        aim = None if feature.name == DRAFT else feature.aim
        made[feature.name] = Made(size, u, aim)
    tests = _tests(truth, rng)
    return Invented(truth, Job(DUTY, SPEC, assumed_lathe(), made), tests) if tests else None


def _tests(
    truth: dict[str, float], rng: np.random.Generator
) -> list[tuple[BenchTest[Any], Any]] | None:
    service = service_of(SPEC)
    samples: dict[str, Numbers] = {
        name: float(values[0])
        for name, values in InjectorCones(SPEC)(
            {name: np.array([value]) for name, value in truth.items()}
        ).items()
    }
    air = SPEC.air_pressure
    gauges = GAUGE * rng.standard_normal(3)
    mass, warmth, thermometer = (
        each * float(rng.standard_normal()) for each in (MASS, WARMTH, WARMTH)
    )
    runs = []
    for shown in CATCHES:
        running = service.at(shown - gauges[0] + air, TANK).perform(samples)
        if not running.runs:
            return None
        scatter = 0.3 * MASS * float(running.total_flow)
        delivered, spilled = (
            float(each) * (1.0 + mass) + scatter * float(rng.standard_normal())
            for each in (running.delivered, running.spilled)
        )
        warm = float(running.mixture_temperature) + warmth
        runs.append(
            Caught(
                steam_pressure=shown,
                feed_temperature=TANK,
                time=60.0,
                delivered=60.0 * delivered,
                spilled=max(60.0 * spilled, 0.0),
                delivery_temperature=warm + 0.5 * WARMTH * float(rng.standard_normal()),
            )
        )
    tests: list[tuple[BenchTest[Any], Any]] = [(CatchTest(), CatchRecord(reading=tuple(runs)))]
    at_work = service.at(6e5 + air, TANK)
    dry, found = dry_point(injector=at_work, samples=samples)
    shown = float(dry) - air + gauges[1]
    if found and 3e5 < shown < 12e5:
        low = shown - 1e4 * float(rng.random())
        tests.append(
            (
                DryPoint(),
                DryRecord(
                    reading=(Dried(dripped_at=low, dry_at=low + 1e4, feed_temperature=TANK),)
                ),
            )
        )
    highest = float(at_work.perform(samples).highest_pressure) - air + gauges[2]
    read = highest + 3e3 * float(rng.standard_normal())
    held = read - 1e4 * float(rng.random())
    tests.append(
        (
            ThrottleTest(),
            ThrottleRecord(
                reading=(
                    Throttled(
                        steam_pressure=6e5,
                        feed_temperature=TANK,
                        held_at=held,
                        broke_at=held + 1e4,
                    ),
                )
            ),
        )
    )
    limit, _ = feed_limit(injector=at_work, samples=samples)
    ran = float(limit) + thermometer - 2.0 * float(rng.random())
    if 283.15 < ran < 358.15:
        warm_record = WarmRecord(
            reading=(Warmed(steam_pressure=6e5, ran_at=ran, broke_at=ran + 2.0),)
        )
        tests.append((WarmTank(), warm_record))
    return tests
