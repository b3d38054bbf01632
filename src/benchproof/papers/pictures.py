"""Pictures that stand in a paper: sheets of a drawing at true scale, and the code to scan."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from benchproof.drawing import Drawing
from benchproof.papers.layout import Orientation, Paper, lay_out
from benchproof.papers.placed import Sheet
from benchproof.papers.svg import described, svg
from benchproof.papers.title_block import TitleBlock
from benchproof.papers.typesetting import FONT_FAMILY
from benchproof.papers.wording import Units


@dataclass(frozen=True)
class Picture:
    """A picture of a paper: its file, its size on paper [mm], and what it shows in words."""

    name: str
    data: bytes
    width: float
    height: float
    words: str

    @property
    def plain(self) -> dict[str, Any]:
        """What a template needs to know of it."""
        return {
            "file": self.name,
            "width": self.width,
            "height": self.height,
            "words": self.words,
        }


def drawing_pictures(
    drawing: Drawing,
    *,
    name: str,
    paper: Paper,
    units: Units,
    block: TitleBlock,
    orientation: Orientation = "whichever is larger",
) -> tuple[Picture, ...]:
    """Every sheet of a drawing, each to be printed at its own size so that its scale holds."""
    sheets = lay_out(drawing, paper=paper, orientation=orientation, units=units, block=block)
    return pictures_of(sheets, name)


def pictures_of(sheets: Sequence[Sheet], name: str) -> tuple[Picture, ...]:
    """Sheets as pictures whose lettering is that of the shipped fonts."""
    return tuple(
        Picture(
            f"{name}-{sheet.number}.svg",
            svg(sheet, font_family=FONT_FAMILY).encode(),
            sheet.width,
            sheet.height,
            described(sheet),
        )
        for sheet in sheets
    )


def code(told: str, *, name: str = "code.svg", width: float = 18.0) -> Picture:
    """A square code [mm] that a camera reads as ``told``: an address, or an id."""
    import segno

    made = segno.make(told, error="m", micro=False)
    out = io.BytesIO()
    made.save(out, kind="svg", border=0, xmldecl=False, svgns=True, omitsize=True)
    return Picture(name, out.getvalue(), width, width, f"A code that reads: {told}")
