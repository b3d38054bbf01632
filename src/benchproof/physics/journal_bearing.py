"""A plain bearing full of oil: how far the journal moves aside, and what film is left.

The turning journal drags oil into the narrowing half of the gap and floats on the pressure. With
the gap h = c (1 + e cos θ), Reynolds' equation for pressure p round the circumference θ and along
the length z is

    d/dθ (h³ dp/dθ) + R² d/dz (h³ dp/dz) = 6 µ ω R² dh/dθ.

Oil bears no tension, so the opening half of the gap carries nothing (half-Sommerfeld or Gümbel
condition). What is left is a linear problem on the closing half with no pressure at any of its
four edges; written as a cosine series along the length each term is an ordinary equation round
the circumference. The series holds for every length. Its two ends are known in closed form: the
short bearing of Ocvirk and the long one of Sommerfeld.

Ocvirk's alone is not enough here: at a length of one diameter and an eccentricity of 0.9 it claims
nearly seven times the load that the whole equation gives.

Sources: B. J. Hamrock, Fundamentals of Fluid Film Lubrication, 1994, chapters 10 to 12 (from
memory); G. B. DuBois and F. W. Ocvirk, NACA report 1157, 1953 (from memory); the series is our
own working.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from benchproof.physics.errors import Array, require_within
from benchproof.physics.ranges import Numbers, require

MODES: Final = 8
STATIONS: Final = 161
LEAST_SLENDERNESS, MOST_SLENDERNESS = 0.01, 4.0
CLOSEST: Final = 0.998
"""Largest eccentricity worked out [-]: beyond it roughness, not oil, decides."""


@dataclass(frozen=True)
class BearingState:
    """What a bearing does at each eccentricity given; arrays of its shape, without dimension.

    ``sommerfeld`` S = (R/c)² µ n / p; ``friction`` is the coefficient of friction times R/c;
    ``side_flow`` is the oil that leaves both ends over R c ω L; ``attitude`` [rad] is the angle
    from the load to the narrowest place.
    """

    sommerfeld: Array
    friction: Array
    side_flow: Array
    attitude: Array


def sommerfeld_number(
    *,
    diameter: Numbers,
    length: Numbers,
    radial_gap: Numbers,
    viscosity: Numbers,
    revolutions_per_second: Numbers,
    load: Numbers,
) -> Array:
    """Sommerfeld number S = (R/c)² µ n / p with p = load / (length diameter) [-].

    diameter, length, radial_gap: [m]. viscosity: [Pa s]. revolutions_per_second: [1/s]. load:
    [N]. All above zero, shape broadcast. Raises OutOfRange.
    """
    given = {
        "diameter": (diameter, "m"),
        "length": (length, "m"),
        "radial gap": (radial_gap, "m"),
        "viscosity": (viscosity, "Pa s"),
        "revolutions per second": (revolutions_per_second, "1/s"),
        "load": (load, "N"),
    }
    for name, (value, unit) in given.items():
        require(np.asarray(value) > 0.0, quantity=name, given=value, low=0.0, unit=unit)
    pressure = np.divide(load, np.multiply(length, diameter))
    slim = np.divide(0.5 * np.asarray(diameter), radial_gap)
    number: Array = slim**2 * np.multiply(viscosity, revolutions_per_second) / pressure
    return number


def ocvirk_sommerfeld(*, eccentricity: Numbers, slenderness: Numbers) -> Array:
    """Sommerfeld number at which a short bearing runs at an eccentricity [-], shape broadcast.

    eccentricity: offset over radial clearance [-], above 0 and below 1. slenderness: length over
    diameter [-], above 0; the closed form is exact as it goes to nothing and claims too much load
    when it does not. Raises OutOfRange. Source: G. B. DuBois and F. W. Ocvirk, NACA report 1157,
    1953 (from memory).
    """
    offset = _eccentricity(eccentricity)
    require(
        np.asarray(slenderness) > 0.0, quantity="slenderness", given=slenderness, low=0.0, unit="-"
    )
    square = offset**2
    root = np.sqrt(np.pi**2 * (1.0 - square) + 16.0 * square)
    number: Array = (1.0 - square) ** 2 / (np.pi * offset * root * np.square(slenderness))
    return number


def bearing_state(*, eccentricity: Numbers, slenderness: float) -> BearingState:
    """What a full bearing of any length does at each eccentricity.

    eccentricity: offset over radial clearance [-], 1e-4 to 0.998, one row. slenderness: length
    over diameter [-], 0.01 to 4. Raises OutOfRange. The opening half of the gap is taken as full
    of oil for friction, and as bearing no load.
    """
    offset = np.atleast_1d(_eccentricity(eccentricity))[:, None]
    require_within(
        "slenderness", slenderness, low=LEAST_SLENDERNESS, high=MOST_SLENDERNESS, unit="-"
    )
    # Sommerfeld's angle crowds the stations where the gap is narrow.
    angle = np.linspace(0.0, np.pi, STATIONS)
    step = angle[1]
    shrunk = 1.0 - offset * np.cos(angle)
    gap = (1.0 - offset**2) / shrunk
    stretch = np.sqrt(1.0 - offset**2) / shrunk
    cosine = (np.cos(angle) - offset) / shrunk
    sine = np.sqrt(1.0 - offset**2) * np.sin(angle) / shrunk
    middle = 1.0 - offset * np.cos(0.5 * (angle[1:] + angle[:-1]))
    link = ((1.0 - offset**2) / middle) ** 3 * middle / np.sqrt(1.0 - offset**2) / step**2
    along, across, out = (np.zeros(offset.shape[0]) for _ in range(3))
    rest = 1.0
    for order in range(1, MODES + 1):
        wave = (order - 0.5) * np.pi
        share = np.sin(wave) / wave
        drain = (wave / slenderness) ** 2 * gap**3 * stretch
        source = -2.0 * share * offset * sine * stretch
        pressure = _across_the_film(link, drain[:, 1:-1], source[:, 1:-1])
        inner = pressure * stretch[:, 1:-1] * step
        along += share * np.sum(inner * cosine[:, 1:-1], axis=1)
        across += share * np.sum(inner * sine[:, 1:-1], axis=1)
        out += np.sin(wave) * wave * np.sum(inner * gap[:, 1:-1] ** 3, axis=1)
        rest -= 2.0 / wave**2
    offset = offset[:, 0]
    borne = np.hypot(along, across)
    number = 1.0 / (6.0 * np.pi * borne)
    dragged = 2.0 * np.pi**2 * number / np.sqrt(1.0 - offset**2)
    return BearingState(
        sommerfeld=number,
        friction=dragged + 0.5 * offset * across / borne,
        # The terms left out flow straight to the ends, as in a short bearing.
        side_flow=out / (2.0 * slenderness**2) + rest * offset,
        attitude=np.arctan2(across, -along),
    )


def _across_the_film(link: Array, drain: Array, source: Array) -> Array:
    """Solve one term round the circumference: tridiagonal, for every eccentricity at once."""
    before, after = link[:, :-1], link[:, 1:]
    diagonal = -(before + after) - drain
    count = diagonal.shape[1]
    ratio, right = np.empty_like(diagonal), np.empty_like(diagonal)
    ratio[:, 0] = after[:, 0] / diagonal[:, 0]
    right[:, 0] = source[:, 0] / diagonal[:, 0]
    for place in range(1, count):
        pivot = diagonal[:, place] - before[:, place] * ratio[:, place - 1]
        ratio[:, place] = after[:, place] / pivot
        right[:, place] = (source[:, place] - before[:, place] * right[:, place - 1]) / pivot
    for place in range(count - 2, -1, -1):
        right[:, place] -= ratio[:, place] * right[:, place + 1]
    return right


def _eccentricity(given: Numbers) -> Array:
    return require_within(
        "eccentricity",
        given,
        low=1e-4,
        high=CLOSEST,
        unit="-",
        hint="a centred journal bears nothing, and one against the wall has no film",
    )
