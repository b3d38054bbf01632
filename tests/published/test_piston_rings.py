"""Charts and capability of forged piston rings, a published example worked in two places."""

import csv
from pathlib import Path

import numpy as np
import pytest

from benchproof.workshop.capability import capability, variance_components
from benchproof.workshop.run_chart import chart_of_means, limits_from_need
from sources import source

MONTGOMERY = (
    "D. C. Montgomery, Introduction to Statistical Quality Control, 2nd ed. 1991, pp. 206-213, "
    "data and figures as in L. Scrucca, qcc, R News 4/1 (2004)"
)
DATA = Path(__file__).parent / "data"


def columns(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


RINGS = np.array([float(row["diameter_mm"]) for row in columns("piston_rings.csv")]).reshape(-1, 5)
FIRST = RINGS[:25]


@source(MONTGOMERY)
def test_centre_range_and_scatter() -> None:
    chart = chart_of_means(FIRST)
    assert chart.means.centre == pytest.approx(74.00118, abs=0.000006)
    assert chart.ranges.centre == pytest.approx(0.02276, abs=0.000006)
    assert chart.sigma == pytest.approx(0.009785, abs=0.0000006)


@source(MONTGOMERY)
def test_limits_of_means_and_ranges() -> None:
    chart = chart_of_means(FIRST)
    assert chart.means.lower == pytest.approx(73.98805, abs=0.00001)
    assert chart.means.upper == pytest.approx(74.0143, abs=0.00006)
    assert chart.ranges.upper == pytest.approx(0.04813, abs=0.00001)
    assert chart.ranges.lower == 0.0
    assert chart.changed == []


@source(MONTGOMERY)
def test_limits_by_standard_deviations() -> None:
    chart = chart_of_means(FIRST, by_deviation=True)
    assert chart.ranges.centre == pytest.approx(0.009240, abs=0.000006)
    assert chart.ranges.upper == pytest.approx(0.01930, abs=0.00001)


@source(
    f"samples 26 to 40 against the limits of the first 25: {MONTGOMERY}", kind="own calculation"
)
def test_later_samples_outside() -> None:
    means = chart_of_means(FIRST).means
    assert [26 + each for each in means.outside(RINGS[25:].mean(axis=1))] == [37, 38, 39]


@source(MONTGOMERY)
def test_capability_with_its_intervals() -> None:
    """Limits 73.95 and 74.05, target 74.02; the scatter is that within samples."""
    sigma = chart_of_means(FIRST).sigma
    found = capability(FIRST, lower=73.95, upper=74.05, target=74.02, sd=sigma)
    assert found.parts == 125
    assert found.cp is not None
    assert found.cpm is not None
    np.testing.assert_allclose(
        [found.cp.value, found.cp.lower, found.cp.upper], [1.703, 1.491, 1.915], rtol=0, atol=0.0006
    )
    np.testing.assert_allclose(
        [found.cpk.value, found.cpk.lower, found.cpk.upper],
        [1.663, 1.448, 1.878],
        rtol=0,
        atol=0.0006,
    )
    assert found.cpm.value == pytest.approx(0.786, abs=0.0006)


@source(
    "A. F. Bissell, Applied Statistics 39 (1990) 331-340: variance of Cpk is 1/(9n) + "
    "Cpk²/(2(n - 1)); drawn 4000 times",
    kind="from memory",
)
def test_scatter_of_cpk_as_bissell_has_it() -> None:
    drawn = np.random.default_rng(3).normal(0.0, 1.0, (4000, 100))
    shown = [capability(row, lower=-9.0, upper=4.0).cpk.value for row in drawn]
    expected = np.sqrt(1.0 / (9.0 * 100.0) + (4.0 / 3.0) ** 2 / (2.0 * 99.0))
    assert np.std(shown) == pytest.approx(expected, rel=0.05)


@source(
    "gear diameters, NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5 (data set GEAR)",
    kind="from memory",
)
def test_gears_within_and_between_batches() -> None:
    rows = columns("gear_diameters.csv")
    groups = np.array([float(row["diameter"]) for row in rows]).reshape(10, 10)
    assert [row["batch"] for row in rows[::10]] == [str(batch) for batch in range(1, 11)]
    found = variance_components(groups)
    assert found.ratio == pytest.approx(2.297, rel=0.001)
    assert found.within == pytest.approx(0.00594, rel=0.002)
    assert found.between == pytest.approx(0.00214, rel=0.002)


@source(
    "D. C. Montgomery, Introduction to Statistical Quality Control, exercise on modified limits "
    "(40 ± 8, sigma 2, samples of 5); the limits worked out here",
    kind="own calculation",
)
def test_acceptance_limits_of_a_published_exercise() -> None:
    """At 5 in 100 out, found with chance 0.95: 48 - (1.6449 + 1.6449 / sqrt 5) 2."""
    need = limits_from_need(
        lower=32.0, upper=48.0, spread=2.0, count=5, share_out=0.05, missed=0.05
    )
    assert need.upper == pytest.approx(43.239, abs=0.001)
    assert need.lower == pytest.approx(36.761, abs=0.001)
