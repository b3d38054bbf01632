"""Quick answers: any duty by itself, nothing kept; and from there into the book."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from starlette.responses import Response

from benchproof.book.errors import BookError
from benchproof.book.kinds import GROUPS
from benchproof.book.roles import leading_values
from benchproof.book.state import Thing
from benchproof.duties import DUTIES, load_duty
from benchproof.reckon.plan import Job
from benchproof.specs import Problem, SpecError
from benchproof.web.answers import ToldAnswer, told_answer
from benchproof.web.asking import Asked, gone_to, missing, page
from benchproof.web.finding import pieces_to_choose
from benchproof.web.forms import form_of, renumbered
from benchproof.web.giving import Roles, give
from benchproof.web.showing import shown
from benchproof.web.typed import nested
from benchproof.workshop.lathe import assumed_lathe


def duties(asked: Asked) -> Response:
    """Every duty there is, to choose one."""
    return shown(
        asked,
        "quick.html",
        duties=[load_duty(key) for key in DUTIES],
        engine=asked.query.get("engine", ""),
    )


def quick(asked: Asked) -> Response:
    """One duty: its form, and its answer once the form was sent."""
    duty = _duty(asked)
    typed = renumbered(duty.spec_type, asked.typed)
    engine = _engine(asked)
    inherited = leading_values(engine) if engine else {}
    answer: ToldAnswer | None = None
    problems: tuple[Problem, ...] = ()
    if asked.posted:
        try:
            answer = _answered(asked, typed, inherited, in_full=True)
        except SpecError as refused:
            problems = refused.problems
    form = form_of(duty.spec_type, typed, problems=problems, inherited=inherited)
    return shown(
        asked,
        "quick_duty.html",
        422 if problems else 200,
        duty=duty,
        form=form,
        answer=answer,
        engine=engine,
        live=f"/quick/{duty.key}/live",
        has_book=asked.desk.has_book,
    )


def live(asked: Asked) -> Response:
    """The answer to what stands in the form now."""
    duty = _duty(asked)
    typed = renumbered(duty.spec_type, asked.typed)
    engine = _engine(asked)
    inherited = leading_values(engine) if engine else {}
    answer: ToldAnswer | None = None
    problems: tuple[Problem, ...] = ()
    try:
        answer = _answered(asked, typed, inherited, in_full="full" in asked.query)
    except SpecError as refused:
        problems = refused.problems
    form = form_of(duty.spec_type, typed, problems=problems, inherited=inherited)
    return shown(asked, "live.html", form=form, answer=answer, judged=None)


def into_book(asked: Asked) -> Response:
    """Give pieces this duty: its name, and which piece plays which role."""
    duty = _duty(asked)
    typed = renumbered(duty.spec_type, asked.typed)
    book = asked.desk.read()
    engine = _engine(asked)
    problems: list[Problem] = []
    features = None
    try:
        spec = duty.spec_type.from_text(
            nested(duty.spec_type, typed), inherited=leading_values(engine) if engine else {}
        ).spec
        features = duty.features(spec)
    except SpecError as refused:
        form = form_of(duty.spec_type, typed, problems=refused.problems)
        return shown(
            asked,
            "quick_duty.html",
            422,
            duty=duty,
            form=form,
            answer=None,
            engine=engine,
            live=f"/quick/{duty.key}/live",
            has_book=True,
        )
    roles = Roles.read(asked.typed, [f.name for f in features])
    if "give" in asked.typed:
        try:
            entered = give(asked, duty.key, nested(duty.spec_type, typed), roles)
            return gone_to(f"/duty/{entered}", done="It is in the book.")
        except SpecError as refused:
            problems = list(refused.problems)
        except BookError as refused:
            problems = [Problem("duty_name", "name", roles.name, str(refused))]
    return shown(
        asked,
        "give.html",
        409 if problems else 200,
        duty=duty,
        typed=typed,
        roles=roles,
        features=features,
        engine=engine,
        engines=book.state.of("engine"),
        groups=GROUPS,
        choices=pieces_to_choose(book, engine.id if engine else None),
        problems={problem.field: problem for problem in problems},
    )


def _duty(asked: Asked) -> Any:
    key = asked.path["key"]
    if key not in DUTIES:
        raise missing("duty")
    return load_duty(key)


def _engine(asked: Asked) -> Thing | None:
    """The engine whose values are taken: the one named, else the only one."""
    if not asked.desk.has_book:
        return None
    state = asked.desk.read().state
    wanted = asked.typed.get("engine") or asked.query.get("engine", "")
    if wanted:
        found = state.things.get(wanted)
        return found if found is not None and found.kind == "engine" else None
    engines = state.of("engine")
    return engines[0] if len(engines) == 1 else None


def _answered(
    asked: Asked, typed: Mapping[str, str], inherited: Mapping[str, object], *, in_full: bool
) -> ToldAnswer:
    duty = _duty(asked)
    spec = duty.spec_type.from_text(nested(duty.spec_type, typed), inherited=inherited).spec
    lathe = asked.desk.read().lathe if asked.desk.has_book else assumed_lathe()
    answer, is_full = asked.desk.reckoning.answer(Job(duty, spec, lathe, {}), quick=not in_full)
    return told_answer(answer, asked.units, quick=not is_full)


ROUTES = (
    page("/quick", duties),
    page("/quick/{key}", quick, "GET", "POST"),
    page("/quick/{key}/live", live, "POST", name="quick live"),
    page("/quick/{key}/give", into_book, "POST"),
)
