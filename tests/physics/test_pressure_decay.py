from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from benchproof.physics.clearance_flow import gas_annulus_flow
from benchproof.physics.compressible_gap import gap_mass_flux
from benchproof.physics.errors import OutOfRange
from benchproof.physics.pressure_decay import decay_time, gap_for_decay_time
from sources import source

quick = settings(max_examples=40, deadline=None, derandomize=True)
AIR = {"viscosity": 18.134e-6, "temperature": 293.15, "gas_constant": 287.055}
TEST = {
    "diameter": 0.03,
    "length": 0.02,
    "volume": 24.74e-6,
    "start_pressure": 4.01325e5,
    "end_pressure": 3.01325e5,
    "ambient_pressure": 1.01325e5,
} | AIR


@source("own derivation, 30 mm bore alone, clearance 20 µm, 3 to 2 bar gauge",
        kind="own calculation")  # fmt: skip
def test_bare_cylinder() -> None:
    np.testing.assert_allclose(decay_time(radial_gap=10e-6, **TEST), 2.029, rtol=0.005, atol=0.0)


@source("own derivation, the same with a bottle of one litre", kind="own calculation")
@pytest.mark.parametrize(("clearance", "time"), [(10e-6, 659.0), (20e-6, 84.0)])
def test_with_a_bottle(clearance: float, time: float) -> None:
    bottled = TEST | {"volume": 1.02474e-3}
    np.testing.assert_allclose(
        decay_time(radial_gap=0.5 * clearance, **bottled), time, rtol=0.005, atol=0.0
    )


@source("own integration of the gas leaving the volume", kind="own calculation")
@pytest.mark.parametrize("flow_factor", [0.6, 1.0, 2.5])
def test_closed_form_is_the_integral(flow_factor: float) -> None:
    def falling(_: float, pressure: NDArray[np.float64]) -> NDArray[np.float64]:
        leaving = gas_annulus_flow(
            diameter=TEST["diameter"],
            radial_gap=10e-6,
            length=TEST["length"],
            high_pressure=pressure,
            low_pressure=TEST["ambient_pressure"],
            flow_factor=flow_factor,
            **AIR,
        )
        return -leaving * AIR["gas_constant"] * AIR["temperature"] / TEST["volume"]

    time = float(decay_time(radial_gap=10e-6, flow_factor=flow_factor, **TEST))
    solved = solve_ivp(falling, (0.0, time), [TEST["start_pressure"]], rtol=1e-10, atol=1e-3)
    np.testing.assert_allclose(solved.y[0, -1], TEST["end_pressure"], rtol=1e-7, atol=0.0)


@source("own derivation, the laminar law over the one with inertia, from 3 bar gauge",
        kind="own calculation")  # fmt: skip
@pytest.mark.parametrize(("gap", "excess"), [(10e-6, 0.001), (20e-6, 0.018), (30e-6, 0.08)])
def test_where_the_laminar_law_reads_fast(gap: float, excess: float) -> None:
    pressures = {"high_pressure": TEST["start_pressure"], "low_pressure": TEST["ambient_pressure"]}
    laminar = gas_annulus_flow(
        diameter=0.03, radial_gap=gap, length=0.02, slip=0.0, **pressures, **AIR
    )
    density = TEST["start_pressure"] / (AIR["gas_constant"] * AIR["temperature"])
    full = gap_mass_flux(
        radial_gap=gap, length=0.02, density=density, viscosity=AIR["viscosity"], **pressures
    )
    np.testing.assert_allclose(
        laminar / (full * np.pi * 0.03 * gap) - 1.0, excess, rtol=0.08, atol=0.0002
    )


@quick
@given(
    gap=st.floats(0.5e-6, 50e-6), factor=st.floats(0.4, 2.5), start=st.floats(1.2e5, 5e5),
    share=st.floats(0.1, 0.95),
)  # fmt: skip
def test_inverse_and_monotony(gap: float, factor: float, start: float, share: float) -> None:
    end = 1.01325e5 + share * (start - 1.01325e5)
    here = TEST | {"start_pressure": start, "end_pressure": end, "flow_factor": factor}
    time = decay_time(radial_gap=gap, **here)
    np.testing.assert_allclose(gap_for_decay_time(time=time, **here), gap, rtol=1e-10, atol=0.0)
    assert decay_time(radial_gap=1.01 * gap, **here) < time
    assert decay_time(radial_gap=gap, **(here | {"volume": 3e-5})) > time
    assert decay_time(radial_gap=gap, **(here | {"slip": 0.0})) > time


def test_inverse_takes_many_times_at_once() -> None:
    gaps = np.array([2e-6, 10e-6, 40e-6])
    times = decay_time(radial_gap=gaps, **TEST)
    np.testing.assert_allclose(gap_for_decay_time(time=times, **TEST), gaps, rtol=1e-10, atol=0.0)


def test_no_time_passes_without_a_fall() -> None:
    level = TEST | {"end_pressure": TEST["start_pressure"]}
    assert decay_time(radial_gap=1e-5, **level) == 0.0
    with pytest.raises(OutOfRange, match="start pressure"):
        gap_for_decay_time(time=1.0, **level)


def test_out_of_range() -> None:
    with pytest.raises(OutOfRange, match="end pressure"):
        decay_time(radial_gap=1e-5, **(TEST | {"end_pressure": 1.0e5}))
    with pytest.raises(OutOfRange, match="start pressure"):
        decay_time(radial_gap=1e-5, **(TEST | {"start_pressure": 3.0e5}))
    with pytest.raises(OutOfRange, match="radial gap"):
        decay_time(radial_gap=0.0, **TEST)
    with pytest.raises(OutOfRange, match="time"):
        gap_for_decay_time(time=0.0, **TEST)
