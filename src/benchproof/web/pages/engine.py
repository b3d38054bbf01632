"""An engine at a glance: what holds it back, what to do next, every duty by group."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from starlette.responses import Response

from benchproof.book.kinds import GROUPS
from benchproof.book.model import Book
from benchproof.book.review import Verdict, holds_back
from benchproof.book.state import Binding, Thing
from benchproof.duties import load_duty
from benchproof.figures import in_hundreds
from benchproof.web.asking import Asked, gone_to, page
from benchproof.web.finding import thing_at
from benchproof.web.reckoning import Progress
from benchproof.web.showing import shown


def home(asked: Asked) -> Response:
    """The only engine, or all of them to choose from."""
    if not asked.desk.has_book:
        return gone_to("/first")
    book = asked.desk.read()
    engines = book.state.of("engine")
    if len(engines) == 1:
        return _engine(asked, book, engines[0])
    return shown(asked, "engines.html", engines=engines, book=_about(book))


def engine(asked: Asked) -> Response:
    """One engine."""
    book = asked.desk.read()
    return _engine(asked, book, thing_at(book, "engine", asked.path["key"]))


def reviewed(asked: Asked) -> Response:
    """The part of an engine's page that the review fills, for a page that waits for it."""
    book = asked.desk.read()
    return shown(
        asked,
        "reviewed.html",
        **_reviewed(asked, book, thing_at(book, "engine", asked.path["key"])),
    )


def _engine(asked: Asked, book: Book, owner: Thing) -> Response:
    return shown(
        asked,
        "engine.html",
        book=_about(book),
        papers=asked.desk.printing.papers(owner.id),
        stated=owner.record.body["stated"],
        **_reviewed(asked, book, owner),
    )


def _about(book: Book) -> dict[str, Any]:
    workshops = book.state.of("workshop")
    return {
        "file": book.store.path.name,
        "workshop": workshops[0].name if workshops else "",
        "invented": any(w.spec.invented == "yes" for w in workshops),
    }


def _reviewed(asked: Asked, book: Book, owner: Thing) -> dict[str, Any]:
    bindings = [b for b in book.state.bindings.values() if b.engine == owner.id]
    any_ = bindings or book.state.of("lot")
    progress = asked.desk.reckoning.review(book) if any_ else Progress(b"", running=False)
    verdicts = {v.binding: v for v in progress.verdicts}
    here = [verdicts[b.id] for b in bindings if b.id in verdicts]
    wanted = asked.query.get("q", "").strip()
    worst = holds_back(here)
    return {
        "engine": owner,
        "progress": progress,
        "counts": Counter(verdict.state for verdict in here),
        "whole": len(bindings),
        "lots": _lots(book, owner, progress, asked),
        "worst": _row(worst, asked) if worst else None,
        "good": bool(here) and worst is None,
        "wanted": wanted,
        "groups": _groups(asked, book, owner, bindings, verdicts, wanted.casefold()),
    }


def _lots(book: Book, owner: Thing, progress: Progress, asked: Asked) -> list[dict[str, Any]]:
    """Every lot of an engine, with how far it is once that is reckoned."""
    state = book.state
    parts = {part.id: part for part in state.of("part", owner.id)}
    known = {verdict.lot: verdict for verdict in progress.lots}
    found = []
    for lot in state.of("lot"):
        if lot.subject not in parts:
            continue
        verdict = known.get(lot.id)
        made = len(state.lot_readings(lot.id))
        found.append(
            {
                "id": lot.id,
                "name": lot.name,
                "part": parts[lot.subject].name,
                "state": verdict.state if verdict is not None else "",
                "far": f"{made} made, {lot.spec.wanted} wanted"
                if verdict is None
                else f"{verdict.accepted} of {verdict.wanted} accepted",
                "next": verdict.do_next[asked.units] if verdict is not None else "",
            }
        )
    return found


def _groups(
    asked: Asked,
    book: Book,
    owner: Thing,
    bindings: list[Binding],
    verdicts: Mapping[str, Verdict],
    wanted: str,
) -> list[dict[str, Any]]:
    """Duties and parts by group, in the order a builder thinks of them; empty groups left out."""
    state = book.state
    parts = {part.id: part for part in state.of("part", owner.id)}
    pieces: dict[str, list[Thing]] = {}
    for piece in state.of("piece"):
        pieces.setdefault(str(piece.subject), []).append(piece)
    found: dict[str, dict[str, Any]] = {
        group: {"name": group, "duties": [], "parts": []} for group in GROUPS
    }
    served: set[str] = set()
    for binding in bindings:
        served |= set(binding.roles.values())
        names = [state.things[p].name for p in binding.roles.values() if p in state.things]
        if wanted and not any(wanted in word.casefold() for word in [binding.name, *names]):
            continue
        group = next(
            (
                parts[str(state.things[piece].subject)].spec.group
                for piece in binding.roles.values()
                if piece in state.things and state.things[piece].subject in parts
            ),
            "other",
        )
        verdict = verdicts.get(binding.id)
        title = load_duty(binding.duty).title
        row: dict[str, Any] = {"id": binding.id, "name": binding.name, "title": title}
        row |= _row(verdict, asked) if verdict else {"state": "", "odds": ("", "", ""), "next": ""}
        found[group]["duties"].append(row)
    for part in parts.values():
        own = pieces.get(part.id, [])
        if wanted and not any(wanted in t.name.casefold() for t in [part, *own]):
            continue
        lacking = not own or any(piece.id not in served for piece in own)
        row = {"thing": part, "pieces": own, "lacking": lacking}
        found[part.spec.group]["parts"].append(row)
    return [group for group in found.values() if group["duties"] or group["parts"]]


def _row(verdict: Verdict, asked: Asked) -> dict[str, Any]:
    return {
        "id": verdict.binding,
        "name": verdict.name,
        "state": verdict.state,
        "odds": in_hundreds([verdict.right, verdict.correctable, verdict.lost]),
        "share": round(100.0 * verdict.right),
        "next": verdict.do_next[asked.units],
    }


ROUTES = (
    page("/", home),
    page("/engine/{key}", engine),
    page("/engine/{key}/reviewed", reviewed),
)
