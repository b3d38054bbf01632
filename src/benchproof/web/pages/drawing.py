"""Drawings of a duty: every sheet as a picture, and as a file for another program."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.responses import Response

from benchproof.book.errors import BookError
from benchproof.book.state import Binding
from benchproof.specs import SpecError
from benchproof.web.asking import Asked, missing, page
from benchproof.web.drawings import drawn
from benchproof.web.finding import binding_at
from benchproof.web.judging import Judged, judged
from benchproof.web.showing import shown


def drawing(asked: Asked) -> Response:
    """One sheet of the drawing of a duty, to the sizes of its answer."""
    sheets = _sheets(asked, binding_at(asked.desk.read(), asked.path["key"]))
    return Response(sheets[sheet_asked(asked, len(sheets))], media_type="image/svg+xml")


def drawings(asked: Asked) -> Response:
    """Every sheet, and each as a file for another program."""
    binding = binding_at(asked.desk.read(), asked.path["key"])
    try:
        to_keep = len(kept_sheets(asked, binding, ".svg"))
    except BookError:
        to_keep = 0
    return shown(
        asked,
        "drawings.html",
        binding=binding,
        sheets=range(1, len(_sheets(asked, binding)) + 1),
        to_keep=range(1, to_keep + 1),
    )


def sheet_asked(asked: Asked, sheets: int) -> int:
    """Place of the sheet that is asked for, the first without a number."""
    number = asked.query.get("sheet", "1")
    place = int(number) if number.isascii() and number.isdecimal() and len(number) < 4 else 0
    if not 1 <= place <= sheets:
        raise missing("drawing" if sheets == 0 else "sheet of that number")
    return place - 1


def kept_sheets(asked: Asked, binding: Binding, ending: str) -> Sequence[bytes]:
    """Every sheet for another program, as SVG or DXF; refuses in words where there is none."""
    from benchproof.papers_work import Work, about_binding, drawn_sheets, refused_in_words

    found = _judged(asked, binding)
    if found is None or found.answer is None:
        raise missing("drawing")
    work = Work(found.job, found.answer, about_binding(asked.desk.read(), binding, None), ())

    def laid_out() -> Sequence[bytes]:
        with refused_in_words():
            return drawn_sheets(work, ending, "A4", asked.units, "first angle")

    return asked.desk.reckoning.kept(_key(asked, binding, ending), laid_out)


def _sheets(asked: Asked, binding: Binding) -> Sequence[str]:
    """The sheets as pictures, laid out once for all of them; none where there is no drawing."""
    found = _judged(asked, binding)
    if found is None:
        return ()
    return asked.desk.reckoning.kept(
        _key(asked, binding, "screen"), lambda: drawn(found.job, found.answer, asked.units)
    )


def _judged(asked: Asked, binding: Binding) -> Judged | None:
    try:
        return judged(asked.desk.reckoning, asked.desk.read(), binding)
    except SpecError:
        return None


def _key(asked: Asked, binding: Binding, kind: str) -> str:
    return f"sheets {kind} {binding.id} {asked.units} {asked.desk.read().store.head.hex()}"


ROUTES = (
    page("/duty/{key}/drawing.svg", drawing),
    page("/duty/{key}/drawings", drawings),
)
