"""The conjugate normal model, whose posterior is known in closed form, against the grid."""

import dataclasses

import numpy as np
import pytest

from benchproof.workshop.standing import Prior, Shown, Standing, learn
from sources import source

DATA = (3.0, -2.0, 5.0, 1.0, 4.0)


def conjugate_standing() -> Standing:
    """Standing under the normal-inverse-gamma prior m0 = 0, k0 = 1, a0 = 2, b0 = 25.

    Under a prior flat in ln c and delta, k0 = 1 is one more part at m0 = 0. That part brings a
    half to the exponent a; what is then missing is c^-4 exp(-b0 / c^2).
    """
    flat = learn(Prior(factor=1e13, bias_sd=1e9), [Shown(0.0), *map(Shown, DATA)])
    variance = flat.spread_grid**2
    share = flat.probability * variance**-2.0 * np.exp(-25.0 / variance)
    return dataclasses.replace(flat, probability=share / share.sum())


@source("closed form of the conjugate normal model; Gelman et al., Bayesian Data Analysis, "
        "3rd ed. 2013, section 3.3", kind="own calculation")  # fmt: skip
def test_conjugate_posterior() -> None:
    standing = conjugate_standing()
    mean, parts, a, b = 1.8333, 6.0, 4.5, 42.417
    variance = standing.spread_grid**2
    np.testing.assert_allclose(standing.bias_mean, mean, rtol=0, atol=1e-4)
    np.testing.assert_allclose(standing.bias_sd**-2 * variance, parts, rtol=1e-4)
    assert float(standing.probability @ variance**-1.0) == pytest.approx(a / b, rel=1e-4)
    assert float(standing.probability @ variance) == pytest.approx(b / (a - 1.0), rel=1e-4)


@source("closed form of the conjugate normal model: Student's t, 9 degrees of freedom, "
        "scale 3.3162", kind="own calculation")  # fmt: skip
def test_next_part_under_the_conjugate_prior() -> None:
    standing = conjugate_standing()
    assert float(standing.probability_between(-12.0, 12.0)) == pytest.approx(0.99207, abs=1e-4)
    lower, upper = standing.predictive_interval(0.95)
    assert upper - lower == pytest.approx(2.0 * 2.26216 * 3.3162, rel=1e-4)
