"""A drawing set out on sheets: the largest standard scale at which everything stands clear.

What does not fit on one sheet goes on the next, and what does not fit on any of its size goes on
the next larger.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from benchproof.drawing import Drawing, View
from benchproof.papers.arranging import arranged
from benchproof.papers.boxes import Box
from benchproof.papers.details import SCALES, with_details
from benchproof.papers.placed import PlacedView, Sheet, scale_text
from benchproof.papers.rows import Hand, NoRoom
from benchproof.papers.title_block import Furniture, TitleBlock, furnish
from benchproof.papers.view_layout import lay_view
from benchproof.papers.wording import Units

Paper = Literal["A5", "A4", "A3"]
Orientation = Literal["landscape", "portrait", "whichever is larger"]
SIZES: Final[dict[Paper, tuple[float, float]]] = {
    "A5": (148.0, 210.0),
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
}
# Line widths and lettering [mm]: groups 0.35 and 0.5 of ISO 128-2, heights of ISO 3098-1.
_HANDS: dict[Paper, tuple[float, float, float]] = {
    "A5": (0.35, 0.18, 2.5),
    "A4": (0.5, 0.25, 2.5),
    "A3": (0.5, 0.25, 3.5),
}
_MARGIN = {"A5": 6.0, "A4": 10.0, "A3": 10.0}
_LEAST_PICTURES = ((25.0, 12.0), (10.0, 0.0))
"""[mm] Larger side on paper of the largest picture and of the smallest: less says little, then
nothing."""


def lay_out(
    drawing: Drawing,
    *,
    paper: Paper = "A4",
    orientation: Orientation = "whichever is larger",
    units: Units = "metric",
    block: TitleBlock | None = None,
) -> tuple[Sheet, ...]:
    """Sheets of a drawing, each at the largest standard scale that fits.

    Raises NoRoom where not even A3 holds one of its views.
    """
    for size in list(SIZES)[list(SIZES).index(paper) :]:
        office = _Office(drawing, size, orientation, units, block or TitleBlock())
        for least in _LEAST_PICTURES:
            sheets = office.sheets(least)
            if sheets:
                return sheets
    raise NoRoom(f"{drawing.title!r} has a view that no sheet up to A3 holds")


@dataclass(frozen=True)
class _Arranged:
    scale: float
    views: tuple[PlacedView, ...]
    size: tuple[float, float]


@dataclass(frozen=True)
class _Office:
    """One drawing on one size of paper; a view once placed at a scale is kept."""

    drawing: Drawing
    paper: Paper
    orientation: Orientation
    units: Units
    block: TitleBlock
    kept: dict[tuple[int, float, int], list[PlacedView] | None] = field(default_factory=dict)

    @property
    def hand(self) -> Hand:
        """Lettering and units."""
        return Hand(_HANDS[self.paper][2], self.units)

    def frame(self, size: tuple[float, float]) -> Box:
        """Frame of a sheet."""
        margin = _MARGIN[self.paper]
        return (margin, margin, size[0] - margin, size[1] - margin)

    def furniture(self, size: tuple[float, float], scale: str, sheet: str) -> Furniture:
        """Frame, title block and notes."""
        return furnish(
            self.drawing,
            self.block,
            width=size[0],
            height=size[1],
            frame=self.frame(size),
            lettering=self.hand.lettering,
            units=self.units,
            scale=scale,
            sheet=sheet,
        )

    def sheets(self, least: tuple[float, float]) -> tuple[Sheet, ...]:
        """As few sheets as will do; none where a view alone does not fit."""
        found: list[_Arranged] = []
        first, letters = 0, 0
        while first < len(self.drawing.views):
            best, first = self._next(first, least, letters, found)
            if best is None:
                return ()
            found.append(best)
            letters += sum(each.view.kind == "detail" for each in best.views)
        return tuple(self._sheet(each, n, len(found)) for n, each in enumerate(found, start=1))

    def _next(
        self, first: int, least: tuple[float, float], letters: int, before: Sequence[_Arranged]
    ) -> tuple[_Arranged | None, int]:
        """The next sheet, with as many views as it takes, and the view that comes after it.

        It lies as the one before it does, as long as that can be.
        """
        alike = [[each.size] for each in before[:1]]
        for ways in (*alike, self.ways):
            for last in range(len(self.drawing.views), first, -1):
                best = self._best(range(first, last), least, letters, ways)
                if best is not None:
                    return best, last
        return None, first

    def _sheet(self, each: _Arranged, number: int, of: int) -> Sheet:
        wide, narrow, lettering = _HANDS[self.paper]
        furniture = self.furniture(each.size, scale_text(each.scale), f"{number} of {of}")
        return Sheet(
            drawing=self.drawing,
            width=each.size[0],
            height=each.size[1],
            frame=self.frame(each.size),
            scale=each.scale,
            units=self.units,
            views=each.views,
            strokes=furniture.strokes,
            words=furniture.words,
            wide=wide,
            narrow=narrow,
            lettering=lettering,
            number=number,
            of=of,
        )

    @property
    def ways(self) -> list[tuple[float, float]]:
        """Sheets upright and lying, or the one that was asked for."""
        short, long = SIZES[self.paper]
        return {"portrait": [(short, long)], "landscape": [(long, short)]}.get(
            self.orientation, [(long, short), (short, long)]
        )

    def _best(
        self,
        places: range,
        least: tuple[float, float],
        letters: int,
        ways: Sequence[tuple[float, float]],
    ) -> _Arranged | None:
        """The sheet of the larger scale."""
        found = [each for size in ways if (each := self._at_largest(places, size, least, letters))]
        return max(found, key=lambda each: each.scale) if found else None

    def _at_largest(
        self, places: range, size: tuple[float, float], least: tuple[float, float], letters: int
    ) -> _Arranged | None:
        room = self.furniture(size, scale_text(1.0), "1 of 1").left
        for scale in _scales([self.drawing.views[n] for n in places], room, least):
            placed = self._placed(places, scale, letters, room)
            views = placed and arranged(placed, room, self.drawing.projection)
            if views:
                return _Arranged(scale, views, size)
        return None

    def _placed(
        self, places: range, scale: float, letters: int, room: Box
    ) -> list[PlacedView] | None:
        """Every view at the common scale or its own, then the details this asks for."""
        found: list[PlacedView] = []
        details: list[PlacedView] = []
        for place in places:
            views = self._view(place, scale, letters + len(details))
            if views is None or any(not _fits(each, room) for each in views):
                return None
            found.append(views[0])
            details += views[1:]
        return found + details

    def _view(self, place: int, scale: float, letters: int) -> list[PlacedView] | None:
        """One view and its details, placed; None where something finds no place."""
        key = (place, scale, letters)
        if key not in self.kept:
            view = self.drawing.views[place]
            own = view.scale or scale
            bare, circled, details = with_details(view, own, letters)
            try:
                self.kept[key] = [
                    lay_view(bare, own, self.hand, circled=circled, say_scale=own != scale),
                    *(lay_view(e, e.scale or 1.0, self.hand, say_scale=True) for e in details),
                ]
            except NoRoom:
                self.kept[key] = None
        return self.kept[key]


def _fits(view: PlacedView, room: Box) -> bool:
    """Whether a view alone is no larger than the room."""
    return (
        view.box[2] - view.box[0] <= room[2] - room[0]
        and view.box[3] - view.box[1] <= room[3] - room[1]
    )


def _scales(views: Sequence[View], room: Box, least: tuple[float, float]) -> Iterator[float]:
    """Scales worth trying: the bare pictures fit, and none is too small to read."""
    free = [view for view in views if view.scale is None]
    for scale in SCALES:
        sizes = [
            (1000.0 * scale * (box[2] - box[0]), 1000.0 * scale * (box[3] - box[1]))
            for box in (view.box for view in free)
        ]
        if any(w > room[2] - room[0] or h > room[3] - room[1] for w, h in sizes):
            continue
        sides = [max(size) for size in sizes]
        if not sizes or scale == SCALES[0] or (max(sides) >= least[0] and min(sides) >= least[1]):
            yield scale
        else:
            return
