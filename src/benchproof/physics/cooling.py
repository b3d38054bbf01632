"""How long a hot tyre stays droppable: in the air, and on its cold wheel.

In the air it cools as one lump: its metal evens out in seconds while the surface takes minutes.
On the wheel it cools through a thin gap some fifty times as fast, and warms the wheel while it
does; both as lumps. What nobody knows is how heat passes: in still air 10 to 25 W/(m² K) with what
it radiates, across the seat anything from a gap of air (some 600 for 50 µm) to metal that touches
(several thousand). So the time in the air is known within a factor of about 1.5 and that on the
wheel within about 2.5. The metal of a deep rim far from its seat stays cold longer than a lump
does, but its skin warms sooner: the lump is a middle.

Own derivation; the law of the lump is Newton's.
"""

from __future__ import annotations

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require

NEVER = 1e6
"""Time [s] given where the heat there is never lets it grip."""


def time_constant(*, heat_capacity: Numbers, conductance: Numbers) -> Array:
    """Time in which a lump loses 63 % of its excess temperature [s].

    heat_capacity: of the lump [J/K]. conductance: of its surface, area times the coefficient
    [W/K]. Both above 0, shape broadcast. Raises OutOfRange.
    """
    _require_above("heat capacity", heat_capacity, "J/K")
    _require_above("conductance", conductance, "W/K")
    return np.asarray(np.divide(heat_capacity, conductance))


def time_in_air(*, constant: Numbers, clearance: Numbers, interference: Numbers) -> Array:
    """Time from the full clearance to none, while a tyre cools in air as warm as its wheel [s].

    constant: time constant [s], above 0. clearance: on diameter at the start [m], 0 or more.
    interference: on diameter, both cold [m]; where it is 0 or less the tyre never grips. Shape
    broadcast. Raises OutOfRange.
    """
    _require_above("constant", constant, "s")
    require(np.asarray(clearance) >= 0.0, quantity="clearance", given=clearance, low=0.0, unit="m")
    grips = np.greater(interference, 0.0)
    ratio = np.divide(clearance, np.where(grips, interference, 1.0))
    return np.asarray(np.where(grips, np.minimum(constant * np.log1p(ratio), NEVER), NEVER))


def time_on_seat(
    *,
    clearance: Numbers,
    interference: Numbers,
    outer_growth: Numbers,
    inner_growth: Numbers,
    outer_heat: Numbers,
    inner_heat: Numbers,
    conductance: Numbers,
) -> Array:
    """Time from full clearance to none once the tyre is on its cold wheel [s].

    clearance: on diameter at the start [m], 0 or more. interference: on diameter, both cold [m].
    outer_growth, inner_growth: of the diameter for each kelvin, tyre and wheel [m/K]. outer_heat,
    inner_heat: their heat capacities [J/K]. conductance: across the seat [W/K]. All of these above
    0, shape broadcast. Raises OutOfRange.
    """
    for name, value, unit in (
        ("outer growth", outer_growth, "m/K"),
        ("inner growth", inner_growth, "m/K"),
        ("outer heat", outer_heat, "J/K"),
        ("inner heat", inner_heat, "J/K"),
        ("conductance", conductance, "W/K"),
    ):
        _require_above(name, value, unit)
    require(np.asarray(clearance) >= 0.0, quantity="clearance", given=clearance, low=0.0, unit="m")
    start = np.maximum(np.add(interference, clearance), 0.0) / outer_growth
    settled = start * outer_heat / np.add(outer_heat, inner_heat)
    opening = outer_growth * (start - settled) + inner_growth * settled
    left = interference - np.subtract(outer_growth, inner_growth) * settled
    constant = np.multiply(outer_heat, inner_heat) / np.add(outer_heat, inner_heat) / conductance
    grips = (left > 0.0) & (opening > 0.0)
    ratio = np.where(grips, opening, 1.0) / np.where(grips, left, 1.0)
    time = constant * np.log(np.maximum(ratio, 1.0))
    return np.asarray(np.where(grips, np.minimum(time, NEVER), NEVER))


def _require_above(quantity: str, value: Numbers, unit: str) -> None:
    positive = np.isfinite(value) & (np.asarray(value) > 0.0)
    require(positive, quantity=quantity, given=value, low=0.0, unit=unit)
