"""Accept, measure again or reject, and the risks of it."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.workshop.guard_band import (
    CannotProve,
    Decision,
    Risks,
    acceptance_limits,
    chance_in_limits,
    decide,
    risks,
    risks_of,
    upper_acceptance_for_risk,
)


@pytest.mark.parametrize(
    ("reading", "decision"),
    [
        (0.0, Decision.ACCEPT),
        (6.7, Decision.ACCEPT),
        (6.72, Decision.MEASURE_AGAIN),
        (-13.2, Decision.MEASURE_AGAIN),
        (13.3, Decision.REJECT),
        (-20.0, Decision.REJECT),
    ],
)
def test_three_ways_to_decide(reading: float, decision: Decision) -> None:
    assert decide(reading, lower=-10.0, upper=10.0, u=2.0) is decision


@given(st.floats(-30.0, 30.0), st.floats(0.0, 4.0), st.floats(0.0, 2.0))
def test_a_wider_guard_band_accepts_no_more(reading: float, u: float, factor: float) -> None:
    narrow = decide(reading, lower=-10.0, upper=10.0, u=u, factor=factor)
    wide = decide(reading, lower=-10.0, upper=10.0, u=u, factor=factor + 0.3)
    assert wide is not Decision.ACCEPT or narrow is Decision.ACCEPT
    assert wide is not Decision.REJECT or narrow is Decision.REJECT


def test_a_gauge_that_cannot_prove_it_is_said_to() -> None:
    with pytest.raises(CannotProve, match="cannot prove it"):
        acceptance_limits(lower=-3.2, upper=3.2, u=2.0)
    assert acceptance_limits(lower=-math.inf, upper=3.2, u=2.0)[0] == -math.inf


def test_risks_by_drawing_pieces_and_readings() -> None:
    rng = np.random.default_rng(5)
    size = 1.0 + 3.0 * rng.standard_normal(1_000_000)
    read = size + 0.8 * rng.standard_normal(1_000_000)
    accept = (-4.0, 4.5)
    out = np.abs(size) > 5.0
    taken = (accept[0] <= read) & (read <= accept[1])
    found = risks(mean=1.0, spread=3.0, lower=-5.0, upper=5.0, u=0.8, accept=accept)
    assert found.out == pytest.approx(float(out.mean()), abs=0.001)
    assert found.accepted == pytest.approx(float(taken.mean()), abs=0.001)
    assert found.consumer == pytest.approx(float((out & taken).mean()), abs=0.0003)
    assert found.producer == pytest.approx(float((~out & ~taken).mean()), abs=0.001)
    assert found.out_among_accepted == pytest.approx(float(out[taken].mean()), abs=0.0004)


def test_a_gauge_without_doubt_has_no_risk() -> None:
    found = risks(mean=0.0, spread=1.0, lower=-1.0, upper=2.0, u=0.0)
    assert found.consumer == pytest.approx(0.0, abs=1e-12)
    assert found.producer == pytest.approx(0.0, abs=1e-12)
    assert found.accepted == pytest.approx(1.0 - found.out, rel=1e-12)
    assert Risks(0.0, 1.0, 0.0, 0.0).out_among_accepted == 0.0


def test_the_chance_that_a_piece_is_in_given_its_reading() -> None:
    """Against pieces drawn, of those that read nearly so; and with nothing known beforehand."""
    rng = np.random.default_rng(6)
    size = 2.0 * rng.standard_normal(2_000_000)
    read = size + rng.standard_normal(2_000_000)
    near = np.abs(read - 2.5) < 0.05
    found = chance_in_limits(2.5, lower=-2.0, upper=2.2, u=1.0, spread=2.0)
    assert float(found) == pytest.approx(float(np.mean(np.abs(size[near] - 0.1) < 2.1)), abs=0.01)
    assert float(chance_in_limits(3.0, lower=-9.0, upper=3.0, u=1.0)) == pytest.approx(
        0.5, abs=1e-9
    )
    exact = chance_in_limits([0.9, 1.1], lower=0.0, upper=1.0, u=0.0)
    assert exact.tolist() == [1.0, 0.0]


def test_the_reading_to_accept_keeps_the_risk() -> None:
    def density(size: Any) -> Any:
        return np.exp(-0.5 * size**2)

    at = upper_acceptance_for_risk(density, support=(-9.0, 9.0), upper=1.0, u=0.3, consumer=0.01)
    found = risks_of(
        density, support=(-9.0, 9.0), lower=-math.inf, upper=1.0, u=0.3, accept=(-math.inf, at)
    )
    assert found.consumer == pytest.approx(0.01, rel=1e-6)
    with pytest.raises(ValueError, match="outside its range"):
        upper_acceptance_for_risk(density, support=(-9.0, 9.0), upper=1.0, u=0.3, consumer=0.5)


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (lambda: acceptance_limits(lower=1.0, upper=0.0, u=0.1), "must be under"),
        (lambda: acceptance_limits(lower=0.0, upper=1.0, u=-0.1), "zero or more"),
        (lambda: acceptance_limits(lower=0.0, upper=1.0, u=0.1, factor=-1.0), "guard band"),
        (lambda: decide(math.nan, lower=0.0, upper=1.0, u=0.1), "finite"),
        (lambda: risks(mean=0.0, spread=0.0, lower=0.0, upper=1.0, u=0.1), "more than zero"),
        (lambda: chance_in_limits(0.0, lower=0.0, upper=1.0, u=0.1, spread=0.0), "more than zero"),
    ],
)
def test_what_cannot_be_decided_is_refused(made: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        made()
