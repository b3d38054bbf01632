"""Steam through a narrow gap: friction, entry loss, acceleration, turbulence and choking.

The cube law holds for steam only while the gap is narrow and long. From about 15 µm, or on short
laps, the steam's own inertia holds it back, and in the end it chokes. The momentum of a slit of
constant width, at constant R T, integrated from upstream pressure p1 to the exit pressure pe:

    p1² − pe² = RT [ 4 f (L/2h) G² + G² (K + 2 β ln(p1/pe)) ]

with G the mass flux, f = max(24/Re, 0.079 Re^−1/4), Re = 2 h G/µ, β = 6/5 the momentum factor of
a laminar profile and K = 1.5 velocity heads per entry. The exit pressure is the outlet's until
√(β R T) G exceeds that; beyond, the slit is choked and pe = √(β R T) G.

R T stands for p1/ρ1 with the real density upstream, so that steam need not be a perfect gas.
The laminar and turbulent friction meet at Re 2042; taking the greater of the two everywhere keeps
the flux continuous. Sources: own derivation; friction by Blasius, entry loss (one head, 0.67 for
the developing profile, less than 0.5 for the edge) after R. K. Shah and A. L. London, Laminar
Flow Forced Convection in Ducts, 1978 (both from memory).
"""

from __future__ import annotations

from typing import Final

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import (
    Numbers,
    require,
    require_downhill,
    require_not_negative,
    require_positive,
)

MOMENTUM_FACTOR: Final = 1.2
"""Momentum of a parabolic profile over that of a flat one [-]."""

ENTRY_LOSS: Final = 1.5
"""Velocity heads lost at each entry [-]; 1.2 to 2.2 brackets what is known."""

TOUCHING: Final = 0.3e-6
"""Local gaps below this are taken as closed [m]."""

_ATOM = 1e-10
_STATIONS = 24
_MOST_STEPS = 60
_SETTLED = 1e-9


def _share_of_sonic_flux(
    laminar: Array, turbulent: Array, entry: Array, ratio: Array, drop: Array
) -> Array:
    """Solve for y = G √(β R T)/p1, between 0 and 1.

    laminar y or turbulent y^1.75, whichever is more, + y² (entry − 2 ln m) + m² = 1 with
    m = max(y, ratio). ``drop`` is 1 − ratio², formed without rounding. The left side rises with
    y throughout, so Newton's step, taken back to the middle of the bracket where it leaves it,
    cannot miss; four or five steps do, ten for the worst of all slits from 10 nm to 1 mm.
    """
    log_ratio = np.log(ratio)
    guess = 2.0 * drop / (
        laminar + np.sqrt(laminar * laminar + 4.0 * (entry - 2.0 * log_ratio) * drop)
    )  # fmt: skip
    y = np.minimum(guess, 1.0)
    low, high = np.zeros_like(y), np.ones_like(y)
    moving, steps = True, 0
    while moving and steps < _MOST_STEPS:
        choked = y > ratio
        root = np.sqrt(y)
        roughness = turbulent * root * np.sqrt(root)
        rough = roughness > laminar
        log_exit = np.log(np.maximum(y, ratio))
        inertia = entry - 2.0 * log_exit
        below = np.where(choked, 1.0 - y * y, drop)
        excess = y * (np.where(rough, roughness, laminar) + y * inertia) - below
        slope = np.where(rough, 1.75 * roughness, laminar) + 2.0 * y * inertia
        low = np.where(excess < 0.0, y, low)
        high = np.where(excess >= 0.0, y, high)
        following = y - excess / slope
        outside = (following < low) | (following > high)
        following = np.where(outside, 0.5 * (low + high), following)
        moving = bool(np.any(np.abs(following - y) > _SETTLED * y))
        y, steps = following, steps + 1
    return y


