"""Bar to be had: the next size up, in the system it is bought in."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.workshop.bar_sizes import next_bar
from sources import source


@source("round bar as merchants list it", kind="common practice")
@pytest.mark.parametrize(
    ("wanted", "system", "size"),
    [
        (30.5e-3, "metric", 32e-3),
        (32e-3, "metric", 32e-3),
        (15.2e-3, "metric", 16e-3),
        (15.2e-3, "inch", 5 / 8 * 25.4e-3),
        (25.5e-3, "inch", 1.125 * 25.4e-3),
        (0.75 * 25.4e-3, "inch", 0.75 * 25.4e-3),
    ],
)
def test_the_next_size_up_is_taken(wanted: float, system: str, size: float) -> None:
    found = next_bar(wanted, system)  # type: ignore[arg-type]
    assert found == pytest.approx(size, rel=1e-12, abs=0.0)


@given(st.floats(1e-3, 0.15), st.sampled_from(["metric", "inch"]))
def test_no_bar_is_smaller_than_wanted_and_none_a_quarter_larger(
    diameter: float, system: str
) -> None:
    found = next_bar(diameter, system)  # type: ignore[arg-type]
    assert found is not None
    assert diameter - 2e-9 <= found <= max(1.26 * diameter, diameter + 1.6e-3)


def test_above_the_largest_bar_there_is_none() -> None:
    assert next_bar(0.1501, "metric") is None
    assert next_bar(0.1525, "inch") is None
