"""Lots in a book: entered, read in instalments, judged as far as they are.

A column pasted twice is taken once. A piece that is entered with another size, setting or stop
is corrected: the record before stays in the history. What was struck out stays struck out, unless
it is entered again on purpose.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final

from benchproof.book.cache import Cache
from benchproof.book.evidence import instruments, machine_of_lot, standings
from benchproof.book.model import Book
from benchproof.book.state import LotReadingHeld, Thing
from benchproof.book.store import Entry, Record, canonical
from benchproof.book.tested import fingerprint
from benchproof.quantities import System
from benchproof.reckon.lot_by_spec import NoLotPlanError, gauge_u, length_gauge, plan_on, stop_of
from benchproof.reckon.lot_entries import LotPiece, LotSheet, placed, same
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_report import LotReport, do_next, lot_report
from benchproof.reckon.plan import versions
from benchproof.specs import Problem, SpecError
from benchproof.workshop.lot_spec import MOST_PIECES, LotSpec
from benchproof.workshop.usual_gauges import usual_gauge

PLANNED: Final = "planned"
HALF_DONE: Final = "half done"
IN_TROUBLE: Final = "in trouble"
ROUNDING: Final = 1e-12  # m; a reading at a limit may lose its last digit
FAR_OFF: Final = 1e-3
"""A reading farther from the limits [m] is questioned: most are slips of the pen."""


@dataclass(frozen=True)
class Correction:
    """A reading that took another's place."""

    number: int
    before: LotPiece
    after: LotPiece


@dataclass(frozen=True)
class Taken:
    """What became of a column: pieces new, corrected, held already, and struck out before."""

    new: tuple[LotPiece, ...]
    corrected: tuple[Correction, ...]
    held: tuple[int, ...]
    struck: tuple[int, ...]
    records: tuple[Record, ...]


@dataclass(frozen=True)
class LotVerdict:
    """One lot: its state, pieces made and accepted, blanks still needed, what to do next."""

    lot: str
    name: str
    part: str
    state: str
    wanted: int
    made: int
    accepted: int
    more: int | None
    do_next: Mapping[System, str]


def enter_lot(
    book: Book,
    name: str,
    stated: Mapping[str, object],
    *,
    part: str,
    feature: str = "",
    machine: str | None = None,
    note: str = "",
    supersedes: str | None = None,
    key: str = "",
) -> Record:
    """Enter a lot of a part; ``stated`` is what a lot file states. Raises ``SpecError``."""
    owner = book.find("part", part)
    spec = LotSpec.from_text(stated).spec
    gauge_u(spec, instruments(book.state))  # refuses an unknown instrument
    more = {
        "feature": feature,
        "machine": "" if machine is None else book.find("machine", machine).id,
        "note": note,
    }
    whole = {**stated, "name": name, **{field: value for field, value in more.items() if value}}
    return book.enter("lot", whole, subject=owner.id, supersedes=supersedes, key=key)


