"""Capability, tolerance and prediction intervals against simulation and a second library."""

import math
from typing import Any

import numpy as np
import pytest
from scipy import stats

from benchproof.workshop.capability import (
    capability,
    index_to_show,
    k1,
    k2,
    k2_howe,
    prediction_factor,
    variance_components,
)

RNG = np.random.default_rng(12)
SAMPLES = RNG.standard_normal((40_000, 10))
MEAN, SD = SAMPLES.mean(axis=1), SAMPLES.std(axis=1, ddof=1)


def test_tolerance_intervals_hold_what_they_say() -> None:
    """The share of ten parts' intervals that hold 90 in 100 of all is the confidence."""
    one = k1(parts=10, share=0.9, confidence=0.95)
    held = stats.norm.cdf(MEAN + one * SD) >= 0.9
    assert held.mean() == pytest.approx(0.95, abs=0.004)
    two = k2(parts=10, share=0.9, confidence=0.95)
    inside = stats.norm.cdf(MEAN + two * SD) - stats.norm.cdf(MEAN - two * SD)
    assert np.mean(inside >= 0.9) == pytest.approx(0.95, abs=0.004)


@pytest.mark.parametrize("parts", [2, 3, 5, 20, 100, 1000])
def test_one_sided_factors_by_another_library(parts: int) -> None:
    shift = stats.norm.ppf(0.95) * math.sqrt(parts)
    expected = stats.nct.ppf(0.95, parts - 1, shift) / math.sqrt(parts)
    assert k1(parts=parts, share=0.95) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("parts", [5, 20, 100])
def test_howe_is_close(parts: int) -> None:
    assert k2_howe(parts=parts, share=0.95) == pytest.approx(k2(parts=parts, share=0.95), rel=0.012)


def test_many_parts_leave_the_normal_itself() -> None:
    assert k2(parts=10**6, share=0.95) == pytest.approx(1.96, abs=0.005)
    assert k1(parts=10**6, share=0.95) == pytest.approx(1.645, abs=0.005)
    assert prediction_factor(parts=10**6) == pytest.approx(1.96, abs=0.001)


def test_prediction_intervals_hold_the_next_parts() -> None:
    coming = np.random.default_rng(13).standard_normal((40_000, 3))
    off = np.abs(coming - MEAN[:, None]) / SD[:, None]
    one = prediction_factor(parts=10, probability=0.9)
    assert np.mean(off[:, 0] <= one) == pytest.approx(0.9, abs=0.005)
    all_three = np.mean(off.max(axis=1) <= prediction_factor(parts=10, probability=0.9, future=3))
    assert 0.9 <= all_three <= 0.93


def test_intervals_of_the_indices_hold_the_true_ones() -> None:
    """True Cp 1.333 with limits at 4, true Cpk 1 with the middle one off."""
    rng = np.random.default_rng(14)
    held = np.zeros(3)
    for _ in range(2000):
        found = capability(rng.normal(1.0, 1.0, 25), lower=-4.0, upper=4.0)
        assert found.cp is not None
        assert found.cpm is not None
        true = (4.0 / 3.0, 1.0, 4.0 / 3.0 / math.sqrt(2.0))
        for place, (index, value) in enumerate(
            zip((found.cp, found.cpk, found.cpm), true, strict=True)
        ):
            held[place] += index.lower <= value <= index.upper
    np.testing.assert_allclose(held / 2000.0, 0.95, rtol=0, atol=0.02)


def test_an_index_to_show_proves_what_it_says() -> None:
    """At a true index of exactly 1, as few samples as stated show more than this."""
    wanted = index_to_show(parts=10, index=1.0)
    shown = (3.0 - MEAN) / (3.0 * SD)
    assert np.mean(shown >= wanted) == pytest.approx(0.05, abs=0.004)


def test_one_limit_and_a_target() -> None:
    readings = [1.0, 2.0, 3.0]
    upper = capability(readings, upper=5.0)
    assert upper.cp is None
    assert upper.cpm is None
    assert upper.cpk.value == pytest.approx(1.0, rel=1e-12)
    assert capability(readings, lower=0.5).cpk.value == pytest.approx(0.5, rel=1e-12)
    off = capability(readings, lower=-1.0, upper=5.0, target=3.0)
    assert off.cpm is not None
    assert off.cpm.value == pytest.approx(1.0 / math.sqrt(2.0), rel=1e-12)
    assert capability(readings, upper=5.0, sd=2.0).cpk.value == pytest.approx(0.5, rel=1e-12)


def test_the_share_of_the_setting_and_its_interval() -> None:
    rng = np.random.default_rng(15)
    found = [
        variance_components(3.0 * rng.standard_normal((6, 1)) + 2.0 * rng.standard_normal((6, 5)))
        for _ in range(1500)
    ]
    true = 9.0 / 13.0
    held = np.mean([each.share.lower <= true <= each.share.upper for each in found])
    assert held == pytest.approx(0.95, abs=0.017)
    assert np.mean([each.within**2 for each in found]) == pytest.approx(4.0, rel=0.03)
    assert np.mean([each.between**2 for each in found]) == pytest.approx(9.0, rel=0.06)
    assert found[0].share.lower < found[0].share.value < found[0].share.upper


def test_settings_that_agree_share_nothing() -> None:
    found = variance_components([[1.0, 3.0], [3.0, 1.0], [2.0, 2.5]])
    assert found.between == 0.0
    assert found.share.value == found.share.lower == 0.0


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (lambda: variance_components([[1.0, 2.0]]), "two settings or more"),
        (lambda: variance_components([[1.0], [2.0]]), "two pieces or more"),
        (lambda: variance_components([[1.0, 1.0], [2.0, 2.0]]), "do not differ"),
        (lambda: capability([1.0], upper=2.0), "two readings"),
        (lambda: capability([1.0, math.nan], upper=2.0), "finite"),
        (lambda: capability([1.0, 2.0]), "a lower or an upper limit"),
        (lambda: capability([1.0, 2.0], lower=3.0, upper=2.0), "must be under"),
        (lambda: capability([1.0, 1.0], upper=2.0), "do not differ"),
        (lambda: capability([1.0, 2.0], upper=2.0, confidence=1.0), "confidence"),
        (lambda: index_to_show(parts=5, index=-1.0), "zero or more"),
        (lambda: k1(parts=1, share=0.9), "two parts"),
        (lambda: k2(parts=5, share=1.0), "between 0 and 1"),
        (lambda: k2_howe(parts=5, share=0.9, confidence=0.0), "between 0 and 1"),
        (lambda: prediction_factor(parts=5, future=0), "to come"),
    ],
)
def test_what_cannot_be_told_is_refused(made: Any, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        made()
