from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics.errors import OutOfRange
from benchproof.physics.injector_map import DRY, Mode, mode, working_map
from reference_injector import AIR, REFERENCE, at_gauge

PRESSURES = np.linspace(2.0, 12.0, 21) * 1e5 + AIR
FEEDS = np.linspace(5.0, 45.0, 9) + 273.15
SIX = at_gauge(6.0)


def test_each_place_of_the_map_is_what_it_is_alone() -> None:
    found = working_map(
        injector=SIX, samples=REFERENCE, boiler_pressure=PRESSURES, feed_temperature=FEEDS
    )
    assert found.mode.shape == found.delivered.shape == (21, 9)
    assert found.share_running is None
    for row, column in ((0, 0), (8, 2), (20, 8), (12, 5)):
        bar, celsius = (PRESSURES[row] - AIR) / 1e5, FEEDS[column] - 273.15
        alone = at_gauge(float(bar), float(celsius)).perform(REFERENCE)
        assert found.mode[row, column] == mode(alone)
        np.testing.assert_allclose(found.delivered[row, column], alone.delivered, rtol=1e-8)
        np.testing.assert_allclose(found.margin[row, column], alone.margin, rtol=1e-8)


def test_the_map_of_the_reference_goes_from_short_over_spilling_to_air_and_off() -> None:
    found = working_map(
        injector=SIX, samples=REFERENCE, boiler_pressure=PRESSURES, feed_temperature=FEEDS
    )
    at_fifteen = [Mode(each) for each in dict.fromkeys(found.mode[:, 2].tolist())]
    assert at_fifteen == [Mode.DELIVERY_SHORT, Mode.SPILLS, Mode.DRAWS_AIR]
    assert found.mode[-1, -1] == Mode.NOT_CONDENSED
    spills, airs = found.mode == Mode.SPILLS, found.mode == Mode.DRAWS_AIR
    assert (found.spilled[spills] > 0.0).all()
    assert (found.spilled[airs] == 0.0).all()


def test_an_injector_at_its_dry_point_is_just_dry() -> None:
    pressure = np.array([6.4417e5]) + AIR
    found = working_map(
        injector=SIX, samples=REFERENCE, boiler_pressure=pressure, feed_temperature=FEEDS[2:3]
    )
    assert found.mode[0, 0] == Mode.JUST_DRY
    running = SIX.perform(REFERENCE | {"boiler_pressure": float(pressure[0])})
    assert max(running.spill, running.void) < DRY


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"mouth": 1.7e-3}, Mode.DOES_NOT_GO_TOGETHER),
        ({"draft_bore": 1.7e-3}, Mode.NOT_CONDENSED),
        ({"recovery": 0.2}, Mode.DELIVERY_SHORT),
    ],
)
def test_what_stops_it_is_named(change: dict[str, float], expected: Mode) -> None:
    assert mode(SIX.perform(REFERENCE | change)) == expected


def test_shares_of_draws_are_the_mean_of_maps() -> None:
    draw = np.random.default_rng(2)
    momenta = draw.uniform(0.63, 0.78, 16)
    found = working_map(
        injector=SIX,
        samples=REFERENCE,
        boiler_pressure=PRESSURES,
        feed_temperature=FEEDS,
        draws={**REFERENCE, "momentum": momenta},
    )
    assert found.share_running is not None
    assert found.share_drawing_air is not None
    maps = [
        working_map(
            injector=SIX,
            samples=REFERENCE | {"momentum": float(momentum)},
            boiler_pressure=PRESSURES,
            feed_temperature=FEEDS,
        ).mode
        for momentum in momenta
    ]
    runs = np.mean([each <= Mode.DRAWS_AIR for each in maps], axis=0)
    airs = np.mean([each == Mode.DRAWS_AIR for each in maps], axis=0)
    np.testing.assert_allclose(found.share_running, runs, atol=1e-12)
    np.testing.assert_allclose(found.share_drawing_air, airs, atol=1e-12)


@pytest.mark.parametrize("places", [np.array(7e5), np.array([]), np.array([[7e5]])])
def test_places_that_are_no_row_are_refused(places: np.ndarray) -> None:
    with pytest.raises(OutOfRange, match="pressures"):
        working_map(injector=SIX, samples=REFERENCE, boiler_pressure=places, feed_temperature=FEEDS)
