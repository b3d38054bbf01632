import math
import random
from collections.abc import Callable, Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from benchproof.tables.iso286 import tolerance_unit
from benchproof.workshop.standing import Prior, Shown, Standing, Summary, learn
from sources import source

Array = NDArray[np.float64]

# Diameter [mm], first measured size less aim [um]; all read to a standard uncertainty of 3 um.
SIX_PARTS = ((12, 6), (12, -4), (20, 9), (25, -3), (40, 12), (50, -7))

deviations = st.floats(-30.0, 30.0)
doubts = st.floats(0.0, 5.0)
weights = st.floats(0.05, 1.0)
parts = st.builds(Shown, deviations, doubts, weights)


def unit(millimetres: float) -> float:
    """Tolerance unit [um]."""
    return float(tolerance_unit(1e-3 * millimetres)) * 1e6


def six_parts() -> list[Shown]:
    return [Shown(um / unit(size), 3.0 / unit(size)) for size, um in SIX_PARTS]


def by_brute_force(evidence: Sequence[Shown], prior: Prior) -> tuple[Array, Array]:
    """Spreads and their shares by summing over a plain grid of bias and spread alike."""
    log_spread = np.linspace(math.log(prior.spread) - 6.0, math.log(prior.spread) + 6.0, 1201)
    bias = np.linspace(-7.0 * prior.bias_sd, 7.0 * prior.bias_sd, 801)
    log_density = (
        -0.5 * ((log_spread[:, None] - math.log(prior.spread)) / math.log(prior.factor)) ** 2
        - 0.5 * (bias / prior.bias_sd) ** 2
    )
    for part in evidence:
        variance = np.exp(2.0 * log_spread)[:, None] + part.u**2
        log_density = log_density - 0.5 * part.weight * (
            np.log(variance) + (part.deviation - bias) ** 2 / variance
        )
    share = np.exp(log_density - log_density.max()).sum(axis=1)
    return np.exp(log_spread), share / share.sum()


def assert_same(one: Standing, other: Standing, rtol: float) -> None:
    for probability in (0.05, 0.5, 0.95):
        assert one.spread_quantile(probability) == pytest.approx(
            other.spread_quantile(probability), rel=rtol
        )
    width = np.subtract(*one.predictive_interval())
    np.testing.assert_allclose(
        one.predictive_interval(), other.predictive_interval(), rtol=0, atol=rtol * abs(width)
    )


@source("a second working by an independent program", kind="own calculation")
def test_six_parts_of_many_sizes() -> None:
    standing = learn(Prior(), six_parts())
    found = [standing.spread_quantile(probability) for probability in (0.05, 0.5, 0.95)]
    np.testing.assert_allclose(found, [2.70, 4.68, 8.30], rtol=0.01)
    for size, half_width, inside in ((6, 9.0, 0.941), (20, 16.5, 0.971), (50, 19.5, 0.949)):
        share = standing.probability_between(-half_width / unit(size), half_width / unit(size))
        assert float(share) == pytest.approx(inside, abs=0.003)


@source("plain sums over a fine grid of bias and spread", kind="own calculation")
@pytest.mark.parametrize("weight", [1.0, 0.25])
def test_the_closed_form_in_bias_agrees_with_brute_force(weight: float) -> None:
    evidence = [Shown(part.deviation, part.u, weight) for part in six_parts()]
    spread, share = by_brute_force(evidence, Prior())
    standing = learn(Prior(), evidence)
    assert float(standing.spread_grid @ standing.probability) == pytest.approx(
        float(spread @ share), rel=1e-5
    )
    for probability in (0.05, 0.5, 0.95):
        middle_of_steps = np.cumsum(share) - 0.5 * share
        expected = float(np.interp(probability, middle_of_steps, spread))
        # Quantiles lie on straight lines between 241 grid points.
        assert standing.spread_quantile(probability) == pytest.approx(expected, rel=1e-3)


def test_no_parts_leave_the_prior() -> None:
    prior = Prior(spread=3.0, factor=math.exp(0.8), bias_sd=2.0)
    standing = learn(prior)
    assert standing.parts == 0
    score = np.array([-4.0, -1.0, 0.0, 1.0, 4.0])
    np.testing.assert_allclose(standing.spread_at(score), 3.0 * np.exp(0.8 * score), rtol=1e-3)
    np.testing.assert_allclose(standing.bias_at(3.0, score), 2.0 * score, rtol=1e-9)
    assert standing.bias_quantile(0.95) == pytest.approx(2.0 * 1.6449, rel=1e-4)


@given(st.lists(parts, max_size=8), st.randoms(use_true_random=False))
@settings(max_examples=40, deadline=None)
def test_the_order_of_the_evidence_does_not_matter(
    evidence: list[Shown], shuffler: random.Random
) -> None:
    shuffled = list(evidence)
    shuffler.shuffle(shuffled)
    one, other = learn(Prior(), evidence), learn(Prior(), shuffled)
    np.testing.assert_array_equal(one.probability, other.probability)
    np.testing.assert_array_equal(one.bias_mean, other.bias_mean)


