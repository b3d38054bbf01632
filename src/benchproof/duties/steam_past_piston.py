"""Steam past a piston over a stroke, tabulated once for clearance and posture.

The cube root of the share is nearly a straight line in the clearance, so a uniform grid and
linear interpolation of it serve every sample in a handful of array operations.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.physics import steam
from benchproof.physics.cylinder_cycle import steam_use, stroke_mean_leak
from benchproof.physics.posture import offset_for_flow_factor

Array: TypeAlias = NDArray[np.float64]

CLEARANCES = 241
POSTURES = 43
LEAST_POSTURE, MOST_POSTURE = 0.4, 2.5
_LAST_ROW = CLEARANCES - 1.000001
_LAST_COLUMN = POSTURES - 1.000001


@lru_cache(maxsize=32)
def steam_past_piston(**conditions: float) -> SteamPastPiston:
    """Make the table of :class:`SteamPastPiston`, or hand out the one already made."""
    return SteamPastPiston(**conditions)


class SteamPastPiston:
    """Share of the steam used that passes the piston, by hot flow clearance and posture.

    Sizes in m, pressures absolute in Pa, speed in revolutions a second. ``use`` [kg/s] is what
    the cylinder takes, ``widest`` [m] the end of the table in diametral clearance.
    """

    def __init__(
        self,
        *,
        diameter: float,
        land_length: float,
        lands: float,
        stroke: float,
        revolutions_per_second: float,
        cutoff: float,
        supply_pressure: float,
        exhaust_pressure: float,
    ) -> None:
        self.supply_temperature = float(steam.saturation_temperature(pressure=supply_pressure))
        self.use = float(
            steam_use(
                piston_area=0.25 * np.pi * diameter**2,
                stroke=stroke,
                revolutions_per_second=revolutions_per_second,
                cutoff=cutoff,
                density_supply=steam.saturated_vapour_density(pressure=supply_pressure),
                density_exhaust=steam.saturated_vapour_density(pressure=exhaust_pressure),
            )
        )
        self.widest = 150e-6 * float(np.sqrt(diameter / 30e-3))
        self._step = self.widest / (CLEARANCES - 1)
        clearance: Array = self._step * np.arange(CLEARANCES, dtype=float)
        posture = np.linspace(LEAST_POSTURE, MOST_POSTURE, POSTURES)
        # Below 1 the piston lies cocked: the flow of a centred one times the factor.
        thinned = np.minimum(posture, 1.0)
        eccentricity = np.asarray(offset_for_flow_factor(np.maximum(posture, 1.0)))
        centred_and_beyond = posture >= 1.0 - 1e-9
        leak = np.asarray(
            stroke_mean_leak(
                diameter=diameter,
                radial_gap=0.5 * clearance[1:, None],
                eccentricity=np.concatenate(([0.0], eccentricity[centred_and_beyond]))[None, :],
                length=land_length,
                cutoff=cutoff,
                supply_pressure=supply_pressure,
                back_pressure=exhaust_pressure,
                density=lambda p: steam.saturated_vapour_density(pressure=p),
                viscosity=lambda p: steam.saturated_vapour_viscosity(pressure=p),
                entries=lands,
            )
        )
        table = np.zeros((CLEARANCES, POSTURES))
        table[1:, centred_and_beyond] = leak[:, 1:]
        table[1:, ~centred_and_beyond] = leak[:, :1] * thinned[~centred_and_beyond]
        root = np.cbrt(table / self.use)
        along, across = np.diff(root, axis=0), np.diff(root, axis=1)
        both = np.diff(along, axis=1)
        # What one look-up needs of a cell lies side by side: corner, along, across, both.
        cells = (root[:-1, :-1], along[:, :-1], across[:-1], both)
        self._cells = np.stack([each.ravel() for each in cells], axis=1)
        self._posture_step = posture[1] - posture[0]

    def share(self, clearance: Array, posture: Array) -> Array:
        """Share of use at hot flow clearance [m, diametral] and posture factor; one shape.

        A clearance of zero or less passes nothing; beyond the table's end the end is taken.
        """
        return self.share_lying(clearance, *self.lying(posture))

    def lying(self, posture: Array) -> tuple[Array, Array]:
        """Column of the table [-] for a posture factor, and how far it lies beyond it."""
        beyond: Array = (posture - LEAST_POSTURE) * (1.0 / self._posture_step)
        np.clip(beyond, 0.0, _LAST_COLUMN, out=beyond)
        column = np.floor(beyond)
        beyond -= column
        return column, beyond

    def share_lying(self, clearance: Array, column: Array, beyond: Array) -> Array:
        """Share of use as :meth:`share` has it, for a posture as :meth:`lying` has it.

        Bilinear in the cube root: a corner of the grid, its two slopes and their product.
        """
        x = clearance * (1.0 / self._step)
        np.clip(x, 0.0, _LAST_ROW, out=x)
        place = np.floor(x)
        x -= place
        place *= POSTURES - 1
        place += column
        # By way of 32 bits: processors turn floats into those by the handful.
        cells = self._cells.take(place.astype(np.int32).astype(np.intp), axis=0, mode="clip")
        corner, along, across, both = cells.T
        root = np.multiply(both, beyond, out=place)
        root += along
        root *= x
        root += np.multiply(across, beyond, out=x)
        root += corner
        share: Array = np.multiply(root, root, out=x)
        share *= root
        return share

    def clearance_for(self, share: float, posture: float) -> float:
        """Hot flow clearance [m, diametral] that passes a share of use; the table's end at most."""
        clearance: Array = self._step * np.arange(CLEARANCES, dtype=float)
        column = self.share(clearance, np.full(CLEARANCES, posture))
        return float(np.interp(share, column, clearance))
