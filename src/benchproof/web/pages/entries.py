"""Enter, correct, strike out, undo: everything of the book that has no page of its own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from starlette.responses import Response

from benchproof.book.errors import BookError
from benchproof.book.kinds import KINDS
from benchproof.book.model import Book
from benchproof.book.store import Record
from benchproof.specs import Problem, SpecError
from benchproof.telling_books import record_line
from benchproof.web.asking import Asked, gone_to, missing, page
from benchproof.web.finding import address_of, called, record_at
from benchproof.web.forms import Group, form_of, renumbered
from benchproof.web.showing import shown
from benchproof.web.stale import Stale, check_fresh, differences
from benchproof.web.typed import flat, nested

# What an entry of each kind belongs to, and how its form is headed.
ABOUT: Final[dict[str, tuple[str, ...]]] = {
    "engine": (),
    "machine": (),
    "instrument": (),
    "part": ("engine",),
    "piece": ("part",),
    "past part": ("machine",),
    "event": ("machine",),
    "scrapped": ("piece",),
    "lot": ("part",),
    "note": (),
}
HEADINGS: Final = {
    "engine": "A new engine",
    "machine": "A machine",
    "instrument": "A measuring instrument",
    "part": "A new part",
    "piece": "A new piece",
    "past part": "A part made before",
    "event": "What changed the machine",
    "scrapped": "A piece that is lost",
    "lot": "A lot: pieces alike, made together",
    "note": "A note",
}
# Of kinds with many fields, those that are asked for first, in this order.
FIRST: Final[dict[str, tuple[str, ...]]] = {
    "lot": (
        "name",
        "wanted",
        "lower",
        "upper",
        "nominal",
        "iso_class",
        "plus_or_minus",
        "feature",
        "process",
        "correction",
        "instrument",
    ),
}
HINTS: Final = {
    "lot": "State the limits in one of three ways: lower and upper; nominal and ISO class; "
    "nominal, plus or minus.",
}
DATED: Final = frozenset({"note", "scrapped", "event", "past part"})
OFTEN: Final = frozenset({"note", "past part"})  # one after the other, from one form


def enter(asked: Asked) -> Response:
    """Enter something of a kind, about something where its kind asks for that."""
    kind = asked.path["kind"].replace("-", " ")
    if kind not in ABOUT:
        raise missing("kind of entry")
    book = asked.desk.read()
    about = asked.typed.get("about") or asked.query.get("about", "")
    subject = _subject(book, kind, about)
    spec_type = KINDS[kind]
    typed = renumbered(spec_type, asked.typed)
    problems: tuple[Problem, ...] = ()
    if asked.posted:
        key, entered = asked.key, []

        def deed(live: Book) -> tuple[str, ...]:
            record = _entered(live, kind, nested(spec_type, typed), subject, key)
            entered.append(record.id)
            return (record.id,)

        try:
            asked.desk.write(asked.who, asked.browser, deed)
            where = address_of(asked.desk.read(), entered[0])
            return gone_to(where, done=f"Entered: {kind} {typed.get('name', '')}".strip())
        except SpecError as refused:
            problems = refused.problems
        except BookError as refused:
            problems = (Problem("name", "name", typed.get("name", ""), str(refused)),)
    elif kind in DATED:
        typed = {"when": asked.today}
    return shown(
        asked,
        "enter.html",
        422 if problems else 200,
        heading=HEADINGS[kind],
        **_form(kind, form_of(spec_type, typed, problems=problems)),
        about=subject,
        about_name=called(book, subject),
        back=address_of(book, subject),
        action=f"/enter/{kind.replace(' ', '-')}",
        again=kind in OFTEN,
        drawn_from="",
        stale=None,
        changes=[],
    )


def _form(kind: str, form: Group) -> dict[str, Any]:
    """A form in the order in which it is asked, and what may be left as it is."""
    order = FIRST.get(kind)
    if order is None:
        return {"form": form, "hint": "", "first": form.items, "rest": []}
    named = {each.name: each for each in form.items}
    rest = [each for name, each in named.items() if name not in order]
    needed = [each for each in rest if each in form.first]
    return {
        "form": form,
        "hint": HINTS.get(kind, ""),
        "first": [*(named[name] for name in order), *needed],
        "rest": [each for each in rest if each not in needed],
    }


def _entered(live: Book, kind: str, stated: Mapping[str, Any], subject: str, key: str) -> Record:
    if kind != "lot":
        return live.enter(kind, stated, subject=subject or None, key=key)
    from benchproof.book.lots import enter_lot

    KINDS["lot"].from_text(stated)  # refused with everything that is wrong, the name as well
    own = ("name", "feature", "machine", "note")
    spec = {name: value for name, value in stated.items() if name not in own}
    more = {name: str(stated[name]) for name in own[1:] if name in stated}
    return enter_lot(live, str(stated.get("name", "")), spec, part=subject, key=key, **more)


def _subject(book: Book, kind: str, about: str) -> str:
    """Id of what the entry is about; the only thing there is where nothing is said."""
    state = book.state
    wanted = ABOUT[kind]
    if kind == "note":
        if about in state.things or about in state.bindings:
            return about
        raise missing("thing to write about")
    if not wanted:
        return ""
    found = state.things.get(about)
    if found is not None and found.kind in wanted:
        return found.id
    there = state.of(wanted[0])
    if not about and len(there) == 1:
        return there[0].id
    raise missing(wanted[0])


def correct(asked: Asked) -> Response:
    """Correct what was entered: a new record takes its place, the old one stays in the history."""
    book = asked.desk.read()
    record = record_at(book, asked.path["key"])
    first = book.state.first_of(record.id)
    if record.kind == "size":
        return gone_to(f"/measure/{record.subject}/{record.body['feature']}?instead_of={record.id}")
    if record.kind == "duty":
        return gone_to(f"/duty/{first}")
    if record.kind == "bench test" and first is not None:
        where = f"/duty/{record.subject}/test/{record.body['test']}"
        return gone_to(f"{where}?instead_of={first}")
    if record.kind not in {*ABOUT, "workshop"} or first is None:
        raise missing("record to correct")
    standing = book.state.standing_record(first)
    spec_type = KINDS[record.kind]
    said = flat(standing.body["stated"]) if standing else {}
    typed = renumbered(spec_type, asked.typed) if asked.posted else said
    problems: tuple[Problem, ...] = ()
    stale = None
    if asked.posted:
        key = asked.key

        def deed(live: Book) -> tuple[str, ...]:
            now = check_fresh(live, first, asked.typed.get("drawn_from", ""), key)
            stated = nested(spec_type, typed)
            return (live.enter(record.kind, stated, supersedes=now.id, key=key).id,)

        try:
            asked.desk.write(asked.who, asked.browser, deed)
            where = address_of(asked.desk.read(), first)
            return gone_to(where, done="Corrected. What it was stays in the history.")
        except SpecError as refused:
            problems = refused.problems
        except Stale as found:
            stale, standing = found, found.now
        except BookError as refused:
            problems = (Problem("name", "name", typed.get("name", ""), str(refused)),)
    form = form_of(spec_type, typed, problems=problems)
    labels = {box.name: box.label for box in form.boxes}
    theirs = flat(standing.body["stated"]) if standing else {}
    return shown(
        asked,
        "enter.html",
        409 if stale else 422 if problems else 200,
        heading=f"Correct: {record.kind} {called(book, first)}",
        **_form(record.kind, form),
        about="",
        about_name="",
        back=address_of(book, first),
        action=f"/correct/{record.id}",
        again=False,
        drawn_from=standing.id if standing else "",
        stale=stale,
        changes=differences(theirs, typed, labels) if stale else [],
    )


def strike(asked: Asked) -> Response:
    """Strike out what was entered by mistake, once the reason is given."""
    book = asked.desk.read()
    record = record_at(book, asked.path["key"])
    about = record.subject or record.id
    wrong = ""
    if asked.posted:
        if book.state.is_struck(record.id):
            return gone_to(address_of(book, about), done="It was struck out already.")

        def deed(live: Book) -> tuple[str, ...]:
            live.strike_out(record.id, asked.typed.get("why", ""))
            return ()

        try:
            asked.desk.write(asked.who, asked.browser, deed)
            return gone_to(
                address_of(asked.desk.read(), about),
                done="Struck out. It stays in the history.",
            )
        except BookError as refused:
            wrong = str(refused)
    names = {key: thing.name for key, thing in book.state.things.items()}
    return shown(
        asked,
        "strike.html",
        409 if wrong else 200,
        record=record,
        words=record_line(record, names),
        about_name=called(book, record.subject),
        whole=book.state.first_of(record.id) == record.id,
        why=asked.typed.get("why", ""),
        wrong=wrong,
        back=address_of(book, about),
    )


def undo(asked: Asked) -> Response:
    """Strike out what this browser entered last."""
    last = asked.desk.last_entered(asked.browser)
    if not last:
        return gone_to("/", done="There is nothing of yours to undo.")
    book = asked.desk.read()
    where = next((r.subject for r in map(book.store.get, last) if r and r.subject), None)

    def deed(live: Book) -> tuple[str, ...]:
        for key in reversed(last):
            if not live.state.is_struck(key):
                live.strike_out(key, "undone by who entered it")
        return ()

    asked.desk.write(asked.who, asked.browser, deed)
    asked.desk.forget_last(asked.browser)
    return gone_to(address_of(asked.desk.read(), where), done="Undone. It stays in the history.")


ROUTES = (
    page("/enter/{kind}", enter, "GET", "POST"),
    page("/correct/{key}", correct, "GET", "POST"),
    page("/strike/{key}", strike, "GET", "POST"),
    page("/undo", undo, "POST"),
)
