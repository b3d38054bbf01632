"""ISO 286: the standard's own formulas against its table, and printed examples."""

import itertools

import numpy as np
import pytest

from benchproof.tables.iso286 import (
    GRADES,
    fit,
    grade_of_spread,
    limits,
    shaft_deviation,
    standard_tolerance,
    tolerance_unit,
)
from sources import source

BOOK = "Narayana, Kannaiah and Venkata Reddy, Machine Drawing, ch. 15"
ANNEX = "ISO 286-1:2010, annex A"
MICROMETRE = 1e-6
EXACT = 1e-9 * MICROMETRE
STEPS = [1, 3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500]
UNITS = {"IT5": 7, "IT6": 10, "IT7": 16, "IT8": 25, "IT9": 40, "IT10": 64, "IT11": 100}
STEP_PAIRS = list(itertools.pairwise(STEPS))
TO_180 = [pair for pair in STEP_PAIRS if pair[1] <= 180]


def mean_diameter(step: tuple[int, int]) -> float:
    """Geometric mean of the ends of a step [mm]."""
    return float(np.sqrt(step[0] * step[1]))


def deviation_um(letter: str, step: tuple[int, int]) -> float:
    return shaft_deviation(letter, step[1] * 1e-3) / MICROMETRE


def width_um(grade: str, step: tuple[int, int]) -> float:
    return standard_tolerance(step[1] * 1e-3, grade) / MICROMETRE


@source(f"{BOOK}: i = 0.45 D^(1/3) + 0.001 D at the geometric mean of the step; 7 i to 100 i")
def test_the_table_is_its_formula_rounded_and_coarsely_so_to_18_mm() -> None:
    off = {
        (step[1], grade): abs(
            width_um(grade, step)
            / (UNITS[grade] * float(tolerance_unit(mean_diameter(step) * 1e-3)) / MICROMETRE)
            - 1.0
        )
        for step in STEP_PAIRS
        for grade in GRADES
    }

    coarse = {cell for cell, share in off.items() if share > 0.04}
    assert len(off) == 91
    assert len(coarse) == 10
    assert max(end for end, _ in coarse) == 18
    assert max(off.values()) < 0.16


@source(f"{ANNEX}: f = -5.5 D^0.41, g = -2.5 D^0.34", kind="from memory")
@pytest.mark.parametrize("step", STEP_PAIRS)
def test_close_running_shafts_follow_their_formulas(step: tuple[int, int]) -> None:
    mean = mean_diameter(step)

    np.testing.assert_allclose(deviation_um("f", step), -5.5 * mean**0.41, rtol=0.0, atol=1.02)
    np.testing.assert_allclose(deviation_um("g", step), -2.5 * mean**0.34, rtol=0.0, atol=1.02)


@source(f"{ANNEX}: d = -16 D^0.44, e = -11 D^0.41", kind="from memory")
@pytest.mark.parametrize("step", STEP_PAIRS)
def test_free_running_shafts_follow_their_formulas(step: tuple[int, int]) -> None:
    mean = mean_diameter(step)

    # Rounded to a whole micrometre, and to fives and tens in the larger steps.
    share = 0.025
    np.testing.assert_allclose(deviation_um("d", step), -16.0 * mean**0.44, rtol=share)
    np.testing.assert_allclose(deviation_um("e", step), -11.0 * mean**0.41, rtol=share)


@source(f"{ANNEX}: k = 0.6 D^(1/3), rounded down", kind="from memory")
@pytest.mark.parametrize("step", STEP_PAIRS)
def test_k_follows_its_formula(step: tuple[int, int]) -> None:
    below = 0.6 * mean_diameter(step) ** (1.0 / 3.0) - deviation_um("k", step)

    assert -0.5 < below < 1.0


@source(f"{ANNEX}: m = IT7 - IT6, n = 5 D^0.34, p = IT7 and up to 5", kind="from memory")
@pytest.mark.parametrize("step", TO_180[1:])
def test_transition_and_light_press_shafts_follow_their_formulas(step: tuple[int, int]) -> None:
    seven = width_um("IT7", step)

    locating = seven - width_um("IT6", step)
    np.testing.assert_allclose(deviation_um("m", step), locating, rtol=0.0, atol=1e-6)
    tight = 5.0 * mean_diameter(step) ** 0.34
    np.testing.assert_allclose(deviation_um("n", step), tight, rtol=0.0, atol=1.0)
    assert -1e-6 <= deviation_um("p", step) - seven <= 5.0