def enter_readings(
    book: Book,
    lot: str,
    sheet: LotSheet,
    *,
    instrument: str = "",
    when: str = "",
    stop: float | None = None,
    interval: int | None = None,
    struck_too: bool = False,
    sure: bool = False,
) -> Taken:
    """Enter a column of readings of a lot, all or none; one that is held already is not entered.

    ``stop`` [m] is the size the stop was set for where the sheet does not say, that of the plan
    if left out; ``interval`` says after how many pieces it was set afresh where no re-set is
    marked. With ``struck_too`` readings that were struck out are entered again, with ``sure``
    sizes far from the limits. Raises ``SpecError`` with every problem.
    """
    thing = book.find("lot", lot)
    state, spec = book.state, thing.spec
    gauge = length_gauge(
        instrument or spec.instrument or usual_gauge(spec.process), instruments(state)
    )
    u = gauge.u if instrument or spec.u is None else spec.u
    held = state.lot_readings(thing.id)
    known = {number: each.piece for number, each in held.items()}
    if stop is None:
        stop = _planned_stop(book, thing)
    pieces = placed(sheet, known, stop=stop, interval=interval or spec.interval)
    texts = {entry.number: (entry.id, entry.text) for entry in sheet.entries}
    _check(thing, pieces, texts, known, sure=sure)
    new, corrected, same_as, struck = [], [], [], []
    entries = []
    for piece in pieces:
        was = held.get(piece.number)
        if was is not None and same(was.piece, piece):
            same_as.append(piece.number)
            continue
        key, text = texts[piece.number]
        if was is None and state.is_struck(key) and not struck_too:
            struck.append(piece.number)
            continue
        entries.append(
            Entry(
                "lot reading",
                {
                    "number": piece.number,
                    "setting": piece.setting,
                    "set_for": piece.set_for,
                    "value": piece.value,
                    "again": piece.again,
                    "u": u if was is None or instrument else was.u,
                    "instrument": gauge.key,
                    "stated": text,
                    "when": when,
                },
                subject=thing.id,
                supersedes=None if was is None else was.record.id,
                who=book.who,
                id=_free(book, key, was),
            )
        )
        if was is None:
            new.append(piece)
        else:
            corrected.append(Correction(piece.number, was.piece, piece))
    records = book.store.add(entries) if entries else []
    return Taken(tuple(new), tuple(corrected), tuple(same_as), tuple(struck), tuple(records))


def lot_plan(book: Book, lot: Thing, *, system: System = "metric") -> LotPlan:
    """The plan of a lot by everything in the book but its own readings."""
    state, spec = book.state, lot.spec
    known = standings(state, machine_of_lot(state, lot), without=lot.id)
    return plan_on(spec, known[spec.process], instruments(state), system=system)


def pieces_of(book: Book, lot: Thing) -> list[LotPiece]:
    """Pieces of a lot that were read, by number."""
    held = book.state.lot_readings(lot.id)
    return [held[number].piece for number in sorted(held)]


def progress(book: Book, lot: Thing, plan: LotPlan) -> LotReport | None:
    """How a lot stands; ``None`` before its first reading."""
    pieces = pieces_of(book, lot)
    return lot_report(plan, pieces) if pieces else None


def lots_under_way(
    book: Book, engine: str | None = None, *, cache: Cache | None = None
) -> list[LotVerdict]:
    """Every lot of an engine, or of all, that is not done; half done ones first.

    One is done when as many pieces are accepted as are wanted.
    """
    state = book.state
    owner = None if engine is None else book.find("engine", engine).id
    found = []
    for lot in state.of("lot"):
        part = state.things.get(str(lot.subject))
        if owner is not None and (part is None or part.subject != owner):
            continue
        if _accepted(book, lot) >= lot.spec.wanted:
            continue
        key = key_of_lot(book, lot)
        kept = None if cache is None else cache.get(key)
        if kept is None or not _is_whole(kept):
            kept = _judged(book, lot)
            if cache is not None:
                cache.put(key, kept)
        found.append(
            LotVerdict(
                lot.id, lot.name, "" if part is None else part.name, wanted=lot.spec.wanted, **kept
            )
        )
    order = (IN_TROUBLE, HALF_DONE, PLANNED)
    return sorted(found, key=lambda verdict: (order.index(verdict.state), verdict.name))


def _accepted(book: Book, lot: Thing) -> int:
    """Pieces of a lot whose last reading is accepted."""
    lower, upper = lot.spec.limits
    guard = lot.spec.guard * gauge_u(lot.spec, instruments(book.state)) - ROUNDING
    pieces = book.state.lot_readings(lot.id).values()
    return sum(lower + guard <= each.piece.last <= upper - guard for each in pieces)


