from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.physics.errors import OutOfRange
from benchproof.physics.labyrinth import martin_mass_flow, napier_mass_flux

quick = settings(max_examples=30, deadline=None, derandomize=True)
SEAL = {
    "area": 1e-6,
    "inlet_pressure": 9e5,
    "outlet_pressure": 1.2e5,
    "inlet_density": 4.66,
    "teeth": 4.0,
}


@quick
@given(teeth=st.floats(1.0, 30.0), ratio=st.floats(0.05, 0.99))
def test_martin_falls_with_teeth(teeth: float, ratio: float) -> None:
    here = SEAL | {"teeth": teeth, "outlet_pressure": ratio * SEAL["inlet_pressure"]}
    flow = martin_mass_flow(**here)
    assert flow > 0.0
    assert martin_mass_flow(**(here | {"teeth": teeth + 1.0})) < flow
    np.testing.assert_allclose(
        martin_mass_flow(**(here | {"area": 2e-6})), 2.0 * flow, rtol=1e-12, atol=0.0
    )


@quick
@given(teeth=st.integers(3, 12), ratio=st.floats(0.3, 0.9))
def test_martin_is_the_sum_of_its_teeth(teeth: int, ratio: float) -> None:
    # Each tooth: G² = 2 ρ Δp at its mean density, R T constant; the sum of p² falls evenly but
    # for the logarithm, which is what a tooth's own expansion adds.
    gas = SEAL["inlet_pressure"] / SEAL["inlet_density"]
    flux = martin_mass_flow(
        **(SEAL | {"teeth": float(teeth), "outlet_pressure": ratio * 9e5})
    ) / SEAL["area"]  # fmt: skip
    pressure = np.asarray(SEAL["inlet_pressure"])
    for _ in range(teeth):
        pressure = np.sqrt(pressure**2 - flux**2 * gas)
    pressure = np.sqrt(pressure**2 - flux**2 * gas * np.log(1.0 / ratio))
    np.testing.assert_allclose(pressure, ratio * SEAL["inlet_pressure"], rtol=1e-9, atol=0.0)


def test_nothing_flows_at_equal_pressures() -> None:
    assert martin_mass_flow(**(SEAL | {"outlet_pressure": 9e5})) == 0.0


def test_napier_does_not_see_the_outlet() -> None:
    flux = napier_mass_flux(inlet_pressure=9e5, outlet_pressure=np.array([1e5, 2e5, 5e5]))
    assert flux.shape == (3,)
    assert np.ptp(flux) == 0.0
    np.testing.assert_allclose(
        napier_mass_flux(inlet_pressure=4.5e5, outlet_pressure=1e5), 0.5 * flux[0], rtol=1e-12,
        atol=0.0,
    )  # fmt: skip


def test_out_of_range() -> None:
    with pytest.raises(OutOfRange, match="teeth"):
        martin_mass_flow(**(SEAL | {"teeth": 0.0}))
    with pytest.raises(OutOfRange, match="inlet pressure"):
        martin_mass_flow(**(SEAL | {"inlet_pressure": 1e5}))
    with pytest.raises(OutOfRange, match="outlet pressure"):
        napier_mass_flux(inlet_pressure=2e5, outlet_pressure=1.18e5)
