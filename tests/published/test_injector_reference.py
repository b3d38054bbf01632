"""The reference injector of 0.55 mm, worked once before by scanning and halving, step by step.

Nobody has published a measurement at this size. These numbers check the sums, not the injector.
"""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics.errors import Array
from benchproof.physics.injector import SIZES
from benchproof.physics.injector_coefficients import recovery
from benchproof.physics.injector_limits import (
    draft_bore_for_spill,
    dry_point,
    feed_limit,
    working_range,
)
from benchproof.physics.ranges import Numbers
from reference_injector import AIR, REFERENCE, at_gauge, full_size
from sources import source

EARLIER = "the same equations, scanned and halved with IAPWS-IF97 by an earlier program"
GRAMS = 6e4  # kg/s in g/min; m³/s in l/min
PITCH = 2.0 * np.tan(np.radians(6.5))


@source(EARLIER, kind="own calculation")
@pytest.mark.parametrize(
    ("bar", "feed", "warm", "jet", "spill", "void", "grams", "litres", "ratio"),
    [
        (3, 23.3, 41.3, 30.7, 21.3, 0, 434, 0.416, 1.02),
        (4, 22.1, 42.8, 36.2, 21.3, 0, 512, 0.490, 1.07),
        (6, 16.83, 51.2, 46.94, 5.0, 0, 661, 0.624, 1.190),
        (7, 14.61, 56.4, 52.5, 0, 6.0, 693, 0.649, 1.27),
        (9, 11.36, 67.5, 64.1, 0, 23.8, 682, 0.627, 1.47),
    ],
)
def test_over_boiler_pressure(
    bar: float,
    feed: float,
    warm: float,
    jet: float,
    spill: float,
    void: float,
    grams: float,
    litres: float,
    ratio: float,
) -> None:
    running = at_gauge(bar).perform(REFERENCE)
    assert running.runs == (bar > 3)
    assert running.solid == (bar < 5)
    np.testing.assert_allclose(running.entrainment, feed, rtol=0.005)
    np.testing.assert_allclose(running.mixture_temperature - 273.15, warm, rtol=0.0, atol=0.1)
    np.testing.assert_allclose(running.jet_velocity, jet, rtol=0.005)
    np.testing.assert_allclose(100.0 * running.spill, spill, rtol=0.0, atol=0.5)
    np.testing.assert_allclose(100.0 * running.void, void, rtol=0.0, atol=0.5)
    np.testing.assert_allclose(running.delivered * GRAMS, grams, rtol=0.005)
    np.testing.assert_allclose(running.fresh_volume * GRAMS, litres, rtol=0.005)
    np.testing.assert_allclose(running.pressure_ratio, ratio, rtol=0.0, atol=0.0055)


@source(EARLIER, kind="own calculation")
def test_inside_at_six_bar() -> None:
    running = at_gauge(6.0).perform(REFERENCE)
    np.testing.assert_allclose(running.steam_flow * 1e3, 0.6502, rtol=2e-4)
    np.testing.assert_allclose(running.mouth_pressure / 1e5, 0.868, rtol=1e-3)
    np.testing.assert_allclose(running.mouth_velocity, 839.4, rtol=2e-4)
    np.testing.assert_allclose(running.chamber_pressure / 1e5, 0.0910, rtol=1e-3)
    momentum = running.jet_velocity * running.total_flow
    np.testing.assert_allclose(momentum, 0.4600 + 0.1121 - 0.0278, rtol=1e-3)


@source(EARLIER, kind="own calculation")
def test_limits_of_running() -> None:
    low, high, found = working_range(injector=at_gauge(6.0), samples=REFERENCE)
    assert found
    # The earlier program went up in steps of 0.1 bar and gave the first and last that worked.
    np.testing.assert_allclose((np.array([low, high]) - AIR) / 1e5, [3.45, 12.1], atol=0.06)
    for bar, celsius in ((4, 57.4), (6, 46.0), (8, 35.4)):
        warmest, _ = feed_limit(injector=at_gauge(bar), samples=REFERENCE)
        np.testing.assert_allclose(warmest - 273.15, celsius, rtol=0.0, atol=0.1)


