"""A drain cock of 3 mm, tested with air and with water. Invented."""

from __future__ import annotations

from benchproof.bench_tests.bubble_test import BubbleRecord
from benchproof.bench_tests.drip_test import DripRecord
from benchproof.bench_tests.leak_counts import Caught
from benchproof.duties.cock_spec import CockSpec
from benchproof.specs import Spec

SPEC = CockSpec(
    mean_diameter=3e-3,
    length=6e-3,
    port=1.2e-3,
    pressure=8e5,
    fluid="steam",
    angles="clocked",
    ports="drilled apart",
)
RECORDS: dict[str, Spec] = {
    "bubble-test": BubbleRecord(
        air_temperature=293.15,
        mouth=2e-3,
        reading=(
            Caught(where="outlet", time=300.0, count=1),
            Caught(where="small end", time=300.0, count=12),
            Caught(where="all", time=60.0, volume=0.3e-6),
        ),
    ),
    "drip-test": DripRecord(
        pressure=8e5,
        reading=(Caught(time=600.0, count=0), Caught(time=1200.0, volume=0.2e-6)),
    ),
}
