"""Parts and pieces: what belongs to them, what was measured and written of them."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from benchproof.book.model import Book
from benchproof.book.roles import roles_of
from benchproof.duties import load_duty
from benchproof.quantities import LENGTH, show
from benchproof.specs import SpecError
from benchproof.web.asking import Asked, page
from benchproof.web.finding import duties_of_piece, owner_of, thing_at, told_history
from benchproof.web.pages.photographs import photographs_of
from benchproof.web.showing import shown


def part(asked: Asked) -> Response:
    """A part: its pieces, and what they must do."""
    book = asked.desk.read()
    found = thing_at(book, "part", asked.path["key"])
    pieces = book.state.of("piece", found.id)
    return shown(
        asked,
        "part.html",
        part=found,
        engine=owner_of(book, found),
        pieces=[{"thing": piece, "duties": _duties(book, piece.id)} for piece in pieces],
        lots=[
            {"thing": lot, "made": len(book.state.lot_readings(lot.id))}
            for lot in book.state.of("lot", found.id)
        ],
        photographs=photographs_of(book, found.id),
        history=told_history(book, found.id),
    )


def piece(asked: Asked) -> Response:
    """A piece: its sizes, its duties, notes, and all that was entered of it."""
    book = asked.desk.read()
    found = thing_at(book, "piece", asked.path["key"])
    state = book.state
    owner = owner_of(book, found)
    try:
        known = roles_of(state, found.id)
    except SpecError:
        known = {}
    taken = state.sizes_of(found.id)
    notes = state.of("note", found.id)
    names = dict.fromkeys([*known, *(size.feature for size in taken)])
    return shown(
        asked,
        "piece.html",
        piece=found,
        part=owner,
        engine=owner_of(book, owner),
        duties=_duties(book, found.id),
        lost=state.of("scrapped", found.id),
        notes=notes,
        photographs=photographs_of(book, found.id, *(note.id for note in notes)),
        features=[
            {
                "name": name,
                "label": known[name].feature.label if name in known else name,
                "sizes": [
                    {
                        "id": size.record.id,
                        "value": show(
                            size.value,
                            known[name].feature.kind if name in known else LENGTH,
                            system=asked.units,
                        ),
                        "stated": size.record.body["stated"]["size"],
                        "aim": size.record.body["stated"]["aim"] or "",
                        "cut": size.cut,
                        "when": size.order[0],
                        "who": size.record.who,
                    }
                    for size in taken
                    if size.feature == name
                ],
            }
            for name in names
        ],
        history=told_history(book, found.id),
    )


def _duties(book: Book, key: str) -> list[dict[str, Any]]:
    return [
        {
            "id": binding.id,
            "name": binding.name,
            "title": load_duty(binding.duty).title,
            "role": " and ".join(role for role, one in binding.roles.items() if one == key),
        }
        for binding in duties_of_piece(book, key)
    ]


ROUTES = (
    page("/part/{key}", part),
    page("/piece/{key}", piece),
)
