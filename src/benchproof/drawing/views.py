"""Views of a part and the drawing they make up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from benchproof.drawing.dimensions import (
    Angular,
    Chamfer,
    Diameter,
    Dimension,
    Linear,
    Radius,
    TaperOf,
    Thread,
)
from benchproof.drawing.geometry import Shape, moved, points_of
from benchproof.drawing.marks import Datum, Finish, Mark, Note

ViewKind = Literal["view", "section", "half section", "end view", "detail", "scheme"]
SeenFrom = Literal["front", "left", "right", "above", "below"]
Projection = Literal["first angle", "third angle"]
Box: TypeAlias = tuple[float, float, float, float]

_DIMENSIONS = (Linear, Diameter, Radius, Angular, TaperOf, Chamfer, Thread)
_MARKS = (Finish, Datum, Note)


@dataclass(frozen=True)
class View:
    """One picture of a part at true size [m]; where it stands on paper is settled later.

    ``scale`` (paper over true) is None where the largest standard scale that fits will do.
    ``seen_from`` places it about the first view, by the drawing's projection. A "scheme" is
    drawn to no scale and says so.
    """

    title: str
    shapes: tuple[Shape, ...]
    dimensions: tuple[Dimension, ...] = ()
    marks: tuple[Mark, ...] = ()
    kind: ViewKind = "view"
    scale: float | None = None
    seen_from: SeenFrom = "front"

    def __post_init__(self) -> None:
        if not self.shapes:
            raise ValueError(f"the view {self.title!r} shows nothing")
        if self.scale is not None and self.scale <= 0.0:
            raise ValueError(f"a scale is above zero, not {self.scale}")

    @property
    def box(self) -> Box:
        """Left, bottom, right and top of what is drawn, dimensions left out [m]."""
        points = [point for shape in self.shapes for point in points_of(shape)]
        across, up = zip(*points, strict=True)
        return (min(across), min(up), max(across), max(up))

    def adding(self, *things: Shape | Dimension | Mark) -> View:
        """Return the view with more shapes, dimensions or marks on it."""
        shapes, dimensions, marks = list(self.shapes), list(self.dimensions), list(self.marks)
        for thing in things:
            if isinstance(thing, _DIMENSIONS):
                dimensions.append(thing)
            elif isinstance(thing, _MARKS):
                marks.append(thing)
            else:
                shapes.append(thing)
        return replace(self, shapes=tuple(shapes), dimensions=tuple(dimensions), marks=tuple(marks))

    def shapes_moved(self, right: float = 0.0, up: float = 0.0) -> tuple[Shape, ...]:
        """Shapes shifted [m], to stand in another view as its neighbour part."""
        return tuple(moved(shape, right, up) for shape in self.shapes)


@dataclass(frozen=True)
class Drawing:
    """All that is drawn of one part or one fit.

    ``material`` and ``number`` go in the title block; ``notes`` below the views, one each.
    ``quantity``: how many are wanted, in words ("2 off").
    """

    title: str
    views: tuple[View, ...]
    notes: tuple[str, ...] = ()
    material: str = ""
    number: str = ""
    projection: Projection = "first angle"
    quantity: str = ""

    def __post_init__(self) -> None:
        if not self.views:
            raise ValueError(f"the drawing {self.title!r} has no view")

    def dimensions(self) -> Iterator[Dimension]:
        """Every dimension of every view, in order."""
        for view in self.views:
            yield from view.dimensions

    @property
    def doubtful(self) -> bool:
        """Whether any size is flagged."""
        return any(dimension.doubtful for dimension in self.dimensions())

    def of_feature(self, feature: str) -> tuple[Dimension, ...]:
        """Dimensions that stand for one of the duty's features."""
        return tuple(each for each in self.dimensions() if each.feature == feature)