def gap_mass_flux(
    *,
    radial_gap: Numbers,
    length: Numbers,
    high_pressure: Numbers,
    low_pressure: Numbers,
    density: Numbers,
    viscosity: Numbers,
    entries: Numbers = 1.0,
) -> Array:
    """Mass flux through a parallel gap [kg/(m² s)], shape of the inputs broadcast.

    radial_gap: between the walls [m], 0 or more. length: along the flow, grooves left out [m].
    high_pressure, low_pressure: absolute [Pa], high ≥ low > 0. density, viscosity: of the gas
    upstream [kg/m³], [Pa s]. entries: how many times the flow enters a land [-].
    Zero for a closed gap and for equal pressures. Raises OutOfRange.
    Source: the module's equation, own derivation.
    """
    require_positive(length=length, low_pressure=low_pressure)
    require_positive(density=density, viscosity=viscosity)
    require_not_negative(radial_gap=radial_gap, entries=entries)
    p1, p2 = np.asarray(high_pressure, dtype=float), np.asarray(low_pressure, dtype=float)
    require_downhill(high_pressure=p1, low_pressure=p2)
    gap = np.asarray(radial_gap, dtype=float)
    closed = gap < _ATOM
    h = np.where(closed, 1.0, gap)
    sonic_flux = np.sqrt(p1 * density / MOMENTUM_FACTOR)
    slender = np.asarray(length) / h
    reynolds = 2.0 * h * sonic_flux / viscosity
    laminar = 48.0 / MOMENTUM_FACTOR * slender / reynolds
    turbulent = 0.158 / MOMENTUM_FACTOR * slender / np.sqrt(np.sqrt(reynolds))
    ratio = p2 / p1
    drop = (p1 - p2) / p1 * (1.0 + ratio)
    entry = np.asarray(ENTRY_LOSS / MOMENTUM_FACTOR * entries)
    share = _share_of_sonic_flux(*np.broadcast_arrays(laminar, turbulent, entry, ratio, drop))
    flux: Array = np.where(closed, 0.0, share * sonic_flux)[()]
    return flux


def is_choked(
    *, mass_flux: Numbers, high_pressure: Numbers, low_pressure: Numbers, density: Numbers
) -> np.bool_ | np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Whether a flux leaves the gap faster than the outlet pressure can hold back.

    mass_flux: through the gap [kg/(m² s)]. high_pressure, low_pressure: absolute [Pa]. density:
    upstream [kg/m³].
    """
    exit_pressure = np.sqrt(MOMENTUM_FACTOR * np.divide(high_pressure, density)) * mass_flux
    return np.greater(exit_pressure, low_pressure)


def reynolds_number(*, mass_flux: Numbers, radial_gap: Numbers, viscosity: Numbers) -> Array:
    """Reynolds number of a gap on its hydraulic diameter, twice the gap [-].

    mass_flux: [kg/(m² s)]. radial_gap: [m]. viscosity: dynamic [Pa s].
    """
    number: Array = 2.0 * np.multiply(radial_gap, mass_flux) / viscosity
    return number


def annulus_mass_flow(
    *,
    diameter: Numbers,
    radial_gap: Numbers,
    length: Numbers,
    high_pressure: Numbers,
    low_pressure: Numbers,
    density: Numbers,
    viscosity: Numbers,
    eccentricity: Numbers = 0.0,
    entries: Numbers = 1.0,
) -> Array:
    """Mass flow through a straight annulus, centred or offset [kg/s], shape broadcast.

    diameter: [m]. radial_gap: mean [m], 0 or more. eccentricity: offset of the axes over the
    mean gap [-], 0 to 1. The rest as in ``gap_mass_flux``. The local flux is summed round the
    circumference, since with inertia no flow factor can be taken out; local gaps below 0.3 µm
    count as closed. Raises OutOfRange.
    """
    require_positive(diameter=diameter)
    e = np.asarray(eccentricity, dtype=float)
    require((e >= 0.0) & (e <= 1.0), quantity="eccentricity", given=e, low=0.0, high=1.0)
    require_not_negative(radial_gap=radial_gap)
    local = local_gaps(radial_gap=radial_gap, eccentricity=e)

    def spread_out(quantity: Numbers) -> Array:
        return np.asarray(quantity, dtype=float)[..., np.newaxis]

    flux = gap_mass_flux(
        radial_gap=local,
        length=spread_out(length),
        high_pressure=spread_out(high_pressure),
        low_pressure=spread_out(low_pressure),
        density=spread_out(density),
        viscosity=spread_out(viscosity),
        entries=spread_out(entries),
    )
    flow: Array = np.pi * np.asarray(diameter) * np.mean(flux * local, axis=-1)
    return flow


def local_gaps(*, radial_gap: Numbers, eccentricity: Numbers) -> Array:
    """Gaps at 24 stations round half an offset annulus [m], last axis; touching ones are 0.

    radial_gap: mean [m]. eccentricity: offset over mean gap [-].
    """
    around = np.cos((np.arange(_STATIONS) + 0.5) * np.pi / _STATIONS)
    mean = np.asarray(radial_gap, dtype=float)[..., np.newaxis]
    local = mean * (1.0 + np.asarray(eccentricity, dtype=float)[..., np.newaxis] * around)
    return np.where(local < TOUCHING, 0.0, local)
