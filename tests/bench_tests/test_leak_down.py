"""Leak-down: the fall of pressure in a closed volume, foreseen and learned from."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.bench_tests.leak_down import LeakDown, LeakDownRecord, PressureFall
from benchproof.duties.matter import expansion_name
from benchproof.duties.piston_fit import PistonFit, PistonSpec
from benchproof.reckon.plan import Job
from benchproof.reckon.result import bench_result
from benchproof.workshop.lathe import assumed_lathe
from sources import source

PISTON = PistonSpec(
    bore=30e-3,
    land_length=20e-3,
    stroke=40e-3,
    bore_material="gunmetal",
    piston_material="gunmetal",
    boiler_pressure=8e5,
)


def record(*times: float, volume: float = 24.74e-6) -> LeakDownRecord:
    return LeakDownRecord(
        volume=volume,
        volume_uncertainty=0.3e-6,
        air_temperature=293.15,
        reading=tuple(PressureFall(start_pressure=3e5, end_pressure=2e5, time=t) for t in times),
    )


def seconds(clearance: float, posture: float = 1.0) -> float:
    samples = {
        "bore": np.array([30e-3]),
        "piston": np.array([30e-3 - clearance]),
        "leak_posture": np.array([posture]),
        "leak_volume": np.array([0.0]),
        expansion_name("gunmetal"): np.array([18.0e-6]),
    }
    return float(np.exp(LeakDown().prepare(PISTON, record(2.0)).foresee(samples)[0, 0]))


@source("an independent integration of the same fall", kind="own calculation")
def test_the_bare_cylinder_of_a_thirty_millimetre_piston_falls_in_two_seconds() -> None:
    assert seconds(20e-6) == pytest.approx(2.029, rel=5e-3)


def test_what_lies_on_one_wall_falls_faster_and_what_is_shut_never() -> None:
    assert seconds(20e-6, 2.5) < 0.5 * seconds(20e-6)
    assert seconds(-1e-6) == np.inf


def test_it_measures_the_conductance_and_leaves_clearance_mixed_with_posture() -> None:
    times = (seconds(16e-6, 1.5) * 50.0,) * 3
    job = Job(PistonFit(), PISTON, assumed_lathe(), {})
    found = bench_result(job, LeakDown(), record(*times, volume=50.0 * 24.74e-6))
    figures = {figure.name: figure for figure in found.measured}
    true = 1.5 * (8e-6) ** 3
    assert figures["conductance"].median == pytest.approx(true, rel=0.05)
    assert figures["conductance"].width / true < 0.2
    assert figures["clearance"].width / 16e-6 > 0.3
    assert figures["clearance"].p5 < 16e-6 < figures["clearance"].p95
