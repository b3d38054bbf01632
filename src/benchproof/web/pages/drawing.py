"""Drawings of a duty as pictures of their own, so that a page need not wait for them."""

from __future__ import annotations

from starlette.responses import Response

from benchproof.specs import SpecError
from benchproof.web.asking import Asked, missing, page
from benchproof.web.drawings import drawn
from benchproof.web.finding import binding_at
from benchproof.web.judging import judged


def drawing(asked: Asked) -> Response:
    """The drawing of a duty, to the sizes of its answer."""
    book = asked.desk.read()
    binding = binding_at(book, asked.path["key"])
    try:
        found = judged(asked.desk.reckoning, book, binding)
    except SpecError:
        raise missing("drawing") from None
    picture = drawn(found.job, found.answer, asked.units)
    if picture is None:
        raise missing("drawing")
    return Response(picture, media_type="image/svg+xml")


ROUTES = (page("/duty/{key}/drawing.svg", drawing),)
