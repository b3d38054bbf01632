"""Liquid water of IAPWS-IF97: the release's verification tables, and a second program."""

from __future__ import annotations

import numpy as np
import pytest
from iapws import iapws97

from benchproof.physics import liquid_water
from sources import source

NINE_DIGITS = 5e-9  # half of the last of nine digits, when the first is a one
RELEASE = "IAPWS R7-97(2012), Revised Release on the IAPWS Industrial Formulation 1997"


@source(f"{RELEASE}, table 5", kind="from memory")
@pytest.mark.parametrize(
    ("temperature", "pressure", "volume", "enthalpy", "entropy", "capacity", "sound"),
    [
        (300, 3, 0.100215168e-2, 0.115331273e3, 0.392294792, 0.417301218e1, 0.150773921e4),
        (300, 80, 0.971180894e-3, 0.184142828e3, 0.368563852, 0.401008987e1, 0.163469054e4),
        (500, 3, 0.120241800e-2, 0.975542239e3, 0.258041912e1, 0.465580682e1, 0.124071337e4),
    ],
)
def test_the_release_s_own_states(
    temperature: float,
    pressure: float,
    volume: float,
    enthalpy: float,
    entropy: float,
    capacity: float,
    sound: float,
) -> None:
    state = {"pressure": pressure * 1e6, "temperature": temperature}
    for found, expected in (
        (1.0 / liquid_water.liquid_density(**state), volume),
        (liquid_water.liquid_enthalpy(**state), enthalpy * 1e3),
        (liquid_water.liquid_entropy(**state), entropy * 1e3),
        (liquid_water.liquid_heat_capacity(**state), capacity * 1e3),
        (liquid_water.liquid_sound_speed(**state), sound),
    ):
        np.testing.assert_allclose(found, expected, rtol=NINE_DIGITS)


@source(f"{RELEASE}, table 7", kind="from memory")
@pytest.mark.parametrize(
    ("pressure", "enthalpy", "temperature"), [(3, 500, 391.798509), (80, 500, 378.108626)]
)
def test_the_release_s_backward_equation_is_as_near_as_it_promises(
    pressure: float, enthalpy: float, temperature: float
) -> None:
    found = liquid_water.liquid_temperature(pressure=pressure * 1e6, enthalpy=enthalpy * 1e3)

    np.testing.assert_allclose(found, temperature, rtol=0.0, atol=0.025)


@source("a second implementation of the IAPWS releases (iapws)", kind="own calculation")
@pytest.mark.parametrize("megapascals", [0.1, 0.3, 1.5])
@pytest.mark.parametrize("temperature", [274.0, 288.15, 330.0, 370.0])
def test_a_second_program_agrees(megapascals: float, temperature: float) -> None:
    other = iapws97.IAPWS97(P=megapascals, T=temperature)

    state = {"pressure": megapascals * 1e6, "temperature": temperature}
    for found, expected in (
        (liquid_water.liquid_density(**state), other.rho),
        (liquid_water.liquid_enthalpy(**state), other.h * 1e3),
        (liquid_water.liquid_entropy(**state), other.s * 1e3),
        (liquid_water.liquid_sound_speed(**state), other.w),
    ):
        np.testing.assert_allclose(found, expected, rtol=1e-10)