@source(f"{ANNEX}: r is the geometric mean of p and s", kind="from memory")
@pytest.mark.parametrize("step", TO_180)
def test_r_lies_between_p_and_s(step: tuple[int, int]) -> None:
    mean = np.sqrt(deviation_um("p", step) * deviation_um("s", step))

    np.testing.assert_allclose(deviation_um("r", step), mean, rtol=0.0, atol=1.0)


@source(f"{ANNEX}: s, t, u, x over 50 mm are IT7 plus a share of D", kind="from memory")
@pytest.mark.parametrize(
    "step", [(50, 65), (65, 80), (80, 100), (100, 120), (120, 140), (140, 160), (160, 180)]
)
@pytest.mark.parametrize(("letter", "share"), [("s", 0.4), ("t", 0.63), ("u", 1.0), ("x", 1.6)])
def test_press_shafts_follow_their_formulas(
    step: tuple[int, int], letter: str, share: float
) -> None:
    expected = width_um("IT7", step) + share * mean_diameter(step)

    np.testing.assert_allclose(deviation_um(letter, step), expected, rtol=0.0, atol=1.6)


@source(f"{BOOK}: 50 H7/s6")
def test_a_press_fit_as_printed() -> None:
    press = fit("H7/s6", 0.050)

    found = [press.hole.lower, press.hole.upper, press.shaft.lower, press.shaft.upper]
    np.testing.assert_allclose(np.divide(found, MICROMETRE), [0, 25, 43, 59], rtol=0.0, atol=1e-6)
    found = [-press.greatest_clearance, -press.least_clearance]
    np.testing.assert_allclose(np.divide(found, MICROMETRE), [18, 59], rtol=0.0, atol=1e-6)


@source("ISO 286-2:2010 tables", kind="from memory")
@pytest.mark.parametrize(
    ("zone", "millimetres", "lower", "upper"),
    [
        ("P7", 25, -35, -14),
        ("K7", 25, -15, 6),
        ("K8", 25, -23, 10),
        ("M7", 40, -25, 0),
        ("N9", 20, -52, 0),
        ("N9", 3, -29, -4),
        ("N7", 20, -28, -7),
        ("S7", 25, -48, -27),
        ("M9", 20, -60, -8),
        ("P8", 20, -55, -22),
        ("F8", 20, 20, 53),
        ("E9", 30, 40, 92),
        ("D10", 12, 50, 120),
        ("H11", 40, 0, 160),
        ("g6", 40, -25, -9),
        ("f7", 20, -41, -20),
        ("e8", 20, -73, -40),
        ("d9", 20, -117, -65),
        ("c11", 40, -280, -120),
        ("h9", 12, -43, 0),
        ("js7", 8, -7.5, 7.5),
        ("k6", 20, 2, 15),
        ("m6", 20, 8, 21),
        ("n6", 20, 15, 28),
        ("p6", 20, 22, 35),
    ],
)
def test_limits_as_tabulated(zone: str, millimetres: float, lower: float, upper: float) -> None:
    found = limits(zone, millimetres * 1e-3)

    np.testing.assert_allclose(found.lower, lower * MICROMETRE, rtol=0.0, atol=EXACT)
    np.testing.assert_allclose(found.upper, upper * MICROMETRE, rtol=0.0, atol=EXACT)


@source("6 + 5 log10(W / 10 i) worked by hand", kind="own calculation")
@pytest.mark.parametrize(
    ("width_um", "millimetres", "grade"), [(18.0, 12.0, 7.19), (60.0, 50.0, 8.73)]
)
def test_continuous_grade_of_a_spread(width_um: float, millimetres: float, grade: float) -> None:
    found = grade_of_spread(width_um * MICROMETRE, millimetres * 1e-3)

    np.testing.assert_allclose(found, grade, rtol=0.0, atol=0.005)
