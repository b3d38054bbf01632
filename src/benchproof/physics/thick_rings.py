"""A ring shrunk on a wheel: pressure, stresses, growth, slip, and what heat does to the grip.

Two thick rings of unlike metals (Lamé): elastic, plane stress, equal widths, pressure alike all
round and across. The inner one may be held from within (see :mod:`benchproof.physics.rims`). The
interference is shared between the two by stiffness; a thin tyre takes nearly all of it.

A tyre is a thin ring, so at its bore the hoop stress is several times the pressure. The exact
criterion for plane stress is von Mises of hoop and pressure. The form often printed for hubs,
p ≤ (1 - Q²) Re/√3 with Q = seat/outside, is the limit for Q = 0 and allows a thin tyre up to 15 %
more than von Mises does.

Sources: R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 8th ed., eq.
3-50, 3-51 and 3-56; the printed form: DIN 7190-1:2017 (from memory).
"""

from __future__ import annotations

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require


def tyre_give(*, seat: Numbers, outside: Numbers, modulus: Numbers, poisson: Numbers) -> Array:
    """How much the bore of a ring opens for each pascal within it, over its diameter [1/Pa].

    seat: diameter of the bore [m], above 0. outside: [m], larger. modulus: Young's [Pa]. poisson:
    [-], 0 to 0.5. Shape broadcast. Raises OutOfRange. Source: Shigley 8th ed., eq. 3-56.
    """
    _check_ring(seat=seat, outside=outside)
    _check_metal(modulus=modulus, poisson=poisson)
    return np.asarray((_hoop(seat, outside) + poisson) / modulus)


def contact_pressure(
    *, interference: Numbers, seat: Numbers, outer_give: Numbers, inner_give: Numbers
) -> Array:
    """Pressure between the two [Pa]; 0 where there is no interference.

    interference: what is left of it on diameter [m]. seat: diameter [m], above 0. outer_give,
    inner_give: of tyre and rim [1/Pa], above 0 together. Shape broadcast. Raises OutOfRange.
    """
    _require_above(seat, "seat")
    both = np.add(outer_give, inner_give)
    require(both > 0.0, quantity="give", given=both, low=0.0, unit="1/Pa")
    return np.asarray(np.maximum(interference, 0.0) / (np.asarray(seat) * both))


def tyre_hoop(*, pressure: Numbers, seat: Numbers, outside: Numbers) -> Array:
    """Hoop stress at the bore of the ring [Pa], pulled; the largest there is.

    pressure: within it [Pa]. seat, outside: diameters [m], the second larger. Shape broadcast.
    Raises OutOfRange. Source: Shigley 8th ed., eq. 3-50.
    """
    _check_ring(seat=seat, outside=outside)
    return np.asarray(pressure * _hoop(seat, outside))


def tyre_von_mises(*, pressure: Numbers, seat: Numbers, outside: Numbers) -> Array:
    """Von Mises stress at the bore of the ring in plane stress [Pa]; it yields at its yield stress.

    pressure: within it [Pa]. seat, outside: diameters [m], the second larger. Shape broadcast.
    Raises OutOfRange. Own derivation from hoop and radial stress: p √(3 + Q⁴)/(1 - Q²) with
    Q = seat/outside.
    """
    _check_ring(seat=seat, outside=outside)
    squared = np.square(np.divide(seat, outside))
    return np.asarray(pressure * np.sqrt(3.0 + squared**2) / (1.0 - squared))


def growth_of_outside(
    *, pressure: Numbers, seat: Numbers, outside: Numbers, modulus: Numbers
) -> Array:
    """How much the outside of the ring grows on diameter [m].

    pressure: within it [Pa]. seat, outside: diameters [m], the second larger. modulus: Young's
    [Pa], above 0. Shape broadcast. Raises OutOfRange. Own derivation: hoop strain at the outside.
    """
    _check_ring(seat=seat, outside=outside)
    _require_above(modulus, "modulus", "Pa")
    strain = pressure * (_hoop(seat, outside) - 1.0) / modulus
    return np.asarray(strain * outside)


def slip_torque(*, pressure: Numbers, seat: Numbers, width: Numbers, friction: Numbers) -> Array:
    """Torque that turns the ring on its seat [N m].

    pressure: [Pa], 0 or more. seat: diameter [m]. width: of the contact [m]. friction: coefficient
    [-], 0 or more. Shape broadcast. Raises OutOfRange.
    """
    _require_above(seat, "seat")
    _require_above(width, "width")
    for name, value in (("pressure", pressure), ("friction", friction)):
        require(np.asarray(value) >= 0.0, quantity=name, given=value, low=0.0)
    return np.asarray(0.5 * np.pi * np.square(seat) * width * pressure * friction)


def interference_lost(
    *,
    seat: Numbers,
    outer_expansion: Numbers,
    outer_rise: Numbers,
    inner_expansion: Numbers,
    inner_rise: Numbers,
) -> Array:
    """Interference that warming takes off [m]; below 0 it is gained.

    seat: diameter [m], above 0. outer_expansion, inner_expansion: linear, of tyre and wheel [1/K].
    outer_rise, inner_rise: of each over the temperature its size is stated at [K]. Shape
    broadcast. Raises OutOfRange.
    """
    _require_above(seat, "seat")
    grown = np.multiply(outer_expansion, outer_rise) - np.multiply(inner_expansion, inner_rise)
    return np.asarray(seat * grown)


def rise_to_open(*, opening: Numbers, seat: Numbers, outer_expansion: Numbers) -> Array:
    """How much hotter than its wheel a ring must be for its bore to open [K].

    opening: on diameter [m]; the interference alone gives the difference at which the grip is
    lost, with a clearance added the difference to drop it on. seat: diameter [m], above 0.
    outer_expansion: linear [1/K], above 0. Shape broadcast. Raises OutOfRange.
    """
    _require_above(seat, "seat")
    _require_above(outer_expansion, "expansion", "1/K")
    return np.asarray(opening / np.multiply(outer_expansion, seat))


def _hoop(seat: Numbers, outside: Numbers) -> Array:
    """Hoop stress at the bore over the pressure."""
    outer, inner = np.square(outside), np.square(seat)
    return np.asarray((outer + inner) / (outer - inner))


def _check_ring(*, seat: Numbers, outside: Numbers) -> None:
    _require_above(seat, "seat")
    require(
        np.isfinite(outside) & (np.asarray(outside) > seat),
        quantity="outside",
        given=outside,
        low=seat,
        unit="m",
        hint="a ring is larger outside than in its bore",
    )


def _check_metal(*, modulus: Numbers, poisson: Numbers) -> None:
    _require_above(modulus, "modulus", "Pa")
    inside = (np.asarray(poisson) >= 0.0) & (np.asarray(poisson) <= 0.5)
    require(inside, quantity="poisson ratio", given=poisson, low=0.0, high=0.5)


def _require_above(value: Numbers, quantity: str, unit: str = "m") -> None:
    positive = np.isfinite(value) & (np.asarray(value) > 0.0)
    require(positive, quantity=quantity, given=value, low=0.0, unit=unit)
