"""What must be held on a part, and the independent causes that move it.

A *feature* is one thing that must be held. Its true value is its aim plus gains times *errors*;
an error is one independent cause of variation (this cut, this top-slide setting). Two features
that share an error move together, which is half the craft.

A *process kind* says in what unit a class of errors is counted, so that small and large parts
inform one another: ISO 286 tolerance units for diameters, radians for angles, metres for places.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from benchproof.quantities import LENGTH, Kind
from benchproof.tables.iso286 import tolerance_unit

ProcessUnit = Literal["tolerance unit", "rad", "m"]
Removal = Literal["smaller", "larger"]


@dataclass(frozen=True)
class ProcessKind:
    """A class of work whose errors are counted together.

    ``typical_spread`` is the median standard deviation of an untried builder's work in the
    process's own unit, known within ``spread_factor`` (one standard deviation multiplies or
    divides by it); ``typical_bias`` is the standard deviation of a lasting offset.
    """

    key: str
    label: str
    plural: str
    unit: ProcessUnit
    typical_spread: float
    spread_factor: float
    typical_bias: float
    source: str

    def unit_at(self, size: float) -> float:
        """SI value of one process unit at a scaling size [m]."""
        return float(tolerance_unit(size)) if self.unit == "tolerance unit" else 1.0


# ln c ~ N(ln 3, 0.8 squared): +-3 sigma of an untried builder spans about IT7, give or take two.
_DIAMETER = {
    "unit": "tolerance unit",
    "typical_spread": 3.0,
    "spread_factor": 2.2255,
    "typical_bias": 3.0,
    "source": "judgement: an untried careful builder holds about IT7 to IT8",
}
# A reamer's own size is known; what varies is how it cuts, within about IT6 to IT8.
_REAMED = {
    "unit": "tolerance unit",
    "typical_spread": 2.0,
    "spread_factor": 2.0,
    "typical_bias": 3.0,
    "source": "judgement: a sharp hand reamer holds about IT7, and cuts a little over its size",
}
_ANGLE = {
    "unit": "rad",
    "spread_factor": 1.5,
    "typical_bias": 0.0,
}

PROCESSES: Mapping[str, ProcessKind] = MappingProxyType(
    {
        kind.key: kind
        for kind in (
            ProcessKind("bore", "bore", "bores", **_DIAMETER),  # type: ignore[arg-type]
            ProcessKind("turn", "turned diameter", "turned diameters", **_DIAMETER),  # type: ignore[arg-type]
            ProcessKind("ream", "reamed hole", "reamed holes", **_REAMED),  # type: ignore[arg-type]
            ProcessKind(
                "one setting",
                "angle between tapers cut at one setting",
                "tapers cut at one setting",
                typical_spread=0.3 * 2.9089e-4,
                source="judgement: 0.3 arcmin left by tool height and re-chucking",
                **_ANGLE,  # type: ignore[arg-type]
            ),
            ProcessKind(
                "clocked angle",
                "top-slide angle set by clock over 25 mm",
                "angles set by clock",
                typical_spread=4e-6 / 25e-3,
                source="judgement: a clock trusted to 4 um over 25 mm",
                **_ANGLE,  # type: ignore[arg-type]
            ),
            ProcessKind(
                "graduated angle",
                "top-slide angle set by its graduations",
                "angles set by graduations",
                typical_spread=0.1 * 1.74533e-2,
                source="judgement: graduations trusted to a tenth of a degree",
                **_ANGLE,  # type: ignore[arg-type]
            ),
            ProcessKind(
                "bought reamer",
                "angle left by a bought taper reamer",
                "tapers reamed with a bought reamer",
                typical_spread=1.0 * 2.9089e-4,
                source="judgement: ground to 0.5 arcmin, and cuts as it is fed",
                **_ANGLE,  # type: ignore[arg-type]
            ),
            ProcessKind(
                "press",
                "closing of a pressed bush",
                "pressed bushes",
                unit="m",
                typical_spread=1.5e-6,
                spread_factor=2.0,
                typical_bias=1.5e-6,
                source="judgement: thick-ring theory says the closing to a tenth of some 15 um",
            ),
            ProcessKind(
                "tap thread",
                "pitch diameter of a tapped thread",
                "tapped threads",
                unit="m",
                typical_spread=12e-6,
                spread_factor=2.0,
                typical_bias=15e-6,
                source="judgement: one tap cuts alike within some hundredths of a millimetre",
            ),
            ProcessKind(
                "die thread",
                "pitch diameter of a thread cut with a die",
                "threads cut with a die",
                unit="m",
                typical_spread=20e-6,
                spread_factor=2.0,
                typical_bias=20e-6,
                source="judgement: an adjustable die is set by trial, and springs",
            ),
            ProcessKind(
                "cone ream",
                "tapered hole of a few tenths, reamed",
                "tapered holes of a few tenths, reamed",
                unit="m",
                typical_spread=6e-6,
                spread_factor=2.0,
                typical_bias=5e-6,
                source="judgement: a D-bit of 1:10 stopped within 0.05 mm of its depth, and its "
                "own size; a parallel reamer's tolerance units tell nothing of it",
            ),
            ProcessKind(
                "place",
                "axial place",
                "axial places",
                unit="m",
                typical_spread=20e-6,
                spread_factor=2.0,
                typical_bias=10e-6,
                source="judgement: two hundredths of a millimetre along the axis",
            ),
        )
    }
)


@dataclass(frozen=True)
class Error:
    """One independent cause of variation: a cut, a setting, a chucking.

    ``size`` is the scaling size [m] at which the process unit is taken.
    """

    name: str
    process: str
    size: float
    label: str = ""

    def __post_init__(self) -> None:
        if self.process not in PROCESSES:
            known = ", ".join(PROCESSES)
            raise ValueError(f"error {self.name!r} names process {self.process!r}; known: {known}")

    @property
    def unit(self) -> float:
        """SI value of one unit of this error."""
        return PROCESSES[self.process].unit_at(self.size)


@dataclass(frozen=True)
class Feature:
    """One thing that must be held: its aim plus gains times errors.

    ``aim`` is the planned true value (SI), written as its ``kind`` is. A feature cut ``to_suit``
    takes its aim from its ``mate``'s measured size (the mate stands earlier in the list): the
    mate's own error drops out and its gauge's comes in. ``gauge`` names the instrument it is read
    with.
    ``correction`` says which way it can still be put right once cut: metal comes off, not on.
    The one feature with ``cut_last`` is that whose aim is chosen. ``material`` is that of the part,
    so that a size taken warm can be told at 20 degrees Celsius.
    """

    name: str
    aim: float
    label: str
    kind: Kind = LENGTH
    gains: Mapping[str, float] = field(default_factory=dict)
    mate: str | None = None
    to_suit: bool = False
    gauge: str | None = None
    correction: Removal | None = None
    cut_last: bool = False
    material: str | None = None

    def __post_init__(self) -> None:
        if self.to_suit and self.mate is None:
            raise ValueError(f"feature {self.name!r} is cut to suit, but names no mate")
