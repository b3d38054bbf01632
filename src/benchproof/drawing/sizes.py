"""A size as it is to be cut: aim, permitted deviations, and whether the odds are poor."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Tolerance:
    """Permitted deviations from the nominal, ``upper`` over ``lower``, in the nominal's unit.

    ``fit`` is an ISO 286 class ("H7") written beside the nominal, where there is one.
    """

    upper: float
    lower: float
    fit: str = ""

    def __post_init__(self) -> None:
        if not (math.isfinite(self.upper) and math.isfinite(self.lower)):
            raise ValueError("a deviation is a finite number; leave the tolerance out instead")
        if self.lower > self.upper:
            raise ValueError(f"the lower deviation {self.lower} is above the upper {self.upper}")


@dataclass(frozen=True)
class Sized:
    """What a feature is to be cut to: ``aim`` and the deviations within which it does its duty.

    All in SI (metres for a length, a plain number for a taper, radians for an angle). ``upper``
    and ``lower`` are signed deviations from the aim, both None where no limits are known.
    ``doubtful``: the odds of coming right are poor; the drawing flags it.
    """

    aim: float
    upper: float | None = None
    lower: float | None = None
    doubtful: bool = False

    def __post_init__(self) -> None:
        if (self.upper is None) != (self.lower is None):
            raise ValueError("a size has both deviations or neither")
        if not math.isfinite(self.aim):
            raise ValueError(f"an aim is a finite number, not {self.aim}")

    @property
    def tolerance(self) -> Tolerance | None:
        """The deviations as a tolerance, or None where there are none."""
        if self.upper is None or self.lower is None:
            return None
        return Tolerance(self.upper, self.lower)


def size_of(sizes: Mapping[str, Sized], feature: str, otherwise: float) -> Sized:
    """Size of a feature, or the bare planned value [SI] where the answer gives none."""
    return sizes.get(feature, Sized(otherwise))


def as_sized(value: float | Sized) -> Sized:
    """Return a bare number as a size without limits."""
    return value if isinstance(value, Sized) else Sized(value)
