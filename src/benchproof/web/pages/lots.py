"""A lot: its plan, its run chart, the next reading, what to do with each piece, how many more."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from starlette.responses import Response

from benchproof.book.days import a_day
from benchproof.book.errors import BookError, Conflict
from benchproof.book.evidence import instruments, machine_of_lot
from benchproof.book.lots import enter_readings, pieces_of
from benchproof.book.model import Book
from benchproof.book.state import Thing
from benchproof.columns import sentence
from benchproof.figures import in_hundred, sizes_within
from benchproof.quantities import LENGTH, QuantityError, System, parse, show
from benchproof.reckon.lot_by_spec import NoLotPlanError, stop_of
from benchproof.reckon.lot_entries import SAME, LotEntry, LotSheet
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_report import LotReport, do_next, numbers_told
from benchproof.specs import Problem, SpecError
from benchproof.web.asking import Asked, gone_to, page
from benchproof.web.finding import owner_of, thing_at, told_history
from benchproof.web.pages.measure import UNITS, with_unit
from benchproof.web.pages.photographs import photographs_of
from benchproof.web.run_picture import mark_of, run_chart, word_of
from benchproof.web.showing import shown
from benchproof.workshop.lot_spec import MOST_PIECES

WORDS: Final = ("accept", "measure again", "reject", "cut once more")


@dataclass(frozen=True)
class Read:
    """One reading as it was typed."""

    number: str
    size: str
    unit: str
    fresh: bool
    stop: str
    again: bool
    sure: bool
    when: str
    instrument: str

    @classmethod
    def of(cls, asked: Asked) -> Read:
        """Read from the form; nothing is judged yet."""
        typed = asked.typed
        return cls(
            typed.get("number", "").strip(),
            typed.get("size", "").strip(),
            typed.get("unit", ""),
            typed.get("fresh") == "yes",
            typed.get("stop", "").strip(),
            typed.get("again") == "yes",
            typed.get("sure") == "yes",
            typed.get("when", "").strip(),
            typed.get("instrument", "").strip(),
        )


def lot(asked: Asked) -> Response:
    """The page of a lot, and the entry of its next reading."""
    book = asked.desk.read()
    found = thing_at(book, "lot", asked.path["key"])
    problems: list[Problem] = []
    doubts: list[str] = []
    if asked.posted:
        read = Read.of(asked)
        try:
            told = _enter(asked, found, read)
            return gone_to(f"/lot/{found.id}", done=told)
        except SpecError as refused:
            doubts = [_doubt(p) for p in refused.problems if p.field.startswith("piece ")]
            problems = [p for p in refused.problems if not p.field.startswith("piece ")]
        except BookError as refused:
            problems = [Problem("size", "size", read.size, str(refused))]
    part = owner_of(book, found)
    return shown(
        asked,
        "lot.html",
        409 if doubts else 422 if problems else 200,
        lot=found,
        part=part,
        engine=owner_of(book, part),
        machine=book.lathe_called(machine_of_lot(book.state, found)).name,
        typed=dict(asked.typed) if asked.posted else {"when": asked.today},
        problems={problem.field: problem for problem in problems},
        doubts=doubts,
        unit=_unit(asked),
        units_to_choose=UNITS,
        instruments=[
            key for key, one in instruments(book.state).items() if one.measures == "length"
        ],
        photographs=photographs_of(book, found.id),
        history=told_history(book, found.id, most=60),
        key=asked.key_kept,
        **_stands(asked, book, found),
    )


def so_far(asked: Asked) -> Response:
    """How a lot stands: the part of its page that every reading changes."""
    book = asked.desk.read()
    found = thing_at(book, "lot", asked.path["key"])
    return shown(asked, "lot_so_far.html", lot=found, **_stands(asked, book, found))


def _unit(asked: Asked) -> str:
    chosen = asked.typed.get("unit", "")
    return chosen if chosen in UNITS else ("in" if asked.units == "inch" else "mm")


def _stands(asked: Asked, book: Book, found: Thing) -> dict[str, Any]:
    pieces = pieces_of(book, found)
    following = pieces[-1].number + 1 if pieces else 1
    empty: dict[str, Any] = {
        "plan": None,
        "report": None,
        "chart": None,
        "pieces": [],
        "counts": {},
        "what_next": "",
        "last": None,
    }
    try:
        plan, report = asked.desk.reckoning.lot(book, found, asked.units)
    except NoLotPlanError as wrong:
        return {**empty, "no_plan": sentence(str(wrong)), "following": following, "facts": []}
    rows = []
    if report is not None:
        rows = [
            {"number": each.number, "word": word_of(each), "mark": mark_of(word_of(each))}
            for each in report.decided
        ]
    return {
        "plan": plan,
        "report": report,
        "no_plan": "",
        "chart": run_chart(plan, report, pieces, asked.units),
        "pieces": rows,
        "counts": {
            word: (mark_of(word), [row["number"] for row in rows if row["word"] == word])
            for word in WORDS
        },
        "numbers_told": numbers_told,
        "last": rows[-1] if rows else None,
        "what_next": sentence(do_next(report, asked.units))
        if report is not None
        else f"Prepare {plan.blanks} blanks for {plan.wanted} good ones.",
        "following": following,
        "facts": _facts(plan, report, asked.units),
    }


def _facts(plan: LotPlan, report: LotReport | None, system: System) -> list[str]:
    lower, upper = plan.limits.lower, plan.limits.upper
    found = [
        f"{plan.wanted} good ones of {sizes_within(lower, upper, LENGTH, system)}. "
        f"{plan.blanks} blanks give them in {in_hundred(plan.reached)} lots of 100."
    ]
    if report is None:
        return found
    if report.missing:
        found.append(
            f"No reading is held of {numbers_told(report.missing)}: enter every piece made, "
            "scrapped ones too."
        )
    signals = report.signals
    if signals.reset:
        found.append(f"The level left what the part needs at {numbers_told(signals.reset)}.")
    if signals.changed:
        found.append(f"Something changed at {numbers_told(signals.changed)}.")
    found += [f"Present setting: {run}." for run in signals.runs]
    due = plan.interval - report.since_reset
    found.append(
        "The stop is to be set afresh now."
        if due <= 0
        else f"{due} more before the stop is set afresh."
    )
    return found


def _doubt(problem: Problem) -> str:
    """What is odd about a reading, without how a command is told that it is right."""
    return sentence(f"{problem.label}: {problem.message.partition('; if it is right')[0]}")


def _enter(asked: Asked, found: Thing, read: Read) -> str:
    """Enter one reading; what was done, in words. Raises ``SpecError`` with every problem."""
    number, size, stop, when = _understood(read)
    key = asked.key
    told: list[str] = []

    def deed(live: Book) -> tuple[str, ...]:
        held = live.state.lot_readings(found.id).get(number)
        if live.store.get(key) is not None:  # sent again
            told.append(f"Held already: piece {number}")
            return ()
        if read.again and held is None:
            raise Conflict(f"no first reading of piece {number} is held: enter that before")
        if held is not None and not read.sure:
            before = held.piece.again if read.again else held.piece.value
            if before is not None and abs(before - size) > SAME:
                words = f"it is in the book already, as {show(before, LENGTH, system=asked.units)}"
                raise SpecError([Problem(f"piece {number}", f"piece {number}", read.size, words)])
        entry = LotEntry(
            key,
            number,
            held.value if read.again and held is not None else size,
            stop=stop,
            again=size if read.again else None,
            text=with_unit(read.size, read.unit),
        )
        sheet = LotSheet((entry,), "marked" if read.fresh else "not said", read.fresh)
        if stop is None and read.fresh:
            entry = LotEntry(**{**vars(entry), "stop": _planned(live, found)})
            sheet = LotSheet((entry,), "marked", True)
        taken = enter_readings(
            live,
            found.id,
            sheet,
            instrument=read.instrument,
            when=when,
            sure=read.sure,
            struck_too=True,
        )
        if taken.corrected:
            told.append(f"Corrected: piece {number}. What it was stays in the history")
        elif taken.new:
            told.append(f"Entered: piece {number}, {with_unit(read.size, read.unit)}")
        else:
            told.append(f"Held already: piece {number}")
        return tuple(record.id for record in taken.records)

    asked.desk.write(asked.who, asked.browser, deed)
    return told[0]


def _planned(book: Book, found: Thing) -> float | None:
    from benchproof.book.lots import lot_plan

    try:
        return stop_of(lot_plan(book, found))
    except NoLotPlanError:
        return None


def _understood(read: Read) -> tuple[int, float, float | None, str]:
    problems: list[Problem] = []
    number = 0
    if read.number.isascii() and read.number.isdecimal() and len(read.number) < 6:
        number = int(read.number)
    if not 1 <= number <= MOST_PIECES:
        words = f"is no number of a piece: 1 to {MOST_PIECES}"
        problems.append(Problem("number", "piece", read.number, words, "1"))
    size = _length(read.size, read.unit, "size", "what the gauge says", problems)
    stop = _length(read.stop, read.unit, "stop", "stop", problems) if read.stop else None
    when = ""
    try:
        when = a_day(read.when)
    except SpecError as refused:
        problems += [Problem("when", "day", read.when, p.message) for p in refused.problems]
    if problems:
        raise SpecError(problems)
    return number, size, stop, when


def _length(text: str, unit: str, name: str, label: str, problems: list[Problem]) -> float:
    try:
        taken = unit if unit in UNITS else "mm"
        return parse(text, LENGTH, default_unit=taken, minimum=1e-5, maximum=1.0)
    except QuantityError as wrong:
        words = f"{wrong.reason}; give {wrong.allowed}"
        problems.append(Problem(name, label, text, words, wrong.example))
        return 0.0


ROUTES = (
    page("/lot/{key}", lot, "GET", "POST"),
    page("/lot/{key}/so-far", so_far, name="lot so far"),
)
