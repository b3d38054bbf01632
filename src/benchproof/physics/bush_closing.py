"""A thin bush pressed into a housing: how hard it is gripped and how far its bore closes.

Bush and housing are thick rings of unlike metals (Lamé, plane stress, equal lengths). The
interference is shared between them by stiffness; what the bush takes goes almost whole into its
bore, or a little more, since a squeezed wall thickens: never over 1/sqrt(1 - ν²) of it.

Sources: R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 8th ed., eq.
3-51 and 3-56; roughness lost after DIN 7190-1 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from benchproof.physics.ranges import require

SMOOTHED: Final = 0.8
"""Share of the two peak-to-valley heights that pressing takes off the interference."""


@dataclass(frozen=True)
class PressedBush:
    """What pressing does, for each metre of interference on diameter left after smoothing.

    ``closing`` [-]: how much the bore's diameter shrinks. ``pressure`` [Pa/m]: of the grip.
    ``bore_stress`` [Pa/m]: hoop stress at the bore of the bush, squeezed (a size, not a sign).
    """

    closing: float
    pressure: float
    bore_stress: float


def pressed_bush(
    *,
    bore: float,
    seat: float,
    housing_outside: float,
    bush_modulus: float,
    bush_poisson: float,
    housing_modulus: float,
    housing_poisson: float,
) -> PressedBush:
    """Grip, closing and stress of a pressed bush for each metre of interference.

    bore, seat, housing_outside: bore of the bush, diameter of the seat, and of the housing round
    it taken as a ring [m], each larger than the one before. bush_modulus, housing_modulus: [Pa].
    bush_poisson, housing_poisson: [-], 0 to 0.5. Raises OutOfRange.
    """
    _require_over("bore", bore, 0.0)
    _require_over("seat", seat, bore)
    _require_over("housing outside", housing_outside, seat)
    for name, modulus in (("bush modulus", bush_modulus), ("housing modulus", housing_modulus)):
        require(modulus > 0.0, quantity=name, given=modulus, low=0.0, unit="Pa")
    for name, poisson in (("bush poisson", bush_poisson), ("housing poisson", housing_poisson)):
        require(0.0 <= poisson <= 0.5, quantity=name, given=poisson, low=0.0, high=0.5)
    hollow = (seat**2 + bore**2) / (seat**2 - bore**2)
    round_it = (housing_outside**2 + seat**2) / (housing_outside**2 - seat**2)
    yielding = (round_it + housing_poisson) / housing_modulus + (
        hollow - bush_poisson
    ) / bush_modulus
    pressure = 1.0 / (seat * yielding)
    squeeze = 2.0 * seat**2 / (seat**2 - bore**2)
    return PressedBush(
        closing=pressure * squeeze * bore / bush_modulus,
        pressure=pressure,
        bore_stress=pressure * squeeze,
    )


def _require_over(name: str, given: float, least: float) -> None:
    require(
        bool(np.isfinite(given)) and given > least,
        quantity=name,
        given=given,
        low=least,
        unit="m",
        hint="each diameter is larger than the one within it",
    )
