"""All that a tyre's merits take from its circumstances and not from its two sizes.

A sweep tries a hundred bores on the same draws of metal, friction, heat and roughness: what comes
of those alone is worked out once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from benchproof.duties.contract import Array, Samples
from benchproof.duties.kept import Kept
from benchproof.duties.matter import COLD, expansion_name
from benchproof.duties.tyre_spec import SPOKED, TyreSpec
from benchproof.physics.rims import Rim


@dataclass(frozen=True)
class Circumstances:
    """Of every sample: what is taken off the interference, and what a metre of it does.

    ``roughness``, ``loosened``, ``tightened``, ``heated`` [m]: off the interference as gauged, at
    20 °C, at the season when it is loosest and tightest, and braked hot. ``taken_up``, ``hooped``
    [Pa/m]: pressure, and hoop stress in the tyre, for a metre left. ``strained`` [1/m]: share of
    the tyre's yield, ``squeezed`` [Pa/m]: stress in the rim, ``grips`` [1/m]: grip over what is
    asked. ``opens`` [K/m]: heat to open the bore.
    """

    roughness: Array
    loosened: Array
    tightened: Array
    heated: Array
    taken_up: Array
    hooped: Array
    strained: Array
    squeezed: Array
    grips: Array
    opens: Array


@dataclass(frozen=True)
class Wheel:
    """What one spec makes of its draws: figures that are the same for every sample.

    ``give``, ``hoop``, ``mises`` [-]: of the tyre, times its modulus, and over the pressure.
    ``bending`` [-]: of the rim over a spoke. ``area`` [m²] of the seat. ``load`` [N] and ``push``
    [-]: what the rail asks for is load times the hypotenuse of adhesion and push.
    """

    rim: Rim
    roughness: float
    give: float
    hoop: float
    mises: float
    bending: float
    area: float
    load: float
    push: float


class CircumstancesOf:
    """Circumstances of one spec's draws."""

    def __init__(self, spec: TyreSpec, wheel: Wheel) -> None:
        self.spec = spec
        self.wheel = wheel
        self.outer, self.inner = (
            expansion_name(name) for name in (spec.tyre_material, spec.wheel_material)
        )
        self._alike = self.outer == self.inner
        names = ["smoothing", "friction", "adhesion", "tyre_lead", "tyre_yield", "tyre_modulus"]
        names += ["wheel_modulus", self.outer, self.inner]
        if spec.wheel_is == SPOKED:
            names.append("spoke_bearing")
        self._kept = Kept(names, self._work_out)

    def __call__(self, samples: Samples) -> Circumstances:
        """Circumstances of these draws, each an array of shape (n,)."""
        return self._kept(samples)

    def share(self, samples: Samples) -> Array | float:
        """Share of the rim's support that bears; spokes never pull the rim in."""
        if self.spec.wheel_is != SPOKED:
            return 1.0
        return np.maximum(samples["spoke_bearing"], 0.0)

    def compliance(self, samples: Samples) -> Array:
        """Interference taken up for each pascal on the seat [m/Pa]."""
        both = self.wheel.give / samples["tyre_modulus"]
        both = both + self.wheel.rim.give(self.share(samples)) / samples["wheel_modulus"]
        return np.asarray(self.spec.seat * both)

    def _work_out(self, samples: Samples) -> Circumstances:
        spec, wheel = self.spec, self.wheel
        taken_up = 1.0 / self.compliance(samples)
        rough = wheel.roughness * samples["smoothing"]
        grown = samples[self.outer] * spec.seat
        loosened = tightened = rough
        if not self._alike:
            apart = grown - samples[self.inner] * spec.seat
            cold, warm = apart * (spec.coldest - COLD), apart * (spec.warmest - COLD)
            loosened = rough + np.maximum(cold, warm)
            tightened = rough + np.minimum(cold, warm)
        asked = wheel.load * np.hypot(samples["adhesion"], wheel.push)
        back = wheel.rim.pushed_back(self.share(samples))
        return Circumstances(
            roughness=rough,
            loosened=loosened,
            tightened=tightened,
            heated=loosened + grown * samples["tyre_lead"],
            taken_up=taken_up,
            hooped=wheel.hoop * taken_up,
            strained=wheel.mises * taken_up / samples["tyre_yield"],
            squeezed=taken_up * rim_stress(wheel, back),
            grips=taken_up * samples["friction"] * wheel.area / asked,
            opens=1.0 / grown,
        )


def rim_stress(wheel: Wheel, back: Array | float) -> Array:
    """Stress at the rim's inside over the pressure on the seat [-], squeezed.

    ``back`` [-]: pressure its support pushes back with, over that on the seat.
    """
    return np.asarray(wheel.rim.squeeze + (wheel.bending - wheel.rim.relief) * back)


def rim_pull(wheel: Wheel, back: Array | float) -> Array:
    """Stress in the rim under the tyre and over a spoke, over the pressure there [-]; pulled."""
    # Lamé: hoop and radial stress add up to the same everywhere in a ring.
    at_seat = wheel.rim.squeeze - wheel.rim.relief * back - 1.0 + back
    return np.asarray(wheel.bending * back - at_seat)
