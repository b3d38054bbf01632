"""Steam through teeth and orifices, against the two classical formulas."""

import numpy as np

from benchproof.physics.compressible_gap import gap_mass_flux
from benchproof.physics.labyrinth import martin_mass_flow, napier_mass_flux
from sources import source

HIGH, LOW, DENSITY = 9.01325e5, 1.2e5, 4.660


@source("H. M. Martin, Labyrinth packings, Engineering 85, 1908, p. 35", kind="from memory")
def test_martin_with_four_teeth() -> None:
    flux = martin_mass_flow(
        area=1.0, inlet_pressure=HIGH, outlet_pressure=LOW, inlet_density=DENSITY, teeth=4
    )
    np.testing.assert_allclose(flux, 828.0, rtol=0.01, atol=0.0)


@source("R. D. Napier's rule for choked saturated steam, lb/(s in²) = psia/70",
        kind="from memory")  # fmt: skip
def test_napier() -> None:
    flux = napier_mass_flux(inlet_pressure=HIGH, outlet_pressure=LOW)
    np.testing.assert_allclose(flux, 1313.0, rtol=0.01, atol=0.0)


@source("R. D. Napier's rule as an upper bound on any slit", kind="from memory")
def test_no_slit_passes_more_than_an_orifice() -> None:
    gap = np.geomspace(1e-6, 1e-3, 50)
    flux = gap_mass_flux(
        radial_gap=gap,
        length=1e-4,
        high_pressure=HIGH,
        low_pressure=LOW,
        density=DENSITY,
        viscosity=14.83e-6,
    )
    ceiling = napier_mass_flux(inlet_pressure=HIGH, outlet_pressure=LOW)
    assert np.all(flux < ceiling)
    assert flux[-1] > 0.7 * ceiling
