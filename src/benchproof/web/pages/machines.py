"""The machines: what each holds by process and every part behind it, its events, the gauges."""

from __future__ import annotations

from collections import Counter
from typing import Any

from starlette.responses import Response

from benchproof.book.evidence import Witness, witnesses
from benchproof.book.model import Book
from benchproof.book.state import Thing
from benchproof.features import PROCESSES
from benchproof.instruments import INSTRUMENTS
from benchproof.quantities import LENGTH, System, show
from benchproof.web.asking import Asked, gone_to, page
from benchproof.web.finding import thing_at, told_history
from benchproof.web.pages.photographs import photographs_of
from benchproof.web.showing import shown
from benchproof.web.standing_chart import standing_chart
from benchproof.workshop.standing_words import words

TYPICAL = 25e-3  # m; the size at which a standing is told where none is meant


def machines(asked: Asked) -> Response:
    """The only machine, or all of them to choose from."""
    book = asked.desk.read()
    there = book.state.of("machine")
    if len(there) == 1:
        return _shown(asked, book, there[0])
    if not there:
        return _shown(asked, book, None)
    counts = Counter(w.machine for w in witnesses(book.state))
    return shown(
        asked,
        "machines.html",
        machines=[{"thing": each, "parts": counts[each.id]} for each in there],
        instruments=_instruments(book, asked.units),
    )


def machine(asked: Asked) -> Response:
    """One machine."""
    book = asked.desk.read()
    if asked.path["key"] == "-":
        return gone_to("/lathe")
    return _shown(asked, book, thing_at(book, "machine", asked.path["key"]))


def _shown(asked: Asked, book: Book, found: Thing | None) -> Response:
    state = book.state
    key = found.id if found is not None else None
    several = state.of("machine")
    is_first = not several or found is None or several[0].id == found.id
    lathe = book.lathe_called(key)
    # What names no machine was made on the first.
    told = [w for w in witnesses(state) if w.machine == key or (is_first and w.machine is None)]
    events = [each for each in state.of("event") if each.subject in {key, None}]
    return shown(
        asked,
        "machine.html",
        machine=found,
        name=lathe.name,
        several=several,
        processes=_processes(lathe, told, events, asked.units),
        events=sorted(events, key=lambda each: str(each.spec.when), reverse=True),
        instruments=_instruments(book, asked.units),
        photographs=photographs_of(book, found.id) if found is not None else [],
        history=told_history(book, found.id, most=60) if found is not None else [],
    )


def _processes(
    lathe: Any, told: list[Witness], events: list[Thing], system: System
) -> list[dict[str, Any]]:
    """Every process, those that most parts tell of first."""
    count = Counter(each.process for each in told)
    marked: dict[str, list[tuple[str, str]]] = {}
    for event in events:
        for key in PROCESSES if event.spec.process == "all" else (event.spec.process,):
            marked.setdefault(key, []).append((event.spec.when, event.spec.what))
    found = []
    for key in sorted(PROCESSES, key=lambda each: -count[each]):
        kind = PROCESSES[key]
        standing = lathe.standings[key]
        found.append(
            {
                "key": key,
                "label": kind.plural,
                "parts": count[key],
                "words": words(standing, kind, size=TYPICAL, system=system),
                "chart": standing_chart(told, marked.get(key, []), key, system),
            }
        )
    return found


def _instruments(book: Book, system: System) -> list[dict[str, Any]]:
    """Gauges of one's own with their last check, and those of the trade that are assumed."""
    own = [
        {
            "thing": each,
            "name": each.name,
            "u": show(each.spec.u, LENGTH, system=system),
            "checked": each.spec.checked,
            "note": each.spec.note,
        }
        for each in book.state.of("instrument")
    ]
    known = {each["name"] for each in own}
    usual = [
        {"thing": None, "name": key, "u": show(one.u, LENGTH, system=system), "checked": ""}
        for key, one in INSTRUMENTS.items()
        if one.measures == "length" and key not in known
    ]
    return [*own, *usual]


ROUTES = (
    page("/lathe", machines),
    page("/lathe/{key}", machine),
)