@given(st.lists(deviations, min_size=1, max_size=12), st.floats(0.0, 4.0), st.floats(0.2, 1.0))
@settings(max_examples=40, deadline=None)
def test_a_summary_says_what_its_parts_said(values: list[float], u: float, weight: float) -> None:
    spread = float(np.std(values, ddof=1)) if len(values) > 1 else 0.0
    told = learn(Prior(), summary=Summary(len(values), float(np.mean(values)), spread, u, weight))
    shown = learn(Prior(), [Shown(value, u, weight) for value in values])
    assert told.parts == shown.parts == len(values)
    assert told.worth == pytest.approx(shown.worth, rel=1e-12)
    assert_same(told, shown, rtol=1e-6)


def test_single_parts_add_to_a_summary() -> None:
    earlier, later = [2.0, -1.0, 4.0, 0.5], Shown(6.0, 1.0)
    told = Summary(4, float(np.mean(earlier)), float(np.std(earlier, ddof=1)), 0.7)
    assert_same(
        learn(Prior(), [later], told),
        learn(Prior(), [later, *(Shown(value, 0.7) for value in earlier)]),
        rtol=1e-6,
    )


def test_a_part_given_twice_counts_twice() -> None:
    once, twice = learn(Prior(), six_parts()), learn(Prior(), six_parts() * 2)
    assert twice.parts == 12
    assert width(twice) < width(once)


def width(standing: Standing) -> float:
    """Factor between the 5 and 95 % points of the spread."""
    return standing.spread_quantile(0.95) / standing.spread_quantile(0.05)


def test_two_half_weights_make_one_part() -> None:
    whole = learn(Prior(), six_parts())
    halves = learn(Prior(), [Shown(part.deviation, part.u, 0.5) for part in six_parts()] * 2)
    assert halves.worth == pytest.approx(whole.worth, rel=1e-12)
    assert_same(halves, whole, rtol=1e-9)


def test_older_evidence_pulls_less() -> None:
    widths = [
        width(learn(Prior(), [Shown(part.deviation, part.u, weight) for part in six_parts()]))
        for weight in (1.0, 0.5, 0.25, 0.05)
    ]
    assert widths == sorted(widths)


@given(st.lists(parts, min_size=1, max_size=8), st.floats(-5.0, 5.0))
@settings(max_examples=30, deadline=None)
def test_mirrored_parts_mirror_the_standing(evidence: list[Shown], offset: float) -> None:
    mirrored = [Shown(-part.deviation, part.u, part.weight) for part in evidence]
    one, other = learn(Prior(), evidence), learn(Prior(), mirrored)
    lower, upper = one.predictive_interval(0.8)
    np.testing.assert_allclose(
        other.predictive_interval(0.8), (-upper, -lower), rtol=0, atol=1e-7 * (upper - lower)
    )
    assert float(one.probability_between(-math.inf, offset)) == pytest.approx(
        float(other.probability_between(-offset, math.inf)), abs=1e-9
    )


@given(st.lists(parts, max_size=8), st.floats(0.01, 100.0))
@settings(max_examples=30, deadline=None)
def test_the_unit_does_not_matter(evidence: list[Shown], scale: float) -> None:
    scaled = [Shown(part.deviation * scale, part.u * scale, part.weight) for part in evidence]
    one = learn(Prior(), evidence)
    other = learn(Prior(spread=3.0 * scale, bias_sd=3.0 * scale), scaled)
    np.testing.assert_allclose(
        np.asarray(one.predictive_interval()) * scale,
        other.predictive_interval(),
        rtol=1e-6,
        atol=1e-6 * scale,
    )


@given(st.lists(parts, max_size=6), st.floats(0.02, 0.98))
@settings(max_examples=30, deadline=None)
def test_the_interval_holds_what_it_says(evidence: list[Shown], probability: float) -> None:
    standing = learn(Prior(), evidence)
    lower, upper = standing.predictive_interval(probability)
    tail = 0.5 * (1.0 - probability)
    assert float(standing.probability_between(lower, upper)) == pytest.approx(probability, abs=1e-9)
    assert float(standing.probability_between(-math.inf, lower)) == pytest.approx(tail, abs=1e-9)


def test_samples_follow_the_interval() -> None:
    """Scores pushed through spread, bias and cut must fall as the closed form says."""
    standing = learn(Prior(), six_parts())
    score = np.random.default_rng(7).standard_normal((3, 200_000))
    spread = standing.spread_at(score[0])
    deviation = standing.bias_at(spread, score[1]) + spread * score[2]
    expected = standing.predictive_interval(0.9)
    found = np.quantile(deviation, [0.05, 0.95])
    # A 5 % point of 200 000 draws is uncertain by 0.5 % of the interval's half width.
    np.testing.assert_allclose(found, expected, rtol=0, atol=0.02 * expected[1])


