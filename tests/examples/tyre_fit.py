"""A steel tyre on a spoked iron driving wheel, measured and marked. Invented."""

from __future__ import annotations

from benchproof.bench_tests.growth import GrowthRecord, Place
from benchproof.bench_tests.witness_mark import Runs, WitnessRecord
from benchproof.duties.tyre_spec import TyreSpec
from benchproof.specs import Spec
from benchproof.spread import Normal, Uniform

SPEC = TyreSpec(
    seat=94e-3,
    tread=107.95e-3,
    width=14e-3,
    flange_height=3.5e-3,
    flange_width=2.5e-3,
    wheel_is="spoked",
    rim_inside=82e-3,
    spokes=10,
    spoke_width=8e-3,
    spoke_thickness=6e-3,
    hub_diameter=32e-3,
    wheel_material="grey iron",
    tyre_material="mild steel",
    axle_load=320.0,
)
RECORDS: dict[str, Spec] = {
    "growth": GrowthRecord(
        reading=(
            Place(before=108.452e-3, after=108.500e-3),
            Place(before=108.449e-3, after=108.494e-3),
            Place(before=108.455e-3, after=108.499e-3),
        )
    ),
    "witness-mark": WitnessRecord(
        reading=(
            Runs(runs=40, torque=Normal(3.0, 1.0), moved=False),
            Runs(runs=6, tyre_lead=Uniform(20.0, 45.0), moved=False),
        )
    ),
}