@source(EARLIER, kind="own calculation")
def test_thin_air_moves_the_range() -> None:
    thin = at_gauge(6.0, air_pressure=90e3)
    low, high, _ = working_range(injector=thin, samples=REFERENCE)
    np.testing.assert_allclose((np.array([low, high]) - 90e3) / 1e5, [3.05, 10.8], atol=0.06)
    np.testing.assert_allclose(thin.perform(REFERENCE).void, 0.043, rtol=0.0, atol=0.001)


@source(EARLIER, kind="own calculation")
def test_a_lift_draws_air_and_wet_steam_does_not_show() -> None:
    flat, lifting = (at_gauge(6.0, head=head).perform(REFERENCE) for head in (0.1, -1.0))
    np.testing.assert_allclose(lifting.void, 0.046, rtol=0.0, atol=0.001)
    np.testing.assert_allclose(lifting.delivered / flat.delivered, 0.99, rtol=0.0, atol=0.006)
    wet = at_gauge(6.0, dryness=0.90).perform(REFERENCE)
    np.testing.assert_allclose(wet.fresh / flat.fresh, 1.0, rtol=0.0, atol=0.006)


@source(EARLIER, kind="own calculation")
def test_a_warmer_tank() -> None:
    spills = [at_gauge(6.0, celsius).perform(REFERENCE).spill for celsius in (5, 15, 25, 27)]
    np.testing.assert_allclose(spills, [0.070, 0.050, 0.011, 0.0], rtol=0.0, atol=0.0006)
    hot, cool = (at_gauge(6.0, celsius).perform(REFERENCE).delivered for celsius in (40, 15))
    np.testing.assert_allclose(hot / cool, 0.90, rtol=0.0, atol=0.006)
    assert not at_gauge(6.0, 47.0).perform(REFERENCE).runs


DELIVERED = {
    "steam_throat": (-2.9, -0.7, 0.7, 3.0),
    "delivery_throat": (-7.1, -1.8, 1.8, 5.3),
    "combining_throat": (0.3, 0.1, -0.1, -0.3),
    "mouth": (-0.4, -0.1, 0.1, 0.4),
    "nose": (-3.1, -0.8, 0.8, 0.5),
    "draft_bore": (-0.6, 1.0, -1.0, -3.9),
}
LOWER = {
    "steam_throat": (4.7, 2.7),
    "delivery_throat": (3.4, 3.5),
    "combining_throat": (3.1, 3.9),
    "mouth": (3.5, 3.4),
    "nose": (4.3, 2.8),
    "draft_bore": (2.7, 4.6),
}
WARMER = {
    "steam_throat": (1.7, -1.7),
    "delivery_throat": (0.0, 0.0),
    "combining_throat": (0.0, 0.0),
    "mouth": (0.0, 0.0),
    "nose": (1.6, -1.8),
    "draft_bore": (-2.2, 2.0),
}


@source(EARLIER, kind="own calculation")
@pytest.mark.parametrize("size", DELIVERED)
def test_one_error_at_a_time(size: str) -> None:
    injector = at_gauge(6.0)
    errors = np.array([-20e-6, -5e-6, 5e-6, 20e-6])
    samples: dict[str, Numbers] = {**REFERENCE, size: REFERENCE[size] + errors}
    change = injector.perform(samples).delivered / injector.perform(REFERENCE).delivered - 1.0
    np.testing.assert_allclose(100.0 * change, DELIVERED[size], rtol=0.0, atol=0.1)
    samples[size] = REFERENCE[size] + errors[[0, 3]]
    low = (working_range(injector=injector, samples=_filled(samples, 2)).low - AIR) / 1e5
    np.testing.assert_allclose(low, LOWER[size], rtol=0.0, atol=0.11)
    warmest, _ = feed_limit(injector=injector, samples=_filled(samples, 2))
    middle, _ = feed_limit(injector=injector, samples=REFERENCE)
    np.testing.assert_allclose(warmest - middle, WARMER[size], rtol=0.0, atol=0.1)


