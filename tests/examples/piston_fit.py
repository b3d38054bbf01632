"""A gunmetal bore with a bronze piston, dropped and leaked down. Invented."""

from __future__ import annotations

import numpy as np

from benchproof.bench_tests.drop_test import Drop, DropRecord
from benchproof.bench_tests.leak_down import LeakDownRecord, PressureFall
from benchproof.duties.piston_fit import PistonSpec
from benchproof.specs import Spec

SPEC = PistonSpec(
    bore=30e-3,
    land_length=20e-3,
    stroke=40e-3,
    bore_material="gunmetal",
    piston_material="phosphor bronze",
    boiler_pressure=6e5,
)
RECORDS: dict[str, Spec] = {
    "drop-test": DropRecord(
        piston_mass=0.1,
        travel=20e-3,
        air_temperature=293.15,
        reading=(
            Drop(posture="upright", time=300.0),
            Drop(posture="inverted", time=320.0),
            Drop(posture="tilted", time=200.0, tilt=np.radians(20.0)),
        ),
    ),
    "leak-down": LeakDownRecord(
        volume=25e-6,
        air_temperature=293.15,
        reading=(PressureFall(start_pressure=3e5, end_pressure=2e5, time=2.0),),
    ),
}
