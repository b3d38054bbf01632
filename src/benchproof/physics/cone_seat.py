"""A cone pressed into a conical seat by a nut: how wide it touches, how hard, and what seals.

Cones of one angle touch along the whole face, cones that differ along a line, at the wide end
where the nipple is the blunter and at the narrow end where it is the sharper. Near the line the
faces part like a wedge. While both stay elastic the band is that of a tilted flat punch that
touches with one corner; once the softer face yields it is as wide as its indentation pressure
makes it. Either way a small mismatch presses harder than none.

What seals is the true area of contact: with rough metal faces it is the pressure over the
indentation pressure, and the last way through is shut when about 0.42 of the face is in touch
(percolation: Persson and Yang 2008).
"""

from __future__ import annotations

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require

CONSTRAINT = 2.8
"""Indentation pressure over yield of a metal that has no room to flow [-] (D. Tabor, The
Hardness of Metals, 1951, from memory: 2.8 to 3)."""

TOUCHING_TO_SEAL = 0.42
"""Share of a rough face in true contact at which no way through is left [-]: Persson and Yang,
Theory of the leak-rate of seals, J. Phys.: Condens. Matter 20, 2008 (about 0.4)."""


def plane_strain_modulus(
    *, youngs_modulus: tuple[float, float], poisson_ratio: tuple[float, float]
) -> float:
    """Modulus of two bodies pressed together [Pa]: 1/E' is the sum of (1 - nu²)/E.

    youngs_modulus: of both [Pa]. poisson_ratio: of both [-].
    Source: K. L. Johnson, Contact Mechanics, 1985, eq. 4.6 (from memory).
    """
    return 1.0 / sum(
        (1.0 - ratio**2) / modulus
        for modulus, ratio in zip(youngs_modulus, poisson_ratio, strict=True)
    )


def line_force(
    *, axial_force: Numbers, half_angle: float, friction: Numbers, diameter: Numbers
) -> Array:
    """Force on the seat for each length of its circle, square to the cone [N/m], shape broadcast.

    axial_force: pushing the cone in [N]. half_angle: of the cone [rad], above 0, at most a right
    angle. friction: coefficient along the slope, as it is pushed and not turned [-]. diameter:
    where they touch [m], above 0. Raises OutOfRange.
    """
    right = 0.5 * np.pi
    require(0.0 < half_angle <= right, quantity="half angle", given=half_angle, low=0.0, high=right)
    require(np.asarray(diameter) > 0.0, quantity="diameter", given=diameter, low=0.0, unit="m")
    slope = np.sin(half_angle) + np.multiply(friction, np.cos(half_angle))
    force: Array = np.asarray(axial_force) / (np.pi * np.asarray(diameter) * slope)
    return force


def contact_pressure(
    *,
    line_force: Numbers,
    mismatch: Numbers,
    modulus: float,
    yield_strength: Numbers,
    face_width: float,
    least_width: float,
) -> Array:
    """Mean pressure on the band where cone and seat touch [Pa], shape broadcast.

    line_force: [N/m], nothing below zero. mismatch: angle between the two faces, half the
    difference of the included angles, either way [rad]. modulus: of the pair,
    ``plane_strain_modulus`` [Pa]. yield_strength: of the softer [Pa], above 0. face_width: along
    the slope [m]. least_width: a band narrower than this cannot bridge the marks of the tool, and
    the force counts as spread over it [m], above 0, at most the face. Raises OutOfRange.
    Source: own derivation. Elastic: a rigid flat punch tilted by the mismatch and about to lift
    at one edge presses with (pi/4) E' times the mismatch on average, however hard it is pushed
    (Johnson 1985, section 2.8, from memory). Plastic: 2.8 Y. Where the band would outgrow the
    face, the force over the face.
    """
    for name, value in (("yield strength", yield_strength), ("modulus", modulus)):
        require(np.asarray(value) > 0.0, quantity=name, given=value, low=0.0, unit="Pa")
    require(
        0.0 < least_width <= face_width,
        quantity="least width",
        given=least_width,
        low=0.0,
        high=face_width,
        unit="m",
    )
    pressed = np.maximum(line_force, 0.0)
    wedge = np.minimum(
        np.abs(mismatch) * (0.25 * np.pi * modulus), np.multiply(yield_strength, CONSTRAINT)
    )
    pressure: Array = np.minimum(
        np.maximum(pressed * (1.0 / face_width), wedge), pressed * (1.0 / least_width)
    )
    return pressure


def sealing_ratio(*, finish: Numbers = 1.0) -> Array:
    """Contact pressure over yield of the softer at which a rough face seals [-], as its shape.

    finish: factor on the pressure, below 1 for faces whose marks run round and not across [-].
    1.18 for random marks, from true contact 0.42 at an indentation pressure of 2.8 Y; 2.75
    seals whatever the finish (SAE paper 650312, 1965, abstract).
    """
    ratio: Array = np.multiply(CONSTRAINT * TOUCHING_TO_SEAL, finish)
    return ratio


def seat_leak(
    *,
    seal_margin: Numbers,
    open_gap: float,
    width: Numbers,
    diameter: Numbers,
    pressure: Numbers,
    viscosity: float,
    sealed_flow: float,
) -> Array:
    """Liquid past a seat [m³/s], shape broadcast.

    seal_margin: contact pressure over that which seals [-], 0 or more. open_gap: between faces
    that only just touch [m]. width, diameter: of the band [m], above 0. pressure: that drives it
    [Pa]. viscosity: [Pa s]. sealed_flow: what is called sealed, at a margin of 1 [m³/s].
    Between the two the flow falls by equal factors for equal steps of the margin: leakage falls
    about exponentially with pressure (Persson and Yang 2008). Raises OutOfRange.
    """
    require(np.asarray(width) > 0.0, quantity="width", given=width, low=0.0, unit="m")
    require(sealed_flow > 0.0, quantity="sealed flow", given=sealed_flow, low=0.0, unit="m³/s")
    slit = np.pi * open_gap**3 / (12.0 * viscosity)
    touching = np.maximum(slit * np.multiply(diameter, pressure) / width, sealed_flow)
    flow: Array = touching * np.power(sealed_flow / touching, np.maximum(seal_margin, 0.0))
    return flow
