"""Copy a duty with its spec: for the other side of the engine, or for another pair of pieces."""

from __future__ import annotations

from starlette.responses import Response

from benchproof.book.errors import BookError
from benchproof.book.kinds import GROUPS
from benchproof.book.model import Book
from benchproof.book.state import Binding
from benchproof.duties import load_duty
from benchproof.specs import Problem, SpecError
from benchproof.web.asking import Asked, gone_to, page
from benchproof.web.finding import binding_at, owner_of, pieces_to_choose
from benchproof.web.giving import Roles, give, other_side
from benchproof.web.showing import shown


def copy(asked: Asked) -> Response:
    """Ask what the copy is called and which pieces it is of; then enter it."""
    book = asked.desk.read()
    binding = binding_at(book, asked.path["key"])
    features = list(binding.roles)
    problems: list[Problem] = []
    if asked.posted:
        roles = Roles.read({**asked.typed, "engine": binding.engine}, features)
        try:
            entered = give(asked, binding.duty, binding.stated, roles)
            return gone_to(f"/duty/{entered}", done="The copy is in the book.")
        except SpecError as refused:
            problems = list(refused.problems)
        except BookError as refused:
            problems = [Problem("duty_name", "name", roles.name, str(refused))]
    else:
        roles = _proposed(book, binding)
    return shown(
        asked,
        "copy.html",
        409 if problems else 200,
        binding=binding,
        duty=load_duty(binding.duty),
        roles=roles,
        features=features,
        groups=GROUPS,
        choices=pieces_to_choose(book, binding.engine),
        problems={problem.field: problem for problem in problems},
    )


def _proposed(book: Book, binding: Binding) -> Roles:
    """The other side where the names have sides, and pieces of such names if they are there."""
    state = book.state
    name = other_side(binding.name)
    taken = {each.name.casefold() for each in state.bindings.values()}
    if name.casefold() in taken:  # the other side is there already: this is another copy
        empty = dict.fromkeys(binding.roles, "")
        return Roles("", binding.engine, _group(book, binding), empty, empty)
    known = {piece.name.casefold(): piece.id for piece in state.of("piece")}
    there, new = {}, {}
    for role, piece in binding.roles.items():
        swapped = other_side(state.things[piece].name)
        sided = swapped != state.things[piece].name
        there[role] = known.get(swapped.casefold(), "") if sided else ""
        new[role] = swapped if sided and not there[role] else ""
    return Roles(name, binding.engine, _group(book, binding), there, new)


def _group(book: Book, binding: Binding) -> str:
    """Group of the engine that the first piece belongs to."""
    part = owner_of(book, book.state.things[next(iter(binding.roles.values()))])
    return str(part.spec.group) if part is not None else "other"


ROUTES = (page("/duty/{key}/copy", copy, "GET", "POST"),)
