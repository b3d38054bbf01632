"""Look back and look for: the history of all or of one thing, and a search over every name."""

from __future__ import annotations

from starlette.responses import Response

from benchproof.web.asking import Asked, page
from benchproof.web.finding import address_of, called, told_history
from benchproof.web.showing import shown

MOST_FOUND = 60


def history(asked: Asked) -> Response:
    """Every record in words, the newest first."""
    book = asked.desk.read()
    about = asked.query.get("about", "")
    known = about in book.state.things or about in book.state.bindings
    return shown(
        asked,
        "history.html",
        about_name=called(book, about) if known else "",
        back=address_of(book, about) if known else "/",
        history=told_history(book, about if known else None),
    )


def search(asked: Asked) -> Response:
    """Everything with a name that has these words in it."""
    book = asked.desk.read()
    wanted = asked.query.get("q", "").strip()
    words = wanted.casefold().split()
    state = book.state
    known = [(t.kind, t.name, t.id) for t in state.things.values() if hasattr(t.spec, "name")]
    known += [("duty", b.name, b.id) for b in state.bindings.values()]
    notes = [("note", t.spec.text, t.id) for t in state.of("note")]
    found = [
        {"kind": kind, "name": name[:120], "address": address_of(book, key)}
        for kind, name, key in [*known, *notes]
        if words and all(word in name.casefold() for word in words)
    ]
    return shown(
        asked, "search.html", wanted=wanted, found=found[:MOST_FOUND], more=len(found) > MOST_FOUND
    )


ROUTES = (page("/history", history), page("/search", search))
