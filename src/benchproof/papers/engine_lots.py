"""Lots of an engine's file: the plan of each, how it stands, its readings and their run chart."""

from __future__ import annotations

from typing import Any, Final

from benchproof.book.cache import Cache
from benchproof.book.lots import key_of_lot, lot_plan, pieces_of, progress
from benchproof.book.model import Book
from benchproof.book.state import Thing
from benchproof.columns import sentence
from benchproof.figures import in_hundred, size_text, sizes_within
from benchproof.papers.lot_chart import lot_chart
from benchproof.quantities import LENGTH, System
from benchproof.reckon.lot_by_spec import NoLotPlanError, stop_of
from benchproof.reckon.lot_entries import LotPiece
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_report import LotReport, do_next

_WHOLE: Final = {"plan", "stands", "readings", "chart"}


def lots(
    book: Book, engine: Thing, *, system: System = "metric", cache: Cache | None = None
) -> list[dict[str, Any]]:
    """Every lot of an engine's parts as plain data; ``chart`` is a picture as SVG, or nothing."""
    found = []
    for part in book.state.of("part", engine.id):
        for lot in book.state.of("lot", part.id):
            key = f"engine file lot {system} {key_of_lot(book, lot)}"
            kept = None if cache is None else cache.get(key)
            if kept is None or set(kept) != _WHOLE:
                kept = _told(book, lot, system)
                if cache is not None:
                    cache.put(key, kept)
            found.append({"name": lot.name, "part": part.name, "note": lot.spec.note, **kept})
    return found


def _told(book: Book, lot: Thing, system: System) -> dict[str, Any]:
    pieces = pieces_of(book, lot)
    try:
        plan = lot_plan(book, lot, system=system)
    except NoLotPlanError as wrong:
        readings = [_reading(each, "–", system) for each in pieces]
        return {"plan": [], "stands": [sentence(str(wrong))], "readings": readings, "chart": ""}
    report = progress(book, lot, plan)
    decided = {} if report is None else {each.number: each for each in report.decided}
    words = {
        number: "cut again" if each.cut_again else each.decision.value
        for number, each in decided.items()
    }
    return {
        "plan": _plan(plan, system),
        "stands": _stands(plan, report, system),
        "readings": [_reading(each, words[each.number], system) for each in pieces],
        "chart": lot_chart(plan, pieces, system) if pieces else "",
    }


def _plan(plan: LotPlan, system: System) -> list[list[str]]:
    def say(size: float) -> str:
        return size_text(size, LENGTH, system)

    return [
        ["good ones wanted", str(plan.wanted)],
        ["true size within", f"{say(plan.limits.lower)} to {say(plan.limits.upper)}"],
        ["accept what reads", sizes_within(*plan.accept, LENGTH, system)],
        ["aim of a first piece", say(plan.aim)],
        ["stop set for", say(stop_of(plan))],
        ["stop set afresh", f"every {plan.interval} pieces"],
        ["blanks", f"{plan.blanks}: enough in {in_hundred(plan.reached)} lots of 100"],
    ]


def _stands(plan: LotPlan, report: LotReport | None, system: System) -> list[str]:
    if report is None:
        return [f"None is made yet: prepare {plan.blanks} blanks."]
    so_far = report.so_far
    told = [
        f"{so_far.made} made, {so_far.accepted} accepted of {plan.wanted} wanted; "
        f"{so_far.good:.1f} are expected to be truly within limits.",
        sentence(do_next(report, system)),
    ]
    return [*told, *(sentence(run) for run in report.signals.runs)]


def _reading(piece: LotPiece, word: str, system: System) -> list[str]:
    again = "" if piece.again is None else size_text(piece.again, LENGTH, system)
    read = size_text(piece.value, LENGTH, system)
    return [str(piece.number), str(piece.setting), read, again, word]
