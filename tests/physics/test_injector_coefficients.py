from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.physics.errors import OutOfRange
from benchproof.physics.injector_coefficients import (
    COEFFICIENTS,
    DEFAULTS,
    LEAST_RECOVERY,
    MOST_RECOVERY,
    PRODUCT_MEAN,
    PRODUCT_SD,
    STEAM_SPEED_KEPT,
    recovery,
)
from sources import source


def test_every_coefficient_says_what_it_is_and_where_it_comes_from() -> None:
    assert len(COEFFICIENTS) == len(DEFAULTS) == 6
    for each in COEFFICIENTS:
        assert each.meaning
        assert each.source
        assert (each.spread == 0.0) == (each.shape == "fixed") == (each.part_to_part == 0.0)
        if each.name != "recovery":  # its centre is that of the product
            assert abs(each.default - each.centre) <= max(each.spread, 1e-12)


def test_the_default_recovery_belongs_to_the_default_momentum() -> None:
    found = recovery(product=PRODUCT_MEAN, momentum=DEFAULTS["momentum"])
    assert abs(found - DEFAULTS["recovery"]) < PRODUCT_SD / DEFAULTS["momentum"] ** 2


@source("0.95 × 0.74, fitted to V. A. B. Hughes, 1912, Table VIII", kind="own calculation")
def test_the_default_momentum_is_the_product_of_two_shares() -> None:
    np.testing.assert_allclose(DEFAULTS["momentum"] / STEAM_SPEED_KEPT, 0.74, rtol=1e-12)


@given(product=st.floats(0.2, 0.45), momentum=st.floats(0.6, 0.8))
def test_what_the_jet_wins_the_cone_loses(product: float, momentum: float) -> None:
    found = float(recovery(product=product, momentum=momentum))
    assert LEAST_RECOVERY <= found <= MOST_RECOVERY
    if LEAST_RECOVERY < found < MOST_RECOVERY:
        np.testing.assert_allclose(found * momentum**2, product, rtol=1e-12)


def test_momentum_and_recovery_drawn_together_go_against_each_other() -> None:
    draw = np.random.default_rng(1)
    momentum = draw.uniform(0.63, 0.78, 4000)
    product = draw.normal(PRODUCT_MEAN, PRODUCT_SD, 4000)
    together = np.corrcoef(momentum, recovery(product=product, momentum=momentum))[0, 1]
    assert together < -0.6


@pytest.mark.parametrize("momentum", [0.0, -0.1, np.nan])
def test_no_momentum_has_no_recovery(momentum: float) -> None:
    with pytest.raises(OutOfRange, match="momentum"):
        recovery(product=0.33, momentum=momentum)
