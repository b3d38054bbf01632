"""Plain ISO fits: a nominal size and two grades to the limits of hole and shaft.

In the hole-basis system the hole is an H and the shaft's letter makes the fit; in the shaft-basis
system the shaft is an h and the hole's letter does. One reamer serves one hole size, so the
workshop works by the hole; bright bar and silver steel come as shafts of h.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from benchproof.tables.iso286 import Fit, UnknownTolerance, limits

FitKind = Literal["clearance", "transition", "interference"]
System = Literal["hole basis", "shaft basis", "neither"]


@dataclass(frozen=True, kw_only=True)
class IsoFit:
    """Limits of size of a hole and a shaft of one nominal size [m], and what fit they make.

    Clearances are diametral; a negative one is an interference.
    """

    nominal: float
    hole: str
    shaft: str
    fit: Fit

    @property
    def designation(self) -> str:
        """The fit as a drawing writes it, such as ``H7/f7``."""
        return f"{self.hole}/{self.shaft}"

    @property
    def hole_sizes(self) -> tuple[float, float]:
        """Smallest and largest hole [m]."""
        return self.nominal + self.fit.hole.lower, self.nominal + self.fit.hole.upper

    @property
    def shaft_sizes(self) -> tuple[float, float]:
        """Smallest and largest shaft [m]."""
        return self.nominal + self.fit.shaft.lower, self.nominal + self.fit.shaft.upper

    @property
    def clearances(self) -> tuple[float, float]:
        """Least and greatest diametral clearance [m]."""
        return self.fit.least_clearance, self.fit.greatest_clearance

    @property
    def kind(self) -> FitKind:
        """Whether the shaft always goes in, never does unforced, or may do either."""
        least, greatest = self.clearances
        if least >= 0.0:
            return "clearance"
        return "interference" if greatest <= 0.0 else "transition"

    @property
    def system(self) -> System:
        """Which of the two parts has the plain letter."""
        if self.hole.rstrip("0123456789") == "H":
            return "hole basis"
        return "shaft basis" if self.shaft.rstrip("0123456789") == "h" else "neither"


def iso_fit(nominal: float, hole: str = "H7", shaft: str = "f7") -> IsoFit:
    """Work out the limits of a hole and a shaft of one nominal size.

    ``nominal`` [m], over 0 to 0.5 (to 0.18 for letters m to zc); ``hole`` such as "H7" in
    capitals, ``shaft`` such as "f7" in small letters. Raises OutOfRange, or UnknownTolerance for
    a letter or grade the tables do not hold. Source: ISO 286-1:2010 and ISO 286-2:2010 as held in
    :mod:`benchproof.tables.iso286`.
    """
    if not hole[:1].isupper():
        raise UnknownTolerance(hole, "write a hole in capitals, as H7")
    if not shaft[:1].islower():
        raise UnknownTolerance(shaft, "write a shaft in small letters, as f7")
    held = Fit(hole=limits(hole, nominal), shaft=limits(shaft, nominal))
    return IsoFit(nominal=nominal, hole=hole.strip(), shaft=shaft.strip(), fit=held)
