"""Worked examples of the guide to the expression of uncertainty in measurement."""

import math

import pytest

from benchproof.instruments import combined, coverage_factor, expanded, welch_satterthwaite
from sources import source

# Relative standard uncertainties [%] of the three factors, from 10, 5 and 15 observations.
PRODUCT, PRODUCT_DEGREES = [0.25, 0.57, 0.82], [9, 4, 14]

# End gauge by comparison: length of the standard [nm], measured difference [nm], difference of
# expansion coefficients [1/K], difference of temperatures [K].
END_GAUGE, END_GAUGE_DEGREES = [25.0, 9.7, 0.58e-6, 0.029], [18, 25.6, 50, 2]
SENSITIVITIES = [1.0, 1.0, 50_000_623.0 * 0.1, 50_000_623.0 * 11.5e-6]


@source("JCGM 100:2008, G.4.1, example, read in a transcription")
def test_product_of_three_inputs_has_nineteen_degrees_of_freedom() -> None:
    assert combined(PRODUCT) == pytest.approx(1.03, abs=0.005)
    assert welch_satterthwaite(PRODUCT, PRODUCT_DEGREES) == pytest.approx(19.0, abs=0.05)


@source("JCGM 100:2008, G.4.1, example", kind="from memory")
def test_product_of_three_inputs_is_held_within_two_and_a_fifth_percent() -> None:
    half_width = expanded(
        combined=combined(PRODUCT),
        degrees_of_freedom=welch_satterthwaite(PRODUCT, PRODUCT_DEGREES),
        probability=0.95,
    )
    assert half_width == pytest.approx(2.2, abs=0.05)


@source("JCGM 100:2008, H.1.4 and H.1.6, end-gauge calibration, read in a transcription")
def test_end_gauge_calibration() -> None:
    u = combined(END_GAUGE, SENSITIVITIES)
    degrees_of_freedom = welch_satterthwaite(END_GAUGE, END_GAUGE_DEGREES, SENSITIVITIES)
    assert u == pytest.approx(32.0, abs=0.5)
    assert degrees_of_freedom == pytest.approx(16.7, abs=0.1)
    factor = coverage_factor(degrees_of_freedom=degrees_of_freedom, probability=0.99)
    assert factor == pytest.approx(2.92, abs=0.005)
    half_width = expanded(combined=u, degrees_of_freedom=degrees_of_freedom, probability=0.99)
    assert half_width == pytest.approx(93.0, abs=0.5)


@source("JCGM 100:2008, table G.2: t of 95 % and 99 % coverage", kind="from memory")
@pytest.mark.parametrize(
    ("degrees_of_freedom", "probability", "factor"),
    [
        (1, 0.95, 12.71),
        (5, 0.95, 2.57),
        (19, 0.95, 2.09),
        (10, 0.99, 3.17),
        (math.inf, 0.95, 1.960),
        (math.inf, 0.99, 2.576),
    ],
)
def test_coverage_factors(degrees_of_freedom: float, probability: float, factor: float) -> None:
    found = coverage_factor(degrees_of_freedom=degrees_of_freedom, probability=probability)
    assert found == pytest.approx(factor, abs=0.005)
