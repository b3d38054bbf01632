"""What a double-acting cylinder does with its steam in one turn, and what leaks past its piston.

The pressures on a face follow an ideal diagram: full to cut-off, expanding as p·V = constant to
release, at back pressure until the exhaust closes, then compressed as p·V = constant. The other
face is half a turn behind. The connecting rod is taken as long, so the piston stands at
x = (1 − cos θ)/2 of its stroke. Leakage past the piston between the two faces is averaged over
the turn.

Own derivation; the ideal diagram is that of any textbook of the steam engine. Dry steam: water
in the gap passes some thirty times the mass, and wet cylinder walls take more than the leak.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from benchproof.physics.compressible_gap import TOUCHING, gap_mass_flux, local_gaps
from benchproof.physics.errors import Array
from benchproof.physics.ranges import (
    Numbers,
    require,
    require_not_negative,
    require_positive,
)

CLEARANCE_VOLUME: Final = 0.08
"""Ports and end clearance over the swept volume [-]; common practice."""

RELEASE: Final = 0.93
"""Share of the stroke at which the exhaust opens [-]; common practice."""

COMPRESSION: Final = 0.15
"""Share of the stroke left when the exhaust closes [-]; common practice."""

_TABLE_SIZE = 512


def indicated_pressures(
    *,
    crank_angle: Numbers,
    supply_pressure: float,
    back_pressure: float,
    cutoff: float,
    clearance_volume: float = CLEARANCE_VOLUME,
    release: float = RELEASE,
    compression: float = COMPRESSION,
) -> Array:
    """Absolute pressure on one face of the piston [Pa], shape of ``crank_angle``.

    crank_angle: from the dead centre at which this face takes steam [rad]; the other face is
    half a turn later. supply_pressure, back_pressure: absolute [Pa], supply > back > 0.
    cutoff, release, compression: shares of the stroke [-], 0 < cutoff ≤ release ≤ 1,
    compression counted from the dead centre the piston returns to. clearance_volume: over swept
    volume [-]. Raises OutOfRange.
    """
    require_positive(back_pressure=back_pressure, clearance_volume=clearance_volume)
    require(
        supply_pressure > back_pressure,
        quantity="supply pressure",
        given=supply_pressure,
        low=back_pressure,
        unit="Pa",
        hint="the engine needs a pressure difference",
    )
    require(0.0 < cutoff <= release, quantity="cutoff", given=cutoff, low=0.0, high=release)
    require(release <= 1.0, quantity="release", given=release, low=cutoff, high=1.0)
    holds = 0.0 <= compression < 1.0
    require(holds, quantity="compression", given=compression, low=0.0, high=1.0)
    turn = np.mod(np.asarray(crank_angle, dtype=float), 2.0 * np.pi)
    stroke = 0.5 * (1.0 - np.cos(turn))
    volume = stroke + clearance_volume
    expanding = np.maximum(supply_pressure * (cutoff + clearance_volume) / volume, back_pressure)
    outward = np.where(
        stroke <= cutoff,
        supply_pressure,
        np.where(stroke <= release, expanding, back_pressure),
    )
    compressing = back_pressure * (compression + clearance_volume) / volume
    compressed = np.minimum(compressing, supply_pressure)
    homeward = np.where(stroke >= compression, back_pressure, compressed)
    pressure: Array = np.where(turn < np.pi, outward, homeward)[()]
    return pressure


def steam_use(
    *,
    piston_area: Numbers,
    stroke: Numbers,
    revolutions_per_second: Numbers,
    cutoff: Numbers,
    density_supply: Numbers,
    density_exhaust: Numbers,
    clearance_volume: Numbers = CLEARANCE_VOLUME,
    compression: Numbers = COMPRESSION,
) -> Array:
    """Dry steam that both faces of one cylinder take by the ideal diagram [kg/s], broadcast.

    piston_area: of one face, the rod left out of account [m²]. stroke: [m].
    revolutions_per_second: [1/s]. cutoff: share of the stroke [-]. density_supply,
    density_exhaust: of saturated steam at supply and back pressure [kg/m³]. clearance_volume,
    compression: as in ``indicated_pressures`` [-]. What compression keeps is taken off.
    Real cylinders condense steam on their walls and use more. Raises OutOfRange.
    """
    require_positive(piston_area=piston_area, stroke=stroke, cutoff=cutoff)
    require_positive(density_supply=density_supply, density_exhaust=density_exhaust)
    require_not_negative(revolutions_per_second=revolutions_per_second, compression=compression)
    require_positive(clearance_volume=clearance_volume)
    swept = np.multiply(piston_area, stroke)
    taken = density_supply * np.add(cutoff, clearance_volume)
    kept = density_exhaust * np.add(compression, clearance_volume)
    use: Array = 2.0 * revolutions_per_second * swept * (taken - kept)
    return use


def pressure_pairs(
    *,
    supply_pressure: float,
    back_pressure: float,
    cutoff: float,
    clearance_volume: float = CLEARANCE_VOLUME,
    release: float = RELEASE,
    compression: float = COMPRESSION,
    steps: int = 72,
) -> tuple[Array, Array, Array]:
    """Higher and lower pressure across the piston over one turn, and how often each pair occurs.

    Returns (high [Pa], low [Pa], share of the turn [-]), one-dimensional, one entry for each
    distinct pair. steps: of the crank in one turn, even. The rest as in
    ``indicated_pressures``. The second half turn mirrors the first, so only the first is taken.
    """
    require(
        steps >= 2 and steps % 2 == 0, quantity="steps", given=steps, low=2, hint="an even number"
    )

    def face(crank_angle: Array) -> Array:
        return indicated_pressures(
            crank_angle=crank_angle,
            supply_pressure=supply_pressure,
            back_pressure=back_pressure,
            cutoff=cutoff,
            clearance_volume=clearance_volume,
            release=release,
            compression=compression,
        )

    half = steps // 2
    angle = np.linspace(0.5, half - 0.5, half) * (np.pi / half)
    ahead, behind = face(angle), face(angle + np.pi)
    both = np.stack([np.maximum(ahead, behind), np.minimum(ahead, behind)])
    pairs, counts = np.unique(both, axis=1, return_counts=True)
    return pairs[0], pairs[1], counts / angle.size


def stroke_mean_leak(
    *,
    diameter: float,
    radial_gap: Numbers,
    eccentricity: Numbers,
    length: float,
    supply_pressure: float,
    back_pressure: float,
    cutoff: float,
    density: Callable[[Array], Array],
    viscosity: Callable[[Array], Array],
    entries: float = 1.0,
    clearance_volume: float = CLEARANCE_VOLUME,
    release: float = RELEASE,
    compression: float = COMPRESSION,
    steps: int = 72,
) -> Array:
    """Dry steam that leaks past the piston, mean over one turn [kg/s].

    Shape: ``radial_gap`` and ``eccentricity`` broadcast together. diameter: [m]. radial_gap:
    mean, hot [m], 0 or more. eccentricity: offset of the axes over the mean gap [-], 0 to 1.
    length: of the lands [m]. density, viscosity: of the steam at an absolute pressure [Pa]
    (arrays of pressures in, [kg/m³] and [Pa s] out), usually saturated. entries: number of lands
    [-]. steps: of the crank in one turn. The rest as in ``indicated_pressures``.
    Leakage counts whichever way it goes. Raises OutOfRange.

    The mean over the turn and the sum round the circumference change places: first the mean flux
    is tabulated against the local gap, then the table is read round the circumference. Against
    the double sum it errs by less than 0.1 %.
    """
    require_positive(diameter=diameter)
    require_not_negative(radial_gap=radial_gap)
    e = np.asarray(eccentricity, dtype=float)
    require((e >= 0.0) & (e <= 1.0), quantity="eccentricity", given=e, low=0.0, high=1.0)
    high, low, share = pressure_pairs(
        supply_pressure=supply_pressure,
        back_pressure=back_pressure,
        cutoff=cutoff,
        clearance_volume=clearance_volume,
        release=release,
        compression=compression,
        steps=steps,
    )
    local = local_gaps(radial_gap=radial_gap, eccentricity=e)
    widest = max(float(np.max(local, initial=0.0)), 2.0 * TOUCHING)
    grid = np.geomspace(TOUCHING, widest, _TABLE_SIZE)
    flux = gap_mass_flux(
        radial_gap=grid,
        length=length,
        high_pressure=high[:, np.newaxis],
        low_pressure=low[:, np.newaxis],
        density=density(high)[:, np.newaxis],
        viscosity=viscosity(high)[:, np.newaxis],
        entries=entries,
    )
    # Logarithms make the cube law a straight line, which linear interpolation hits exactly.
    log_leak = np.log(share @ flux * grid)
    open_gap = local > 0.0
    read = np.interp(np.log(np.where(open_gap, local, widest)), np.log(grid), log_leak)
    leak = np.where(open_gap, np.exp(read), 0.0)
    mean: Array = np.pi * diameter * np.mean(leak, axis=-1)
    return mean
