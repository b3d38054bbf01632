"""What is given for a lot: the limits, the gauge, and how this lathe makes the feature."""

from __future__ import annotations

import math
from dataclasses import dataclass

from benchproof.features import Removal
from benchproof.spread import Fixed, Spread, Uniform
from benchproof.workshop.guard_band import ISO_14253_FACTOR, acceptance_limits
from benchproof.workshop.standing import Standing

SETTING_SHARE = Uniform(0.2, 0.8)
"""Share of the variance that pieces of one setting have in common: a judgement, no more."""

NO_WEAR = Fixed(0.0)

GAUGE_ZERO_SHARE = 0.5
"""Share of a gauge's variance that is the same in all its readings: a judgement, no more."""


@dataclass(frozen=True)
class Limits:
    """Limits of a feature [m], and which way a piece outside them can still be corrected."""

    lower: float
    upper: float
    correction: Removal | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.lower) and math.isfinite(self.upper)):
            raise ValueError(f"limits are finite sizes, not {self.lower} and {self.upper}")
        if not self.lower < self.upper:
            raise ValueError(f"the lower limit {self.lower} must be under the upper {self.upper}")


@dataclass(frozen=True)
class Gauge:
    """The gauge every piece is read with.

    ``u`` [m] is its standard uncertainty, zero for a gauge without doubt; ``zero_share`` [0 to 1]
    the share of its variance that all readings of a lot have in common; ``guard`` how many
    standard uncertainties inside the limits a reading must lie to be accepted (zero or more).
    """

    u: float = 0.0
    zero_share: float = GAUGE_ZERO_SHARE
    guard: float = ISO_14253_FACTOR

    def __post_init__(self) -> None:
        if not (math.isfinite(self.u) and self.u >= 0.0):
            raise ValueError(f"a gauge's standard uncertainty is zero or more, not {self.u}")
        if not 0.0 <= self.zero_share <= 1.0:
            raise ValueError(f"a share lies between 0 and 1, not {self.zero_share}")

    @property
    def zero(self) -> float:
        """Standard uncertainty [m] that all readings share."""
        return self.u * math.sqrt(self.zero_share)

    @property
    def repeat(self) -> float:
        """Standard uncertainty [m] of each reading by itself."""
        return self.u * math.sqrt(1.0 - self.zero_share)

    def accepts(self, limits: Limits) -> tuple[float, float]:
        """Readings to accept [m]; ``ValueError`` when the gauge leaves none."""
        return acceptance_limits(
            lower=limits.lower, upper=limits.upper, u=self.u, factor=self.guard
        )


@dataclass(frozen=True)
class LotProcess:
    """How this lathe makes the feature.

    ``standing`` is what it has shown for this kind of process, ``unit`` [m] the size of the
    process's own unit at this part (1 for processes counted in metres). ``setting_share``
    [0 to 1] is the share of the variance that belongs to the setting; ``wear`` [m per piece] how
    much each piece comes out larger than the one before (negative: smaller).
    """

    standing: Standing
    unit: float
    setting_share: Spread = SETTING_SHARE
    wear: Spread = NO_WEAR

    def __post_init__(self) -> None:
        if not (math.isfinite(self.unit) and self.unit > 0.0):
            raise ValueError(f"a process unit is a size above zero, not {self.unit}")

    @property
    def known_bias(self) -> float:
        """Lasting bias to allow for when the stop is set [m]."""
        standing = self.standing
        return self.unit * float(standing.probability @ standing.bias_mean)

    @property
    def typical_spread(self) -> float:
        """Median spread [m] of pieces cut each at a setting of its own."""
        return self.unit * self.standing.spread_quantile(0.5)
