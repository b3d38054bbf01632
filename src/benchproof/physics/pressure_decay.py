"""How fast a closed volume of gas loses its pressure past a piston that is held.

The volume is pumped up, shut off, and timed between two pressures. Isothermal, laminar gap flow
with slip gives dp/dt = −B (p − pa)(p + pa + Ks), which integrates in closed form. Own derivation
from the gas flow of ``clearance_flow``.
"""

from __future__ import annotations

import numpy as np

from benchproof.physics.clearance_flow import SLIP, slip_flow_factor, slip_length
from benchproof.physics.errors import Array
from benchproof.physics.ranges import (
    Numbers,
    require,
    require_not_negative,
    require_positive,
)

_ITERATIONS = 40


def decay_time(
    *,
    diameter: Numbers,
    radial_gap: Numbers,
    length: Numbers,
    volume: Numbers,
    start_pressure: Numbers,
    end_pressure: Numbers,
    ambient_pressure: Numbers,
    viscosity: Numbers,
    temperature: Numbers,
    gas_constant: Numbers,
    flow_factor: Numbers = 1.0,
    slip: Numbers = SLIP,
) -> Array:
    """Time for a closed volume to fall from one pressure to another [s], shape broadcast.

    diameter: mean of bore and piston [m]. radial_gap: mean [m], above 0. length: of the lands
    [m]. volume: closed off [m³]. start_pressure, end_pressure, ambient_pressure: absolute [Pa],
    start ≥ end > ambient. viscosity: dynamic [Pa s]. temperature: [K], constant. gas_constant:
    [J/(kg K)]. flow_factor: of the posture [-]. slip: slip coefficient [-].
    Laminar: from 3 bar gauge it reads 2 % fast at a radial gap of 20 µm. Raises OutOfRange.
    """
    require_positive(diameter=diameter, radial_gap=radial_gap, length=length, volume=volume)
    require_positive(ambient_pressure=ambient_pressure, flow_factor=flow_factor)
    require_not_negative(slip=slip)
    start, end, ambient = (
        np.asarray(p, dtype=float) for p in (start_pressure, end_pressure, ambient_pressure)
    )
    require(end > ambient, quantity="end pressure", given=end, low=ambient, unit="Pa")
    require(start >= end, quantity="start pressure", given=start, low=end, unit="Pa")
    free_path = slip_length(viscosity=viscosity, gas_constant=gas_constant, temperature=temperature)
    gap = np.asarray(radial_gap, dtype=float)
    slipping = 12.0 * slip * free_path / gap * slip_flow_factor(flow_factor) / flow_factor
    conductance = np.pi * np.asarray(diameter) * gap**3 * flow_factor
    rate = conductance / (24.0 * np.asarray(viscosity) * length * volume)
    falling = np.log((start - ambient) / (end - ambient))
    rising = np.log((start + ambient + slipping) / (end + ambient + slipping))
    time: Array = (falling - rising) / (rate * (2.0 * ambient + slipping))
    return time


def gap_for_decay_time(
    *,
    time: Numbers,
    diameter: Numbers,
    length: Numbers,
    volume: Numbers,
    start_pressure: Numbers,
    end_pressure: Numbers,
    ambient_pressure: Numbers,
    viscosity: Numbers,
    temperature: Numbers,
    gas_constant: Numbers,
    flow_factor: Numbers = 1.0,
    slip: Numbers = SLIP,
) -> Array:
    """Mean radial gap that loses its pressure in this time [m]: ``decay_time`` turned round.

    time: [s], above 0. The rest as in ``decay_time``, with start above end. Raises OutOfRange.
    The time falls with a power of the gap between 2 (all slip) and 3 (none), so correcting the
    gap by the cube root of the time's error leaves at most a third of the error each round.
    """
    require_positive(time=time)
    require(
        np.greater(start_pressure, end_pressure),
        quantity="start pressure",
        given=start_pressure,
        low=end_pressure,
        unit="Pa",
        hint="no time passes without a fall of pressure",
    )
    gap: Array = np.asarray(10e-6)
    for _ in range(_ITERATIONS):
        reached = decay_time(
            diameter=diameter,
            radial_gap=gap,
            length=length,
            volume=volume,
            start_pressure=start_pressure,
            end_pressure=end_pressure,
            ambient_pressure=ambient_pressure,
            viscosity=viscosity,
            temperature=temperature,
            gas_constant=gas_constant,
            flow_factor=flow_factor,
            slip=slip,
        )
        gap = gap * np.cbrt(reached / time)
    return gap[()]
