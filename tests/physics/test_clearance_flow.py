from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.physics.clearance_flow import (
    SLIP,
    annulus_flow,
    gas_annulus_flow,
    slip_flow_factor,
    slip_length,
    slit_flow,
)
from benchproof.physics.errors import OutOfRange
from benchproof.physics.posture import offset_flow_factor
from sources import source

quick = settings(max_examples=40, deadline=None, derandomize=True)
AIR = {"viscosity": 18.134e-6, "temperature": 293.15, "gas_constant": 287.055}
GAP = {"diameter": 0.03, "radial_gap": 10e-6, "length": 0.02}


def test_annulus_is_an_unrolled_slit() -> None:
    np.testing.assert_allclose(
        annulus_flow(pressure_drop=8e5, viscosity=1e-3, **GAP),
        slit_flow(width=np.pi * 0.03, gap=10e-6, length=0.02, pressure_drop=8e5, viscosity=1e-3),
        rtol=1e-12,
        atol=0.0,
    )


def test_slit_flow_is_the_integral_of_its_parabola() -> None:
    gap, slope, viscosity = 20e-6, 5e7, 1.8e-5
    across = (np.arange(2000) + 0.5) / 2000 * gap
    velocity = slope / (2.0 * viscosity) * across * (gap - across)
    np.testing.assert_allclose(
        slit_flow(width=0.1, gap=gap, length=0.02, pressure_drop=0.02 * slope, viscosity=viscosity),
        0.1 * np.mean(velocity) * gap,
        rtol=1e-6,
        atol=0.0,
    )


def test_gas_flow_is_the_integral_along_the_gap() -> None:
    high, low = 4e5, 1e5
    # Local law with slip, mass conserved: dz = −p (1 + 6 slip l*/(p h)) h³/(12 µ R T G) dp.
    pressure = low + (np.arange(4000) + 0.5) / 4000 * (high - low)
    free_path = slip_length(**AIR)
    gap = GAP["radial_gap"]
    mobility = (pressure + 6.0 * SLIP * free_path / gap) * gap**3
    per_width = np.mean(mobility) * (high - low) / (12.0 * AIR["viscosity"] * GAP["length"])
    gas = AIR["temperature"] * AIR["gas_constant"]
    np.testing.assert_allclose(
        gas_annulus_flow(high_pressure=high, low_pressure=low, **GAP, **AIR),
        np.pi * GAP["diameter"] * per_width / gas,
        rtol=1e-9,
        atol=0.0,
    )


@source("own derivation: share of slip in the flow at a small pressure", kind="own calculation")
@pytest.mark.parametrize(("clearance", "share"), [(5e-6, 0.18), (20e-6, 0.044), (60e-6, 0.015)])
def test_share_of_slip(clearance: float, share: float) -> None:
    common = {"diameter": 0.03, "length": 0.02, "radial_gap": 0.5 * clearance,
              "high_pressure": 102736.0, "low_pressure": 101325.0} | AIR  # fmt: skip
    slipping = gas_annulus_flow(**common)
    sticking = gas_annulus_flow(slip=0.0, **common)
    np.testing.assert_allclose(slipping / sticking - 1.0, share, rtol=0.03, atol=0.0)


@quick
@given(offset=st.floats(0.0, 1.0))
def test_slip_follows_the_square_of_an_offset_gap(offset: float) -> None:
    around = 1.0 + offset * np.cos((np.arange(64) + 0.5) * 2.0 * np.pi / 64)
    np.testing.assert_allclose(
        slip_flow_factor(offset_flow_factor(offset)), np.mean(around**2), rtol=1e-12, atol=0.0
    )


@quick
@given(gap=st.floats(1e-6, 1e-4), high=st.floats(1.1e5, 2e6), factor=st.floats(0.4, 2.5))
def test_gas_flow_grows_with_gap_pressure_and_posture(
    gap: float, high: float, factor: float
) -> None:
    def flow(**changed: float) -> float:
        here = {"diameter": 0.03, "length": 0.02, "radial_gap": gap, "high_pressure": high,
                "low_pressure": 1e5, "flow_factor": factor} | AIR  # fmt: skip
        return float(gas_annulus_flow(**(here | changed)))

    assert flow() > 0.0
    assert flow(radial_gap=1.01 * gap) > flow()
    assert flow(high_pressure=1.01 * high) > flow()
    assert flow(flow_factor=1.01 * factor) > flow()
    assert flow(slip=0.0) < flow()
    assert flow(high_pressure=1e5) == 0.0
    assert flow(radial_gap=0.0) == 0.0


def test_liquid_flows_either_way() -> None:
    forward = annulus_flow(pressure_drop=1e5, viscosity=1e-3, **GAP)
    assert annulus_flow(pressure_drop=-1e5, viscosity=1e-3, **GAP) == -forward


def test_shapes_broadcast() -> None:
    flow = annulus_flow(
        diameter=0.03,
        radial_gap=np.array([[5e-6], [10e-6]]),
        length=0.02,
        pressure_drop=np.array([1e5, 2e5, 3e5]),
        viscosity=1e-3,
    )
    assert flow.shape == (2, 3)
    np.testing.assert_allclose(flow[1, 2] / flow[0, 0], 24.0, rtol=1e-12, atol=0.0)


def test_out_of_range() -> None:
    with pytest.raises(OutOfRange, match="gap"):
        slit_flow(width=1.0, gap=-1e-6, length=1.0, pressure_drop=1.0, viscosity=1.0)
    with pytest.raises(OutOfRange, match="diameter"):
        annulus_flow(diameter=0.0, radial_gap=1e-6, length=1.0, pressure_drop=1.0, viscosity=1.0)
    with pytest.raises(OutOfRange, match="temperature"):
        slip_length(viscosity=1e-5, gas_constant=287.0, temperature=0.0)
    with pytest.raises(OutOfRange, match="high pressure"):
        gas_annulus_flow(high_pressure=1e5, low_pressure=2e5, **GAP, **AIR)
    with pytest.raises(OutOfRange, match="radial gap"):
        gas_annulus_flow(high_pressure=2e5, low_pressure=1e5, **(GAP | AIR | {"radial_gap": -1.0}))
