"""Working pressures of copper pipe against the published tables they come from."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics.pipes import (
    copper_stress_uk,
    copper_stress_us,
    pressure_uk,
    pressure_us,
)
from sources import source

INCH, PSI = 25.4e-3, 6894.757293168361
FAHRENHEIT = np.array([100.0, 150.0, 200.0, 250.0, 300.0, 350.0])


@source(
    "Copper Development Association, Copper Tube Handbook, table 3c, type M, annealed; wall "
    "and outside tolerances of ASTM B88 (from memory)"
)
@pytest.mark.parametrize(
    ("outside", "wall", "rated"),
    [
        ((0.625, 0.0025), (0.028, 0.003), (494, 420, 403, 395, 387, 329)),
        ((1.125, 0.0035), (0.035, 0.004), (337, 286, 275, 270, 264, 225)),
    ],
)
def test_type_m_tube(
    outside: tuple[float, float], wall: tuple[float, float], rated: tuple[float, ...]
) -> None:
    found = pressure_us(
        stress=copper_stress_us(temperature=(FAHRENHEIT - 32.0) / 1.8 + 273.15),
        diameter=(outside[0] + outside[1]) * INCH,
        wall=(wall[0] - wall[1]) * INCH,
    )
    np.testing.assert_allclose(found / PSI, rated, rtol=0, atol=0.6)


@source("UK Copper Board, What are the maximum working pressures for copper tubing?, R220")
@pytest.mark.parametrize(
    ("celsius", "stress"),
    [(20, 46e6), (65, 46e6), (110, 40e6), (150, 34e6), (175, 26e6), (200, 18e6)],
)
def test_stress_by_temperature(celsius: float, stress: float) -> None:
    found = copper_stress_uk(temperature=celsius + 273.15)
    np.testing.assert_allclose(found, stress, rtol=1e-9, atol=0)


@source("UK Copper Board, P = 20 F t/(D - t): 15 x 0.7 mm, annealed, at 65 °C, worked by hand")
def test_the_formula_of_the_uk_board() -> None:
    found = pressure_uk(stress=46e6, diameter=15e-3, wall=0.7e-3) / 1e5
    np.testing.assert_allclose(found, 20.0 * 46.0 * 0.7 / 14.3, rtol=1e-12, atol=0)
