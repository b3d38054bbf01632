"""With a perfect instrument and nothing believed beforehand, Student's interval must come out."""

import numpy as np
import pytest
from scipy import stats

from benchproof.workshop.standing import Prior, Shown, Summary, learn
from sources import source

NOTHING_BELIEVED = Prior(factor=1e13, bias_sd=1e9)
STUDENT = (
    "Student's t: mean ± t(n - 1) s sqrt(1 + 1/n) holds one future part; G. J. Hahn and "
    "W. Q. Meeker, Statistical Intervals, 1991, ch. 4"
)


@source(STUDENT, kind="own calculation")
@pytest.mark.parametrize(
    ("parts", "probability", "factor", "atol"),
    [
        (5, 0.95, 3.041, 0.001),
        (10, 0.95, 2.373, 0.001),
        (20, 0.95, 2.145, 0.001),
        (5, 0.9973, 7.25, 0.01),
        (10, 0.9973, 4.29, 0.01),
        (30, 0.9973, 3.34, 0.01),
    ],
)
def test_factors_for_one_future_part(
    parts: int, probability: float, factor: float, atol: float
) -> None:
    standing = learn(NOTHING_BELIEVED, summary=Summary(parts, bias=0.0, spread=1.0))
    lower, upper = standing.predictive_interval(probability)
    assert upper == pytest.approx(factor, abs=atol)
    assert lower == pytest.approx(-factor, abs=atol)


@source(STUDENT, kind="own calculation")
def test_five_parts_with_limits_at_four_observed_deviations() -> None:
    standing = learn(NOTHING_BELIEVED, summary=Summary(5, bias=0.0, spread=1.0))
    inside = standing.probability_between(-1.33 * 3.0, 1.33 * 3.0)
    assert float(inside) == pytest.approx(0.97808, abs=1e-4)


@source("scipy.stats, an independent program", kind="own calculation")
def test_uncentred_parts_follow_student_everywhere() -> None:
    values = np.array([3.0, -2.0, 5.0, 1.0, 4.0, 9.5, -0.25])
    standing = learn(NOTHING_BELIEVED, [Shown(float(value)) for value in values])
    scale = values.std(ddof=1) * np.sqrt(1.0 + 1.0 / values.size)
    limits = np.linspace(-20.0, 25.0, 46)
    np.testing.assert_allclose(
        standing.probability_between(-np.inf, limits),
        stats.t.cdf(limits, values.size - 1, values.mean(), scale),
        rtol=0,
        atol=3e-5,  # a factor of 1e13 is wide, but not yet flat
    )
