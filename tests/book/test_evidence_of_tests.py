"""A bench test of a piece as first cut sharpens its size: once, and only where it may."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from benchproof.bench_tests.drop_test import DropTest
from benchproof.book.evidence import standings, witnesses
from benchproof.book.model import Book
from benchproof.reckon.result import fit_by_readings
from benchproof.workshop.lathe import assumed_lathe
from book.books import small_book

AIM = 29.985e-3
POSTURES = ("upright", "upright", "upright", "tilted", "tilted")
GAUGED = {"instrument": "digital micrometer"}


def fall(*times: str, **more: Any) -> dict[str, Any]:
    """A drop test of the 30 mm piston, three runs upright and two tilted."""
    tilt = {"tilted": {"tilt": "20 deg"}, "upright": {}}
    return {
        "piston_mass": "101.8 g",
        "travel": "20 mm",
        "air_temperature": "20 C",
        "reading": [
            {"posture": posture, "time": time, **tilt[posture]}
            for posture, time in zip(POSTURES, times, strict=True)
        ],
        **more,
    }


# About 20 micrometres of clearance, the piston lying half way to the wall.
TWENTY = fall("5:13", "5:08", "5:16", "4:02", "3:58")


@pytest.fixture
def book(tmp_path: Path) -> Book:
    made = small_book(tmp_path)
    made.measure("cylinder", "bore", "30.000 mm", aim="30 mm", u="1 um", key="bore size")
    # Gauged poorly: 29.990 with 5 um of doubt, where the fall says 29.980.
    made.measure("piston", "piston", "29.990 mm", aim="29.985 mm", u="5 um", key="piston size")
    return made


def turned(book: Book) -> tuple[float, float]:
    [found] = [w for w in witnesses(book.state) if w.process == "turn"]
    return found.deviation, found.u


def test_without_a_test_the_gauge_alone_speaks(book: Book) -> None:
    assert turned(book) == pytest.approx((5e-6, 5e-6), abs=1e-9)


def test_the_fall_and_the_gauge_are_weighed_by_their_doubts(book: Book) -> None:
    book.test("piston fit", "drop-test", TWENTY, key="fall")
    fit, doubt = book.state.tests[0].resolved["fit"]
    assert fit == pytest.approx(20e-6, abs=1.5e-6)
    assert doubt < 1.2e-6
    by_fall = np.hypot(1e-6, doubt)
    weights = np.array([5e-6**-2, by_fall**-2])
    expected = np.average([5e-6, 30e-3 - fit - AIM], weights=weights)
    deviation, u = turned(book)
    assert deviation == pytest.approx(expected, abs=1e-9)
    assert u == pytest.approx(weights.sum() ** -0.5, rel=1e-6)


def test_a_test_tells_of_the_feature_cut_last_and_of_no_other(book: Book) -> None:
    before = standings(book.state)
    book.test("piston fit", "drop-test", TWENTY, key="fall")
    after = standings(book.state)
    assert np.array_equal(before["bore"].probability, after["bore"].probability)
    assert not np.array_equal(before["turn"].probability, after["turn"].probability)
    assert after["turn"].parts == before["turn"].parts == 1


def test_a_test_entered_twice_counts_once(book: Book) -> None:
    book.test("piston fit", "drop-test", TWENTY, key="fall")
    once = turned(book)
    book.test("piston fit", "drop-test", TWENTY, key="fall")
    assert turned(book) == once
    book.test("piston fit", "drop-test", TWENTY, key="the same fall again")
    assert turned(book) == once  # the last test tells; it does not add up with the one before


def test_once_the_piece_is_lapped_a_test_says_nothing_of_the_cut(book: Book) -> None:
    gauged = turned(book)
    book.measure("piston", "piston", "29.975 mm", u="2 um", taken={"cut": "fitted"})
    book.test("piston fit", "drop-test", TWENTY, key="fall")
    assert turned(book) == gauged


def test_a_test_struck_out_tells_nothing(book: Book) -> None:
    gauged = turned(book)
    book.test("piston fit", "drop-test", TWENTY, key="fall")
    book.strike_out("fall", "wrong piston")
    assert turned(book) == gauged


@pytest.mark.parametrize(
    "readings",
    [
        fall("5:13", "5:08", "5:16", "4:02", "3:58", degreased=False),
        fall("5:13", "5:08", "5:16", "2:00", "8:00"),
    ],
    ids=["spoilt by oil", "contradicting"],
)
def test_a_test_that_proves_nothing_hands_nothing_on(book: Book, readings: dict[str, Any]) -> None:
    gauged = turned(book)
    book.test("piston fit", "drop-test", readings, key="fall")
    assert book.state.tests[0].resolved["fit"] is None
    assert turned(book) == gauged


def test_what_a_test_hands_on_owes_nothing_to_the_lathe_or_the_gauges(book: Book) -> None:
    test = DropTest()
    record = test.record_type.from_text(TWENTY).spec
    job = book.job(book.binding("piston fit"))
    other = type(job)(job.duty, job.spec, assumed_lathe(), {})
    ours, theirs = fit_by_readings(job, test, record), fit_by_readings(other, test, record)
    assert ours is not None
    assert theirs is not None
    np.testing.assert_allclose(ours, theirs, rtol=0.05)
