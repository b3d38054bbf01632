"""Sizes at the bench: every feature of a part's pieces on one page, measured one after the other.

Each row is an entry of its own with its own id. What is in order is entered; what is unlikely or
refused stays in its row with the question beside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from starlette.responses import Response

from benchproof.book.errors import BookError
from benchproof.book.evidence import instruments
from benchproof.book.model import Book
from benchproof.book.questions import unlikely
from benchproof.book.records import new_id
from benchproof.book.roles import Role, roles_of
from benchproof.book.state import Thing
from benchproof.quantities import LENGTH, System, show
from benchproof.specs import Problem, SpecError
from benchproof.web.asking import ID, Asked, gone_to, page
from benchproof.web.finding import owner_of, thing_at
from benchproof.web.pages.measure import CUT_WORDS, UNITS, with_unit
from benchproof.web.showing import shown

COMMON: Final = ("instrument", "cut", "when", "part_temperature", "room_temperature")
IN_WORDS: Final = {
    "instrument": "measured with",
    "when": "day",
    "part_temperature": "temperature of the part",
    "room_temperature": "temperature of the room",
}
NOT_ENTERED: Final = 409


@dataclass
class Line:
    """One size to be taken: of what, what was typed, and what became of it."""

    piece: Thing
    feature: str
    label: str
    unit: str
    of_length: bool
    last: str
    key: str
    size: str = ""
    aim: str = ""
    sure: bool = False
    entered: str = ""
    doubts: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    @property
    def name(self) -> str:
        """What its fields are called: the piece and the feature."""
        return f"{self.piece.id}.{self.feature}"


def sizes(asked: Asked) -> Response:
    """The page of all sizes of a part, and their entry."""
    book = asked.desk.read()
    part = thing_at(book, "part", asked.path["key"])
    lines = _lines(book, part, asked)
    common = {name: asked.typed.get(name, "").strip() for name in COMMON}
    if not asked.posted:
        common |= {"when": asked.today, "cut": "first"}
    unit = asked.typed.get("unit", "in" if asked.units == "inch" else "mm")
    wrong: dict[str, Problem] = {}
    typed = [line for line in lines if line.size]
    for line in typed:
        _enter(asked, line, common, unit)
        # What is wrong with what stands above belongs there, and is said once.
        for problem in [p for p in line.problems if p.field in IN_WORDS]:
            wrong[problem.field] = problem
            line.problems.remove(problem)
    entered = [line for line in typed if line.entered]
    open_ = [line for line in typed if not line.entered]
    if asked.posted and typed and not open_:
        told = f"Entered: {len(entered)} size{'' if len(entered) == 1 else 's'}"
        if len(entered) == 1:
            told = f"Entered: {entered[0].label} of {entered[0].piece.name}, {entered[0].entered}"
        return gone_to(f"/part/{part.id}/sizes", done=told)
    return shown(
        asked,
        "sizes.html",
        NOT_ENTERED if open_ else 200,
        part=part,
        engine=owner_of(book, part),
        lines=lines,
        common=common,
        wrong=wrong,
        words=IN_WORDS,
        unit=unit if unit in UNITS else "mm",
        units_to_choose=UNITS,
        cuts=CUT_WORDS.items(),
        entered=entered,
        instruments=[
            key for key, one in instruments(book.state).items() if one.measures == "length"
        ],
    )


def _lines(book: Book, part: Thing, asked: Asked) -> list[Line]:
    found = []
    for piece in book.state.of("piece", part.id):
        for name, role in _roles(book, piece).items():
            found.append(_line(book, piece, name, role, asked))
    return found


def _roles(book: Book, piece: Thing) -> Mapping[str, Role | None]:
    """Features of a piece; what was measured of one without a duty counts too."""
    try:
        known: dict[str, Role | None] = dict(roles_of(book.state, piece.id))
    except SpecError:
        known = {}
    return known or dict.fromkeys(size.feature for size in book.state.sizes_of(piece.id))


def _line(book: Book, piece: Thing, name: str, role: Role | None, asked: Asked) -> Line:
    taken = book.state.sizes_of(piece.id, name)
    kind = role.feature.kind if role is not None else LENGTH
    path = f"{piece.id}.{name}"
    key = asked.typed.get(f"key.{path}", "")
    return Line(
        piece=piece,
        feature=name,
        label=role.feature.label if role is not None else name,
        unit=kind.unit,
        of_length=kind is LENGTH,
        last=_told(taken[-1].value, kind, asked.units) if taken else "",
        key=key if ID.fullmatch(key) else new_id(),
        size=asked.typed.get(f"size.{path}", "").strip(),
        aim=asked.typed.get(f"aim.{path}", "").strip(),
        sure=asked.typed.get(f"sure.{path}") == "yes",
    )


def _told(value: float, kind: Any, system: System) -> str:
    return show(value, kind, system=system)


def _enter(asked: Asked, line: Line, common: Mapping[str, str], unit: str) -> None:
    """Enter one size; what is odd or wrong about it is put beside it instead."""
    bare = unit if line.of_length else ""
    size = with_unit(line.size, bare)
    stated: dict[str, Any] = {
        "aim": with_unit(line.aim, bare) or None,
        "taken": {name: text for name, text in common.items() if text},
    }

    def deed(live: Book) -> tuple[str, ...]:
        held = live.store.get(line.key)
        thing, body = live.read_size(line.piece.id, line.feature, size, **stated)
        odd = unlikely(live, thing, body, system=asked.units)
        if odd and not line.sure and held is None:
            line.doubts = odd
            return ()
        record = live.measure(line.piece.id, line.feature, size, **stated, key=line.key)
        line.entered = size
        return (record.id,)

    try:
        asked.desk.write(asked.who, asked.browser, deed)
    except SpecError as refused:
        line.problems = list(refused.problems)
    except BookError as refused:
        line.problems = [Problem("size", line.label, line.size, str(refused))]


ROUTES = (page("/part/{key}/sizes", sizes, "GET", "POST"),)
