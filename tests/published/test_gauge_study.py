"""A published gauge study worked again, and the constants behind its ranges worked out."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ndtr

from benchproof.tables.control_charts import range_constants
from benchproof.workshop.gauge_study import analysis_of_variance, average_and_range
from sources import source

CANO = "E. L. Cano, J. M. Moguerza and A. Redchuk, Six Sigma with R, 2012, ch. 5, first timing"

# Three prototypes by three operators by three runs.
TIMES = np.array(
    [
        [[1.27, 0.90, 1.09], [1.34, 1.32, 1.27], [1.09, 1.26, 1.09]],
        [[1.12, 1.09, 1.15], [1.24, 1.00, 1.14], [1.48, 1.15, 1.15]],
        [[1.73, 1.28, 1.77], [1.64, 1.65, 1.77], [1.64, 1.44, 1.68]],
    ]
)


@source(CANO)
def test_sums_of_squares() -> None:
    found = analysis_of_variance(TIMES)
    np.testing.assert_allclose(
        [
            found.squares_parts,
            found.squares_people,
            found.squares_interaction,
            found.squares_error,
        ],
        [1.2007, 0.0529, 0.0834, 0.3854],
        rtol=0,
        atol=0.00006,
    )
    assert found.pooled


@source(CANO)
def test_components_with_the_interaction_pooled() -> None:
    study = analysis_of_variance(TIMES).study
    np.testing.assert_allclose(
        [study.repeatability**2, study.reproducibility**2, study.parts**2],
        [0.0213, 0.0006, 0.0643],
        rtol=0,
        atol=0.00006,
    )
    assert study.gauge == pytest.approx(0.14793, abs=0.000006)
    assert 100.0 * study.share == pytest.approx(50.38, abs=0.006)


@source(f"average and range by a second program, on the readings of {CANO}", kind="own calculation")
def test_average_and_range() -> None:
    study = average_and_range(TIMES)
    np.testing.assert_allclose(
        [study.repeatability, study.reproducibility, study.parts, 100.0 * study.share],
        [0.13785, 0.03267, 0.23714, 51.29],
        rtol=0.001,
    )


@source(
    "mean of the range of n standard normal readings: integral of 1 - F^n - (1 - F)^n",
    kind="own calculation",
)
@pytest.mark.parametrize("count", range(2, 26))
def test_the_mean_range_worked_out(count: int) -> None:
    mean, _ = quad(lambda x: 1.0 - ndtr(x) ** count - ndtr(-x) ** count, -9.0, 9.0)
    assert range_constants(count).d2 == pytest.approx(mean, abs=0.0001)


@source("300 000 drawn ranges", kind="own calculation")
@pytest.mark.parametrize("count", [2, 5, 10])
def test_the_spread_of_the_range_drawn(count: int) -> None:
    ranges = np.ptp(np.random.default_rng(7).standard_normal((300_000, count)), axis=1)
    assert range_constants(count).d3 == pytest.approx(float(ranges.std()), rel=0.006)


@source(
    "K1, K2 and K3 of Automotive Industry Action Group, Measurement Systems Analysis, 4th ed., "
    "2010, form for the average and range method",
    kind="from memory",
)
def test_divisors_of_the_printed_form() -> None:
    assert 1.0 / range_constants(2).d2 == pytest.approx(0.8862, abs=0.0001)
    assert 1.0 / range_constants(3).d2 == pytest.approx(0.5908, abs=0.0001)
    for count, printed in ((2, 0.7071), (3, 0.5231), (5, 0.4030), (10, 0.3146)):
        known = range_constants(count)
        assert np.hypot(known.d2, known.d3) == pytest.approx(1.0 / printed, rel=0.0003)
