"""Dimensions after ISO 129-1: what is measured where, its nominal, its tolerance, its feature.

A dimension knows the points it is taken from and so its own nominal. A nominal that is stated
must agree with them, so that a drawing can be scaled off and a file measured; one that is not
drawn to scale says ``off_scale`` and is underlined.
"""

from __future__ import annotations

import math
from dataclasses import InitVar, dataclass
from typing import Literal, TypeAlias

from benchproof.drawing.geometry import Point
from benchproof.drawing.sizes import Sized, Tolerance
from benchproof.quantities import ANGLE, LENGTH, TAPER, Kind

Side = Literal["above", "below", "left", "right", "leader"]
Direction = Literal["horizontal", "vertical", "aligned"]
_AGREE = 1e-9


@dataclass(frozen=True, kw_only=True)
class _Dimension:
    """What all dimensions share.

    ``nominal`` [SI] is taken from the points where it is not stated; ``size`` states nominal,
    tolerance (unless that is stated too) and doubt. ``feature`` names the duty's feature it
    stands for. ``doubtful``: the odds are poor, drawn with a flag. ``reference``: for
    information only, in brackets. ``count``: written before it ("4 ×"). ``suffix``: a word or
    two written after it ("deep", "pitch circle").
    """

    nominal: float = math.nan
    tolerance: Tolerance | None = None
    feature: str = ""
    doubtful: bool = False
    reference: bool = False
    off_scale: bool = False
    count: int = 1
    suffix: str = ""
    size: InitVar[Sized | None] = None

    def __post_init__(self, size: Sized | None) -> None:
        if size is not None:
            object.__setattr__(self, "nominal", size.aim)
            object.__setattr__(self, "tolerance", self.tolerance or size.tolerance)
            object.__setattr__(self, "doubtful", self.doubtful or size.doubtful)
        measured = self.measured
        if math.isnan(self.nominal):
            object.__setattr__(self, "nominal", measured)
        elif not self.off_scale and not math.isclose(
            self.nominal, measured, rel_tol=1e-6, abs_tol=_AGREE
        ):
            raise ValueError(
                f"{self.feature or type(self).__name__}: nominal {self.nominal!r}, but its points "
                f"measure {measured!r}; draw it to size or say off_scale"
            )
        if self.reference and self.tolerance:
            raise ValueError("a reference dimension carries no tolerance")

    @property
    def measured(self) -> float:
        """What the points measure [SI]."""
        raise NotImplementedError

    @property
    def kind(self) -> Kind:
        """The kind of quantity it is."""
        return LENGTH


@dataclass(frozen=True, kw_only=True)
class Linear(_Dimension):
    """A distance between two points, its line set out to one ``side`` of the view.

    ``sign`` "Ø" makes it the diameter of a turned part seen from the side. ``side`` "leader"
    sets the figure clear of the view, with a line to ``start``, where there is no room to
    draw it across.
    """

    start: Point
    end: Point
    direction: Direction = "horizontal"
    side: Side = "below"
    sign: Literal["", "Ø"] = ""

    @property
    def measured(self) -> float:
        """Distance [m] along the dimension's direction."""
        across, up = self.end[0] - self.start[0], self.end[1] - self.start[1]
        if self.direction == "horizontal":
            return abs(across)
        return abs(up) if self.direction == "vertical" else math.hypot(across, up)


@dataclass(frozen=True, kw_only=True)
class Diameter(_Dimension):
    """The diameter of a circle seen face on; its leader leaves at ``angle`` [rad]."""

    centre: Point
    radius: float
    angle: float = math.pi / 4

    @property
    def measured(self) -> float:
        """Diameter [m]."""
        return 2.0 * self.radius


@dataclass(frozen=True, kw_only=True)
class Radius(_Dimension):
    """The radius of an arc; its arrow touches the arc at ``angle`` [rad]."""

    centre: Point
    radius: float
    angle: float = math.pi / 4

    @property
    def measured(self) -> float:
        """Radius [m]."""
        return self.radius


@dataclass(frozen=True, kw_only=True)
class Angular(_Dimension):
    """The angle [rad] between two directions from ``vertex``.

    What it is taken from ends at ``radius`` [m]; extension lines and the arc stand beyond.
    """

    vertex: Point
    start_angle: float
    end_angle: float
    radius: float

    @property
    def measured(self) -> float:
        """Angle [rad]."""
        return self.end_angle - self.start_angle

    @property
    def kind(self) -> Kind:
        """An angle."""
        return ANGLE


@dataclass(frozen=True, kw_only=True)
class TaperOf(_Dimension):
    """The taper of a cone, on diameter: (large - small) / length, with a leader to ``at``."""

    at: Point
    large: float
    small: float
    length: float

    @property
    def measured(self) -> float:
        """Change of diameter per length [-]."""
        return (self.large - self.small) / self.length

    @property
    def kind(self) -> Kind:
        """A taper."""
        return TAPER


@dataclass(frozen=True, kw_only=True)
class Chamfer(_Dimension):
    """A bevelled edge of ``width`` [m] along the axis, at ``angle`` [rad], leader to ``at``."""

    at: Point
    width: float
    angle: float = math.pi / 4

    @property
    def measured(self) -> float:
        """Width along the axis [m]."""
        return self.width


@dataclass(frozen=True, kw_only=True)
class Thread(_Dimension):
    """A thread by its trade designation ("M6 × 0.75", "1/4 in × 40"), leader to ``at``.

    ``major`` [m] is the diameter it is turned to or its hole is marked with.
    """

    at: Point
    major: float
    designation: str

    @property
    def measured(self) -> float:
        """Major diameter [m]."""
        return self.major


Dimension: TypeAlias = Linear | Diameter | Radius | Angular | TaperOf | Chamfer | Thread
