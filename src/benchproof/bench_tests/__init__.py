"""Bench tests: measuring the function of a finished part. Each is one module."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from benchproof.duties import load

if TYPE_CHECKING:
    from benchproof.bench_tests.contract import BenchTest

BENCH_TESTS: dict[str, str] = {
    "drop-test": "benchproof.bench_tests.drop_test:DropTest",
    "leak-down": "benchproof.bench_tests.leak_down:LeakDown",
    "pressure-hold": "benchproof.bench_tests.pressure_hold:PressureHold",
    "drip-test": "benchproof.bench_tests.drip_test:DripTest",
    "growth": "benchproof.bench_tests.growth:Growth",
    "witness-mark": "benchproof.bench_tests.witness_mark:WitnessMark",
    "bubble-test": "benchproof.bench_tests.bubble_test:BubbleTest",
    "catch-test": "benchproof.bench_tests.catch_test:CatchTest",
    "dry-point": "benchproof.bench_tests.dry_point:DryPoint",
    "throttle-test": "benchproof.bench_tests.throttle_test:ThrottleTest",
    "warm-tank": "benchproof.bench_tests.warm_tank:WarmTank",
}


def load_bench_test(key: str) -> BenchTest[Any]:
    """Load a bench test by its key; raises ``KeyError`` with the known keys."""
    test: BenchTest[Any] = load(key, BENCH_TESTS, "bench test")
    return test
