"""Learning from readings, against posteriors known in closed form or by brute force."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import ndtr

from benchproof.reckon import learning
from benchproof.reckon.learning import ImpossibleReadings, learn
from sources import source

Array = NDArray[np.float64]


def reading(value: float, u: float) -> learning.LogLikelihood:
    return lambda normals: -0.5 * np.square((normals[0] - value) / u)


@pytest.mark.parametrize(("value", "u"), [(0.3, 2.0), (1.5, 0.3), (-2.0, 0.01), (3.5, 0.001)])
def test_one_normal_reading_gives_the_conjugate_posterior(value: float, u: float) -> None:
    found = learn(reading(value, u), columns=6, seed=2)
    sd = u / np.hypot(1.0, u)
    mean = value / (1.0 + u * u)
    error = 5.0 * sd / np.sqrt(found.effective)
    assert found.normals[0].mean() == pytest.approx(mean, abs=error)
    assert found.normals[0].std() == pytest.approx(sd, rel=0.07)
    evidence = -0.5 * value**2 / (1.0 + u * u) + np.log(u / np.hypot(1.0, u))
    assert found.log_evidence == pytest.approx(evidence, abs=0.12)


def test_what_the_reading_does_not_speak_of_stays_as_it_was() -> None:
    found = learn(reading(1.5, 0.05), columns=6, seed=2)
    np.testing.assert_allclose(found.normals[1:].mean(axis=1), 0.0, atol=0.08)
    np.testing.assert_allclose(found.normals[1:].std(axis=1), 1.0, rtol=0.07)


def test_a_reading_of_a_sum_leaves_its_parts_pulling_against_each_other() -> None:
    u = 0.02
    found = learn(lambda z: -0.5 * np.square((z[0] + z[1] - 1.0) / u), columns=3, seed=4).normals
    assert (found[0] + found[1]).std() == pytest.approx(u, rel=0.07)
    assert found[0].mean() == pytest.approx(0.5, abs=0.06)
    assert np.corrcoef(found[0], found[1])[0, 1] < -0.99


def test_a_bent_ridge_is_followed_as_brute_force_finds_it() -> None:
    def fit(z: Array) -> Array:
        return np.asarray(-0.5 * np.square((z[0] * z[0] + 0.5 * z[1] - 1.0) / 0.05))

    found = learn(fit, columns=2, draws=8192, seed=6)
    axis = np.linspace(-5.0, 5.0, 1201)
    grid = np.stack(np.meshgrid(axis, axis, indexing="ij"))
    weight = np.exp(fit(grid) - 0.5 * np.square(grid).sum(axis=0))
    weight /= weight.sum()
    for column in range(2):
        mean = float((weight * grid[column]).sum())
        sd = float(np.sqrt((weight * np.square(grid[column] - mean)).sum()))
        assert found.normals[column].mean() == pytest.approx(mean, abs=0.1)
        assert found.normals[column].std() == pytest.approx(sd, rel=0.1)


def test_two_separate_hills_are_both_kept() -> None:
    found = learn(lambda z: -0.5 * np.square((np.abs(z[0]) - 1.0) / 0.05), columns=1, seed=3)
    assert 0.4 < (found.normals[0] > 0.0).mean() < 0.6


def test_draws_are_worth_at_least_two_thousand_independent_ones() -> None:
    found = learn(reading(2.0, 0.01), columns=12, seed=1)
    assert found.enough
    assert 2000.0 <= found.effective <= found.normals.shape[1]
    assert found.normals.shape == (12, 4096)


def test_the_stated_worth_is_true_of_the_mean() -> None:
    """Over many seeds the mean scatters as that many independent draws would."""
    u = 0.05
    sd = u / np.hypot(1.0, u)
    runs = [learn(reading(1.0, u), columns=4, seed=s, draws=1024) for s in range(60)]
    scatter = np.std([run.normals[0].mean() for run in runs])
    worth = (sd / scatter) ** 2
    stated = float(np.mean([run.effective for run in runs]))
    assert worth > 0.5 * stated


@source("normal readings of normals: posterior in closed form", kind="own calculation")
def test_few_draws_in_many_columns_spread_as_far_as_they_should() -> None:
    """Draws sent along a spread that is their own keep 7 % too little of the variance here."""
    rng = np.random.default_rng(5)
    columns, u = 25, 0.1
    weights = rng.standard_normal((8, columns)) / np.sqrt(columns)
    read = weights @ rng.standard_normal(columns) + u * rng.standard_normal(8)
    covariance = np.linalg.inv(np.eye(columns) + weights.T @ weights / u**2)
    middle = covariance @ weights.T @ read / u**2
    along, axes = np.linalg.eigh(covariance)

    def fit(z: Array) -> Array:
        return np.asarray(-0.5 * np.square((weights @ z - read[:, None]) / u).sum(axis=0))

    shares = []
    for seed in range(16):
        found = learn(fit, columns=columns, draws=600, seed=seed).normals
        shares.append(np.square(axes.T @ (found - middle[:, None])).mean(axis=1) / along)
    # One share scatters by the root of 2/600: the mean of all by 0.003, of a direction by 0.014.
    assert np.mean(shares) == pytest.approx(1.0, abs=0.02)
    assert np.mean(shares, axis=0) == pytest.approx(1.0, abs=0.07)


def test_too_few_draws_say_so() -> None:
    found = learn(reading(1.0, 0.1), columns=2, draws=500, seed=1)
    assert not found.enough


def test_moves_end_even_where_the_draws_stay_akin(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(learning, "_MOST_MOVES", 2)
    found = learn(reading(1.0, 0.1), columns=2, seed=1)
    assert found.moves == 3 * found.steps + 2


def test_a_reading_of_nothing_leaves_everything_as_it_was() -> None:
    found = learn(lambda z: np.zeros(z.shape[1]), columns=3, seed=1)
    np.testing.assert_allclose(found.normals.std(axis=1), 1.0, rtol=0.05)
    assert found.log_evidence == pytest.approx(0.0, abs=1e-9)


def test_the_same_seed_learns_the_same() -> None:
    one, two = (learn(reading(1.0, 0.1), columns=3, seed=9).normals for _ in range(2))
    np.testing.assert_array_equal(one, two)


def test_impossible_regions_are_left_and_impossible_readings_refused() -> None:
    found = learn(lambda z: np.where(z[0] > 1.0, 0.0, -np.inf), columns=2, seed=1)
    assert found.normals[0].min() > 1.0
    expected = np.exp(-0.5) / np.sqrt(2.0 * np.pi) / (1.0 - ndtr(1.0))
    assert found.normals[0].mean() == pytest.approx(expected, rel=0.03)
    with pytest.raises(ImpossibleReadings, match="impossible"):
        learn(lambda z: np.full(z.shape[1], np.nan), columns=2)


def test_a_likelihood_too_sharp_to_follow_is_reported_as_worth_little(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(learning, "_MOST_STEPS", 2)
    found = learn(reading(3.0, 1e-9), columns=2, seed=1)
    assert found.effective < 100.0
    assert not found.enough
