"""Steam that expands without loss of heat or work and turns wet as it does.

In equilibrium the steam is at every pressure a mist on the boiling line. With the Gibbs energy
g = h' - T s' of boiling water, which steam shares, the enthalpy of a mist of entropy s is

    h = g(p) + T(p) s,

so a jet from rest at h0 has V = sqrt(2 (h0 - g - T s)). The flux V/v goes through a maximum:
that is the critical flux, and the pressure there is the one of the throat.

Very short nozzles give steam no time to form drops. It then flows as a gas that is colder than
its boiling point (frozen, supersaturated), which passes some 5 % more and is the upper bound.

Sources: own derivation from the first and second law, with IAPWS R7-97(2012) for the boiling
line. Frozen flow: a gas that expands as p v^1.3, any textbook.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from benchproof.physics.errors import Array, require_within
from benchproof.physics.liquid_water import liquid_entropy
from benchproof.physics.steam import (
    latent_heat,
    saturated_liquid_density,
    saturated_liquid_enthalpy,
    saturated_vapour_density,
    saturation_temperature,
)

WETTEST: Final = 0.80
"""Lowest dryness at rest [-]: below it drops and steam part company and no mist theory holds."""

FROZEN_EXPONENT: Final = 1.3
"""Exponent of steam that stays dry [-] (any textbook of the steam engine)."""

_CRITICAL_RANGE: Final = (0.45, 0.75)
_GOLDEN: Final = 0.5 * (np.sqrt(5.0) - 1.0)
_GOLDEN_STEPS: Final = 25


class Rest(NamedTuple):
    """Steam before it moves: specific enthalpy [J/kg] and entropy [J/(kg K)]."""

    enthalpy: Array
    entropy: Array


class Throat(NamedTuple):
    """The narrowest place: absolute pressure [Pa], velocity [m/s], flux [kg/(s m²)]."""

    pressure: Array
    velocity: Array
    flux: Array


def steam_at_rest(*, pressure: ArrayLike, dryness: ArrayLike = 1.0) -> Rest:
    """Steam in the boiler: Returns (enthalpy [J/kg], entropy [J/(kg K)]), shape broadcast.

    ``pressure`` is absolute [Pa], 700 to 3.0e6; ``dryness`` is the share of the mass that is
    steam [-], 0.8 to 1. Raises OutOfRange.
    """
    dry = require_within("dryness", dryness, low=WETTEST, high=1.0, unit="-")
    boiling = saturation_temperature(pressure=pressure)
    latent = latent_heat(pressure=pressure)
    enthalpy = saturated_liquid_enthalpy(pressure=pressure) + dry * latent
    entropy = liquid_entropy(pressure=pressure, temperature=boiling) + dry * latent / boiling
    return Rest(np.asarray(enthalpy), np.asarray(entropy))


def boiling_gibbs_energy(*, pressure: ArrayLike) -> Array:
    """Specific Gibbs energy that boiling water and its steam share [J/kg].

    ``pressure`` is absolute [Pa], any shape, 700 to 3.0e6. Raises OutOfRange.
    Source: IAPWS R7-97(2012), region 1.
    """
    boiling = saturation_temperature(pressure=pressure)
    entropy = liquid_entropy(pressure=pressure, temperature=boiling)
    gibbs: Array = saturated_liquid_enthalpy(pressure=pressure) - boiling * entropy
    return gibbs


def mist_dryness(*, pressure: ArrayLike, entropy: ArrayLike) -> Array:
    """Share of the mass that is steam in a mist [-].

    ``pressure`` is absolute [Pa], 700 to 3.0e6; ``entropy`` is specific [J/(kg K)]; any shapes
    that broadcast. Above 1 the steam would be superheated, and the mist is none. Raises
    OutOfRange.
    """
    boiling = saturation_temperature(pressure=pressure)
    above = np.asarray(entropy) - liquid_entropy(pressure=pressure, temperature=boiling)
    dryness: Array = above * boiling / latent_heat(pressure=pressure)
    return dryness


def mist_volume(*, pressure: ArrayLike, entropy: ArrayLike) -> Array:
    """Specific volume of a mist, drops moving with the steam [m³/kg].

    ``pressure``, ``entropy``: as in ``mist_dryness``.
    """
    dryness = mist_dryness(pressure=pressure, entropy=entropy)
    steam = 1.0 / saturated_vapour_density(pressure=pressure)
    water = 1.0 / saturated_liquid_density(pressure=pressure)
    volume: Array = water + dryness * (steam - water)
    return volume


def jet_velocity(*, rest: Rest, pressure: ArrayLike) -> Array:
    """Velocity of steam that has expanded to a pressure in equilibrium [m/s], shape broadcast.

    ``rest``: of ``steam_at_rest``. ``pressure`` is absolute [Pa], 700 to 3.0e6, at most that at
    rest (where steam stands still). Raises OutOfRange.
    """
    gibbs = boiling_gibbs_energy(pressure=pressure)
    drop = rest.enthalpy - gibbs - saturation_temperature(pressure=pressure) * rest.entropy
    velocity: Array = np.sqrt(np.maximum(2.0 * drop, 0.0))
    return velocity


def jet_flux(*, rest: Rest, pressure: ArrayLike) -> Array:
    """Mass flow for each area where steam has expanded to a pressure [kg/(s m²)].

    ``rest``, ``pressure``: [Pa], as in ``jet_velocity``. The area needed is its reciprocal: least
    at the throat.
    """
    # As ``jet_velocity`` over ``mist_volume``, with the boiling line read once.
    boiling = saturation_temperature(pressure=pressure)
    standing = liquid_entropy(pressure=pressure, temperature=boiling)
    above = boiling * (rest.entropy - standing)
    drop = rest.enthalpy - saturated_liquid_enthalpy(pressure=pressure) - above
    water = 1.0 / saturated_liquid_density(pressure=pressure)
    growth = 1.0 / saturated_vapour_density(pressure=pressure) - water
    volume = water + above / latent_heat(pressure=pressure) * growth
    flux: Array = np.sqrt(np.maximum(2.0 * drop, 0.0)) / volume
    return flux


def critical_throat(*, pressure: ArrayLike, dryness: ArrayLike = 1.0) -> Throat:
    """Critical flow in equilibrium: Returns (pressure [Pa], velocity [m/s], flux [kg/(s m²)]).

    ``pressure`` at rest is absolute [Pa], 2e3 to 3.0e6; ``dryness`` at rest [-], 0.8 to 1; any
    shapes that broadcast. The flux is the greatest over all throat pressures between 0.45 and
    0.75 of that at rest, by golden section: to rounding, the pressure to 1e-5. Raises OutOfRange.
    """
    absolute = require_within("steam pressure", pressure, low=2e3, high=3.0e6, unit="Pa")
    rest = steam_at_rest(pressure=absolute, dryness=dryness)
    shape = rest.enthalpy.shape
    low, high = (np.broadcast_to(absolute, shape) * share for share in _CRITICAL_RANGE)
    for _ in range(_GOLDEN_STEPS):
        reach = _GOLDEN * (high - low)
        left, right = high - reach, low + reach
        better = jet_flux(rest=rest, pressure=left) > jet_flux(rest=rest, pressure=right)
        low, high = np.where(better, low, left), np.where(better, right, high)
    throat = 0.5 * (low + high)
    velocity = jet_velocity(rest=rest, pressure=throat)
    return Throat(throat, velocity, jet_flux(rest=rest, pressure=throat))


def frozen_critical_flux(*, pressure: ArrayLike) -> Array:
    """Critical flux of dry steam that finds no time to form drops [kg/(s m²)].

    ``pressure`` at rest is absolute [Pa], any shape, 700 to 3.0e6. The upper bound, for very
    short nozzles. Raises OutOfRange. Source: gas of exponent 1.3, any textbook.
    """
    n = FROZEN_EXPONENT
    stretch = np.asarray(pressure) * saturated_vapour_density(pressure=pressure)
    flux: Array = np.sqrt(n * stretch) * (2.0 / (n + 1.0)) ** ((n + 1.0) / (2.0 * (n - 1.0)))
    return flux


def napier_flux(*, pressure: ArrayLike) -> Array:
    """Napier's rule for dry steam into less than 0.58 of its pressure [kg/(s m²)].

    ``pressure`` at rest is absolute [Pa], any shape. W = A p/70 in pounds a second, square inches
    and pounds per square inch.
    Source: V. A. B. Hughes, The Steam Injector, London 1912, pages 24 and 99.
    """
    flux: Array = _POUND / _SQUARE_INCH / 70.0 * np.asarray(pressure) / PSI
    return flux


def grashof_flux(*, pressure: ArrayLike) -> Array:
    """Grashof's rule for dry steam, W = A p^0.97/60 in pounds, inches and seconds [kg/(s m²)].

    ``pressure`` at rest is absolute [Pa], any shape. Source: from memory.
    """
    flux: Array = _POUND / _SQUARE_INCH / 60.0 * (np.asarray(pressure) / PSI) ** 0.97
    return flux


def rateau_flux(*, pressure: ArrayLike) -> Array:
    """Rateau's rule, W = A p (16.367 - 0.96 log10 p)/1000 in pounds and inches [kg/(s m²)].

    ``pressure`` at rest is absolute [Pa], any shape. Source: from memory.
    """
    pounds = np.asarray(pressure) / PSI
    flux: Array = _POUND / _SQUARE_INCH * pounds * (16.367 - 0.96 * np.log10(pounds)) / 1000.0
    return flux


PSI: Final = 6894.757293168361
"""Pound-force per square inch [Pa]."""

_POUND: Final = 0.45359237
_SQUARE_INCH: Final = 0.0254**2
