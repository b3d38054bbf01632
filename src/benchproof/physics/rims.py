"""The rim of a wheel under a shrunk tyre: solid, with a plate web, with spokes, or a free ring.

A rim that is squeezed pushes in on what stands within it, and that pushes back. A *support* says
how hard: pressure pushed back for each strain of the rim's inside, over Young's modulus [-]. None
is a free ring, 1/(1 - ν) is a solid disc, a plate web pushes as its thickness over the width.

Spokes hold the rim at n places. Spread evenly round it they would push as n A/(2π b l): an upper
bound, since the rim bends in between. By how much less they push is found by letting the rim bend
as a thin curved beam on n springs; the sums over its waves have closed forms, which are those of
Timoshenko's flywheel. The hub is taken as rigid and the spokes as straight, so even that is high.

Sources: S. Timoshenko, Strength of Materials, part II, stresses in flywheels (from memory, agrees
with the own derivation); thick rings after Shigley, 8th ed., eq. 3-50.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from benchproof.physics.errors import Array
from benchproof.physics.ranges import Numbers, require


@dataclass(frozen=True)
class Rim:
    """How a rim gives under pressure from outside, by the share of its support that bears.

    ``free`` and ``held`` [-]: shrinkage of the seat over its diameter for each pascal, times
    Young's modulus, without support and with its inside held fast. ``stiffness`` [-]: of the whole
    support against that of the rim's inside. ``most_back`` [-]: pressure at an inside held fast
    over that on the seat. ``squeeze``, ``relief`` [-]: hoop stress at the inside over the pressure
    on the seat without support, and what one unit of pressure pushed back takes off it.
    """

    free: float
    held: float
    stiffness: float
    most_back: float
    squeeze: float
    relief: float

    def give(self, share: Numbers = 1.0) -> Array:
        """Shrinkage of the seat for each pascal, over its diameter, times Young's modulus [-].

        share: of the support that bears [-], 0 or more, any shape.
        """
        return np.asarray(self.held + (self.free - self.held) / (1.0 + self.stiffness * share))

    def pushed_back(self, share: Numbers = 1.0) -> Array:
        """Pressure at the rim's inside over that on the seat [-]; share as in :meth:`give`."""
        return np.asarray(self.most_back * (1.0 - 1.0 / (1.0 + self.stiffness * share)))

    def hoop(self, share: Numbers = 1.0) -> Array:
        """Hoop stress at the rim's inside over the pressure on the seat [-], squeezed."""
        return np.asarray(self.squeeze - self.relief * self.pushed_back(share))


def rim_of(*, seat: float, inside: float, support: float, poisson: float) -> Rim:
    """A rim from its sizes and its support.

    seat: its outside diameter [m]. inside: its inside diameter [m], 0 for a solid disc, below the
    seat. support: pressure pushed back for each strain of the inside, over Young's modulus [-], 0
    or more. poisson: [-], 0 to 0.5. Raises OutOfRange.
    """
    require(np.isfinite(seat) and seat > 0.0, quantity="seat", given=seat, low=0.0, unit="m")
    require(
        0.0 <= inside < seat,
        quantity="inside",
        given=inside,
        low=0.0,
        high=seat,
        unit="m",
        hint="a rim is smaller inside than on its seat",
    )
    require(support >= 0.0, quantity="support", given=support, low=0.0)
    require(0.0 <= poisson <= 0.5, quantity="poisson ratio", given=poisson, low=0.0, high=0.5)
    outer, inner = seat * seat, inside * inside
    wall = outer - inner
    back = (1.0 - poisson) * inner + (1.0 + poisson) * outer
    free = ((1.0 - poisson) * outer + (1.0 + poisson) * inner) / wall
    most_back = 2.0 * outer / back
    return Rim(
        free=free,
        held=free - 2.0 * inner * most_back / wall,
        stiffness=support * back / wall,
        most_back=most_back,
        squeeze=2.0 * outer / wall,
        relief=(outer + inner) / wall,
    )


def web_support(*, thickness: float, width: float, poisson: float) -> float:
    """Support of a plate web without holes, its middle filled by the axle [-].

    thickness: of the web [m], above 0 and at most the width. width: of the rim [m]. poisson: [-].
    Raises OutOfRange.
    """
    require(
        0.0 < thickness <= width, quantity="thickness", given=thickness, low=0.0, high=width,
        unit="m",
    )  # fmt: skip
    return thickness / (width * (1.0 - poisson))


def spoke_support(*, spokes: int, section: float, length: float, width: float) -> float:
    """Support of spokes spread evenly round the rim [-], an upper bound.

    spokes: how many, 3 or more. section: area of one [m²]. length: from hub to rim [m]. width: of
    the rim [m]. Raises OutOfRange.
    """
    require(spokes >= 3, quantity="spokes", given=spokes, low=3.0)
    for name, value, unit in (("section", section, "m²"), ("length", length, "m")):
        require(value > 0.0, quantity=name, given=value, low=0.0, unit=unit)
    require(width > 0.0, quantity="width", given=width, low=0.0, unit="m")
    return spokes * section / (2.0 * np.pi * width * length)


def spoke_share(*, spokes: int, support: float, seat: float, inside: float) -> float:
    """Share of that upper bound which is left where the rim bends between its spokes [-].

    spokes: how many, 3 or more. support: spread evenly [-]. seat, inside: diameters of the rim
    [m]; its bending alone is counted, not the tyre's. Raises OutOfRange.
    """
    require(spokes >= 3, quantity="spokes", given=spokes, low=3.0)
    require(0.0 < inside < seat, quantity="inside", given=inside, low=0.0, high=seat, unit="m")
    depth, middle = 0.5 * (seat - inside), 0.25 * (seat + inside)
    half = np.pi / spokes
    sine, cosine = np.sin(half), np.cos(half)
    waves = 0.25 * (half / sine) ** 2 + 0.25 * half * cosine / sine - 0.5
    give = 24.0 * support * (middle / depth) ** 3 * waves
    return float(1.0 / (1.0 + give))


def spoke_bending(*, spokes: int, seat: float, inside: float, rim_share: float) -> float:
    """Bending stress in the rim where a spoke stands, over the pressure pushed back [-].

    spokes: how many, 3 or more. seat, inside: diameters of the rim [m]. rim_share: of the moment
    that the rim bears [-], 0 to 1: rim and tyre bend to one curvature and share it by stiffness.
    Squeezed at the inside of the rim, pulled under the tyre. A spoke is taken as a point: its
    width makes the true figure smaller. Raises OutOfRange.
    """
    require(spokes >= 3, quantity="spokes", given=spokes, low=3.0)
    require(0.0 < inside < seat, quantity="inside", given=inside, low=0.0, high=seat, unit="m")
    require(0.0 <= rim_share <= 1.0, quantity="rim share", given=rim_share, low=0.0, high=1.0)
    depth, middle, inner = 0.5 * (seat - inside), 0.25 * (seat + inside), 0.5 * inside
    half = np.pi / spokes
    moment = inner * middle * (1.0 - half / np.tan(half))
    return float(6.0 * rim_share * moment / depth**2)