@source(EARLIER, kind="own calculation")
def test_the_axial_place_of_the_steam_cone() -> None:
    injector = at_gauge(6.0)
    moved = np.array([-200e-6, -100e-6, -50e-6, 50e-6, 100e-6, 200e-6])
    samples = _filled({**REFERENCE, "draft_bore": REFERENCE["draft_bore"] + PITCH * moved}, 6)
    running = injector.perform(samples)
    change = running.delivered / injector.perform(REFERENCE).delivered - 1.0
    np.testing.assert_allclose(
        100.0 * change, [-8.1, -1.4, 1.9, -2.3, -4.4, -8.0], rtol=0.0, atol=0.15
    )
    np.testing.assert_allclose(running.void[0], 0.17, rtol=0.0, atol=0.005)
    np.testing.assert_allclose(running.spill[-1], 0.213, rtol=0.0, atol=0.005)
    np.testing.assert_allclose(running.pressure_ratio[-1], 1.006, rtol=0.0, atol=0.002)
    assert list(running.runs) == [True] * 5 + [False]
    low = (working_range(injector=injector, samples=samples).low - AIR) / 1e5
    np.testing.assert_allclose(low[[0, -1]], [2.0, 6.5], rtol=0.0, atol=0.11)
    warmest, _ = feed_limit(injector=injector, samples=samples)
    middle, _ = feed_limit(injector=injector, samples=REFERENCE)
    np.testing.assert_allclose(warmest[[0, -1]] - middle, [-5.4, 4.4], rtol=0.0, atol=0.1)


@source(EARLIER, kind="own calculation")
@pytest.mark.parametrize(
    ("name", "value", "delivered", "low", "high", "warmest"),
    [
        ("momentum", 0.95 * 0.70, -4.6, 5.2, None, None),
        ("momentum", 0.95 * 0.78, 4.6, 2.6, None, None),
        ("recovery", 0.55, 0.0, 6.5, None, None),
        ("recovery", 0.72, 0.0, 2.4, None, None),
        ("water_discharge", 0.63, -5.5, 2.2, 10.7, None),
        ("water_discharge", 0.77, -6.8, 5.9, 13.4, None),
        ("mixing", 0.5, None, None, 13.9, 57.0),
        ("mixing", 1.0, None, None, 9.1, 36.0),
        ("steam_discharge", 0.95, -3.3, None, None, None),
    ],
)
def test_coefficients_matter_more_than_tolerances(
    name: str,
    value: float,
    delivered: float | None,
    low: float | None,
    high: float | None,
    warmest: float | None,
) -> None:
    injector = at_gauge(6.0)
    sample = REFERENCE | {name: value}
    change = injector.perform(sample).delivered / injector.perform(REFERENCE).delivered - 1.0
    stretch = working_range(injector=injector, samples=sample)
    limit, _ = feed_limit(injector=injector, samples=sample)
    for found, expected, within in (
        (100.0 * change, delivered, 0.1),
        ((stretch.low - AIR) / 1e5, low, 0.11),
        ((stretch.high - AIR) / 1e5, high, 0.11),
        (limit - 273.15, warmest, 0.55),
    ):
        # The earlier program's search ended at 14 bar: its 13.9 is where it stopped looking.
        if expected is not None and not (name == "mixing" and expected == 13.9):
            np.testing.assert_allclose(found, expected, rtol=0.0, atol=within)
        elif expected is not None:
            assert found > expected


@source(EARLIER, kind="own calculation")
@pytest.mark.parametrize(
    ("product", "low"), [(0.36, 2.4), (0.33, 3.3), (0.30, 5.1), (0.28, 6.1), (0.25, 7.7)]
)
def test_the_lower_limit_hangs_on_a_number_nobody_is_sure_of(product: float, low: float) -> None:
    sample = REFERENCE | {"recovery": product / 0.703**2}
    found = (working_range(injector=at_gauge(6.0), samples=sample).low - AIR) / 1e5
    np.testing.assert_allclose(found, low, rtol=0.0, atol=0.11)


