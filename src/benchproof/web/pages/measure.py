"""Enter one size that was measured; an unlikely one is questioned, not swallowed."""

from __future__ import annotations

import re
from typing import Any, Final

from starlette.responses import Response

from benchproof.book.errors import BookError
from benchproof.book.evidence import instruments
from benchproof.book.kinds import CUTS
from benchproof.book.model import Book
from benchproof.book.questions import unlikely
from benchproof.book.roles import roles_of
from benchproof.quantities import LENGTH
from benchproof.specs import Problem, SpecError
from benchproof.web.asking import Asked, gone_to, missing, page
from benchproof.web.finding import thing_at
from benchproof.web.showing import shown
from benchproof.web.stale import Stale, check_fresh

CUT_WORDS: Final = {
    "first": "as it came off the tool",
    "again": "after another cut",
    "fitted": "cut until it fitted, to no aim",
}
_BARE: Final = re.compile(r"[+-]?[0-9]+([.,][0-9]*)?|[+-]?[.,][0-9]+")
UNITS: Final = ("mm", "in")


def measure(asked: Asked) -> Response:
    """The form of one size, and its entry."""
    book = asked.desk.read()
    piece = thing_at(book, "piece", asked.path["key"])
    name = asked.path["feature"]
    instead = asked.typed.get("instead_of") or asked.query.get("instead_of", "")
    before = book.store.get(instead) if instead else None
    if instead and (before is None or (before.kind, before.subject) != ("size", piece.id)):
        raise missing("size to correct")
    typed = dict(asked.typed) if asked.posted else _start(asked, before)
    problems: tuple[Problem, ...] = ()
    doubts: list[str] = []
    stale = None
    if asked.posted:
        try:
            doubts = _enter(asked, piece.id, name, instead)
            if not doubts:
                return gone_to(
                    f"/piece/{piece.id}", done=f"Entered: {name} {_with_unit(typed, 'size')}"
                )
        except SpecError as refused:
            problems = refused.problems
        except Stale as found:
            stale = found
        except BookError as refused:
            problems = (Problem("size", "size", typed.get("size", ""), str(refused)),)
    roles = _roles(book, piece.id)
    role = roles.get(name)
    return shown(
        asked,
        "measure.html",
        409 if doubts or stale else 422 if problems else 200,
        piece=piece,
        feature=name,
        label=role.feature.label if role else name,
        of_length=role is None or role.feature.kind is LENGTH,
        unit=role.feature.kind.unit if role else "mm",
        usual=role.feature.gauge if role else "",
        typed=typed,
        problems={problem.field: problem for problem in problems},
        doubts=doubts,
        stale=stale,
        instruments=[
            key for key, one in instruments(book.state).items() if one.measures == "length"
        ],
        cuts=[(key, CUT_WORDS[key]) for key in CUTS],
        units_to_choose=UNITS,
        instead=instead,
        key=asked.key_kept,
    )


def _roles(book: Book, piece: str) -> dict[str, Any]:
    try:
        return dict(roles_of(book.state, piece))
    except SpecError:
        return {}


def _start(asked: Asked, before: Any) -> dict[str, str]:
    unit = "in" if asked.units == "inch" else "mm"
    if before is None or before.kind != "size":
        return {"when": asked.today, "unit": unit, "cut": "first"}
    stated, taken = before.body["stated"], before.body["taken"]
    return {
        "size": stated["size"],
        "aim": stated["aim"] or "",
        "u": stated["u"] or "",
        "instrument": taken["instrument"],
        "cut": before.body["cut"],
        "when": before.body["when"],
        "unit": unit,
        "drawn_from": before.id,
    }


def with_unit(text: str, unit: str) -> str:
    """A number that carries no unit with the one that was chosen; anything else as it is."""
    taken = unit if unit in UNITS and _BARE.fullmatch(text.strip()) else ""
    return f"{text.strip()} {taken}".strip()


def _with_unit(typed: dict[str, str], name: str) -> str:
    return with_unit(typed.get(name, ""), typed.get("unit", ""))


def _enter(asked: Asked, piece: str, name: str, instead: str) -> list[str]:
    """Enter the size; what is odd about it instead, when that is not yet confirmed."""
    typed = dict(asked.typed)
    taken = {
        key: typed.get(key, "").strip()
        for key in ("instrument", "cut", "when", "part_temperature", "room_temperature")
    }
    stated: dict[str, Any] = {
        "aim": _with_unit(typed, "aim") or None,
        "u": typed.get("u", "").strip() or None,
        "taken": {key: text for key, text in taken.items() if text},
    }
    size = _with_unit(typed, "size")
    doubts: list[str] = []
    key = asked.key

    def deed(live: Book) -> tuple[str, ...]:
        supersedes = None
        if instead:
            first = live.state.first_of(instead) or instead
            supersedes = check_fresh(live, first, typed.get("drawn_from", ""), key).id
        thing, body = live.read_size(piece, name, size, **stated)
        odd = unlikely(live, thing, body, instead_of=supersedes, system=asked.units)
        if odd and typed.get("sure") != "yes" and live.store.get(key) is None:
            doubts.extend(odd)
            return ()
        record = live.measure(piece, name, size, **stated, supersedes=supersedes, key=key)
        return (record.id,)

    asked.desk.write(asked.who, asked.browser, deed)
    return doubts


ROUTES = (page("/measure/{key}/{feature}", measure, "GET", "POST"),)
