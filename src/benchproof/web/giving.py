"""Give pieces a duty: pieces that are there, or new ones with their parts, all in one deed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from benchproof.book.errors import Conflict
from benchproof.book.kinds import GROUPS
from benchproof.book.model import Book
from benchproof.specs import Problem, SpecError
from benchproof.web.asking import Asked


@dataclass(frozen=True)
class Roles:
    """What a duty is called, its engine, and for each role a piece or the name of a new one."""

    name: str
    engine: str
    group: str
    there: Mapping[str, str]
    new: Mapping[str, str]

    @classmethod
    def read(cls, typed: Mapping[str, str], features: Sequence[str]) -> Roles:
        """Read from what was typed; nothing is looked up yet."""
        group = typed.get("group", "")
        return cls(
            typed.get("duty_name", "").strip(),
            typed.get("engine", ""),
            group if group in GROUPS else "other",
            {name: typed.get(f"piece.{name}", "") for name in features},
            {name: typed.get(f"new.{name}", "").strip() for name in features},
        )


def give(asked: Asked, duty: str, stated: Mapping[str, Any], roles: Roles) -> str:
    """Enter the new parts and pieces, then the duty; its id.

    Every record has an id made from that of the form, so that sent twice all is entered once.
    Raises ``SpecError`` with what is missing, before anything is written.
    """
    key = asked.key
    entered: list[str] = []

    def deed(book: Book) -> tuple[str, ...]:
        held = book.store.get(key)
        if held is not None:
            entered.append(held.id)
            return ()
        _check(book, roles)
        done: list[str] = []
        pieces = {}
        for number, role in enumerate(roles.there):
            pieces[role] = roles.there[role] or _new_piece(book, roles, role, key, number, done)
        engine = roles.engine or _engine(book)
        record = book.bind(duty, roles.name, stated, pieces, engine=engine, key=key)
        entered.append(record.id)
        return (*done, record.id)

    asked.desk.write(asked.who, asked.browser, deed)
    return entered[0]


def _check(book: Book, roles: Roles) -> None:
    problems = []
    if not roles.name:
        problems.append(Problem("duty_name", "name", "", "is not stated", "left piston fit"))
    elif any(b.name.casefold() == roles.name.casefold() for b in book.state.bindings.values()):
        problems.append(
            Problem("duty_name", "name", roles.name, "another duty is called so already")
        )
    if not roles.engine and not _engine(book):
        problems.append(Problem("engine", "engine", "", "is not chosen"))
    names = {piece.name.casefold() for piece in book.state.of("piece")}
    for role, there in roles.there.items():
        new = roles.new[role]
        if there and there not in book.state.things:
            problems.append(Problem(f"piece.{role}", role, "", "is not in the book any more"))
        elif not there and not new:
            words = "choose a piece, or name a new one"
            problems.append(Problem(f"piece.{role}", role, "", words, f"left {role}"))
        elif not there and new.casefold() in names:
            words = "is in the book already: choose it from the list, or use another name"
            problems.append(Problem(f"piece.{role}", role, new, words))
        names.add(new.casefold())
    if problems:
        raise SpecError(problems)


def _engine(book: Book) -> str:
    engines = book.state.of("engine")
    return engines[0].id if len(engines) == 1 else ""


def _new_piece(book: Book, roles: Roles, role: str, key: str, number: int, done: list[str]) -> str:
    """Enter a piece, with a part of its own name unless there is one for it."""
    name = roles.new[role]
    engine = roles.engine or _engine(book)
    part_name = _without_side(name)
    parts = [
        part
        for part in book.state.of("part")
        if part.name.casefold() in {name.casefold(), part_name.casefold()}
    ]
    own = [part for part in parts if part.subject == engine]
    if parts and not own:
        raise Conflict(f"another engine has a part called {parts[0].name!r}; use another name")
    if own:
        part = own[0].id
    else:
        stated = {"name": part_name, "group": roles.group}
        part = book.enter("part", stated, subject=engine, key=f"{key}-part-{number}").id
        done.append(part)
    piece = book.enter("piece", {"name": name}, subject=part, key=f"{key}-piece-{number}").id
    done.append(piece)
    return piece


def _without_side(name: str) -> str:
    """A part's name from that of one of its pieces: ``left piston`` is a piston."""
    first, _, rest = name.partition(" ")
    return rest.strip() if first.casefold() in {"left", "right"} and rest.strip() else name


def other_side(name: str) -> str:
    """A name with left and right changed over; the same name where it has neither."""
    words = name.split(" ")
    swapped = {"left": "right", "right": "left", "Left": "Right", "Right": "Left"}
    return " ".join(swapped.get(word, word) for word in words)
