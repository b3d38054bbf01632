"""A union of a feed pipe, 1/4 by 40, pumped up with water and watched. Invented."""

from __future__ import annotations

from benchproof.bench_tests.pressure_hold import HeldRun, PressureHoldRecord
from benchproof.duties.pipe_union import UnionSpec
from benchproof.specs import Spec
from benchproof.spread import Normal

SPEC = UnionSpec(
    thread="1/4x40",
    engagement_length=4.5e-3,
    pipe_diameter=4e-3,
    pipe_wall=0.7e-3,
    nut_material="gunmetal",
    nipple_material="phosphor bronze",
    fitting_material="gunmetal",
    fluid="water",
    flow=400e-3 / 60.0,
    pipe_length=0.4,
    working_pressure=6e5,
    temperature=363.15,
    seat_diameter=4.2e-3,
    seat_width=0.6e-3,
    torque=Normal(1.1, 0.2),
)
RECORDS: dict[str, Spec] = {
    "pressure-hold": PressureHoldRecord(
        water_volume=40e-6,
        pumped=0.12e-6,
        gauge_division=0.2e5,
        pump_alone="held",
        reading=(
            HeldRun(start_pressure=12e5, end_pressure=12e5, time=600.0, drops=0),
            HeldRun(start_pressure=12e5, end_pressure=11.8e5, time=1200.0),
        ),
    ),
}
