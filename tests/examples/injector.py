"""An injector of 0.3 litres a minute for a small tank engine, tried on the bench. Invented."""

from __future__ import annotations

from benchproof.bench_tests.catch_test import CatchRecord, Caught
from benchproof.bench_tests.dry_point import Dried, DryRecord
from benchproof.bench_tests.throttle_test import Throttled, ThrottleRecord
from benchproof.bench_tests.warm_tank import Warmed, WarmRecord
from benchproof.duties.injector_spec import InjectorSpec
from benchproof.specs import Spec

_TANK = 289.15

SPEC = InjectorSpec(
    boiler_pressure=5e5, lowest_pressure=3.5e5, blowing_off=5.5e5, feed=0.3e-3 / 60.0
)
RECORDS: dict[str, Spec] = {
    "catch-test": CatchRecord(
        reading=(
            Caught(
                steam_pressure=5e5,
                feed_temperature=_TANK,
                time=60.0,
                delivered=0.361,
                spilled=0.024,
                delivery_temperature=324.75,
            ),
            Caught(
                steam_pressure=4e5,
                feed_temperature=_TANK,
                time=60.0,
                delivered=0.316,
                spilled=0.070,
            ),
        )
    ),
    "dry-point": DryRecord(
        reading=(Dried(dripped_at=5.4e5, dry_at=5.5e5, feed_temperature=_TANK),)
    ),
    "throttle-test": ThrottleRecord(
        reading=(
            Throttled(steam_pressure=5e5, feed_temperature=_TANK, held_at=6.5e5, broke_at=6.6e5),
        )
    ),
    "warm-tank": WarmRecord(reading=(Warmed(steam_pressure=5e5, ran_at=322.15, broke_at=324.15),)),
}
