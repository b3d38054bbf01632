import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.physics.errors import OutOfRange
from benchproof.tables.iso286 import (
    GRADES,
    Limits,
    UnknownTolerance,
    fit,
    grade_of_spread,
    hole_deviation,
    limits,
    shaft_deviation,
    standard_tolerance,
    tolerance_unit,
)

NANOMETRE = 1e-9
BELOW = ("c", "d", "e", "f", "g", "h")
ABOVE = tuple("kmnprsuxz")
diameters = st.floats(0.1e-3, 0.5)
within_all_tables = st.floats(0.1e-3, 0.18)


def width_um(zone: str, diameter: float) -> float:
    return limits(zone, diameter).width * 1e6


@given(diameter=diameters)
def test_a_finer_grade_is_never_wider(diameter: float) -> None:
    widths = [standard_tolerance(diameter, grade) for grade in GRADES]

    assert all(finer < coarser for finer, coarser in itertools.pairwise(widths))


@given(diameter=diameters, grade=st.sampled_from(GRADES), factor=st.floats(1.0, 5.0))
def test_a_larger_part_never_has_a_smaller_tolerance(
    diameter: float, grade: str, factor: float
) -> None:
    larger = min(diameter * factor, 0.5)

    assert standard_tolerance(larger, grade) >= standard_tolerance(diameter, grade)


def test_a_step_holds_its_upper_end_and_not_its_lower() -> None:
    assert width_um("h7", 0.050) == pytest.approx(25.0, abs=1e-9)
    assert width_um("h7", 0.050001) == pytest.approx(30.0, abs=1e-9)
    # A size converted from inches may come out a hair over 30 mm and is still 30 mm.
    assert width_um("h7", np.nextafter(0.030, 1.0)) == pytest.approx(21.0, abs=1e-9)


@given(diameter=within_all_tables, grade=st.sampled_from(["6", "7", "8", "9", "11"]))
def test_shafts_lie_in_the_order_of_their_letters(diameter: float, grade: str) -> None:
    tops = [limits(letter + grade, diameter).upper for letter in BELOW]
    bottoms = [limits(letter + grade, diameter).lower for letter in ABOVE]

    assert tops == sorted(tops)
    assert tops[-1] == 0.0
    assert bottoms == sorted(bottoms)
    assert bottoms[0] >= 0.0


@given(diameter=diameters, letter=st.sampled_from("CDEFGH"), grade=st.sampled_from(GRADES))
def test_clearance_holes_mirror_the_shafts(diameter: float, letter: str, grade: str) -> None:
    hole = limits(f"{letter}{grade[2:]}", diameter)
    shaft = limits(f"{letter.lower()}{grade[2:]}", diameter)

    np.testing.assert_allclose(
        [hole.lower, hole.upper], [-shaft.upper, -shaft.lower], rtol=0.0, atol=1e-15
    )


@given(
    diameter=st.floats(3.001e-3, 0.18),
    case=st.sampled_from(
        [*[(letter, 7) for letter in "KMNPRSUXZ"], *[(letter, 8) for letter in "MN"], ("P", 6)]
    ),
)
def test_a_tight_fit_is_the_same_on_the_hole_and_on_the_shaft_basis(
    diameter: float, case: tuple[str, int]
) -> None:
    letter, grade = case
    on_hole = fit(f"H{grade}/{letter.lower()}{grade - 1}", diameter)
    on_shaft = fit(f"{letter}{grade}/h{grade - 1}", diameter)

    np.testing.assert_allclose(
        [on_shaft.least_clearance, on_shaft.greatest_clearance],
        [on_hole.least_clearance, on_hole.greatest_clearance],
        rtol=0.0,
        atol=1e-15,
    )


@given(diameter=diameters, grade=st.sampled_from(GRADES))
def test_js_lies_evenly_about_the_basic_size(diameter: float, grade: str) -> None:
    about = limits(f"js{grade[2:]}", diameter)

    assert about.lower == -about.upper
    np.testing.assert_allclose(about.width, standard_tolerance(diameter, grade), rtol=1e-14)
    assert limits(f"JS{grade[2:]}", diameter) == about


