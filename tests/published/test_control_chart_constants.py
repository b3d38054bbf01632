"""The printed constants of control charts, from the two that the table here is read for."""

import csv
import math
from importlib.resources import files

import pytest

from benchproof.tables.control_charts import range_constants
from benchproof.workshop.run_chart import mean_deviation_factor
from sources import source

TABLE = (
    "constants of control charts, n = 2 to 25: D. C. Montgomery, Introduction to Statistical "
    "Quality Control, appendix"
)
ROWS = [
    {name: float(cell) for name, cell in row.items()}
    for row in csv.DictReader(
        files("benchproof.tables")
        .joinpath("control_chart_constants.csv")
        .read_text("utf-8")
        .splitlines()
    )
]


@source(TABLE)
@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"n{row['n']:.0f}")
def test_factors_for_means_and_ranges(row: dict[str, float]) -> None:
    count = int(row["n"])
    known = range_constants(count)
    assert 3.0 / (known.d2 * math.sqrt(count)) == pytest.approx(row["A2"], abs=0.0002)
    relative = 3.0 * known.d3 / known.d2
    assert max(0.0, 1.0 - relative) == pytest.approx(row["D3"], abs=0.0002)
    assert 1.0 + relative == pytest.approx(row["D4"], abs=0.0002)


@source(TABLE)
@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"n{row['n']:.0f}")
def test_factors_for_standard_deviations(row: dict[str, float]) -> None:
    unbiased = mean_deviation_factor(int(row["n"]))
    assert unbiased == pytest.approx(row["c4"], abs=0.0001)
    relative = 3.0 * math.sqrt(1.0 - unbiased**2) / unbiased
    assert max(0.0, 1.0 - relative) == pytest.approx(row["B3"], abs=0.0002)
    assert 1.0 + relative == pytest.approx(row["B4"], abs=0.0002)


@source(TABLE)
def test_one_row_as_printed() -> None:
    known = range_constants(5)
    assert (known.d2, known.d3) == pytest.approx((2.3259, 0.8641), abs=0.0002)
    assert mean_deviation_factor(5) == pytest.approx(0.9400, abs=0.0001)


def test_the_factor_wants_two_readings() -> None:
    with pytest.raises(ValueError, match="two readings"):
        mean_deviation_factor(1)
