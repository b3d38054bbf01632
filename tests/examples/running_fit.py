"""A driving axle in the bronze bush of its axlebox. Invented."""

from __future__ import annotations

from benchproof.duties.running_fit_spec import RunningSpec
from benchproof.specs import Spec
from benchproof.spread import Uniform

SPEC = RunningSpec(
    place="axle in axlebox",
    diameter=12.7e-3,
    length=19.05e-3,
    load=Uniform(120.0, 260.0),
    speed=6.5,
    journal_material="silver steel",
    bearing_is="bush reamed after pressing",
    bearing_material="leaded bronze",
    bush_outside=15.875e-3,
    interference=20e-6,
    housing_material="grey iron",
    housing_outside=26e-3,
    play_allowed=0.1e-3,
    wear_allowed=0.04e-3,
)
RECORDS: dict[str, Spec] = {}
