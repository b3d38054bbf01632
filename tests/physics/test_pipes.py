"""Small pipes: limits, monotony, and flow by a second way."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics.errors import OutOfRange
from benchproof.physics.pipes import (
    copper_stress_uk,
    copper_stress_us,
    flow_velocity,
    friction_factor,
    pressure_drop,
    pressure_thick,
    pressure_uk,
    pressure_us,
)
from sources import source


def test_thin_pipes_are_the_same_by_every_formula() -> None:
    thin = {"stress": 30e6, "diameter": 100e-3, "wall": 0.1e-3}
    told = [float(formula(**thin)) for formula in (pressure_uk, pressure_us, pressure_thick)]
    np.testing.assert_allclose(told, 2.0 * 30e6 * 0.1 / 100.0, rtol=2e-3, atol=0)


def test_a_thick_pipe_holds_less_than_the_mean_formula_says() -> None:
    thick = {"stress": 30e6, "diameter": 4e-3, "wall": 1e-3}
    assert pressure_thick(**thick) < pressure_uk(**thick)
    assert pressure_us(**thick) < pressure_uk(**thick)


def test_copper_weakens_with_heat() -> None:
    warm = np.linspace(280.0, 473.15, 40)
    for table in (copper_stress_uk, copper_stress_us):
        assert (np.diff(table(temperature=warm)) <= 0.0).all()


@pytest.mark.parametrize("temperature", [240.0, 480.0, float("nan")])
def test_copper_outside_its_table_is_refused(temperature: float) -> None:
    with pytest.raises(OutOfRange, match="metal temperature"):
        copper_stress_uk(temperature=temperature)


@pytest.mark.parametrize("wall", [0.0, 2e-3])
def test_a_pipe_without_wall_or_bore_is_refused(wall: float) -> None:
    with pytest.raises(OutOfRange, match="wall"):
        pressure_uk(stress=30e6, diameter=4e-3, wall=wall)


def test_velocity_is_flow_over_area() -> None:
    found = flow_velocity(mass_flow=1e-3, density=1000.0, bore=2e-3)
    np.testing.assert_allclose(found, 1e-6 / (np.pi * 1e-6), rtol=1e-12, atol=0)
    with pytest.raises(OutOfRange, match="bore"):
        flow_velocity(mass_flow=1e-3, density=1000.0, bore=0.0)


@source("own calculation: Hagen and Poiseuille, 128 mu L Q/(pi D^4)", kind="own calculation")
def test_slow_flow_is_poiseuille_s() -> None:
    flow = 0.5e-6
    found = pressure_drop(
        mass_flow=flow * 998.0, density=998.0, viscosity=1e-3, bore=2e-3, length=0.4, losses=0.0
    )
    wanted = 128.0 * 1e-3 * 0.4 * flow / (np.pi * 2e-3**4)
    np.testing.assert_allclose(found, wanted, rtol=1e-9, atol=0)


@source(
    "Blasius 1913: 0.0178 at a Reynolds number of 1e5, where Prandtl's smooth pipe has 0.0180 "
    "(from memory)",
    kind="from memory",
)
def test_blasius_agrees_with_prandtl_where_it_ends() -> None:
    blasius = float(friction_factor(reynolds=1e5))
    np.testing.assert_allclose(blasius, 0.01779, rtol=0, atol=5e-6)
    prandtl = 0.018
    for _ in range(50):
        prandtl = (2.0 * np.log10(1e5 * np.sqrt(prandtl)) - 0.8) ** -2
    np.testing.assert_allclose(blasius, prandtl, rtol=0.015, atol=0)


def test_where_neither_is_sure_the_dearer_is_taken() -> None:
    below, above = friction_factor(reynolds=np.array([2300.0, 2301.0]))
    assert above > 1.5 * below
    np.testing.assert_allclose(
        friction_factor(reynolds=2000.0, laminar_ends=0.0),
        0.3164 / 2000.0**0.25,
        rtol=1e-12,
        atol=0,
    )


@pytest.mark.parametrize("reynolds", [0.0, 2e5])
def test_flow_outside_blasius_is_refused(reynolds: float) -> None:
    with pytest.raises(OutOfRange, match="Reynolds"):
        friction_factor(reynolds=reynolds)
