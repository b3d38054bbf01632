"""How a piston lies in its bore, and what that does to the leakage.

Leakage goes with the cube of the local gap, so where the gap is matters as much as how much of
it there is. A straight piston lying on one wall leaks 2.5 times as much as one in the middle; a
cocked one, touching at opposite corners, less than half. The flow factor is the ratio to the
concentric parallel gap of the same mean.

Gaps are divided by their mean. With u(θ) the unit vector round the circumference,
``a = 1 − k + e1·u`` at end one and ``b = 1 + k + e2·u`` at end two: k is the taper, e1 and e2
are the offsets of the bore's centre from the piston's at the two ends. The factor lies between
two limits: no flow across the axis (short lands; a lower bound) and pressure evened out round
the circumference (long lands; an upper bound). The blend of the two is exact for small offsets.

Own derivation from the Reynolds equation. The parallel offset and its 2.5: H. E. Merritt,
Hydraulic Control Systems, 1967, section 3-2 (from memory).
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require, require_positive

Vector: TypeAlias = tuple[Numbers, Numbers]

STEEPEST_TAPER = 0.8
"""Beyond this the quadrature of the long-land limit is no longer good to 1e-4."""

ROUNDING = 1e-9
"""How far past touching an offset may be, from rounding alone."""

# Gauss-Legendre points of the long-land limit, moved to 0..1 along the land.
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(12)
_STATIONS = 0.5 * (_POINTS + 1.0)
_SHARES = 0.5 * _WEIGHTS


def offset_flow_factor(offset: Numbers) -> Array:
    """Flow factor of a parallel gap whose axis is offset [-].

    offset: of the axes over the mean radial gap [-], 0 centred to 1 touching. Raises OutOfRange.
    Source: H. E. Merritt, Hydraulic Control Systems, 1967, section 3-2 (from memory).
    """
    e = np.asarray(offset, dtype=float)
    require((e >= 0.0) & (e <= 1.0 + ROUNDING), quantity="offset", given=e, low=0.0, high=1.0)
    factor: Array = 1.0 + 1.5 * e * e
    return factor


def offset_for_flow_factor(flow_factor: Numbers) -> Array:
    """Offset over mean gap [-] at which a parallel gap has this flow factor [-], 1 to 2.5.

    Raises OutOfRange: below 1 the piston is cocked, and no parallel offset explains it.
    """
    factor = np.asarray(flow_factor, dtype=float)
    holds = (factor >= 1.0) & (factor <= 2.5 * (1.0 + ROUNDING))
    require(holds, quantity="flow factor", given=factor, low=1.0, high=2.5)
    offset: Array = np.sqrt((factor - 1.0) / 1.5)
    return offset


def blend(slenderness: Numbers) -> Array:
    """Weight of the long-land limit in the flow factor [-], 0 to 1.

    slenderness: land length over diameter [-], above 0. Raises OutOfRange. Exact for small
    offsets (first-order perturbation of the Reynolds equation).
    """
    require_positive(slenderness=slenderness)
    lam = np.asarray(slenderness, dtype=float)
    # Below 0.05 the difference of nearly equal numbers is replaced by its series.
    series = 0.4 * lam**2 * (1.0 - lam**2 * (17.0 / 42.0 - lam**2 * 31.0 / 189.0))
    held = np.maximum(lam, 0.05)
    closed = 1.0 - 3.0 / held**2 * (1.0 - np.tanh(held) / held)
    weight: Array = np.where(lam < 0.05, series, closed)[()]
    return weight


def _check(taper: Numbers, offset_one: Array, offset_two: Array) -> None:
    """Refuse a taper too steep and ends that would cut into the wall."""
    k = np.asarray(taper, dtype=float)
    holds = np.abs(k) <= STEEPEST_TAPER
    require(holds, quantity="taper", given=k, low=-STEEPEST_TAPER, high=STEEPEST_TAPER)
    for end, offset, gap in (("one", offset_one, 1.0 - k), ("two", offset_two, 1.0 + k)):
        require(
            offset <= gap + ROUNDING,
            quantity=f"offset at end {end}",
            given=offset,
            low=0.0,
            high=gap,
            hint="more would cut into the wall",
        )


def short_land_flow_factor(*, end_one: Vector, end_two: Vector, taper: Numbers) -> Array:
    """Flow factor without any flow across the axis [-]: mean over θ of 2a²b²/(a+b).

    end_one, end_two: offset vectors over the mean gap [-]. taper: k [-], above 0 when wider at
    end two. Exact for a land much shorter than its diameter, a lower bound for any.
    Raises OutOfRange where a gap would be below zero.
    """
    (x1, y1), (x2, y2) = end_one, end_two
    x1, y1, x2, y2 = (np.asarray(part, dtype=float) for part in (x1, y1, x2, y2))
    k = np.asarray(taper, dtype=float)
    _check(k, np.hypot(x1, y1), np.hypot(x2, y2))
    # With s = (a+b)/2 = 1 + m·u and d = (b-a)/2 = k + n·u the integrand is s³ - 2sd² + d⁴/s.
    mx, my, nx, ny = 0.5 * (x1 + x2), 0.5 * (y1 + y2), 0.5 * (x2 - x1), 0.5 * (y2 - y1)
    mm = mx * mx + my * my
    nn = nx * nx + ny * ny
    mn = mx * nx + my * ny
    polynomial = 1.0 + 1.5 * mm - 2.0 * (k * k + 0.5 * nn + k * mn)
    # 1/s has the Fourier series (1 + 2 Σ (-q)^j cos jθ)/root about the direction of m.
    m = np.sqrt(mm)
    root = np.sqrt(np.maximum(1.0 - mm, 1e-12))
    q = -m / (1.0 + root)
    # Parts of n along m and across it; where m vanishes any direction will do.
    some = m > 0.0
    held = np.where(some, m, 1.0)
    along = np.where(some, mn / held, np.sqrt(nn))
    across2 = np.maximum(nn - along * along, 0.0)
    p, t, k2, p2 = along, across2, k * k, along * along
    mean = k2 * k2 + 3.0 * k2 * (p2 + t) + 0.375 * (p2 + t) ** 2
    once = k * p * (2.0 * k2 + 1.5 * (p2 + t))
    twice = 1.5 * k2 * (p2 - t) + 0.25 * (p2 + t) * (p2 - t)
    thrice = 0.5 * k * p * (p2 - 3.0 * t)
    fourth = 0.0625 * (p2 * p2 - 6.0 * p2 * t + t * t)
    rest = (mean + 2.0 * q * (once + q * (twice + q * (thrice + q * fourth)))) / root
    factor: Array = np.maximum(polynomial + rest, 0.0)[()]
    return factor


def long_land_flow_factor(*, end_one: Vector, end_two: Vector, taper: Numbers) -> Array:
    """Flow factor with the pressure even round the circumference [-].

    Arguments as in ``short_land_flow_factor``. The resistances 1/(M³ + 1.5 M E²) of the
    stations along the land add up. An upper bound. Raises OutOfRange.
    """
    (x1, y1), (x2, y2) = end_one, end_two
    x1, y1, x2, y2 = (np.asarray(part, dtype=float) for part in (x1, y1, x2, y2))
    k = np.asarray(taper, dtype=float)
    _check(k, np.hypot(x1, y1), np.hypot(x2, y2))
    # E² is a parabola along the land: three coefficients serve every station.
    fx, fy = x2 - x1, y2 - y1
    constant = 1.5 * (x1 * x1 + y1 * y1)
    linear = 3.0 * (x1 * fx + y1 * fy)
    square = 1.5 * (fx * fx + fy * fy)
    resistance: Array = np.zeros(())
    for z, share in zip(_STATIONS, _SHARES, strict=True):
        mean = 1.0 + (2.0 * z - 1.0) * k
        station = mean * (mean * mean + constant + z * (linear + z * square))
        resistance = resistance + share / station
    factor: Array = 1.0 / resistance
    return factor


def posture_flow_factor(
    *, end_one: Vector, end_two: Vector, taper: Numbers, slenderness: Numbers
) -> Array:
    """Flow factor of any posture in a straight or tapered gap [-], shape broadcast.

    end_one, end_two: offset vectors (x, y) at the ends over the mean gap [-], of length at most
    1 − taper and 1 + taper. taper: half the change of the radial gap from end to end over its
    mean [-], above 0 when wider at end two, within ±0.8. slenderness: land length over diameter
    [-]. Within 2.5 % of the Reynolds equation for slenderness 0.3 to 1.5 and taper within ±0.25.
    Raises OutOfRange. Own derivation.
    """
    weight = blend(slenderness)
    short = short_land_flow_factor(end_one=end_one, end_two=end_two, taper=taper)
    long = long_land_flow_factor(end_one=end_one, end_two=end_two, taper=taper)
    factor: Array = short + weight * (long - short)
    return factor


def parallel_offset_tapered_flow_factor(
    *, offset: Numbers, taper: Numbers, slenderness: Numbers
) -> Array:
    """Flow factor of a tapered gap offset alike at both ends [-], shape broadcast.

    offset: of the axes over the mean gap [-], 0 to 1 − |taper|. taper: as in
    ``posture_flow_factor``. slenderness: land length over diameter [-]. Closed form: about ten
    array operations. Raises OutOfRange. Own derivation.
    """
    e = np.asarray(offset, dtype=float)
    k = np.asarray(taper, dtype=float)
    require(e >= 0.0, quantity="offset", given=e, low=0.0)
    weight = blend(slenderness)
    _check(k, e, e)
    e2, k2 = e * e, k * k
    short = 1.0 + 1.5 * e2 - 2.0 * k2 + k2 * k2 / np.sqrt(np.maximum(1.0 - e2, 1e-300))
    # ∫dz/(M³ + 1.5 M e²) = start · ln(1 + y)/y with y = 6 k e² start.
    start = 1.0 / ((1.0 - k) ** 2 * ((1.0 + k) ** 2 + 1.5 * e2))
    y = 6.0 * k * e2 * start
    straight = np.abs(y) < 1e-9
    held = np.where(straight, 1.0, y)
    long = np.where(straight, 1.0 + 0.5 * y, held / np.log1p(held)) / start
    factor: Array = (short + weight * (long - short))[()]
    return factor


def lock_force(
    *,
    diameter: Numbers,
    length: Numbers,
    pressure_difference: Numbers,
    taper: Numbers,
    offset: Numbers,
) -> Array:
    """Side force on a piston in a tapered gap [N], shape broadcast.

    diameter, length: of the land [m]. pressure_difference: high less low [Pa], 0 or more. taper:
    half the change of radial gap over its mean [-], above 0 when the gap is NARROW at the
    high-pressure end. offset: of the axes over the mean gap [-], 0 to 1 − |taper|.
    Above 0 it presses the piston on the near wall (it locks), below 0 it centres it.
    Flow across the axis is left out, which overstates it for long lands. Raises OutOfRange.
    Own derivation: the mean pressure in a linear gap is low + difference · a/(a+b), a at the
    high-pressure end. Its largest value 0.27 L D Δp: J. F. Blackburn, Fluid Power Control, 1960,
    and H. E. Merritt, Hydraulic Control Systems, 1967 (both from memory).
    """
    require_positive(diameter=diameter, length=length)
    e = np.asarray(offset, dtype=float)
    k = np.asarray(taper, dtype=float)
    require(e >= 0.0, quantity="offset", given=e, low=0.0)
    _check(k, e, e)
    area = np.multiply(diameter, length)
    root = np.sqrt(np.maximum(1.0 - e * e, 1e-300))
    # (1/root - 1)/e written so that it vanishes smoothly with the offset.
    lean = e / (root * (1.0 + root))
    force: Array = 0.5 * np.pi * area * pressure_difference * k * lean
    return force
