"""How easily a closed cock leaks: flow between two cones from port to port and to both ends.

The gap between a seated plug and its body, unrolled, is a thin sheet as long as the seat and as
wide as the circumference. Fluid enters it from the inlet port, and leaves it at the outlet port
and at both ends. The bore of the closed plug, a quarter turn away, touches the sheet at two more
patches and floats: what enters one leaves by the other. Reynolds' equation for the sheet,

    div(h^n grad u) = 0,

has n = 3 for a liquid (u the pressure) and for the main term of a gas (u half its square), and
n = 2 for the slip term of a gas. The gap h varies along the axis alone: ``openness`` is the
share by which it grows from the port's centre to the open end, 0 for a parallel gap, 1 when the
other end touches. A leak is then shape factor times (gap at the port's centre)^n.

Solved on a grid whose links end where they truly meet the edge of a port; a port is the outline
that a drill leaves on a cylinder. The taper's own change of circumference is left out: for 1:10
and a seat of two diameters it moves the flow to either end by 10 %, and the total hardly.

Source: O. Reynolds' equation of the thin film (1886), from memory; the solution is our own.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require

AROUND: Final = 56
"""Cells round half the circumference; doubling them moves the total by under 0.1 %."""

LARGEST_PORT: Final = 0.7
"""Port over diameter; four ports a quarter turn apart meet at 0.71."""

_NEAREST = 0.02  # of a link, so that a node on the very edge of a port keeps a finite link
_STATIONS = 9
_DEGREE, _EVEN_DEGREE = 5, 3


@dataclass(frozen=True)
class Shapes:
    """Shape factors of the leak [-] as polynomials in ``openness``, lowest power first.

    Total and outlet do not know one end from the other: theirs are in its square.
    """

    total_terms: tuple[float, ...]
    outlet_terms: tuple[float, ...]
    open_end_terms: tuple[float, ...]

    def total(self, openness: Numbers) -> Array:
        """Of all that leaves the inlet [-]."""
        return _horner(self.total_terms, np.square(openness))

    def outlet(self, openness: Numbers) -> Array:
        """Of what reaches the outlet port [-]."""
        return _horner(self.outlet_terms, np.square(openness))

    def open_end(self, openness: Numbers) -> Array:
        """Of what leaves by the end where the gap is wider [-]."""
        return _horner(self.open_end_terms, openness)

    def contact_end(self, openness: Numbers) -> Array:
        """Of what leaves by the end where the cones touch: the rest of the total [-]."""
        return self.total(openness) - self.outlet(openness) - self.open_end(openness)


@lru_cache(maxsize=16)
def leak_shapes(*, slenderness: float, port_ratio: float, exponent: int) -> Shapes:
    """Shape factors of one cock for every openness of its gap from 0 to 1.

    slenderness: length of the seat over its diameter [-], 0.8 to 6, and 1.2 ports at least.
    port_ratio: port over diameter [-], 0.1 to 0.7. exponent: 3 for the flow with the cube of
    the gap, 2 for that with its square [-]. Ports at mid length. Raises OutOfRange.
    Source: the module's equation, own solution.
    """
    openness = 0.5 - 0.5 * np.cos(np.linspace(0.0, np.pi, _STATIONS))
    solved = [
        solve_leak(
            openness=float(each),
            slenderness=slenderness,
            port_ratio=port_ratio,
            exponent=exponent,
        )
        for each in openness
    ]
    outlet, open_end, contact = np.array(solved).T
    total = outlet + open_end + contact
    return Shapes(
        _fitted(openness**2, total, _EVEN_DEGREE),
        _fitted(openness**2, outlet, _EVEN_DEGREE),
        _fitted(openness, open_end, _DEGREE),
    )


def solve_leak(
    *,
    openness: float,
    slenderness: float,
    port_ratio: float,
    exponent: int,
    drilled: bool = True,
    cells: int = AROUND,
) -> tuple[float, float, float]:
    """Shape factors to the outlet port, to the open end and to the contact end [-].

    openness: [-], 0 to 1. slenderness, port_ratio, exponent: as in ``leak_shapes``. drilled: a
    port's outline is what a drill leaves on a cylinder; without it, a circle on the unrolled
    sheet. cells: round half the circumference. Raises OutOfRange.
    """
    require(0.0 <= openness <= 1.0, quantity="openness", given=openness, low=0.0, high=1.0)
    require(
        0.1 <= port_ratio <= LARGEST_PORT,
        quantity="port over diameter",
        given=port_ratio,
        low=0.1,
        high=LARGEST_PORT,
        hint="wider ports leave no land between them",
    )
    shortest = max(0.8, 1.2 * port_ratio)
    require(
        shortest <= slenderness <= 6.0,
        quantity="seat length over diameter",
        given=slenderness,
        low=shortest,
        high=6.0,
    )
    require(exponent in (2, 3), quantity="exponent", given=float(exponent), low=2.0, high=3.0)
    grid = _Grid(openness, slenderness, port_ratio, exponent, drilled, cells)
    return grid.leaks()


def _horner(terms: tuple[float, ...], openness: Numbers) -> Array:
    value: Array = np.multiply(terms[-1], openness)
    value = value + terms[-2]
    for term in terms[-3::-1]:
        value *= openness
        value += term
    return value


def _fitted(place: Array, shape: Array, degree: int) -> tuple[float, ...]:
    fit = np.polynomial.Polynomial.fit(place, shape, degree)
    return tuple(float(term) for term in fit.convert().coef)


class _Grid:
    """Half the unrolled sheet, in diameters, from the inlet's centre to the outlet's."""

    def __init__(
        self,
        openness: float,
        slenderness: float,
        port_ratio: float,
        exponent: int,
        drilled: bool,
        cells: int,
    ) -> None:
        width = 0.5 * np.pi
        self.step = width / cells
        self.rows = max(8, round(slenderness / self.step))
        self.rise = slenderness / self.rows
        self.columns = cells
        self.radius = 0.5 * port_ratio
        self.drilled = drilled
        self.along = np.asarray((np.arange(self.rows) + 0.5) * self.rise - 0.5 * slenderness)
        self.across = np.asarray((np.arange(cells) + 0.5) * self.step)
        self.openness, self.exponent = openness, exponent
        self.half_length = 0.5 * slenderness
        self.centres = (0.0, 0.5 * width, width)  # inlet, plug, outlet
        chord = self._chord(self.across)
        self.inside = chord**2 + self.along[:, None] ** 2 < self.radius**2
        self.port = np.rint(self.across / (0.5 * width)).astype(int)  # nearest port's number

    def conductivity(self, along: Numbers) -> Array:
        """Gap to the exponent, over that at mid length [-], at places along the axis."""
        gap = 1.0 + self.openness * np.asarray(along) / self.half_length
        return np.asarray(np.power(gap, self.exponent))

    def _from_centre(self, across: Array) -> Array:
        nearest = np.rint(across / self.centres[1]) * self.centres[1]
        return np.asarray(np.abs(across - nearest))

    def _chord(self, across: Array) -> Array:
        """Distance from the drill's axis plane, of a place on the sheet."""
        away = self._from_centre(across)
        return np.asarray(0.5 * np.sin(2.0 * away)) if self.drilled else away

    def _unrolled(self, chord: Array) -> Array:
        if not self.drilled:
            return chord
        return np.asarray(0.5 * np.arcsin(np.minimum(2.0 * chord, 1.0)))

    def leaks(self) -> tuple[float, float, float]:
        """Flows to outlet, open end, contact end for a drop of one, of the whole sheet."""
        from scipy.linalg import solveh_banded  # slow to load, and only wanted here

        inside, columns = self.inside, self.columns
        east, north = self._links_across(), self._links_along()
        ends = self.step / (0.5 * self.rise)
        quarter = 0.25 * self.rise
        low = float(self.conductivity(self.along[0] - quarter)) * ends
        high = float(self.conductivity(self.along[-1] + quarter)) * ends
        diagonal = np.zeros(inside.shape)
        diagonal[:, :-1] += east
        diagonal[:, 1:] += east
        diagonal[:-1] += north
        diagonal[1:] += north
        diagonal[0] += low
        diagonal[-1] += high
        # What each node outside a port gets from a port beside it at pressure one.
        fed = np.zeros((3, *inside.shape))
        for port in range(3):
            mine = inside & (self.port == port)
            fed[port, :, :-1] += east * mine[:, 1:]
            fed[port, :, 1:] += east * mine[:, :-1]
            fed[port, :-1] += north * mine[1:]
            fed[port, 1:] += north * mine[:-1]
            fed[port][inside] = 0.0
        banded = np.zeros((columns + 1, inside.size))
        banded[0] = np.where(inside, 1.0, diagonal).ravel()
        open_east = np.zeros(inside.shape)
        open_east[:, :-1] = -east * ~(inside[:, :-1] | inside[:, 1:])
        banded[1] = open_east.ravel()
        open_north = np.zeros(inside.shape)
        open_north[:-1] = -north * ~(inside[:-1] | inside[1:])
        banded[columns] = open_north.ravel()
        solved: Array = solveh_banded(banded, fed[:2].reshape(2, -1).T, lower=True)
        fields = solved.T.reshape(2, *inside.shape)
        # Flow into port p when port f alone is at one; a port's own flow comes out negative.
        into = np.array([[float(np.sum(fed[p] * fields[f])) for p in range(3)] for f in range(2)])
        into[0, 0] -= float(fed[0].sum())
        into[1, 1] -= float(fed[1].sum())
        floating = -into[0, 1] / into[1, 1]
        field = fields[0] + floating * fields[1]
        outlet = into[0, 2] + floating * into[1, 2]
        contact, open_end = low * field[0].sum(), high * field[-1].sum()
        return 2.0 * float(outlet), 2.0 * float(open_end), 2.0 * float(contact)

    def _links_across(self) -> Array:
        """Conductance of the links between neighbours round the plug, shortened at edges."""
        inside = self.inside
        half_width = self._unrolled(np.sqrt(np.maximum(self.radius**2 - self.along**2, 0.0)))[
            :, None
        ]
        away = self._from_centre(self.across)
        outer = np.maximum(away[:-1], away[1:])
        part = np.clip((outer - half_width) / self.step, _NEAREST, 1.0)
        length = np.where(inside[:, :-1] ^ inside[:, 1:], part, 1.0)
        wanted = ~(inside[:, :-1] & inside[:, 1:])
        per_cell = self.conductivity(self.along)[:, None] * self.rise / self.step
        return np.asarray(wanted * per_cell / length)

    def _links_along(self) -> Array:
        """Conductance of the links between neighbours along the axis, shortened at edges."""
        inside = self.inside
        reach = np.sqrt(np.maximum(self.radius**2 - self._chord(self.across) ** 2, 0.0))
        away = np.abs(self.along)[:, None]
        part = np.clip((np.maximum(away[:-1], away[1:]) - reach) / self.rise, _NEAREST, 1.0)
        length = np.where(inside[:-1] ^ inside[1:], part, 1.0)
        wanted = ~(inside[:-1] & inside[1:])
        middle = 0.5 * (self.along[:-1] + self.along[1:])
        per_cell = self.conductivity(middle)[:, None] * self.step / self.rise
        return np.asarray(wanted * per_cell / length)
