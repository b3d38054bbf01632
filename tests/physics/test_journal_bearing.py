"""A bearing full of oil: its two closed ends, monotony, and what the table costs."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.physics import journal_bearing
from benchproof.physics.errors import OutOfRange
from benchproof.physics.film_table import film_table
from benchproof.physics.journal_bearing import (
    bearing_state,
    ocvirk_sommerfeld,
    sommerfeld_number,
)
from sources import source

OFFSETS = np.array([0.05, 0.2, 0.4, 0.6, 0.8, 0.9, 0.95])


@source(
    "Ocvirk's closed form against the series at a length of a hundredth", kind="own calculation"
)
def test_a_very_short_bearing_is_ocvirks() -> None:
    found = bearing_state(eccentricity=OFFSETS, slenderness=0.01)
    closed = ocvirk_sommerfeld(eccentricity=OFFSETS, slenderness=0.01)
    np.testing.assert_allclose(found.sommerfeld, closed, rtol=0.005, atol=0.0)
    np.testing.assert_allclose(found.side_flow, OFFSETS, rtol=0.01, atol=0.0)
    attitude = np.arctan2(np.pi * np.sqrt(1.0 - OFFSETS**2), 4.0 * OFFSETS)
    np.testing.assert_allclose(found.attitude, attitude, rtol=0.005, atol=0.0)


@source("half-Sommerfeld long bearing in closed form", kind="own calculation")
def test_a_long_bearing_nears_sommerfelds() -> None:
    e = np.array([0.2, 0.5, 0.8])
    along = 2.0 * e**2 / (1.0 - e**2)
    across = np.pi * e / np.sqrt(1.0 - e**2)
    load = np.hypot(along, across) / (2.0 + e**2)
    closed = 1.0 / (6.0 * np.pi * load)
    ratio = bearing_state(eccentricity=e, slenderness=4.0).sommerfeld / closed
    # A bearing of finite length bears a little less, by what leaves its ends.
    assert np.all(ratio > 1.0)
    assert np.all(ratio < 1.35)
    longer = bearing_state(eccentricity=e, slenderness=2.0).sommerfeld / closed
    assert np.all(longer > ratio)


def test_ocvirk_at_both_ends() -> None:
    centred = ocvirk_sommerfeld(eccentricity=1e-4, slenderness=0.5)
    np.testing.assert_allclose(centred, 1.0 / (np.pi**2 * 1e-4 * 0.25), rtol=1e-6, atol=0.0)
    close = 0.998
    touching = ocvirk_sommerfeld(eccentricity=close, slenderness=0.5)
    gone = (2.0 * (1.0 - close)) ** 2 / (4.0 * np.pi * 0.25)
    np.testing.assert_allclose(touching, gone, rtol=0.005, atol=0.0)


def test_a_centred_journal_drags_as_petroff_says() -> None:
    state = bearing_state(eccentricity=1e-3, slenderness=1.0)
    petroff = 2.0 * np.pi**2 * state.sommerfeld
    np.testing.assert_allclose(state.friction, petroff, rtol=1e-4, atol=0.0)
    np.testing.assert_allclose(state.attitude, np.pi / 2.0, rtol=0.002, atol=0.0)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.1, 3.5), st.floats(0.02, 0.9))
def test_nearer_the_wall_it_bears_more(slenderness: float, eccentricity: float) -> None:
    state = bearing_state(
        eccentricity=np.array([eccentricity, 1.05 * eccentricity]), slenderness=slenderness
    )
    assert state.sommerfeld[1] < state.sommerfeld[0]
    longer = bearing_state(eccentricity=eccentricity, slenderness=1.1 * slenderness)
    assert longer.sommerfeld[0] < state.sommerfeld[0]
    short = ocvirk_sommerfeld(eccentricity=eccentricity, slenderness=slenderness)
    assert state.sommerfeld[0] > short


def test_terms_and_stations_are_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    coarse = bearing_state(eccentricity=OFFSETS, slenderness=1.0)
    monkeypatch.setattr(journal_bearing, "MODES", 20)
    monkeypatch.setattr(journal_bearing, "STATIONS", 641)
    fine = bearing_state(eccentricity=OFFSETS, slenderness=1.0)
    np.testing.assert_allclose(coarse.sommerfeld, fine.sommerfeld, rtol=0.005, atol=0.0)
    np.testing.assert_allclose(coarse.friction, fine.friction, rtol=0.005, atol=0.0)
    np.testing.assert_allclose(coarse.side_flow, fine.side_flow, rtol=0.005, atol=0.0)


@pytest.mark.parametrize("slenderness", [0.25, 1.0, 2.0])
def test_reading_the_table_costs_half_of_one_per_cent(slenderness: float) -> None:
    offset = np.linspace(0.01, 0.99, 173)
    state = bearing_state(eccentricity=offset, slenderness=slenderness)
    gap = state.sommerfeld**-0.5 * 1e-5
    reach = np.full_like(gap, 1e-5)
    table = film_table(slenderness)
    np.testing.assert_allclose(table.film(gap, reach), gap * (1.0 - offset), rtol=0.005, atol=0.0)
    drag = state.friction / (2.0 * np.pi**2 * state.sommerfeld)
    np.testing.assert_allclose(table.drag(gap, reach), drag, rtol=0.005, atol=0.0)
    np.testing.assert_allclose(table.side_flow(gap, reach), state.side_flow, rtol=0.005, atol=1e-4)


def test_the_table_takes_any_gap() -> None:
    gap = np.array([1e-9, 1e-6, 1e-3, 1.0])
    reach = np.array([1e-3, 1e-6, 1e-9, 1e-12])
    film = film_table(1.0).film(gap, reach)
    assert np.isfinite(film).all()
    assert np.all(film <= gap * (1.0 + 1e-6))
    np.testing.assert_allclose(film[0], gap[0], rtol=1e-5, atol=0.0)


@settings(max_examples=40, deadline=None)
@given(st.floats(1e-6, 200e-6), st.floats(0.5e-6, 50e-6), st.floats(1.05, 3.0))
def test_more_load_leaves_less_film(gap: float, reach: float, factor: float) -> None:
    table = film_table(1.0)
    gaps = np.array([gap, gap])
    # Reach goes with one over the root of the load.
    lighter, heavier = table.film(gaps, np.array([reach, reach / np.sqrt(factor)]))
    assert heavier < lighter


def test_sommerfelds_number_is_what_it_says() -> None:
    found = sommerfeld_number(
        diameter=20e-3,
        length=10e-3,
        radial_gap=10e-6,
        viscosity=0.05,
        revolutions_per_second=10.0,
        load=100.0,
    )
    np.testing.assert_allclose(found, 1000.0**2 * 0.05 * 10.0 / 0.5e6, rtol=1e-12, atol=0.0)


@pytest.mark.parametrize(
    "name", ["diameter", "length", "radial_gap", "viscosity", "revolutions_per_second", "load"]
)
def test_nothing_turns_on_nothing(name: str) -> None:
    good = {
        "diameter": 20e-3,
        "length": 10e-3,
        "radial_gap": 10e-6,
        "viscosity": 0.05,
        "revolutions_per_second": 10.0,
        "load": 100.0,
    }
    with pytest.raises(OutOfRange, match=name.replace("_", " ")):
        sommerfeld_number(**(good | {name: 0.0}))


@pytest.mark.parametrize("eccentricity", [0.0, 1.0, np.nan])
def test_centred_or_touching_is_refused(eccentricity: float) -> None:
    with pytest.raises(OutOfRange, match="eccentricity"):
        bearing_state(eccentricity=eccentricity, slenderness=1.0)
    with pytest.raises(OutOfRange, match="eccentricity"):
        ocvirk_sommerfeld(eccentricity=eccentricity, slenderness=1.0)


def test_a_length_out_of_range_is_refused() -> None:
    with pytest.raises(OutOfRange, match="slenderness"):
        bearing_state(eccentricity=0.5, slenderness=5.0)
    with pytest.raises(OutOfRange, match="slenderness"):
        ocvirk_sommerfeld(eccentricity=0.5, slenderness=0.0)
