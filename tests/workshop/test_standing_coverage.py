"""Do the stated intervals hold what they say, counted over lathes whose truth is known?"""

import math

import numpy as np
import pytest
from scipy.special import ndtr

from benchproof.tables.iso286 import tolerance_unit
from benchproof.workshop.standing import Prior, Shown, learn


def hidden_lathes(count: int) -> list[tuple[float, float]]:
    score = np.random.default_rng(2024).standard_normal((count, 2))
    return [(3.0 * float(bias), 3.0 * math.exp(0.8 * float(spread))) for bias, spread in score]


@pytest.mark.parametrize("count", [3, 8, 30])
@pytest.mark.parametrize("micrometres", [1.0, 5.0])
def test_stated_intervals_hold_hidden_lathes(count: int, micrometres: float) -> None:
    """Lathes drawn from the prior: the next true part falls inside nine times in ten."""
    rng = np.random.default_rng(count)
    u = micrometres / (1e6 * float(tolerance_unit(20e-3)))
    held, spread_held = [], []
    for bias, spread in hidden_lathes(300):
        readings = bias + np.hypot(spread, u) * rng.standard_normal(count)
        standing = learn(Prior(), [Shown(float(reading), u) for reading in readings])
        lower, upper = standing.predictive_interval(0.9)
        held.append(float(ndtr((upper - bias) / spread) - ndtr((lower - bias) / spread)))
        low, high = standing.spread_quantile(0.05), standing.spread_quantile(0.95)
        spread_held.append(low <= spread <= high)
    assert 0.88 <= np.mean(held) <= 0.92
    assert 0.85 <= np.mean(spread_held) <= 0.95


@pytest.mark.parametrize(("bias", "spread"), [(-12.0, 20.0), (0.5, 0.3)])
def test_a_builder_far_from_the_prior_is_found_out(bias: float, spread: float) -> None:
    readings = bias + spread * np.random.default_rng(5).standard_normal(30)
    standing = learn(Prior(), [Shown(float(reading)) for reading in readings])
    assert standing.spread_quantile(0.025) < spread < standing.spread_quantile(0.975)
    lower, upper = standing.predictive_interval(0.9)
    share = float(ndtr((upper - bias) / spread) - ndtr((lower - bias) / spread))
    assert 0.8 < share < 0.98
