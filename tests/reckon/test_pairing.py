"""The best pairing against all pairings, and any hole with any shaft."""

import itertools
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from benchproof.reckon.pairing import (
    Measured,
    any_of_measured,
    best_pairs,
    mating_odds,
    pair_measured,
)


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 5), st.integers(1, 5), st.integers(0, 10**6))
def test_no_other_pairing_is_better(holes: int, shafts: int, seed: int) -> None:
    chance = np.random.default_rng(seed).uniform(0.05, 1.0, (holes, shafts))
    few, many = sorted((holes, shafts))
    table = chance if holes <= shafts else chance.T
    others = [
        [table[row, column] for row, column in zip(range(few), columns, strict=True)]
        for columns in itertools.permutations(range(many), few)
    ]
    every = best_pairs(chance)
    most = best_pairs(chance, wish="most right")
    assert len(every) == len(most) == few
    assert math.prod(p.chance for p in every) == pytest.approx(max(map(math.prod, others)))
    assert sum(p.chance for p in most) == pytest.approx(max(map(sum, others)))


def test_what_must_not_be_paired_is_not() -> None:
    pairs = best_pairs([[0.0, 0.9], [math.nan, 0.8]])
    assert [(pair.hole, pair.shaft) for pair in pairs] == [(0, 1)]


def pieces(*sizes: float, u: float = 0.0, name: str = "", hand: Any = "either") -> list[Measured]:
    return [Measured(f"{name}{place}", size * 1e-3, u, hand) for place, size in enumerate(sizes, 1)]


def test_measured_pistons_find_their_bores() -> None:
    """In the order of sizes; any other order leaves a pair out of limits."""
    bores = pieces(30.010, 30.002, 30.018, name="bore ")
    pistons = pieces(29.986, 30.000, 29.994, name="piston ")
    found = pair_measured(bores, pistons, least=12e-6, most=20e-6)
    assert [(fit.hole, fit.shaft) for fit in found.fits] == [
        ("bore 1", "piston 3"),
        ("bore 2", "piston 1"),
        ("bore 3", "piston 2"),
    ]
    assert [fit.clearance for fit in found.fits] == pytest.approx([16e-6, 16e-6, 18e-6], abs=1e-12)
    assert found.all_right == 1.0
    assert found.expected == 3.0
    assert found.spare == ()


def test_left_goes_with_left() -> None:
    """The sizes alone would cross them."""
    bores = [
        *pieces(30.010, name="L bore ", hand="left"),
        *pieces(30.0, name="R bore ", hand="right"),
    ]
    pistons = [
        *pieces(29.986, name="L piston ", hand="left"),
        *pieces(29.992, name="R piston ", hand="right"),
        *pieces(29.984, name="spare ", hand="either"),
    ]
    found = pair_measured(bores, pistons, least=5e-6, most=25e-6)
    assert [(fit.hole, fit.shaft) for fit in found.fits] == [
        ("L bore 1", "L piston 1"),
        ("R bore 1", "spare 1"),
    ]
    assert found.spare == ("R piston 1",)


def test_the_gauge_leaves_doubt() -> None:
    found = pair_measured(pieces(10.020, u=3e-6), pieces(10.005, u=4e-6), least=10e-6, most=20e-6)
    assert found.fits[0].chance == pytest.approx(1.0 - 2.0 * stats.norm.sf(1.0), rel=1e-9)
    assert found.all_right == found.fits[0].chance


def test_pieces_that_fit_nothing_are_left_over() -> None:
    found = pair_measured(
        pieces(10.0, 11.0, name="hole "), pieces(9.99, 9.0, name="pin "), least=5e-6, most=20e-6
    )
    assert [(fit.hole, fit.shaft) for fit in found.fits] == [("hole 1", "pin 1")]
    assert found.spare == ("hole 2", "pin 2")


def test_any_nut_with_any_fitting_by_counting() -> None:
    rng = np.random.default_rng(3)
    holes = 10e-3 + 4e-6 * rng.standard_normal((200, 7))
    pins = 9.98e-3 + 4e-6 * rng.standard_normal((200, 5))
    least, most = 8e-6, 32e-6
    found = mating_odds(holes, pins, least=least, most=most)
    clearance = holes[:, :, None] - pins[:, None, :]
    fits = (least <= clearance) & (clearance <= most)
    assert found.one == pytest.approx(float(fits.mean()), rel=1e-12)
    assert found.every == pytest.approx(float(fits.all(axis=(1, 2)).mean()), rel=1e-12)
    assert 0.0 < found.every < found.one < 1.0
    tightest = clearance.min(axis=(1, 2))
    assert found.tightest[1] == pytest.approx(float(np.median(tightest)), rel=1e-12)
    assert found.loosest[1] == pytest.approx(
        float(np.median(clearance.max(axis=(1, 2)))), rel=1e-12
    )


def test_a_pair_at_random_is_the_difference_of_two_normals() -> None:
    rng = np.random.default_rng(4)
    holes = 10e-3 + 3e-6 * rng.standard_normal((20_000, 4))
    pins = 9.98e-3 + 4e-6 * rng.standard_normal((20_000, 4))
    found = mating_odds(holes, pins, least=10e-6, most=30e-6)
    assert found.one == pytest.approx(1.0 - 2.0 * stats.norm.sf(2.0), abs=0.003)


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (lambda: best_pairs([[1.2]]), "between 0 and 1"),
        (lambda: best_pairs([]), "between 0 and 1"),
        (lambda: Measured("a", math.nan), "no size"),
        (lambda: Measured("a", 1e-2, -1e-6), "no size"),
        (lambda: pair_measured([], pieces(1.0), least=0.0, most=1e-6), "one hole and one shaft"),
        (lambda: pair_measured(pieces(1.0), pieces(1.0), least=1.0, most=0.0), "must be under"),
        (lambda: mating_odds([[1.0]], [[1.0], [1.0]], least=0.0, most=1.0), "a row for each lot"),
        (lambda: mating_odds([[1.0]], [[1.0]], least=1.0, most=1.0), "must be under"),
    ],
)
def test_what_cannot_be_paired_is_refused(made: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        made()


def test_any_with_any_of_measured_pieces_counts_their_gauges_doubt() -> None:
    hole, shaft = Measured("hole", 8.02e-3, 3e-6), Measured("shaft", 8e-3, 4e-6)
    found = any_of_measured([hole], [shaft], least=10e-6, most=25e-6, draws=20_000)
    wanted = float(np.diff(stats.norm(20e-6, 5e-6).cdf([10e-6, 25e-6]))[0])
    # Four standard errors of a share counted in twenty thousand draws.
    assert found.one == pytest.approx(wanted, abs=4.0 * math.sqrt(0.25 / 20_000))
    assert found.every == found.one
    with pytest.raises(ValueError, match="one hole and one shaft"):
        any_of_measured([hole], [], least=0.0, most=1e-6)
