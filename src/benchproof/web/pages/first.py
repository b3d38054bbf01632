"""First start: no book yet. An invented one to look at, or a first one of one's own."""

from __future__ import annotations

from starlette.responses import Response

from benchproof.book.errors import BookError
from benchproof.specs import SpecError
from benchproof.web.asking import Asked, gone_to, page
from benchproof.web.showing import shown


def first(asked: Asked) -> Response:
    """Offer the demo book or a new one; either lies where the program was started."""
    if asked.desk.has_book and not asked.posted:
        return gone_to("/")
    name = asked.typed.get("workshop", "").strip()
    wrong = ""
    if asked.posted:
        demo = asked.typed.get("begin") == "demo"
        if not demo and not name:
            wrong = "Say whose workshop it is, such as: My workshop."
        else:
            try:
                inch = asked.typed.get("units") == "inch"
                asked.desk.begin(None if demo else name, units="inch" if inch else "metric")
                return gone_to("/")
            except SpecError as refused:
                wrong = " ".join(problem.message for problem in refused.problems)
            except (BookError, OSError) as refused:
                wrong = str(refused)
    return shown(
        asked,
        "first.html",
        422 if wrong else 200,
        file=asked.desk.path.name,
        name=name,
        wrong=wrong,
    )


ROUTES = (page("/first", first, "GET", "POST"),)
