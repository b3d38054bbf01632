"""A bearing's film, friction and flow against its clearance, on one uniform grid.

At a given load, speed and oil the clearance enters through one number alone,

    x = c / (R sqrt(µ n / p)),        S = 1 / x²,

and the least film is R sqrt(µ n / p) times a function of x: small when the gap is tight (the film
is at most the gap), largest at one clearance, and falling slowly when the gap is wide. The grid
runs evenly in x / (1 + x), so it holds every clearance.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.journal_bearing import CLOSEST, bearing_state

POINTS: Final = 1025
_ECCENTRICITIES: Final = 300
_LEAST: Final = 1e-4


@lru_cache(maxsize=32)
def film_table(slenderness: float) -> FilmTable:
    """Make the table of bearings of one length over diameter, or hand out the one made before.

    slenderness: length over diameter [-], 0.01 to 4. Raises OutOfRange.
    """
    return FilmTable(slenderness)


class FilmTable:
    """Film, friction and flow of bearings of one ``slenderness`` (length over diameter) [-].

    Its functions take the radial clearance ``gap`` [m] and ``reach`` = R sqrt(µ n / p) [m], both
    above zero and of one shape. A gap so wide that the eccentricity passes 0.998 is given a film
    that falls to nothing.
    """

    def __init__(self, slenderness: float) -> None:
        # Close steps at both ends: nearly centred, and nearly against the wall.
        turn = np.linspace(0.0, np.pi, _ECCENTRICITIES)
        offset = _LEAST + (CLOSEST - _LEAST) * 0.5 * (1.0 - np.cos(turn))
        state = bearing_state(eccentricity=offset, slenderness=slenderness)
        wide = state.sommerfeld**-0.5
        place = np.concatenate(([0.0], wide / (1.0 + wide), [1.0]))
        grid = np.linspace(0.0, 1.0, POINTS)

        def tabulated(values: Array, centred: float, last: float) -> tuple[Array, Array]:
            column = np.interp(grid, place, np.concatenate(([centred], values, [last])))
            return column[:-1].copy(), np.diff(column)

        self._film = tabulated(1.0 - offset, 1.0, 0.0)
        # Friction over that of a centred journal stays near one, where friction itself does not.
        drag = state.friction / (2.0 * np.pi**2 * state.sommerfeld)
        self._drag = tabulated(drag, 1.0, float(drag[-1]))
        self._flow = tabulated(state.side_flow, 0.0, float(state.side_flow[-1]))

    def film(self, gap: Array, reach: Array) -> Array:
        """Least film [m]."""
        film = _read(self._film, gap, reach)
        film *= gap
        return film

    def drag(self, gap: Array, reach: Array) -> Array:
        """Friction over that of a centred journal in the same gap (Petroff's) [-]."""
        return _read(self._drag, gap, reach)

    def side_flow(self, gap: Array, reach: Array) -> Array:
        """Oil that leaves both ends over R c ω L [-]."""
        return _read(self._flow, gap, reach)


def _read(table: tuple[Array, Array], gap: Array, reach: Array) -> Array:
    place = gap + reach
    np.divide(gap, place, out=place)
    place *= POINTS - 1.000001  # a shade less than the last cell, so that no index runs over
    cell = place.astype(np.intp)
    place -= cell
    place *= table[1].take(cell)
    place += table[0].take(cell)
    return place
