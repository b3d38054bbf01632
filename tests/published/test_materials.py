"""Material figures against the books they are said to come from."""

import numpy as np
import pytest

from benchproof.tables.materials import material
from sources import source

CALLISTER = "W. D. Callister, Materials Science and Engineering, appendix B, table B.6"
HIBBELER = "R. C. Hibbeler, Mechanics of Materials, appendix"
SHIGLEY = "Shigley's Mechanical Engineering Design, 8th ed., table A-5 and ch. 3"
EXACT = 1e-12


@source(f"{CALLISTER}: coefficients of thermal expansion")
@pytest.mark.parametrize(
    ("key", "micrometres_per_metre_kelvin"),
    [
        ("leaded bronze", 18.0),
        ("cartridge brass", 19.9),
        ("free-cutting brass", 20.5),
        ("copper", 17.0),
        ("aluminium 6061", 23.6),
        ("sg iron", 11.0),
    ],
)
def test_expansion_as_printed(key: str, micrometres_per_metre_kelvin: float) -> None:
    figure = material(key).expansion

    np.testing.assert_allclose(figure.value, micrometres_per_metre_kelvin * 1e-6, rtol=EXACT)
    assert figure.source.startswith("W. D. Callister")


@source(f"{CALLISTER}: 9.9 to 11.9 over the classes of grey iron")
def test_the_uncertainty_of_grey_iron_covers_its_classes() -> None:
    figure = material("grey iron").expansion

    assert figure.value - 2.0 * figure.u < 9.9e-6
    assert figure.value + 2.5 * figure.u > 11.9e-6


@source(f"{HIBBELER}: density, modulus and yield strength")
@pytest.mark.parametrize(
    ("key", "density", "gigapascals", "megapascals"),
    [
        ("mild steel", 7850.0, 200.0, 250.0),
        ("stainless 304", 7860.0, 193.0, 207.0),
        ("aluminium 6061", 2710.0, 68.9, 255.0),
        ("aluminium 2014", 2790.0, 73.1, 414.0),
    ],
)
def test_density_stiffness_and_strength_as_printed(
    key: str, density: float, gigapascals: float, megapascals: float
) -> None:
    found = material(key)

    assert found.yield_strength is not None
    np.testing.assert_allclose(found.density.value, density, rtol=EXACT)
    np.testing.assert_allclose(found.youngs_modulus.value, gigapascals * 1e9, rtol=EXACT)
    np.testing.assert_allclose(found.yield_strength.value, megapascals * 1e6, rtol=EXACT)
    for figure in (found.density, found.youngs_modulus, found.yield_strength):
        assert figure.source.startswith("R. C. Hibbeler")


@source(f"{SHIGLEY}: iron E 14.5e6 psi, nu 0.211; steel E 30e6 psi, nu 0.292")
@pytest.mark.parametrize(
    ("key", "pounds_per_square_inch", "poisson"),
    [("grey iron", 14.5e6, 0.211), ("medium carbon steel", 30e6, 0.292)],
)
def test_stiffness_in_inch_units(key: str, pounds_per_square_inch: float, poisson: float) -> None:
    found = material(key)

    # The book rounds 14.5 and 30 Mpsi to 100 and 207 GPa.
    modulus = pounds_per_square_inch * 6894.757
    np.testing.assert_allclose(found.youngs_modulus.value, modulus, rtol=2e-3)
    np.testing.assert_allclose(found.poisson_ratio.value, poisson, rtol=EXACT)


@source("growth of 50 mm and 30 mm parts, worked by hand", kind="own calculation")
def test_growth_of_parts_worked_by_hand() -> None:
    iron, gunmetal = (material(key).expansion.value for key in ("grey iron", "gunmetal"))

    np.testing.assert_allclose(iron * 0.050 * 25.0, 13.1e-6, rtol=5e-3)
    np.testing.assert_allclose(gunmetal * 0.050 * 20.0, 18.0e-6, rtol=5e-3)
    closing = 0.030 * (gunmetal - iron) * 140.0
    np.testing.assert_allclose(closing, 31.5e-6, rtol=5e-3)
