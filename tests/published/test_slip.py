"""Slip of air in narrow gaps, against kinetic theory."""

import numpy as np
import pytest
from numpy.typing import NDArray

from benchproof.physics.clearance_flow import SLIP, gas_annulus_flow, slip_length
from sources import source

Array = NDArray[np.float64]


def abramowitz(argument: Array) -> Array:
    """T0(t) = ∫ exp(−c² − t/c) dc over positive c."""
    points, weights = np.polynomial.legendre.leggauss(400)
    # The square of a uniform variable crowds the points where exp(−t/c) is steep.
    share = 0.5 * (points + 1.0)
    speed = 6.0 * share**2
    weight = 6.0 * share * weights
    integral: Array = np.exp(-(speed**2) - argument[..., np.newaxis] / speed) @ weight
    return integral


def kinetic_flow_rate(rarefaction: float, cells: int = 480) -> float:
    """Flow rate of the linearised BGK equation between diffusely scattering plates.

    The speed u obeys u(x) = π^−1/2 ∫ T−1(δ|x−s|) (δ u(s) + 1/2) ds across the unit gap, and the
    rate is 2∫u dx: δ/6 + slip for a dense gas. Collocation on equal cells, kernel exact.
    """
    edges = abramowitz(rarefaction * (np.arange(cells) + 0.5) / cells)
    own = 2.0 * (0.5 * np.sqrt(np.pi) - edges[0])
    by_distance = np.append(own, edges[:-1] - edges[1:]) / (rarefaction * np.sqrt(np.pi))
    number = np.arange(cells)
    kernel = by_distance[np.abs(number[:, np.newaxis] - number)]
    impulse = 0.5 * np.sum(kernel, axis=1)
    speed = np.linalg.solve(np.eye(cells) - rarefaction * kernel, impulse)
    return float(2.0 * np.mean(speed))


@source("C. Cercignani, A. Daneri, Flow of a rarefied gas between two parallel plates, Journal "
        "of Applied Physics 34, 1963, p. 3509", kind="from memory")  # fmt: skip
@pytest.mark.parametrize(("rarefaction", "rate"), [(1.0, 1.5387), (10.0, 2.7685)])
def test_plane_poiseuille_flow_of_a_rarefied_gas(rarefaction: float, rate: float) -> None:
    np.testing.assert_allclose(kinetic_flow_rate(rarefaction), rate, rtol=0.002, atol=0.0)


@source("own solution of the linearised BGK equation", kind="own calculation")
@pytest.mark.parametrize("gap", [1.5e-6, 3e-6])
def test_first_order_slip_is_good_above_a_micrometre_and_a_half(gap: float) -> None:
    air = {"viscosity": 18.134e-6, "temperature": 293.15, "gas_constant": 287.055}
    pressure, rise = 101325.0, 1.0
    flow = gas_annulus_flow(
        diameter=0.03,
        radial_gap=gap,
        length=0.02,
        high_pressure=pressure + rise,
        low_pressure=pressure,
        **air,
    )
    rarefaction = float(gap * pressure / slip_length(**air))
    # The flow per unit of rise, free of dimensions: δ/6 where no gas slips.
    sticking = gas_annulus_flow(
        diameter=0.03,
        radial_gap=gap,
        length=0.02,
        high_pressure=pressure + rise,
        low_pressure=pressure,
        slip=0.0,
        **air,
    )
    rate = rarefaction / 6.0 * flow / sticking
    np.testing.assert_allclose(rate, rarefaction / 6.0 + SLIP, rtol=1e-4, atol=0.0)
    np.testing.assert_allclose(rate, kinetic_flow_rate(rarefaction), rtol=0.011, atol=0.0)


@source("S. G. Jennings, The mean free path in air, Journal of Aerosol Science 19, 1988, p. 159",
        kind="from memory")  # fmt: skip
def test_mean_free_path_of_air() -> None:
    viscosity = 1.458e-6 * 300.0**1.5 / (300.0 + 110.4)
    free_path = slip_length(viscosity=viscosity, gas_constant=287.055, temperature=300.0)
    np.testing.assert_allclose(
        0.5 * np.sqrt(np.pi) * free_path / 101325.0, 67.3e-9, rtol=0.01, atol=0.0
    )