@source(EARLIER, kind="own calculation")
@pytest.mark.parametrize(
    ("bar", "celsius", "bore", "low"), [(7, 25, 2.038, 5.8), (4, 15, 1.951, None)]
)
def test_where_the_ring_is_set_decides_how_low_it_runs(
    bar: float, celsius: float, bore: float, low: float | None
) -> None:
    setting = at_gauge(bar, celsius)
    found, _ = draft_bore_for_spill(injector=setting, samples=REFERENCE, spill=0.05)
    np.testing.assert_allclose(found * 1e3, bore, rtol=0.0, atol=0.0006)
    sample = REFERENCE | {"draft_bore": float(found)}
    if low is None:  # a cock that trims the feed at low pressure pays
        np.testing.assert_allclose(
            setting.perform(sample).pressure_ratio, 1.30, rtol=0.0, atol=0.006
        )
    else:
        stretch = working_range(injector=at_gauge(6.0), samples=sample)
        np.testing.assert_allclose((stretch.low - AIR) / 1e5, low, rtol=0.0, atol=0.11)


@source(EARLIER, kind="own calculation")
def test_more_steam_for_the_water_buys_range_with_feed() -> None:
    smaller = REFERENCE | {"delivery_throat": 0.52e-3, "combining_throat": 0.585e-3}
    setting = at_gauge(7.0, 25.0)
    fresh, limits = [], []
    for sample in (REFERENCE, smaller):
        bore, _ = draft_bore_for_spill(injector=setting, samples=sample, spill=0.05)
        trimmed = sample | {"draft_bore": float(bore)}
        fresh.append(float(setting.perform(trimmed).fresh))
        limits.append(float(feed_limit(injector=setting, samples=trimmed)[0]))
    np.testing.assert_allclose(bore * 1e3, 2.016, rtol=0.0, atol=0.0006)
    low = working_range(injector=at_gauge(6.0), samples=trimmed).low
    np.testing.assert_allclose((low - AIR) / 1e5, 3.1, rtol=0.0, atol=0.11)
    np.testing.assert_allclose(fresh[1] / fresh[0], 0.94, rtol=0.0, atol=0.006)
    np.testing.assert_allclose(limits[1] - limits[0], -2.3, rtol=0.0, atol=0.1)


@source(EARLIER, kind="own calculation")
def test_four_bench_tests_read_what_the_sizes_say() -> None:
    sample = REFERENCE | {"draft_bore": 1.9697e-3, "steam_discharge": 0.97, "recovery": 0.70}
    sample |= {"water_discharge": 0.74, "momentum": 0.95 * 0.70, "mixing": 0.70}
    running = at_gauge(6.0).perform(sample)
    np.testing.assert_allclose(running.mixture_temperature - 273.15, 51.4, rtol=0.0, atol=0.06)
    np.testing.assert_allclose(running.delivered * GRAMS, 637.4, rtol=5e-4)
    np.testing.assert_allclose(running.spilled * GRAMS, 33.6, rtol=0.0, atol=0.3)
    np.testing.assert_allclose((running.highest_pressure - AIR) / 1e5, 7.05, rtol=0.0, atol=0.01)
    dry, found = dry_point(injector=at_gauge(6.0), samples=sample)
    assert found
    np.testing.assert_allclose((dry - AIR) / 1e5, 6.46, rtol=0.0, atol=0.01)
    there = at_gauge(float(dry - AIR) / 1e5).perform(sample)
    np.testing.assert_allclose(there.mixture_temperature - 273.15, 53.8, rtol=0.0, atol=0.06)
    np.testing.assert_allclose(there.delivered * GRAMS, 671.0, rtol=5e-4)
    warmest, _ = feed_limit(injector=at_gauge(6.0), samples=sample)
    np.testing.assert_allclose(warmest - 273.15, 50.7, rtol=0.0, atol=0.1)


@source(EARLIER, kind="own calculation")
@pytest.mark.parametrize(
    ("bar", "area_ratio", "total", "feed", "litres", "jet", "warm", "ratio"),
    [
        (4, 3.20, 44.3, 17.8, 2.52, 44.8, 49, 1.63),
        (6, 2.91, 49.6, 15.7, 2.80, 50.3, 54, 1.37),
        (7, 2.76, 51.5, 15.0, 2.90, 52.2, 55, 1.26),
        (9, 2.45, 54.1, 14.3, 3.04, 55.0, 58, 1.09),
    ],
)
def test_for_each_square_millimetre_of_delivery_throat(
    bar: float,
    area_ratio: float,
    total: float,
    feed: float,
    litres: float,
    jet: float,
    warm: float,
    ratio: float,
) -> None:
    injector = at_gauge(bar, delivery_loss=5e3)
    cones = full_size(1.0, area_ratio)
    bore, _ = draft_bore_for_spill(injector=injector, samples=cones, spill=0.0)
    running = injector.perform(cones | {"draft_bore": float(bore)})
    throat = 0.25 * np.pi * 4.0**2
    for found, expected in (
        (running.total_flow * 1e3 / throat, total),
        (running.entrainment, feed),
        (running.fresh_volume * GRAMS / throat, litres),
        (running.jet_velocity, jet),
        (running.pressure_ratio, ratio),
    ):
        np.testing.assert_allclose(found, expected, rtol=0.005)
    np.testing.assert_allclose(running.mixture_temperature - 273.15, warm, rtol=0.0, atol=0.6)