def _judged(book: Book, lot: Thing) -> dict[str, Any]:
    made = len(book.state.lot_readings(lot.id))
    try:
        plan = lot_plan(book, lot)
    except NoLotPlanError as wrong:
        return _kept(IN_TROUBLE, made, 0, None, {"metric": str(wrong), "inch": str(wrong)})
    report = progress(book, lot, plan)
    if report is None:
        words = f"prepare {plan.blanks} blanks for {plan.wanted} good ones"
        return _kept(PLANNED, 0, 0, plan.blanks, {"metric": words, "inch": words})
    so_far = report.so_far
    state = IN_TROUBLE if so_far.more is None else HALF_DONE
    told: dict[str, str] = {
        "metric": do_next(report, "metric"),
        "inch": do_next(report, "inch"),
    }
    return _kept(state, so_far.made, so_far.accepted, so_far.more, told)


def _kept(
    state: str, made: int, accepted: int, more: int | None, words: Mapping[str, str]
) -> dict[str, Any]:
    return {
        "state": state,
        "made": made,
        "accepted": accepted,
        "more": more,
        "do_next": dict(words),
    }


def _is_whole(kept: Mapping[str, Any]) -> bool:
    """Whether what a cache held is a verdict at all."""
    return (
        set(kept) == {"state", "made", "accepted", "more", "do_next"}
        and kept["state"] in {PLANNED, HALF_DONE, IN_TROUBLE}
        and all(type(kept[name]) is int for name in ("made", "accepted"))
        and (kept["more"] is None or type(kept["more"]) is int)
        and isinstance(kept["do_next"], dict)
        and set(kept["do_next"]) == {"metric", "inch"}
    )


def key_of_lot(book: Book, lot: Thing) -> str:
    """Hash of everything a lot is judged from."""
    state, spec = book.state, lot.spec
    known = standings(state, machine_of_lot(state, lot), without=lot.id)
    material = {
        "lot": spec.model_dump(mode="json", exclude={"name", "note"}),
        "standing": fingerprint(known[spec.process]),
        "u": gauge_u(spec, instruments(state)),
        "pieces": [list(asdict(piece).values()) for piece in pieces_of(book, lot)],
        "versions": versions(),
    }
    return hashlib.sha256(canonical(material).encode()).hexdigest()


def _planned_stop(book: Book, lot: Thing) -> float:
    """Where the stop stands by the plan; the middle of the limits where there is no plan."""
    try:
        return stop_of(lot_plan(book, lot))
    except NoLotPlanError:
        middle: float = lot.spec.middle
        return middle


def _check(
    lot: Thing,
    pieces: Sequence[LotPiece],
    texts: Mapping[int, tuple[str, str]],
    known: Mapping[int, LotPiece],
    *,
    sure: bool,
) -> None:
    """Refuse what nobody would expect: sizes far off, and more pieces than a lot has."""
    lower, upper = lot.spec.limits
    problems = []
    for piece in pieces:
        for size, what in (
            (piece.value, "it"),
            (piece.last, "it, cut again,"),
            (piece.set_for, "its stop"),
        ):
            if not sure and not lower - FAR_OFF <= size <= upper + FAR_OFF:
                where = f"piece {piece.number}"
                words = f"{what} lies more than a millimetre outside the limits; if it is right "
                words += "all the same, add --sure"
                problems.append(Problem(where, where, texts[piece.number][1], words))
                break
    if len({*known, *texts}) > MOST_PIECES:
        words = f"would have more than {MOST_PIECES} pieces read; begin another lot"
        problems.append(Problem("lot", "lot", lot.name, words))
    if problems:
        raise SpecError(problems[:12])


def _free(book: Book, key: str, was: LotReadingHeld | None) -> str:
    """Id of a reading, the same whenever it is sent again; another one where that is taken.

    A size that was corrected and is then put back has an id of its own each time.
    """
    before = "" if was is None else was.record.id
    while book.store.get(key) is not None:
        key = hashlib.sha256(f"{key}\x1f{before}".encode()).hexdigest()[:16]
    return key
