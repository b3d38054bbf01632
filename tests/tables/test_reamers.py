"""Reamers that are to be had: sixty-fourths of an inch, halves and whole millimetres."""

from __future__ import annotations

import math

import pytest

from benchproof.tables.reamers import nearest_reamer
from sources import source

NANOMETRE = 1e-9


@source("U.S. Army, correspondence lesson OD0017, paragraph 9: sets by 1/64 in")
@pytest.mark.parametrize(
    ("size", "stamp", "exact"),
    [
        (12.729e-3, "1/2 in", 12.7e-3),
        (13.1e-3, "33/64 in", 25.4e-3 * 33.0 / 64.0),
        (1.4e-3, "1.5 mm", 1.5e-3),
        (25.41e-3, "1 in", 25.4e-3),
        (27.0e-3 - 0.02e-3, "1 1/16 in", 25.4e-3 * 17.0 / 16.0),
    ],
)
def test_the_nearest_by_inches_or_millimetres(size: float, stamp: str, exact: float) -> None:
    found = nearest_reamer(size)
    assert found.stamp == stamp
    assert found.size == pytest.approx(exact, rel=0.0, abs=NANOMETRE)


@source("halves to 12 mm, whole millimetres above", kind="common practice")
@pytest.mark.parametrize(
    ("size", "stamp"), [(6e-3, "6 mm"), (6.45e-3, "6.5 mm"), (14.0e-3, "14 mm"), (12e-3, "12 mm")]
)
def test_millimetres(size: float, stamp: str) -> None:
    assert nearest_reamer(size).stamp == stamp


@pytest.mark.parametrize("size", [0.0, -1e-3, math.nan, math.inf])
def test_no_size_has_no_reamer(size: float) -> None:
    with pytest.raises(ValueError, match="no reamer"):
        nearest_reamer(size)
