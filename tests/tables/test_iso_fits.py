"""A nominal size and two grades to limits, in both systems."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics.errors import OutOfRange
from benchproof.tables.iso286 import UnknownTolerance
from benchproof.tables.iso_fits import iso_fit
from sources import source

EXACT = 1e-12


@source("ISO 286-2:2010 tables", kind="from memory")
@pytest.mark.parametrize(
    ("size", "hole", "shaft", "holes", "shafts", "kind", "system"),
    [
        (20, "H7", "f7", (0, 21), (-41, -20), "clearance", "hole basis"),
        (12, "H8", "e8", (0, 27), (-59, -32), "clearance", "hole basis"),
        (20, "F8", "h6", (20, 53), (-13, 0), "clearance", "shaft basis"),
        (25, "P7", "h6", (-35, -14), (-13, 0), "interference", "shaft basis"),
        (20, "H7", "k6", (0, 21), (2, 15), "transition", "hole basis"),
        (20, "F8", "e8", (20, 53), (-73, -40), "clearance", "neither"),
    ],
)
def test_limits_of_hole_and_shaft(
    size: float,
    hole: str,
    shaft: str,
    holes: tuple[float, float],
    shafts: tuple[float, float],
    kind: str,
    system: str,
) -> None:
    found = iso_fit(size * 1e-3, hole, shaft)
    wanted = [[size * 1e-3 + each * 1e-6 for each in pair] for pair in (holes, shafts)]
    np.testing.assert_allclose(found.hole_sizes, wanted[0], rtol=0.0, atol=EXACT)
    np.testing.assert_allclose(found.shaft_sizes, wanted[1], rtol=0.0, atol=EXACT)
    least, greatest = found.clearances
    np.testing.assert_allclose(least, (holes[0] - shafts[1]) * 1e-6, rtol=0.0, atol=EXACT)
    np.testing.assert_allclose(greatest, (holes[1] - shafts[0]) * 1e-6, rtol=0.0, atol=EXACT)
    assert found.kind == kind
    assert found.system == system
    assert found.designation == f"{hole}/{shaft}"


@source("Narayana, Kannaiah and Venkata Reddy, Machine Drawing, ch. 15: 50 H7/s6")
def test_a_press_fit_as_printed() -> None:
    found = iso_fit(50e-3, "H7", "s6")
    np.testing.assert_allclose(found.clearances, (-59e-6, -18e-6), rtol=0.0, atol=EXACT)
    assert found.kind == "interference"


@pytest.mark.parametrize("size", [8e-3, 25e-3, 60e-3])
def test_both_systems_make_one_fit(size: float) -> None:
    by_hole, by_shaft = iso_fit(size, "H7", "p6"), iso_fit(size, "P7", "h6")
    np.testing.assert_allclose(by_hole.clearances, by_shaft.clearances, rtol=0.0, atol=EXACT)


def test_a_close_running_fit_is_taken_when_none_is_named() -> None:
    assert iso_fit(10e-3).designation == "H7/f7"


def test_what_the_tables_do_not_hold_is_refused() -> None:
    with pytest.raises(UnknownTolerance, match="capitals"):
        iso_fit(20e-3, "h7", "f7")
    with pytest.raises(UnknownTolerance, match="small letters"):
        iso_fit(20e-3, "H7", "F7")
    with pytest.raises(UnknownTolerance, match="letters held"):
        iso_fit(20e-3, "H7", "q6")
    with pytest.raises(OutOfRange):
        iso_fit(0.6)
