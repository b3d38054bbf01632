"""The working map of an injector: boiler pressure against feed temperature.

Each place of the map is told what happens there: it runs and the overflow is dry, it spills, it
draws air, or it knocks off, and why. With draws of sizes and coefficients the map also says in
which share of them it runs, which is where its edges may lie.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from benchproof.physics.errors import Array
from benchproof.physics.injector import Injector, Samples
from benchproof.physics.injector_running import Cause, Running
from benchproof.physics.ranges import require

DRY: Final = 0.002
"""Spill or void up to which the overflow is said to be just dry [-]."""


class Mode(IntEnum):
    """What an injector does at one place of the map."""

    JUST_DRY = 0
    SPILLS = 1
    DRAWS_AIR = 2
    NOT_CONDENSED = 3
    THROAT_CHOKED = 4
    DELIVERY_SHORT = 5
    DOES_NOT_GO_TOGETHER = 6


_STOPPED: Final = {
    Cause.NOT_CONDENSED: Mode.NOT_CONDENSED,
    Cause.THROAT_CHOKED: Mode.THROAT_CHOKED,
    Cause.DELIVERY_SHORT: Mode.DELIVERY_SHORT,
    Cause.DOES_NOT_GO_TOGETHER: Mode.DOES_NOT_GO_TOGETHER,
}


@dataclass(frozen=True, eq=False)
class WorkingMap:
    """Rows of boiler pressure, columns of feed temperature.

    boiler_pressure: absolute [Pa], one for each row. feed_temperature: [K], one for each column.
    mode: of ``Mode``. delivered, spilled: [kg/s]. mixture_temperature: [K]. margin: highest
    delivery pressure over that needed, both gauge [-]. share_running, share_drawing_air: of the
    draws [-], or nothing where there were none.
    """

    boiler_pressure: Array
    feed_temperature: Array
    mode: NDArray[np.int8]
    delivered: Array
    spilled: Array
    mixture_temperature: Array
    margin: Array
    share_running: Array | None = None
    share_drawing_air: Array | None = None


def mode(running: Running) -> NDArray[np.int8]:
    """What each sample does, of ``Mode`` [-], shape of the samples."""
    spills = np.where(running.spill > DRY, np.int8(Mode.SPILLS), np.int8(Mode.JUST_DRY))
    found = np.where(running.void > DRY, np.int8(Mode.DRAWS_AIR), spills)
    for cause, named in _STOPPED.items():
        found = np.where(running.cause == cause, np.int8(named), found)
    return found


def working_map(
    *,
    injector: Injector,
    samples: Samples,
    boiler_pressure: Array,
    feed_temperature: Array,
    draws: Samples | None = None,
) -> WorkingMap:
    """Map one injector, and the share of draws that run at each place.

    injector: as ``prepare`` makes it; its own pressure and temperature are not looked at.
    samples: one number for each name. boiler_pressure: absolute [Pa], one-dimensional.
    feed_temperature: [K], one-dimensional. draws: as samples, with one-dimensional arrays of one
    length, of sizes and coefficients as they may be.
    """
    for name, places in (("pressures", boiler_pressure), ("temperatures", feed_temperature)):
        require(
            np.ndim(places) == 1 and np.size(places) > 0,
            quantity=name,
            given=float(np.ndim(places)),
            low=1.0,
            high=1.0,
            hint="give the map one row or more of places",
        )
    grid = {"boiler_pressure": boiler_pressure[:, np.newaxis], "feed_temperature": feed_temperature}
    running = injector.perform(dict(samples) | grid)
    shares = (None, None) if draws is None else _shares(injector, draws, grid)
    return WorkingMap(
        boiler_pressure,
        feed_temperature,
        mode(running),
        running.delivered,
        running.spilled,
        running.mixture_temperature,
        running.margin,
        *shares,
    )


def _shares(injector: Injector, draws: Samples, grid: dict[str, Array]) -> tuple[Array, Array]:
    """Share of draws that run, and that draw air while they do, row by row of the map."""
    warmth = grid["feed_temperature"][:, np.newaxis]
    runs, airs = [], []
    # One pressure at a time: its tables are lines, and what is worked on stays small.
    for pressure in grid["boiler_pressure"][:, 0]:
        row = {"boiler_pressure": pressure, "feed_temperature": warmth}
        running = injector.perform(dict(draws) | row)
        runs.append(running.runs.mean(axis=-1))
        airs.append((running.runs & (running.void > DRY)).mean(axis=-1))
    return np.stack(runs), np.stack(airs)
