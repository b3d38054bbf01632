import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.instruments import (
    INSTRUMENTS,
    Instrument,
    combined,
    coverage_factor,
    expanded,
    welch_satterthwaite,
)

doubts = st.lists(st.floats(1e-9, 1e-3), min_size=1, max_size=6)


def test_every_default_is_filed_under_its_own_key_and_says_where_it_comes_from() -> None:
    for key, instrument in INSTRUMENTS.items():
        assert instrument.key == key
        assert instrument.source


def test_finer_instruments_are_trusted_further() -> None:
    order = ["digital micrometer", "micrometer", "telescopic gauge", "caliper"]
    trust = [INSTRUMENTS[key].u for key in order]
    assert trust == sorted(trust)
    assert INSTRUMENTS["video"].u < INSTRUMENTS["stopwatch"].u


@pytest.mark.parametrize("u", [0.0, -1e-6, math.nan, math.inf])
def test_an_instrument_without_a_finite_doubt_is_refused(u: float) -> None:
    with pytest.raises(ValueError, match="'bore gauge'"):
        Instrument("bore gauge", "bore gauge", "length", u, "made up")


@given(doubts)
def test_doubts_add_to_no_less_than_the_largest_and_no_more_than_their_sum(u: list[float]) -> None:
    total = combined(u)
    assert max(u) * (1.0 - 1e-12) <= total <= sum(u) * (1.0 + 1e-12)


@given(doubts, st.data())
def test_effective_degrees_of_freedom_lie_between_the_fewest_and_the_sum(
    u: list[float], data: st.DataObject
) -> None:
    degrees = data.draw(
        st.lists(st.floats(1.0, 100.0), min_size=len(u), max_size=len(u)), label="degrees"
    )
    effective = welch_satterthwaite(u, degrees)
    assert min(degrees) * (1.0 - 1e-9) <= effective <= sum(degrees) * (1.0 + 1e-9)


def test_one_doubt_keeps_its_own_degrees_of_freedom() -> None:
    assert welch_satterthwaite([3e-6], [7.0]) == pytest.approx(7.0, rel=1e-12)


def test_equal_doubts_pool_their_degrees_of_freedom() -> None:
    assert welch_satterthwaite([2e-6] * 4, [5.0] * 4) == pytest.approx(20.0, rel=1e-12)


def test_doubts_known_exactly_leave_no_end_of_degrees_of_freedom() -> None:
    assert welch_satterthwaite([1.0, 2.0], [math.inf, math.inf]) == math.inf
    assert welch_satterthwaite([0.0], [3.0]) == math.inf


def test_a_sensitivity_scales_its_own_doubt_whatever_its_sign() -> None:
    assert combined([3.0, 1.0], [1.0, -4.0]) == pytest.approx(5.0, rel=1e-12)
    assert welch_satterthwaite([3.0, 1.0], [6, 9], [1.0, -4.0]) == pytest.approx(
        625.0 / (81.0 / 6.0 + 256.0 / 9.0), rel=1e-12
    )


def test_broken_degrees_of_freedom_are_truncated_but_rounding_is_not() -> None:
    nineteen = coverage_factor(degrees_of_freedom=19)
    assert coverage_factor(degrees_of_freedom=19.99) == nineteen
    assert coverage_factor(degrees_of_freedom=19.0 - 1e-12) == nineteen
    assert coverage_factor(degrees_of_freedom=18.9) > nineteen


def test_few_degrees_of_freedom_widen_the_interval() -> None:
    widths = [expanded(combined=2e-6, degrees_of_freedom=n) for n in (1, 2, 5, 50, math.inf)]
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] == pytest.approx(3.92e-6, rel=1e-3)


def test_refusals_say_what_was_given() -> None:
    with pytest.raises(ValueError, match="at least one"):
        combined([])
    with pytest.raises(ValueError, match=r"-1\.0"):
        combined([1.0, -1.0])
    with pytest.raises(ValueError, match="2 uncertainties need as many sensitivities, not 1"):
        combined([1.0, 1.0], [1.0])
    with pytest.raises(ValueError, match="as many degrees of freedom, not 1"):
        welch_satterthwaite([1.0, 1.0], [1.0])
    with pytest.raises(ValueError, match=r"1 or more each, not \[0\.5\]"):
        welch_satterthwaite([1.0], [0.5])
    with pytest.raises(ValueError, match=r"between 0 and 1, not 1\.0"):
        coverage_factor(probability=1.0)
    with pytest.raises(ValueError, match="1 or more, not nan"):
        coverage_factor(degrees_of_freedom=math.nan)
    with pytest.raises(ValueError, match="zero or more, not -1"):
        expanded(combined=-1)
