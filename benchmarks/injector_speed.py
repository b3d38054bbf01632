"""An injector's equations, its map, its aims and four bench tests, each against what is aimed for.

The equations solved one sample at a time by root finders are those the tests hold ours to.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from importlib import import_module
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

import numpy as np

from benchmarks.demo_job import job
from benchmarks.timing import Figure, took, took_in_turn
from benchproof.duties.injector_corner import Corner
from benchproof.duties.injector_model import InjectorCones
from benchproof.duties.injector_sizes import service_of
from benchproof.physics.injector import Injector
from benchproof.physics.injector_coefficients import DEFAULTS
from benchproof.physics.injector_map import working_map
from benchproof.physics.injector_running import Cause
from benchproof.reckon.aims import offsets_to_try
from benchproof.reckon.odds import THREADS, sweep
from benchproof.reckon.together import learned_together

BUILDS, PRESSURES = 20_000, 7
PLACES, BAND = 60, 64
AIMS, DRAWS = 21, 4096
LOOPED = 12
NEAR = 5e-4  # of the highest pressure: table against formulation
Samples = Mapping[str, Any]


def figures() -> Iterator[Figure]:
    """Equations, map, sweep, and tests learned from."""
    to_be_made = job(duty_key="injector")
    duty, spec = to_be_made.duty, to_be_made.spec
    joint = to_be_made.joint()
    drawn = joint.samples(joint.normals(BUILDS, 1))
    builds = InjectorCones(spec)(drawn)
    service = service_of(spec)
    pressures = np.linspace(service.lowest_pressure, service.blowing_off, PRESSURES)
    at_work = service.at(service.working_pressure, service.feed_temperature)
    corners = [Corner(service.at(float(p), service.feed_temperature)) for p in pressures]

    def run_all() -> None:
        with ThreadPoolExecutor(THREADS) as pool:
            list(pool.map(lambda corner: corner.perform(builds), corners))

    what = f"injector: {BUILDS} builds at {PRESSURES} pressures, two threads"
    alone = _one_by_one(at_work, builds) * BUILDS * PRESSURES
    words = f"root finders, timed on {LOOPED}"
    yield Figure(what, took(run_all), words, alone, "seconds", 0.3)
    threads = took_in_turn([run_all], 7, process_time)[0]
    yield Figure(f"{what}: processor time of both", threads)
    exact = f"injector: {BUILDS} builds at one pressure, without that pressure's table"
    yield Figure(exact, took(lambda: at_work.perform(builds)), words, alone / PRESSURES)

    middle = {name: float(np.median(each)) for name, each in builds.items()}
    grid = {
        "boiler_pressure": np.linspace(2e5, 12e5, PLACES) + spec.air_pressure,
        "feed_temperature": np.linspace(278.15, 318.15, PLACES),
    }
    band = {name: each[:BAND] for name, each in builds.items()}
    for more, draws, at_most in (("", None, 0.03), (f", {BAND} draws", band, 1.0)):
        map_it = partial(working_map, injector=at_work, samples=middle, draws=draws, **grid)
        yield from _timed(f"injector: map of {PLACES} by {PLACES}{more}", map_it, at_most)

    model, needs = duty.prepare(spec), duty.needs(spec)
    few = {name: each[:DRAWS] for name, each in drawn.items()}
    offsets = offsets_to_try(*duty.aims_to_try(spec), AIMS)
    sweep_them = partial(sweep, model, needs, few, joint.swept, offsets)
    yield from _timed(f"injector: {AIMS} aims at {DRAWS} samples", sweep_them, 1.0)
    one = _tests().invented(1)
    learn = partial(learned_together, one.job, one.tests)
    yield from _timed("injector: four bench tests learned from together", learn, 3.0, 3)


def _timed(
    what: str, run: Callable[[], object], at_most: float, repeats: int = 7
) -> Iterator[Figure]:
    """By the clock, and in processor time of all threads, which a busy machine stretches less."""
    yield Figure(what, took(run, repeats), at_most=at_most)
    yield Figure(f"{what}: processor time", took_in_turn([run], repeats, process_time)[0])


def _one_by_one(at: Injector, builds: Samples) -> float:
    """Time a sample takes [s]; stops unless both ways find the same."""
    running = at.perform(builds)
    causes = {"runs": Cause.RUNS, "short": Cause.DELIVERY_SHORT, "choked": Cause.THROAT_CHOKED,
              "not condensed": Cause.NOT_CONDENSED}  # fmt: skip
    plain = _tests("plain_injector").plain_injector
    spent = 0.0
    for i in range(LOOPED):
        sample = {**DEFAULTS, **{name: float(each[i]) for name, each in builds.items()}}
        start = perf_counter()
        found = plain(
            sample,
            boiler=float(at.boiler_pressure),
            feed_temperature=float(at.feed_temperature),
            air=at.air_pressure,
            head=at.head,
            loss=at.delivery_loss,
        )
        spent += perf_counter() - start
        close = np.isclose(found.highest, running.highest_pressure[i], rtol=NEAR)
        if causes[found.cause] != running.cause[i] or not (close or found.highest == 0.0):
            raise SystemExit(f"injector {i}: the root finders find something else")
    return spent / LOOPED


def _tests(name: str = "bench_tests.invented_injectors") -> Any:
    """A module of the tests, which are no part of what is installed."""
    folder = str(Path(__file__).parents[1] / "tests")
    if folder not in sys.path:
        sys.path.append(folder)
    return import_module(name)


if __name__ == "__main__":
    for figure in figures():
        print(*figure.row(), sep=" | ", flush=True)
