"""Commands for lots: plan one, enter its readings, tell how far it is, pair what was made."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal

from cyclopts import Parameter

from benchproof.book_commands.answering import AsJson, InUnits
from benchproof.book_commands.opening import (
    BookFile,
    Instead,
    Note,
    When,
    Who,
    corrected,
    day,
    entering,
    opened,
)
from benchproof.exits import ANSWERED, NO_FIT, say

if TYPE_CHECKING:
    from benchproof.quantities import System
    from benchproof.reckon.lot_entries import LotPiece
    from benchproof.reckon.lot_plan import LotPlan
    from benchproof.reckon.lot_report import LotReport
    from benchproof.specs import Understood
    from benchproof.workshop.lot_spec import LotSpec

LatheFile = Annotated[
    Path | None,
    Parameter(help="What your lathe has shown (TOML); else a careful builder is assumed."),
]
Column = Annotated[str | None, Parameter(help="Name of the column of readings, in a table.")]
Comma = Annotated[
    Literal["comma", "point"] | None,
    Parameter(help="Which decimal sign is meant, where 29,986 could be either."),
]
Bare = Literal["mm", "um", "in", "thou"]
BareUnit = Annotated[
    Bare | None,
    Parameter(help="Unit of readings that have none; that of the lot's limits if left out."),
]
BareUnitOfPairs = Annotated[Bare, Parameter(help="Unit of readings that have none.")]
SetFor = Annotated[
    str | None,
    Parameter(help="Size the stop was set for, where no mark says; that of the plan if left out."),
]
Every = Annotated[
    int | None, Parameter(help="Pieces after which it was set afresh, where no re-set is marked.")
]
MOST_CLEARANCE: Final = 1e-3
"""No fit of measured pieces has more clearance, or more interference [m]."""

MOST_DOUBT: Final = 1e-4
"""No gauge that pieces are paired by is so doubtful [m]."""


def lot(
    what: str,
    *,
    so_far: Annotated[
        Path | None, Parameter(help="Readings up to now: a CSV or a pasted column; - to paste.")
    ] = None,
    lathe: LatheFile = None,
    set_for: SetFor = None,
    every: Every = None,
    column: Column = None,
    decimal: Comma = None,
    readings_in: BareUnit = None,
    json: AsJson = False,
    units: InUnits = "metric",
    book: BookFile = None,
) -> int:
    """Plan a lot of pieces alike, or tell how far it is and how many more blanks it needs.

    Parameters
    ----------
    what
        A lot file (TOML), or the name of a lot in the book.
    """
    if Path(what).suffix.casefold() == ".toml" or so_far is not None or lathe is not None:
        read = _Reading(so_far, set_for, every, column, decimal, readings_in)
        return _of_file(Path(what), lathe, read, json=json, units=units)
    return _of_book(what, book, json=json, units=units)


def enter_lot(
    name: str,
    spec: Path,
    *,
    part: Annotated[str, Parameter(help="The part they are pieces of.")],
    feature: Annotated[str | None, Parameter(help="The one that decides, such as shank.")] = None,
    machine: Annotated[
        str | None, Parameter(help="Where they are cut; the first machine if left out.")
    ] = None,
    note: Note = None,
    instead_of: Instead = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Enter a lot: pieces of a part to be made together, with the limits they must hold.

    Parameters
    ----------
    name
        What the lot is called.
    spec
        What it must hold, and how many (TOML).
    """
    from benchproof.book import lots
    from benchproof.listing import tell_understood
    from benchproof.refusing import told_of
    from benchproof.telling_books import tell_entered
    from benchproof.workshop.lot_spec import LotSpec

    with entering(book, who) as kept:
        before = corrected(kept, instead_of)
        with told_of(spec):
            stated = _contents(spec)
            understood = LotSpec.from_text(stated)
            record = lots.enter_lot(
                kept,
                name,
                stated,
                part=part,
                feature=feature or "",
                machine=machine,
                note=note or "",
                supersedes=before,
            )
    say(tell_entered(record) + tell_understood(understood))
    return ANSWERED


