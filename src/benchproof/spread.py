"""How a quantity is believed to vary: standard normals in, values out.

Every spread maps a standard normal score to a value by its inverse distribution function, so
that one set of normals serves odds, sweeps, causes and learning alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

Array: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True)
class Fixed:
    """A value taken as exact."""

    value: float

    @property
    def median(self) -> float:
        """The value itself."""
        return self.value

    def at(self, score: Array) -> Array:
        """Value at standard normal scores, any shape."""
        return np.full_like(score, self.value)


@dataclass(frozen=True)
class Normal:
    """A mean and a standard uncertainty, normally distributed."""

    mean: float
    sd: float

    def __post_init__(self) -> None:
        if not self.sd >= 0.0:
            raise ValueError(f"a standard uncertainty cannot be {self.sd}: give zero or more")

    @property
    def median(self) -> float:
        """The mean."""
        return self.mean

    def at(self, score: Array) -> Array:
        """Value at standard normal scores, any shape."""
        return self.mean + self.sd * score


@dataclass(frozen=True)
class Uniform:
    """Anywhere between two values, none more likely than another."""

    lower: float
    upper: float

    def __post_init__(self) -> None:
        if not self.lower <= self.upper:
            raise ValueError(f"a range cannot run from {self.lower} down to {self.upper}")

    @property
    def median(self) -> float:
        """The middle of the range."""
        return 0.5 * (self.lower + self.upper)

    def at(self, score: Array) -> Array:
        """Value at standard normal scores, any shape."""
        share: Array = ndtr(score)
        return self.lower + (self.upper - self.lower) * share


@dataclass(frozen=True)
class LogUniform:
    """Anywhere between two positive values, every factor equally likely."""

    lower: float
    upper: float

    def __post_init__(self) -> None:
        if not 0.0 < self.lower <= self.upper:
            raise ValueError(f"a range of factors cannot run from {self.lower} to {self.upper}")

    @property
    def median(self) -> float:
        """The geometric middle of the range."""
        return float(np.sqrt(self.lower * self.upper))

    def at(self, score: Array) -> Array:
        """Value at standard normal scores, any shape."""
        share: Array = ndtr(score)
        return np.asarray(self.lower * np.exp(np.log(self.upper / self.lower) * share))


@dataclass(frozen=True)
class LogNormal:
    """A median known within a factor: one standard deviation multiplies or divides by it."""

    middle: float
    factor: float

    def __post_init__(self) -> None:
        if not (self.middle > 0.0 and self.factor >= 1.0):
            raise ValueError("a factor spread needs a positive median and a factor of 1 or more")

    @property
    def median(self) -> float:
        """The median."""
        return self.middle

    def at(self, score: Array) -> Array:
        """Value at standard normal scores, any shape."""
        return np.asarray(self.middle * np.exp(np.log(self.factor) * score))


@dataclass(frozen=True)
class Below:
    """Less than zero by a positive spread: a piece smaller than its mate by an unknown gap."""

    gap: LogUniform | LogNormal | Uniform

    @property
    def median(self) -> float:
        """The median."""
        return -self.gap.median

    def at(self, score: Array) -> Array:
        """Value at standard normal scores, any shape."""
        return -self.gap.at(-score)


Spread: TypeAlias = Fixed | Normal | Uniform | LogUniform | LogNormal | Below
