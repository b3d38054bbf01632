from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics.errors import OutOfRange
from benchproof.physics.injector_limits import (
    HIGHEST_GAUGE,
    LOWEST_GAUGE,
    draft_bore_for_spill,
    dry_point,
    feed_limit,
    least_capacity,
    working_range,
)
from benchproof.physics.ranges import Numbers
from reference_injector import AIR, REFERENCE, at_gauge

SIX = at_gauge(6.0)
STEP = 2e2  # what is left of a quarter of a bar after twelve halvings, doubled


def several() -> dict[str, Numbers]:
    bores = REFERENCE["draft_bore"] + np.array([-40e-6, 0.0, 30e-6])
    samples: dict[str, Numbers] = {name: np.full(3, value) for name, value in REFERENCE.items()}
    return samples | {"draft_bore": bores}


def test_just_inside_its_range_it_runs_and_just_outside_it_does_not() -> None:
    samples = several()
    low, high, found = working_range(injector=SIX, samples=samples)
    assert found.all()
    for edge, inwards in ((low, STEP), (high, -STEP)):
        assert SIX.perform(samples | {"boiler_pressure": edge + inwards}).runs.all()
        assert not SIX.perform(samples | {"boiler_pressure": edge - inwards}).runs.any()


def test_limits_of_one_are_those_of_many() -> None:
    samples = several()
    low, high, _ = working_range(injector=SIX, samples=samples)
    warmest, _ = feed_limit(injector=SIX, samples=samples)
    for each in range(3):
        one = {name: float(np.asarray(value)[each]) for name, value in samples.items()}
        alone = working_range(injector=SIX, samples=one)
        np.testing.assert_allclose([alone.low, alone.high], [low[each], high[each]], rtol=1e-12)
        limit, _ = feed_limit(injector=SIX, samples=one)
        np.testing.assert_allclose(limit, warmest[each], rtol=1e-12)


def test_a_range_beyond_the_search_ends_where_the_search_does() -> None:
    eager = REFERENCE | {"recovery": 0.95, "mixing": 0.3, "momentum": 0.9}
    low, high, found = working_range(injector=SIX, samples=eager)
    assert found
    np.testing.assert_allclose(high, HIGHEST_GAUGE + AIR)
    assert low >= LOWEST_GAUGE + AIR


def test_what_never_runs_has_no_limits() -> None:
    hopeless = REFERENCE | {"recovery": 0.1}
    assert not working_range(injector=SIX, samples=hopeless).found
    assert not feed_limit(injector=SIX, samples=hopeless)[1]
    assert least_capacity(injector=SIX, samples=hopeless) == 0.0


def test_the_warmest_feed_is_the_warmest() -> None:
    samples = several()
    limit, found = feed_limit(injector=SIX, samples=samples)
    assert found.all()
    assert SIX.perform(samples | {"feed_temperature": limit - 0.01}).runs.all()
    assert not SIX.perform(samples | {"feed_temperature": limit + 0.01}).runs.any()


def test_the_dry_point_parts_spilling_from_drawing_air() -> None:
    samples = several()
    pressure, found = dry_point(injector=SIX, samples=samples)
    assert found.all()
    assert (SIX.perform(samples | {"boiler_pressure": pressure - STEP}).spill > 0.0).all()
    assert (SIX.perform(samples | {"boiler_pressure": pressure + STEP}).void > 0.0).all()


def test_what_never_spills_has_no_dry_point() -> None:
    tight = REFERENCE | {"draft_bore": 1.61e-3}
    assert not dry_point(injector=SIX, samples=tight)[1]


@pytest.mark.parametrize("spill", [0.0, 0.05, 0.15])
def test_a_ring_set_for_a_spill_spills_so_much(spill: float) -> None:
    samples = several()
    bore, found = draft_bore_for_spill(injector=SIX, samples=samples, spill=spill)
    assert found.all()
    running = SIX.perform(samples | {"draft_bore": bore})
    np.testing.assert_allclose(running.spill - running.void, spill, rtol=0.0, atol=5e-5)


def test_each_may_have_a_spill_of_its_own() -> None:
    wanted = np.array([0.02, 0.04, 0.08])
    bore, _ = draft_bore_for_spill(injector=SIX, samples=several(), spill=wanted)
    assert (np.diff(bore) > 0.0).all()


def test_no_ring_spills_more_than_a_solid_throat_lets() -> None:
    most = 1.0 - (0.55 / 0.62) ** 2
    for share, expected in ((most - 0.01, True), (most + 0.01, False)):
        _, found = draft_bore_for_spill(injector=SIX, samples=REFERENCE, spill=share)
        assert found == expected


@pytest.mark.parametrize("spill", [-0.1, 1.0, np.nan])
def test_a_spill_that_is_no_share_is_refused(spill: float) -> None:
    with pytest.raises(OutOfRange, match="spill"):
        draft_bore_for_spill(injector=SIX, samples=REFERENCE, spill=spill)


def test_throttling_far_enough_stops_it() -> None:
    share = float(least_capacity(injector=SIX, samples=REFERENCE))
    most = float(SIX.perform(REFERENCE).delivered)
    assert 0.3 < share < 0.7
    smaller = np.linspace(0.5, 1.0, 500) * REFERENCE["water_discharge"]
    running = SIX.perform({**REFERENCE, "water_discharge": smaller})
    least = running.delivered[running.runs].min()
    np.testing.assert_allclose(share * most, least, rtol=0.08)
