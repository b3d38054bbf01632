"""What injectors do, sample by sample, and why those that do not run have stopped.

Flows, pressures and temperatures come from ``injector``; what follows from them, such as the
share that spills, is worked out only when it is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from benchproof.physics.delivery_cone import spill_share, void_share
from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers


class Cause(IntEnum):
    """Why a sample does not run, the first that applies."""

    RUNS = 0
    NOT_CONDENSED = 1
    THROAT_CHOKED = 2
    DELIVERY_SHORT = 3
    DOES_NOT_GO_TOGETHER = 4


@dataclass(frozen=True, eq=False)
class Running:
    """What samples do, arrays of one shape; no water and no pressure where there is no jet.

    The mixture is then said to be at its boiling point.

    cause: of ``Cause``. steam_flow, water_flow: into the combining cone [kg/s].
    mixture_temperature: [K]. density: of the mixture [kg/m³]. chamber_pressure: absolute [Pa].
    jet_velocity: [m/s]. capacity: of the delivery throat [kg/s]. highest_pressure: the jet can
    deliver against, absolute [Pa]. needed_pressure: of boiler, clack and pipe, absolute [Pa].
    solid: the jet fills the combining throat. detached: the steam jet leaves its wall before the
    mouth. mouth_pressure: absolute [Pa], and mouth_velocity [m/s], of a jet that does not.
    """

    cause: NDArray[np.int8]
    steam_flow: Array
    water_flow: Array
    mouth_pressure: Array
    mouth_velocity: Array
    mixture_temperature: Array
    density: Array
    chamber_pressure: Array
    jet_velocity: Array
    capacity: Array
    highest_pressure: Array
    needed_pressure: Numbers
    boiler_pressure: Numbers
    air_pressure: float
    feed_density: Numbers
    solid: NDArray[np.bool_]
    detached: NDArray[np.bool_]

    @property
    def runs(self) -> NDArray[np.bool_]:
        """Whether it runs."""
        return np.asarray(self.cause == Cause.RUNS)

    @property
    def jets(self) -> NDArray[np.bool_]:
        """Whether there is a jet at all, strong enough or not."""
        return np.asarray((self.cause == Cause.RUNS) | (self.cause == Cause.DELIVERY_SHORT))

    @cached_property
    def total_flow(self) -> Array:
        """Steam and water together [kg/s]."""
        return self.steam_flow + self.water_flow

    @cached_property
    def delivered(self) -> Array:
        """Flow through the delivery throat [kg/s], as if the boiler let it in."""
        return np.minimum(self.capacity, self.total_flow)

    @property
    def spilled(self) -> Array:
        """Flow out of the overflow [kg/s]."""
        return self.total_flow - self.delivered

    @property
    def spill(self) -> Array:
        """Share of the flow that spills [-]."""
        return spill_share(capacity=self.capacity, arriving=self.total_flow)

    @property
    def void(self) -> Array:
        """Share of the delivery throat that is empty, or drawing air [-]."""
        return void_share(capacity=self.capacity, arriving=self.total_flow)

    @property
    def fullness(self) -> Array:
        """What arrives over what the delivery throat can pass [-]: above 1 it spills, below air.

        Where there is no jet it is 0.
        """
        able = self.capacity > 0.0
        return np.where(able, self.total_flow / np.where(able, self.capacity, 1.0), 0.0)

    @property
    def fresh(self) -> Array:
        """Water from the tank that goes through the delivery throat [kg/s]."""
        return self.delivered * (self.water_flow / self.total_flow)

    @property
    def fresh_volume(self) -> Array:
        """The same as a volume of tank water [m³/s]."""
        return self.fresh / self.feed_density

    @property
    def entrainment(self) -> Array:
        """Water over steam by mass [-]."""
        return self.water_flow / self.steam_flow

    @property
    def pressure_ratio(self) -> Array:
        """Highest delivery pressure over boiler pressure, both gauge [-]; 0 without a jet."""
        gauge = np.subtract(self.boiler_pressure, self.air_pressure)
        ratio: Array = (self.highest_pressure - self.air_pressure) / gauge
        return ratio

    @property
    def margin(self) -> Array:
        """Highest delivery pressure over that needed, both gauge [-]; below 1 it does not feed."""
        gauge = np.subtract(self.needed_pressure, self.air_pressure)
        ratio: Array = (self.highest_pressure - self.air_pressure) / gauge
        return ratio
