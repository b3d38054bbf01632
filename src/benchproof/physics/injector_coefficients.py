"""What an injector's equations do not know, and how well each of it is known.

Six numbers stand for what friction, mixing and diffusion do. Published measurements, all on
full-size injectors, fix little more than one product: the square of the momentum that reaches
the jet, times the share of it that comes back as pressure, is 0.33 ± 0.025. So the recovery is
never drawn freely: it is that product over the square of the momentum drawn.

Each number has a part common to all injectors one person makes in one way, and a part that
differs from piece to piece. Bench tests of one injector teach the next only what is common.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require

STEAM_SPEED_KEPT: Final = 0.95
"""Share of the steam's velocity that leaves the mouth [-]: assumed and fixed, since only its
product with the share of momentum kept in the combining cone is ever seen."""

PRODUCT_MEAN, PRODUCT_SD = 0.33, 0.025
"""Momentum squared times recovery [-], fitted to published tables: see ``recovery``."""

LEAST_RECOVERY, MOST_RECOVERY = 0.45, 0.85
"""Ends to which a drawn recovery is held [-]."""

Shape = Literal["fixed", "normal", "uniform"]


@dataclass(frozen=True)
class Coefficient:
    """One of the six: all dimensionless.

    default: where no spread is wanted. shape, centre, spread: of what is believed before any
    bench test; the spread is the standard deviation of a normal, half the width of a uniform.
    part_to_part: standard deviation between injectors of one maker, ``relative`` to the value or
    not; an assumption, for want of any published figure. source: where the figures come from.
    """

    name: str
    meaning: str
    default: float
    shape: Shape
    centre: float
    spread: float
    part_to_part: float
    relative: bool
    source: str


COEFFICIENTS: Final = (
    Coefficient(
        name="steam_discharge",
        meaning="flow of the steam throat over the critical flow in equilibrium, rounded entry",
        default=1.0,
        shape="normal",
        centre=1.0,
        spread=0.02,
        part_to_part=0.005,
        relative=True,
        source=(
            "boundary layer 0.986 (ISO 9300 form, from memory) against supersaturation, at most "
            "1.048 (own calculation); a sharp entry perhaps 0.90 to 0.95 (common practice)"
        ),
    ),
    Coefficient(
        name="momentum",
        meaning="share of the steam's impulse that reaches the jet, steam cone and combining cone",
        default=0.703,
        shape="uniform",
        centre=0.705,
        spread=0.075,
        part_to_part=0.015,
        relative=True,
        source=(
            "own fit to V. A. B. Hughes, The Steam Injector, 1912, Table VIII, whose area ratio is "
            "not stated: 0.63 to 0.66 if it is 2.56, 0.67 to 0.70 if 2.7, 0.75 to 0.82 if 3.0"
        ),
    ),
    Coefficient(
        name="water_discharge",
        meaning="flow of the ring over that without loss or contraction",
        default=0.70,
        shape="normal",
        centre=0.70,
        spread=0.04,
        part_to_part=0.025,
        relative=True,
        source="assumed: only its product with the ring's area counts, which is set on the bench",
    ),
    Coefficient(
        name="feed_speed_kept",
        meaning="velocity with which the feed meets the steam over that without loss",
        default=0.75,
        shape="fixed",
        centre=0.75,
        spread=0.0,
        part_to_part=0.0,
        relative=False,
        source="V. A. B. Hughes, The Steam Injector, 1912, page 99",
    ),
    Coefficient(
        name="mixing",
        meaning="temperature whose vapour fills the chamber: 0 that of the feed, 1 of the mixture",
        default=0.8,
        shape="uniform",
        centre=0.75,
        spread=0.25,
        part_to_part=0.025,
        relative=False,
        source=(
            "own closure; V. A. B. Hughes, 1912, page 96 agrees with 1, page 109 with 0.5 to 0.65; "
            "0.8 gives a least capacity of about half the greatest, as Modern Mechanism, 1892, says"
        ),
    ),
    Coefficient(
        name="recovery",
        meaning="share of the jet's dynamic pressure that the delivery cone turns into pressure",
        default=0.66,
        shape="normal",
        centre=PRODUCT_MEAN,
        spread=PRODUCT_SD,
        part_to_part=0.02,
        relative=True,
        source=(
            "0.64 implied by V. A. B. Hughes, 1912, pages 41 and 98; drawn as the product over the "
            "momentum squared, held to 0.45 to 0.85; centre and spread are the product's"
        ),
    ),
)
"""The six, in the order in which the water meets them."""

DEFAULTS: Final = MappingProxyType({each.name: each.default for each in COEFFICIENTS})
"""Default of each coefficient [-]."""


def recovery(*, product: Numbers, momentum: Numbers) -> Array:
    """Recovery of the delivery cone that belongs to a momentum [-], held to 0.45 to 0.85.

    product: of momentum squared and recovery [-], about 0.33. momentum: share of the steam's
    impulse that reaches the jet [-], above 0. Raises OutOfRange.
    Source: own fit to V. A. B. Hughes, 1912, Table VIII; the exhaust injector on its page 108
    asks for 0.28, or 0.21, so the figure is not robust.
    """
    share = np.asarray(momentum)
    require(share > 0.0, quantity="momentum", given=share, low=0.0)
    value: Array = np.clip(product / np.square(share), LEAST_RECOVERY, MOST_RECOVERY)
    return value