def readings(
    lot: str,
    file: Path,
    *,
    instrument: Annotated[
        str | None, Parameter(name="--with", help="Instrument; that of the lot if left out.")
    ] = None,
    when: When = None,
    set_for: SetFor = None,
    every: Every = None,
    column: Column = None,
    decimal: Comma = None,
    readings_in: BareUnit = None,
    struck_too: Annotated[
        bool, Parameter(negative="", help="Take readings that were struck out before.")
    ] = False,
    sure: Annotated[bool, Parameter(negative="", help="Enter sizes although unlikely.")] = False,
    units: InUnits = "metric",
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Enter readings of a lot; pasted again with more at its end, a column is taken once.

    Parameters
    ----------
    lot
        Which lot of the book.
    file
        A CSV or a pasted column, one reading a line; - to paste it here.
    """
    from benchproof.book import lots
    from benchproof.book.days import a_day
    from benchproof.lot_sheets import read_lot_sheet
    from benchproof.reckon.lot_by_spec import NoLotPlanError
    from benchproof.refusing import told_of
    from benchproof.telling_lots import tell_lot_report, tell_taken, tell_unmarked
    from benchproof.workshop.lot_spec import unit_of_limits

    with entering(book, who) as kept:
        thing = kept.find("lot", lot)
        unit = readings_in or unit_of_limits(thing.record.body["stated"])
        sheet = read_lot_sheet(
            file,
            near=thing.spec.middle,
            column=column,
            decimal=decimal,
            unit=unit,
            sheet=thing.id,
        )
        with told_of(file):
            taken = lots.enter_readings(
                kept,
                thing.id,
                sheet,
                instrument=instrument or "",
                when=a_day(day(when)),
                stop=_stop(set_for, thing.spec.limits, unit),
                interval=_interval(every),
                struck_too=struck_too,
                sure=sure,
            )
        told = tell_taken(taken, thing.name, units)
        if sheet.settings == "not said" and taken.new and not (every or thing.spec.interval):
            told += tell_unmarked()
        try:
            report = lots.progress(kept, thing, lots.lot_plan(kept, thing, system=units))
        except NoLotPlanError as wrong:
            say(told + "\n" + _no_plan(str(wrong)))
            return NO_FIT
    say(told + ("\n" + tell_lot_report(report, thing.name, units) if report else ""))
    return ANSWERED


def pair(
    holes: Path,
    shafts: Path,
    *,
    least: Annotated[
        str,
        Parameter(
            help="Least clearance, hole less shaft, as 10um; an interference is below zero.",
            allow_leading_hyphen=True,
        ),
    ],
    most: Annotated[str, Parameter(help="Most clearance, as 30um.", allow_leading_hyphen=True)],
    wish: Annotated[
        Literal["all-right", "most-right"],
        Parameter(help="The best chance for all pairs, or the most pairs right."),
    ] = "all-right",
    hole_u: Annotated[
        str,
        Parameter(help="Standard uncertainty of a hole's reading.", allow_leading_hyphen=True),
    ] = "3 um",
    shaft_u: Annotated[
        str, Parameter(help="Standard uncertainty of a shaft's.", allow_leading_hyphen=True)
    ] = "2 um",
    lathe: LatheFile = None,
    column: Column = None,
    decimal: Comma = None,
    readings_in: BareUnitOfPairs = "mm",
    json: AsJson = False,
    units: InUnits = "metric",
) -> int:
    """Pair measured holes and shafts for the best, and tell whether any goes with any.

    Parameters
    ----------
    holes
        Their readings, a CSV or a pasted column; or a lot file (TOML), before they are made.
    shafts
        Those of the shafts; a column named hand keeps left with left.
    """
    limits = _clearances(least, most)
    if {holes.suffix.casefold(), shafts.suffix.casefold()} == {".toml"}:
        return _pair_plans(holes, shafts, limits, lathe, json=json, units=units)
    from benchproof.book.errors import Conflict
    from benchproof.lot_sheets import check_mates, read_measured
    from benchproof.reckon.lot_plain import plain_pairing
    from benchproof.reckon.pairing import any_of_measured, pair_measured
    from benchproof.telling_lots import tell_pairing

    u = [
        _length(text, name, least=0.0, most=MOST_DOUBT)
        for text, name in ((hole_u, "hole-u"), (shaft_u, "shaft-u"))
    ]
    bores, pins = (
        read_measured(path, u=doubt, prefix=what, column=column, decimal=decimal, unit=readings_in)
        for path, doubt, what in ((holes, u[0], "hole"), (shafts, u[1], "shaft"))
    )
    check_mates(bores, pins, readings_in)
    swapped = max(each.size for each in bores) < min(each.size for each in pins)
    if swapped and limits[0] >= 0.0:  # below zero an interference is meant
        raise Conflict("every hole is smaller than every shaft: are the two files swapped?")
    found = pair_measured(
        bores,
        pins,
        least=limits[0],
        most=limits[1],
        wish="all right" if wish == "all-right" else "most right",
    )
    odds = any_of_measured(bores, pins, least=limits[0], most=limits[1])
    say(plain_pairing(found, odds) if json else tell_pairing(found, odds, limits, units))
    return ANSWERED if found.fits else NO_FIT


def _pair_plans(
    holes: Path,
    shafts: Path,
    limits: tuple[float, float],
    lathe: Path | None,
    *,
    json: bool,
    units: System,
) -> int:
    """Any with any of two lots, before either is made."""
    from dataclasses import asdict

    from benchproof.reckon.lot_by_spec import NoLotPlanError
    from benchproof.reckon.lot_mates import any_with_any
    from benchproof.telling_lots import tell_mating

    try:
        plans = [_planned(path, lathe, units)[1] for path in (holes, shafts)]
    except NoLotPlanError as wrong:
        say({"no_plan": str(wrong)} if json else _no_plan(str(wrong)))
        return NO_FIT
    odds = any_with_any(*plans, least=limits[0], most=limits[1])
    told = f"{holes.stem} and {shafts.stem}, accepted pieces of lots as planned\n"
    say({"any_with_any": asdict(odds)} if json else told + tell_mating(odds, "these lots", units))
    return ANSWERED


class _Reading:
    """A column of readings to be read for a lot that is in no book."""

    def __init__(
        self,
        path: Path | None,
        set_for: str | None,
        every: int | None,
        column: str | None,
        decimal: Literal["comma", "point"] | None,
        unit: str | None,
    ) -> None:
        self.path, self.set_for, self.every = path, set_for, _interval(every)
        self.column, self.decimal, self.unit = column, decimal, unit

    def report(
        self, stated: Mapping[str, object], spec: LotSpec, plan: LotPlan
    ) -> tuple[LotReport, bool] | None:
        """How the lot stands, and whether the column says nothing of settings."""
        from benchproof.lot_sheets import read_lot_sheet
        from benchproof.reckon.lot_by_spec import stop_of
        from benchproof.reckon.lot_entries import placed
        from benchproof.reckon.lot_report import lot_report
        from benchproof.workshop.lot_spec import unit_of_limits

        unit = self.unit or unit_of_limits(stated)
        told = _stop(self.set_for, spec.limits, unit)
        if self.path is None:
            return None
        sheet = read_lot_sheet(
            self.path,
            near=spec.middle,
            column=self.column,
            decimal=self.decimal,
            unit=unit,
        )
        stop = stop_of(plan) if told is None else told
        interval = self.every or spec.interval
        pieces = placed(sheet, {}, stop=stop, interval=interval)
        _check_stops(self.path, pieces, spec.limits, unit)
        return lot_report(plan, pieces), sheet.settings == "not said" and interval is None


def _of_file(path: Path, lathe: Path | None, read: _Reading, *, json: bool, units: System) -> int:
    from benchproof.listing import tell_understood
    from benchproof.reckon.lot_by_spec import NoLotPlanError
    from benchproof.reckon.lot_plain import plain_lot_plan, plain_lot_report
    from benchproof.telling_lots import tell_lot_plan, tell_lot_report, tell_unmarked

    try:
        understood, planned, machine = _planned(path, lathe, units)
    except NoLotPlanError as wrong:
        say({"no_plan": str(wrong)} if json else _no_plan(str(wrong)))
        return NO_FIT
    found = read.report(understood.text, understood.spec, planned)
    if json:
        told: dict[str, Any] = {
            "spec": understood.spec.to_si_json(),
            "plan": plain_lot_plan(planned),
        }
        say(told if found is None else {**told, "so_far": plain_lot_report(found[0])})
    elif found is None:
        say(tell_lot_plan(planned, path.stem, machine, units) + tell_understood(understood))
    else:
        report, unmarked = found
        text = tell_lot_report(report, path.stem, units)
        say(text + ("\n" + tell_unmarked() if unmarked else ""))
    return NO_FIT if found is not None and found[0].so_far.more is None else ANSWERED


def _of_book(name: str, book: Path | None, *, json: bool, units: System) -> int:
    from benchproof.book import lots
    from benchproof.book.evidence import machine_of_lot
    from benchproof.reckon.lot_by_spec import NoLotPlanError
    from benchproof.reckon.lot_plain import plain_lot_plan, plain_lot_report
    from benchproof.telling_lots import tell_lot_plan, tell_lot_report

    with opened(book) as kept:
        thing = kept.find("lot", name)
        machine = kept.lathe_called(machine_of_lot(kept.state, thing)).name
        try:
            planned = lots.lot_plan(kept, thing, system=units)
        except NoLotPlanError as wrong:
            say({"no_plan": str(wrong)} if json else _no_plan(str(wrong)))
            return NO_FIT
        report = lots.progress(kept, thing, planned)
    if json:
        so_far = None if report is None else plain_lot_report(report)
        spec = thing.spec.to_si_json()
        say({"name": thing.name, "spec": spec, "plan": plain_lot_plan(planned), "so_far": so_far})
    else:
        about = "" if report is None else tell_lot_report(report, thing.name, units) + "\n"
        say(about + tell_lot_plan(planned, f"{thing.name}, as planned", machine, units))
    return NO_FIT if report is not None and report.so_far.more is None else ANSWERED


def _planned(
    path: Path, lathe: Path | None, units: System
) -> tuple[Understood[LotSpec], LotPlan, str]:
    """The lot of a file planned, and the name of the lathe."""
    from benchproof.job_files import read_lathe
    from benchproof.reckon.lot_by_spec import plan_by_spec
    from benchproof.refusing import told_of
    from benchproof.workshop.lot_spec import LotSpec

    with told_of(path):
        understood = LotSpec.from_text(_contents(path))
    machine = read_lathe(lathe)
    with told_of(path):
        return understood, plan_by_spec(understood.spec, machine, system=units), machine.name


def _contents(path: Path) -> Mapping[str, Any]:
    """What a lot file states; a file of another kind is refused as such."""
    from benchproof.job_files import LOT_FILE, contents

    return contents(path, LOT_FILE)


def _stop(text: str | None, limits: tuple[float, float], unit: str) -> float | None:
    """Size the stop was set for, as stated; ``limits`` [m] are those of the lot."""
    from benchproof.lot_sheets import FARTHEST_STOP

    if text is None:
        return None
    least, most = max(limits[0] - FARTHEST_STOP, 0.1e-3), limits[1] + FARTHEST_STOP
    return _length(text, "set-for", unit=unit, least=least, most=most)


def _check_stops(
    path: Path, pieces: Sequence[LotPiece], limits: tuple[float, float], unit: str
) -> None:
    """Refuse a column whose stop was set where no piece could come out within limits."""
    from benchproof.lot_sheets import FARTHEST_STOP
    from benchproof.quantities import LENGTH, show
    from benchproof.refusing import RefusedFileError
    from benchproof.specs import Problem

    lower, upper = limits
    far = [
        each
        for each in pieces
        if not lower - FARTHEST_STOP <= each.set_for <= upper + FARTHEST_STOP
    ]
    if far:
        where = f"piece {far[0].number}"
        given, example = (
            show(size, LENGTH, unit=unit) for size in (far[0].set_for, 0.5 * (lower + upper))
        )
        words = "its stop lies more than a millimetre outside the limits: is it a slip of the pen?"
        raise RefusedFileError(path, [Problem(where, where, given, words, f"re-set for {example}")])


def _interval(every: int | None) -> int | None:
    from benchproof.specs import Problem, SpecError

    if every is not None and not 1 <= every <= 500:
        words = "is no number of pieces to a setting; give 1 to 500"
        raise SpecError([Problem("every", "every", str(every), words, "--every 10")])
    return every


def _clearances(least: str, most: str) -> tuple[float, float]:
    from benchproof.specs import Problem, SpecError

    found = (
        _length(least, "least", least=-MOST_CLEARANCE, most=MOST_CLEARANCE),
        _length(most, "most", least=-MOST_CLEARANCE, most=MOST_CLEARANCE),
    )
    if not found[0] < found[1]:
        words = f"must be under the most clearance, {most}"
        raise SpecError([Problem("least", "least", least, words, "--least 10um --most 30um")])
    return found


def _length(text: str, name: str, *, least: float, most: float, unit: str = "um") -> float:
    from benchproof.quantities import LENGTH, QuantityError, parse
    from benchproof.specs import Problem, SpecError

    try:
        return parse(text, LENGTH, default_unit=unit, minimum=least, maximum=most)
    except QuantityError as wrong:
        words = f"{wrong.reason}; give {wrong.allowed}"
        raise SpecError([Problem(name, name, text, words, wrong.example)]) from None


def _no_plan(words: str) -> str:
    from benchproof.columns import page, sentence, wrapped

    return page(wrapped(f"No plan: {sentence(words)}", "", "  "))


ASKING: Final[dict[str, Callable[..., int]]] = {"lot": lot, "pair": pair}
WRITING: Final[dict[str, Callable[..., int]]] = {"enter-lot": enter_lot, "readings": readings}
