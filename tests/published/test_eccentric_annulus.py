"""The narrow-gap flow factor against the exact flow through an eccentric annulus."""

import numpy as np
import pytest

from benchproof.physics.clearance_flow import annulus_flow
from benchproof.physics.posture import offset_flow_factor
from sources import source


def exact_concentric_flow(inner: float, outer: float) -> float:
    """Flow for unit pressure gradient and viscosity [m⁴]."""
    square = (outer**2 - inner**2) ** 2
    return float(np.pi / 8.0 * (outer**4 - inner**4 - square / np.log(outer / inner)))


def exact_eccentric_flow(inner: float, outer: float, offset: float) -> float:
    """The same with the inner cylinder's axis off centre by ``offset``, by bipolar series."""
    middle = (outer**2 - inner**2 + offset**2) / (2.0 * offset)
    focus = np.sqrt(middle**2 - outer**2)
    alpha = 0.5 * np.log((middle + focus) / (middle - focus))
    beta = 0.5 * np.log((middle - offset + focus) / (middle - offset - focus))
    n = np.arange(1, 2000)
    # exp(-n(β+α))/sinh(n(β-α)), rearranged so that no term overflows.
    series = np.sum(n * 2.0 * np.exp(-2.0 * n * beta) / -np.expm1(-2.0 * n * (beta - alpha)))
    return float(
        np.pi / 8.0
        * (
            outer**4 - inner**4
            - 4.0 * offset**2 * focus**2 / (beta - alpha)
            - 8.0 * offset**2 * focus**2 * series
        )
    )  # fmt: skip


@source("N. A. V. Piercy, M. S. Hooper, H. F. Winny, Philosophical Magazine 15, 1933, p. 647",
        kind="from memory")  # fmt: skip
@pytest.mark.parametrize(("offset", "exact"), [(0.5, 1.3743), (0.9, 2.2115)])
def test_offset_factor_of_a_thick_annulus(offset: float, exact: float) -> None:
    inner, outer = 0.9, 1.0
    ratio = exact_eccentric_flow(inner, outer, offset * (outer - inner)) / exact_concentric_flow(
        inner, outer
    )
    np.testing.assert_allclose(ratio, exact, rtol=1e-4, atol=0.0)
    np.testing.assert_allclose(offset_flow_factor(offset), ratio, rtol=0.002, atol=0.0)


@source("N. A. V. Piercy, M. S. Hooper, H. F. Winny, Philosophical Magazine 15, 1933, p. 647",
        kind="from memory")  # fmt: skip
@pytest.mark.parametrize("offset", [0.3, 0.6, 0.9])
def test_offset_factor_of_a_thin_annulus(offset: float) -> None:
    inner, outer = 0.99, 1.0
    ratio = exact_eccentric_flow(inner, outer, offset * (outer - inner)) / exact_concentric_flow(
        inner, outer
    )
    np.testing.assert_allclose(offset_flow_factor(offset), ratio, rtol=2e-5, atol=0.0)


@source("exact flow through a concentric annulus, own derivation", kind="own calculation")
def test_concentric_annulus() -> None:
    inner, outer = 0.99, 1.0
    narrow = annulus_flow(
        diameter=inner + outer,
        radial_gap=outer - inner,
        length=1.0,
        pressure_drop=1.0,
        viscosity=1.0,
    )
    np.testing.assert_allclose(
        exact_concentric_flow(inner, outer) / narrow, 1.0000017, rtol=0.0, atol=1e-6
    )