RUNNING = {
    (5, False): (0.98, 1.00, 1.00, 1.00, 1.00, 1.00),
    (20, False): (0.68, 0.85, 0.97, 1.00, 1.00, 1.00),
    (5, True): (0.66, 0.80, 0.92, 0.97, 0.99, 0.97),
    (20, True): (0.63, 0.76, 0.86, 0.94, 0.96, 0.93),
}


@source(EARLIER + ", chance error up to 0.015", kind="own calculation")
@pytest.mark.parametrize(("micrometres", "uncertain"), RUNNING)
def test_share_that_runs(micrometres: int, uncertain: bool) -> None:
    samples = _builds(micrometres, uncertain=uncertain, count=16_384)
    shares = [at_gauge(bar).perform(samples).runs.mean() for bar in (4, 5, 6, 7, 8, 9)]
    # 0.02 for the model and as much again as the earlier draws were uncertain by in its worst
    # place, where this one, of many more draws, gives 0.65 for its 0.63.
    expected = RUNNING[micrometres, uncertain]
    np.testing.assert_allclose(shares, expected, rtol=0.0, atol=0.025)
    assert np.mean(np.abs(np.array(shares) - expected)) < 0.02


RESET = {
    False: (0.80, 1.00, 1.00, 1.00, 1.00, 1.00),
    True: (0.67, 0.81, 0.95, 0.99, 1.00, 0.99),
}


@source(EARLIER + ", chance error up to 0.03", kind="own calculation")
@pytest.mark.parametrize("uncertain", RESET)
def test_share_that_runs_once_the_ring_is_set_on_the_bench(uncertain: bool) -> None:
    samples = _builds(20, uncertain=uncertain, count=2048)
    bore, found = draft_bore_for_spill(injector=at_gauge(6.0), samples=samples, spill=0.05)
    assert found.all()
    samples["draft_bore"] = bore
    shares = np.array([at_gauge(bar).perform(samples).runs.mean() for bar in (4, 5, 6, 7, 8, 9)])
    # At 4 bar the earlier program, of few draws, gave 0.67 where these give 0.63.
    within = np.array([0.05, 0.03, 0.03, 0.03, 0.03, 0.03])
    assert (np.abs(shares - RESET[uncertain]) < within).all()
    assert not at_gauge(6.0).perform(samples).void.any()


def _builds(micrometres: int, *, uncertain: bool, count: int) -> dict[str, Numbers]:
    """Reference injectors with uniform errors, five times as large along the axis."""
    draw = np.random.default_rng(3)
    band = micrometres * 1e-6

    def errors(width: float) -> Array:
        return draw.uniform(-width, width, count)

    samples: dict[str, Numbers] = _filled(REFERENCE, count)
    for name in SIZES[:-1]:
        samples[name] = REFERENCE[name] + errors(band)
    samples["draft_bore"] = samples["draft_bore"] + PITCH * errors(5.0 * band)
    if uncertain:
        samples["momentum"] = draw.uniform(0.63, 0.78, count)
        product = draw.normal(0.33, 0.025, count)
        samples["recovery"] = recovery(product=product, momentum=samples["momentum"])
        samples["steam_discharge"] = draw.normal(1.0, 0.02, count)
        samples["water_discharge"] = draw.normal(0.70, 0.04, count)
        samples["mixing"] = draw.uniform(0.5, 1.0, count)
    return samples


def _filled(samples: dict[str, float] | dict[str, Numbers], count: int) -> dict[str, Numbers]:
    return {name: np.broadcast_to(value, (count,)) for name, value in samples.items()}