def test_k_rises_above_the_basic_size_in_the_fine_grades_alone() -> None:
    assert shaft_deviation("k", 0.020, "IT7") > 0.0
    assert shaft_deviation("k", 0.020, "IT8") == 0.0
    assert hole_deviation("K", 0.002, "IT9") == 0.0


def test_a_fit_of_a_hole_and_a_shaft_spans_both_tolerances() -> None:
    sliding = fit(" H7 / g6 ", 0.030)

    spread = sliding.greatest_clearance - sliding.least_clearance
    np.testing.assert_allclose(spread, sliding.hole.width + sliding.shaft.width, rtol=1e-12)
    assert sliding.hole == limits("H7", 0.030)
    assert sliding.shaft == limits("g6", 0.030)


@given(diameter=diameters)
def test_a_spread_of_ten_units_is_grade_6_and_five_grades_are_tenfold(diameter: float) -> None:
    unit = float(tolerance_unit(diameter))

    found = grade_of_spread([10.0 * unit, 100.0 * unit], diameter)
    np.testing.assert_allclose(found, [6.0, 11.0], rtol=1e-12)


@given(diameter=st.floats(1e-3, 0.5), grade=st.sampled_from(GRADES))
def test_the_continuous_grade_of_a_tabulated_width_is_near_its_name(
    diameter: float, grade: str
) -> None:
    # The table takes one value for a whole step, the unit follows the diameter.
    found = float(grade_of_spread(standard_tolerance(diameter, grade), diameter))
    assert abs(found - int(grade[2:])) < 0.8


def test_the_unit_and_the_grade_take_arrays() -> None:
    diameter = np.array([[6e-3], [50e-3]])

    assert tolerance_unit(diameter).shape == (2, 1)
    assert grade_of_spread([5e-6, 10e-6, 20e-6], diameter).shape == (2, 3)
    assert np.ndim(tolerance_unit(50e-3)) == 0


@pytest.mark.parametrize("diameter", [0.0, -0.01, 0.50001, np.nan])
def test_diameters_outside_the_table_are_refused(diameter: float) -> None:
    for ask in (
        lambda: standard_tolerance(diameter, "IT7"),
        lambda: shaft_deviation("h", diameter),
        lambda: shaft_deviation("g", diameter),
        lambda: limits("js7", diameter),
        lambda: tolerance_unit(diameter),
    ):
        with pytest.raises(OutOfRange, match="diameter"):
            ask()


def test_interference_letters_end_where_their_table_ends() -> None:
    assert shaft_deviation("s", 0.180) > 0.0
    with pytest.raises(OutOfRange, match=r"outside .* to 0\.18 m"):
        shaft_deviation("s", 0.181)


@pytest.mark.parametrize("grade", ["IT4", "IT12", "7", "it7"])
def test_grades_outside_the_table_are_refused(grade: str) -> None:
    with pytest.raises(UnknownTolerance, match="grades held: IT5"):
        standard_tolerance(0.02, grade)


@pytest.mark.parametrize(
    ("zone", "reason"),
    [
        ("H", "write a hole as H7"),
        ("7H", "write a hole as H7"),
        ("", "write a hole as H7"),
        ("H4", "grades held"),
        ("a9", "letters held: c d e f g h k m"),
        ("q7", "letters held"),
        ("t6", "does not exist at 20 mm"),
        ("K9", "up to grade 8"),
        ("P5", "grade 4"),
        ("Js7", "letters held"),
    ],
)
def test_zones_outside_the_tables_are_refused_with_the_reason(zone: str, reason: str) -> None:
    with pytest.raises(UnknownTolerance, match=reason) as refused:
        limits(zone, 0.020)

    assert refused.value.allowed in str(refused.value)


def test_a_hole_asked_for_in_small_letters_is_refused() -> None:
    with pytest.raises(UnknownTolerance, match="capitals"):
        hole_deviation("h", 0.02, "IT7")


@pytest.mark.parametrize("designation", ["H7", "g6/H7", "H7/", "/g6", "H7-g6", ""])
def test_fits_not_written_hole_first_are_refused(designation: str) -> None:
    with pytest.raises(UnknownTolerance, match="the hole first"):
        fit(designation, 0.02)


def test_limits_have_a_width() -> None:
    assert Limits(lower=-3.0, upper=4.0).width == 7.0
