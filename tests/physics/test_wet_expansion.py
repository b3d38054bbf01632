from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.physics import steam
from benchproof.physics import wet_expansion as wet
from benchproof.physics.errors import OutOfRange

boilers = st.floats(1.2e5, 2.0e6)
drynesses = st.floats(wet.WETTEST, 1.0)


@settings(max_examples=25)
@given(pressure=boilers, dryness=drynesses)
def test_steam_at_rest_holds_the_heat_of_its_two_phases(pressure: float, dryness: float) -> None:
    rest = wet.steam_at_rest(pressure=pressure, dryness=dryness)

    water = steam.saturated_liquid_enthalpy(pressure=pressure)
    dry = steam.saturated_vapour_enthalpy(pressure=pressure)
    np.testing.assert_allclose(rest.enthalpy, (1 - dryness) * water + dryness * dry, rtol=1e-12)
    found = wet.mist_dryness(pressure=pressure, entropy=rest.entropy)
    np.testing.assert_allclose(found, dryness, rtol=1e-12)


@settings(max_examples=25)
@given(pressure=boilers, dryness=drynesses, fall=st.floats(0.02, 0.98))
def test_a_jet_keeps_the_energy_it_had(pressure: float, dryness: float, fall: float) -> None:
    rest = wet.steam_at_rest(pressure=pressure, dryness=dryness)
    end = fall * pressure

    velocity = wet.jet_velocity(rest=rest, pressure=end)
    share = wet.mist_dryness(pressure=end, entropy=rest.entropy)
    heat = steam.saturated_liquid_enthalpy(pressure=end) + share * steam.latent_heat(pressure=end)
    np.testing.assert_allclose(heat + 0.5 * velocity**2, rest.enthalpy, rtol=1e-10)


@settings(max_examples=25)
@given(pressure=boilers, dryness=drynesses, fall=st.floats(0.05, 0.9))
def test_a_jet_gains_momentum_by_the_pressure_it_loses(
    pressure: float, dryness: float, fall: float
) -> None:
    rest = wet.steam_at_rest(pressure=pressure, dryness=dryness)
    end, step = fall * pressure, 1e-3 * fall * pressure

    faster, slower = (wet.jet_velocity(rest=rest, pressure=end + d) for d in (-step, step))
    volume = wet.mist_volume(pressure=end, entropy=rest.entropy)
    # V dV = -v dp, which holds along an expansion without loss and nowhere else.
    gained = 0.5 * (faster + slower) * (faster - slower)
    np.testing.assert_allclose(gained, 2.0 * step * volume, rtol=2e-4)


@settings(max_examples=25)
@given(pressure=boilers, dryness=drynesses)
def test_no_other_pressure_passes_more(pressure: float, dryness: float) -> None:
    throat = wet.critical_throat(pressure=pressure, dryness=dryness)
    rest = wet.steam_at_rest(pressure=pressure, dryness=dryness)

    elsewhere = np.linspace(0.45, 0.75, 61) * pressure
    flux = wet.jet_flux(rest=rest, pressure=elsewhere)
    assert (flux <= throat.flux * (1.0 + 1e-9)).all()
    volume = wet.mist_volume(pressure=throat.pressure, entropy=rest.entropy)
    np.testing.assert_allclose(throat.flux, throat.velocity / volume, rtol=1e-10)


@settings(max_examples=25)
@given(pressure=boilers)
def test_frozen_flow_is_the_upper_bound(pressure: float) -> None:
    frozen = wet.frozen_critical_flux(pressure=pressure)
    equilibrium = wet.critical_throat(pressure=pressure).flux

    assert 1.04 < frozen / equilibrium < 1.06


def test_boiling_water_and_its_steam_have_one_gibbs_energy() -> None:
    pressure = np.array([1e4, 1e5, 1e6])
    rest = wet.steam_at_rest(pressure=pressure)

    gibbs = rest.enthalpy - steam.saturation_temperature(pressure=pressure) * rest.entropy
    np.testing.assert_allclose(wet.boiling_gibbs_energy(pressure=pressure), gibbs, atol=1e-6)


def test_steam_that_has_not_expanded_stands_still() -> None:
    rest = wet.steam_at_rest(pressure=5e5)

    np.testing.assert_allclose(wet.jet_velocity(rest=rest, pressure=5e5), 0.0, atol=0.01)


@pytest.mark.parametrize("dryness", [0.79, 1.01, np.nan])
def test_steam_too_wet_or_more_than_dry_is_refused(dryness: float) -> None:
    with pytest.raises(OutOfRange, match="dryness"):
        wet.steam_at_rest(pressure=5e5, dryness=dryness)


@pytest.mark.parametrize("pressure", [1e3, 4e6, np.nan])
def test_pressures_outside_are_refused(pressure: float) -> None:
    with pytest.raises(OutOfRange, match="steam pressure"):
        wet.critical_throat(pressure=pressure)
