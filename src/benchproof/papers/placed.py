"""What stands where on a sheet [mm], for the writers: views, dimensions, lettering."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from benchproof.drawing import Dimension, Drawing, Mark, Point, View
from benchproof.papers.boxes import Box, shifted
from benchproof.papers.lettering import ASCENT, DESCENT, width_of
from benchproof.papers.wording import Units, Wording

Anchor = Literal["start", "middle", "end"]
StrokeKind = Literal["thin", "frame", "border", "symbol"]


@dataclass(frozen=True)
class Words:
    """One line of lettering: base line starting at ``at``, capitals ``height`` high [mm].

    ``turned``: it reads from the right-hand side of the sheet (a quarter turn).
    """

    at: Point
    text: str
    height: float
    turned: bool = False
    role: str = "text"

    @property
    def width(self) -> float:
        """Width of the line [mm]."""
        return width_of(self.text, self.height)

    @property
    def box(self) -> Box:
        """Box about the line on paper."""
        x, y = self.at
        up, down = ASCENT * self.height, DESCENT * self.height
        if self.turned:
            return (x - up, y, x + down, y + self.width)
        return (x, y - down, x + self.width, y + up)


@dataclass(frozen=True)
class Stroke:
    """A line through ``points`` on paper; ``filled`` for arrow heads and flags."""

    points: tuple[Point, ...]
    kind: StrokeKind = "thin"
    closed: bool = False
    filled: bool = False


@dataclass(frozen=True)
class PlacedDimension:
    """A dimension, a mark or a view's letter, with its lines and lettering about the origin.

    ``box`` is that of all its lettering. ``line_at`` is a point the dimension line goes through,
    ``text_at`` the middle of the lettering.
    """

    what: Dimension | Mark | None
    strokes: tuple[Stroke, ...]
    words: tuple[Words, ...]
    box: Box
    line_at: Point
    text_at: Point
    turned: bool = False
    says: tuple[Wording, ...] = ()
    spoken: str = ""


@dataclass(frozen=True)
class PlacedView:
    """A view at a scale: paper [mm] = ``origin`` + 1000 ``scale`` times view co-ordinates [m].

    ``box`` is all it takes about its own origin [mm]; dimensions and captions are about it too.
    """

    view: View
    scale: float
    origin: Point
    box: Box
    dimensions: tuple[PlacedDimension, ...]
    captions: tuple[Words, ...]

    def on_paper(self, point: Point) -> Point:
        """Point of the view [m] on the sheet [mm]."""
        k = 1000.0 * self.scale
        return (self.origin[0] + k * point[0], self.origin[1] + k * point[1])

    @property
    def area(self) -> Box:
        """Box on the sheet."""
        return shifted(self.box, *self.origin)


@dataclass(frozen=True)
class Sheet:
    """One sheet: all that stands on it, measured from its lower left corner [mm]."""

    drawing: Drawing
    width: float
    height: float
    frame: Box
    scale: float
    units: Units
    views: tuple[PlacedView, ...]
    strokes: tuple[Stroke, ...]
    words: tuple[Words, ...]
    wide: float
    narrow: float
    lettering: float
    number: int = 1
    of: int = 1

    def text_boxes(self) -> list[Box]:
        """Boxes of all lettering, of each dimension as one."""
        boxes = [each.box for each in self.words]
        for view in self.views:
            boxes += [shifted(each.box, *view.origin) for each in view.dimensions if each.words]
            boxes += [shifted(each.box, *view.origin) for each in view.captions]
        return boxes


def scale_text(scale: float) -> str:
    """A scale as drawings write it.

    >>> scale_text(2.0), scale_text(0.2), scale_text(1.0)
    ('2 : 1', '1 : 5', '1 : 1')
    """
    if scale >= 1.0:
        return f"{scale:g} : 1"
    return f"1 : {round(1.0 / scale, 6):g}"


def arrow(tip: Point, toward: float, size: float) -> Stroke:
    """A filled arrow head at ``tip`` that points in a direction [rad]."""
    back, half = size, size * math.tan(math.radians(7.5))
    cosine, sine = math.cos(toward), math.sin(toward)
    base = (tip[0] - back * cosine, tip[1] - back * sine)
    return Stroke(
        (
            tip,
            (base[0] - half * sine, base[1] + half * cosine),
            (base[0] + half * sine, base[1] - half * cosine),
        ),
        closed=True,
        filled=True,
    )