def test_spread_rises_with_its_score_and_stays_on_the_grid() -> None:
    standing = learn(Prior(), six_parts())
    spread = standing.spread_at(np.linspace(-6.0, 6.0, 2001))
    assert np.all(np.diff(spread) > 0.0)
    assert float(standing.spread_at(-60.0)) == pytest.approx(standing.spread_grid[0], rel=1e-12)
    assert float(standing.spread_at(60.0)) == pytest.approx(standing.spread_grid[-1], rel=1e-12)


def test_bias_between_grid_points_lies_between_their_values() -> None:
    standing = learn(Prior(), six_parts())
    np.testing.assert_allclose(
        standing.bias_at(standing.spread_grid, 1.0),
        standing.bias_mean + standing.bias_sd,
        rtol=1e-9,
    )
    between = np.sqrt(standing.spread_grid[1:] * standing.spread_grid[:-1])
    middle = 0.5 * (standing.bias_mean[1:] + standing.bias_mean[:-1])
    np.testing.assert_allclose(standing.bias_at(between, 0.0), middle, rtol=1e-6, atol=1e-9)
    assert standing.bias_at(between, np.zeros((2, 1))).shape == (2, between.size)


def test_a_process_without_lasting_bias_learns_its_spread_only() -> None:
    prior = Prior(spread=1e-4, factor=1.5, bias_sd=0.0)
    standing = learn(prior, [Shown(3e-4), Shown(-2e-4), Shown(4e-4)])
    assert not np.any(standing.bias_sd)
    assert not np.any(standing.bias_mean)
    assert standing.bias_quantile(0.9) == 0.0
    lower, upper = standing.predictive_interval()
    assert lower == pytest.approx(-upper, rel=1e-9)
    assert standing.spread_quantile(0.5) > 1.3e-4


def test_the_instrument_is_taken_out_of_the_spread() -> None:
    """A fine lathe read with a coarse gauge must not be blamed for the gauge."""
    rng = np.random.default_rng(11)
    u = 5.0
    readings = rng.normal(0.0, 1.0, 60) + rng.normal(0.0, u, 60)
    blamed = learn(Prior(), [Shown(float(reading), 0.0) for reading in readings])
    fair = learn(Prior(), [Shown(float(reading), u) for reading in readings])
    assert blamed.spread_quantile(0.05) > 4.0
    assert fair.spread_quantile(0.05) < 1.0 < fair.spread_quantile(0.95)


def test_a_scatter_smaller_than_the_instruments_own_still_has_an_answer() -> None:
    standing = learn(Prior(), summary=Summary(8, 0.0, 1.0, u=5.0))
    assert 0.0 < standing.spread_quantile(0.05) < standing.spread_quantile(0.5) < 3.0


def test_many_parts_are_known_closely() -> None:
    standing = learn(Prior(), summary=Summary(20_000, 4.0, 2.0))
    assert standing.spread_quantile(0.5) == pytest.approx(2.0, rel=0.001)
    # 1.6449 / sqrt(2 n) either side in ln c.
    assert math.log(width(standing)) == pytest.approx(2.0 * 1.6449 / 200.0, rel=0.01)
    assert standing.bias_quantile(0.5) == pytest.approx(4.0, abs=0.01)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Shown(math.nan), "finite number, not nan"),
        (lambda: Shown(0.0, -1.0), "zero or more, not -1"),
        (lambda: Shown(0.0, math.inf), "zero or more, not inf"),
        (lambda: Shown(0.0, 0.0, 0.0), "above 0 and up to 1, not 0"),
        (lambda: Shown(0.0, 0.0, 1.5), "above 0 and up to 1, not 1.5"),
        (lambda: Summary(0, 0.0, 1.0), "one part or more, not 0"),
        (lambda: Summary(3, math.inf, 1.0), "finite number, not inf"),
        (lambda: Summary(3, 0.0, -1.0), "zero or more, not -1"),
        (lambda: Summary(3, 0.0, 1.0, math.nan), "zero or more, not nan"),
        (lambda: Summary(3, 0.0, 1.0, 0.0, 2.0), "above 0 and up to 1, not 2"),
        (lambda: Prior(spread=0.0), "above zero, not 0"),
        (lambda: Prior(factor=1.0), "above 1, up to 1e13, not 1"),
        (lambda: Prior(bias_sd=-1.0), "zero or more, not -1"),
        (lambda: learn(Prior()).predictive_interval(1.0), "between 0 and 1, not 1"),
        (lambda: learn(Prior()).spread_quantile(0.0), "between 0 and 1, not 0"),
        (lambda: learn(Prior()).bias_quantile(math.nan), "between 0 and 1, not nan"),
    ],
)
def test_refusals_say_what_was_given(make: Callable[[], object], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        make()
