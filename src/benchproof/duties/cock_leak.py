"""From the angles of a cock to the gap at its port, and to what leaks there and where it leaves.

Duty and bench tests share this: what air under water tells of the gap is what steam will see.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from benchproof.duties.cock_spec import BOUGHT_REAMER, ONE_SETTING, CockSpec
from benchproof.duties.contract import Array, Samples
from benchproof.duties.kept import Kept
from benchproof.physics import air, steam
from benchproof.physics.taper_gap import (
    PortLeak,
    air_slip,
    gas_leak,
    liquid_leak,
    tool_height_error,
)
from benchproof.physics.taper_ports import Shapes, leak_shapes

WATER_DENSITY: Final = 998.2
WATER_VISCOSITY: Final = 1.0016e-3  # Pa s at 20 degrees Celsius (IAPWS R12-08)
DROP: Final = 0.05e-6
ROOM: Final = 293.15
_SMALL_HEIGHT: Final = 0.01e-3


@dataclass(frozen=True)
class Wedge:
    """Gap of every sample: at the port's centre, how open it is, how it was before lapping.

    ``gap`` radial [m]; ``openness`` share of it that the wedge opens to either end [-];
    ``rise`` and ``left`` from one end to the other [m], as cut and as lapped; ``mismatch`` of
    the included angles as cut [rad], above zero where the plug's is larger, so that the cones
    touch at the large end.
    """

    gap: Array
    openness: Array
    rise: Array
    left: Array
    mismatch: Array


class CockLeak:
    """Geometry and leak of one cock: shape factors once, then samples."""

    def __init__(self, spec: CockSpec) -> None:
        self.spec = spec
        ratios = {
            # A length of six diameters may come out of the division as a hair over six.
            "slenderness": min(max(spec.length / spec.mean_diameter, 0.8), 6.0),
            "port_ratio": spec.port / spec.mean_diameter,
        }
        self.cube: Shapes = leak_shapes(**ratios, exponent=3)
        self.square: Shapes = leak_shapes(**ratios, exponent=2)
        lost = tool_height_error(
            tool_height=_SMALL_HEIGHT,
            small_diameter=spec.small_diameter,
            large_diameter=spec.large_diameter,
            length=spec.length,
        )
        self._height_loss = float(lost) / _SMALL_HEIGHT**2  # it goes with the height squared
        self._heights = {
            ONE_SETTING: (),
            BOUGHT_REAMER: (("plug tool height", -1.0),),
        }.get(spec.angles, (("plug tool height", -1.0), ("body tool height", 1.0)))
        self._lost = Kept([name for name, _ in self._heights], self._work_out)

    def wedge(self, samples: Samples) -> Wedge:
        """Gap of every sample, as it stands after lapping."""
        spec = self.spec
        mismatch = samples["plug angle"] - samples["body angle"]
        lost = self._lost(samples)
        if lost is not None:
            mismatch = mismatch + lost
        rise = np.abs(mismatch)
        rise *= 0.5 * spec.length
        if spec.lapping == "none":
            floor, left = samples["peaks"], rise
        elif spec.lapping == "touch":
            left = rise - samples["take-up"]
            floor, left = samples["floor"], np.maximum(left, 0.0, out=left)
        else:
            floor, left = samples["floor"], np.zeros_like(rise)
        openness = 0.5 * left
        gap = floor + openness
        openness /= gap
        return Wedge(gap, openness, rise, left, mismatch)

    def _work_out(self, samples: Samples) -> Array | None:
        """Included angle that tools off centre lost the body more than the plug [rad], if any."""
        lost = None
        for name, sign in self._heights:
            each = (sign * self._height_loss) * np.square(samples[name])
            lost = each if lost is None else lost + each
        return lost

    def liquid(self, wedge: Wedge, leak: PortLeak) -> Array:
        """Whole leak of a liquid [m³/s]."""
        return leak.flow(gap=wedge.gap, cube_shape=self.cube.total(wedge.openness))

    def gas(self, wedge: Wedge, leak: PortLeak) -> Array:
        """Whole leak of a gas [kg/s]."""
        square = self.square.total(wedge.openness) if leak.slip else 0.0
        return leak.flow(
            gap=wedge.gap, cube_shape=self.cube.total(wedge.openness), square_shape=square
        )

    def share(self, wedge: Wedge, where: str) -> Array:
        """Share of a leak [-] that leaves at the ``outlet``, ``small end``, ``large end``, ``all``.

        The cube's shares stand for the slip term's too, which differ by a few parts in a hundred.
        """
        openness = wedge.openness
        if where == "all":
            return np.ones_like(openness)
        total = self.cube.total(openness)
        if where == "outlet":
            return np.asarray(self.cube.outlet(openness) / total)
        open_here = wedge.mismatch > 0.0 if where == "small end" else wedge.mismatch <= 0.0
        ends = np.where(open_here, self.cube.open_end(openness), self.cube.contact_end(openness))
        return np.asarray(ends / total)


def water_at(spec: CockSpec, pressure: float, viscosity: float = WATER_VISCOSITY) -> PortLeak:
    """Leak of cold water at a gauge pressure [Pa]; viscosity [Pa s]."""
    return liquid_leak(
        port_diameter=spec.port,
        pressure_drop=pressure,
        viscosity=viscosity,
        density=WATER_DENSITY,
    )


def steam_at(spec: CockSpec) -> PortLeak:
    """Leak of dry saturated steam at working pressure, into the air."""
    pressure = spec.inlet_pressure
    return gas_leak(
        port_diameter=spec.port,
        high_pressure=pressure,
        low_pressure=spec.air_pressure,
        density=float(steam.saturated_vapour_density(pressure=pressure)),
        viscosity=float(steam.saturated_vapour_viscosity(pressure=pressure)),
    )


def air_at(spec: CockSpec, pressure: float, air_pressure: float, temperature: float) -> PortLeak:
    """Leak of air at a gauge pressure [Pa] into air [Pa, absolute] at a temperature [K]."""
    viscosity = float(air.viscosity(temperature=temperature))
    inlet = pressure + air_pressure
    return gas_leak(
        port_diameter=spec.port,
        high_pressure=inlet,
        low_pressure=air_pressure,
        density=inlet / (air.GAS_CONSTANT_AIR * temperature),
        viscosity=viscosity,
        slip=air_slip(
            viscosity=viscosity, gas_constant=air.GAS_CONSTANT_AIR, temperature=temperature
        ),
    )
