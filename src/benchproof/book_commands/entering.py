"""Commands that write in a book. Everything typed is read before anything is written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal

from cyclopts import Parameter

from benchproof.book_commands.opening import (
    BookFile,
    Instead,
    Note,
    When,
    Who,
    corrected,
    day,
    entering,
    nothing_written,
    only,
    stated_only,
)
from benchproof.exits import ANSWERED, NO_FIT, say

if TYPE_CHECKING:
    from benchproof.book.model import Book

Cut = Literal["first", "again", "fitted"]
Units = Literal["metric", "inch"]
EngineName = Annotated[str | None, Parameter(help="Its engine; may be left out if there is one.")]
MachineName = Annotated[str | None, Parameter(help="The machine; may be left out if there is one.")]
Gauge = Annotated[str | None, Parameter(name="--with", help="Instrument it was measured with.")]
Doubt = Annotated[str | None, Parameter(help="Standard uncertainty of the reading, as 2 um.")]


def _enter(
    kind: str,
    fields: dict[str, object],
    book: Path | None,
    who: str | None,
    instead_of: str | None,
    subject: Callable[[Book], str] | None = None,
) -> int:
    from benchproof.telling_books import tell_entered

    with entering(book, who) as opened:
        about = None if subject is None else subject(opened)
        record = opened.enter(kind, fields, subject=about, supersedes=corrected(opened, instead_of))
    say(tell_entered(record))
    return ANSWERED


def engine(
    name: str,
    *,
    gauge: str | None = None,
    boiler_pressure: str | None = None,
    evaporation: str | None = None,
    note: Note = None,
    instead_of: Instead = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Enter an engine, with the leading values its duties inherit.

    Parameters
    ----------
    name
        What it is called.
    gauge
        Gauge of the track, as 5 in.
    boiler_pressure
        Working pressure, as 5 bar.
    evaporation
        Steam the boiler makes, as 12 kg/h.
    """
    fields = stated_only(
        name=name, gauge=gauge, boiler_pressure=boiler_pressure, evaporation=evaporation, note=note
    )
    return _enter("engine", fields, book, who, instead_of)


def machine(
    name: str,
    *,
    swing_over_bed: str | None = None,
    swing_over_slide: str | None = None,
    between_centres: str | None = None,
    note: Note = None,
    instead_of: Instead = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Enter a machine of the workshop.

    Parameters
    ----------
    name
        What it is called.
    swing_over_bed
        Largest diameter over the bed.
    swing_over_slide
        Largest diameter over the cross-slide.
    between_centres
        Longest work.
    """
    fields = stated_only(
        name=name,
        swing_over_bed=swing_over_bed,
        swing_over_slide=swing_over_slide,
        between_centres=between_centres,
        note=note,
    )
    return _enter("machine", fields, book, who, instead_of)


def instrument(
    name: str,
    *,
    u: Annotated[str, Parameter(help="Standard uncertainty of one reading, as 3 um.")],
    checked: Annotated[str | None, Parameter(help="Day it was last checked.")] = None,
    note: Note = None,
    instead_of: Instead = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Enter a measuring instrument and its doubt.

    Parameters
    ----------
    name
        What measurements call it.
    """
    fields = stated_only(name=name, u=u, checked=checked, note=note)
    return _enter("instrument", fields, book, who, instead_of)


def part(
    name: str,
    *,
    engine: EngineName = None,
    group: Annotated[str | None, Parameter(help="Which group of the engine it is in.")] = None,
    off: Annotated[int, Parameter(help="How many are wanted.")] = 1,
    made_from: Annotated[
        Literal["bar", "casting", "either"] | None,
        Parameter(help="What it is made from; its shop card gives that blank."),
    ] = None,
    note: Note = None,
    instead_of: Instead = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Enter a part of an engine: a drawing, so many off.

    Parameters
    ----------
    name
        What it is called.
    """
    fields = stated_only(name=name, group=group, off=off, made_from=made_from, note=note)
    return _enter(
        "part", fields, book, who, instead_of, lambda opened: only(opened, "engine", engine)
    )


def piece(
    name: str,
    *,
    part: Annotated[str, Parameter(help="The part it is one of.")],
    note: Note = None,
    instead_of: Instead = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Enter a piece: one made thing, or one to be made.

    Parameters
    ----------
    name
        Left piston, right piston, no. 17.
    """
    fields = stated_only(name=name, note=note)
    return _enter(
        "piece", fields, book, who, instead_of, lambda opened: opened.find("part", part).id
    )


def give(
    duty: str,
    name: str,
    spec: Path,
    *,
    role: Annotated[
        list[str], Parameter(negative="", help='Which piece plays a role: bore="left cylinder".')
    ],
    engine: EngineName = None,
    machine: Annotated[
        str | None, Parameter(help="Where they are cut; the first machine if left out.")
    ] = None,
    instead_of: Instead = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Give pieces a duty: what they must do together.

    Parameters
    ----------
    duty
        What they must do, such as piston-fit; see benchproof duties.
    name
        What this duty is called, such as left piston fit.
    spec
        What it must do in figures (TOML); the engine's values need not be repeated.
    """
    from benchproof.book.errors import Conflict
    from benchproof.duties import DUTIES, load_duty
    from benchproof.job_files import contents
    from benchproof.listing import tell_understood
    from benchproof.refusing import told_of, unknown
    from benchproof.telling_books import tell_entered

    with entering(book, who) as opened:
        if duty not in DUTIES:
            raise Conflict(unknown(duty, DUTIES, "duty", "benchproof duties"))
        roles = dict(_role(each) for each in role)
        owner = only(opened, "engine", engine)
        before = corrected(opened, instead_of)
        with told_of(spec):
            stated = contents(spec, f"a spec of {duty}")
            record = opened.bind(
                duty, name, stated, roles, engine=owner, machine=machine, supersedes=before
            )
        bound = opened.binding(name)
        understood = opened.understood(bound)
        title = load_duty(duty).title
    say(tell_entered(record, title) + tell_understood(understood))
    return ANSWERED


def _role(text: str) -> tuple[str, str]:
    from benchproof.specs import Problem, SpecError

    name, between, piece = text.partition("=")
    if not (between and name.strip() and piece.strip()):
        words = "names a role and its piece, with = between them"
        raise SpecError([Problem("role", "role", text, words, '--role bore="left cylinder"')])
    return name.strip(), piece.strip()


def measure(
    piece: str,
    feature: str,
    size: str,
    *,
    aim: Annotated[str | None, Parameter(help="Size it was cut to.")] = None,
    instrument: Gauge = None,
    u: Doubt = None,
    cut: Annotated[
        Cut, Parameter(help="As it came off the tool, cut again, or cut until it fitted.")
    ] = "first",
    when: When = None,
    part_temperature: Annotated[str | None, Parameter(help="Of the part, as 22 C.")] = None,
    room_temperature: Annotated[str | None, Parameter(help="Of the room, as 19 C.")] = None,
    machine: Annotated[
        str | None, Parameter(help="Where it was cut, if not on the machine of its duty.")
    ] = None,
    sure: Annotated[bool, Parameter(negative="", help="Enter it although it is unlikely.")] = False,
    instead_of: Instead = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Enter a size that was measured; an unlikely one is questioned.

    Parameters
    ----------
    piece
        Which piece, such as left piston.
    feature
        What of it, such as bore or piston.
    size
        What the gauge said, as 30.006 mm.
    """
    from benchproof.book.errors import Conflict
    from benchproof.book.questions import unlikely
    from benchproof.telling_books import tell_measured

    with entering(book, who) as opened:
        before = corrected(opened, instead_of)
        stated: dict[str, Any] = {"aim": aim, "u": u}
        stated["taken"] = stated_only(
            instrument=instrument,
            cut=cut,
            when=day(when),
            part_temperature=part_temperature,
            room_temperature=room_temperature,
            machine=machine,
        )
        thing, body = opened.read_size(piece, feature, size, **stated)
        odd = unlikely(opened, thing, body, instead_of=before)
        if odd and not sure:
            raise Conflict(f"{'; '.join(odd)}. If it is right all the same, add --sure")
        record = opened.measure(piece, feature, size, **stated, supersedes=before)
    say(tell_measured(record, thing.name))
    return ANSWERED


def bench_test(
    name: str,
    test: str,
    record: Path,
    *,
    when: When = None,
    instead_of: Instead = None,
    units: Annotated[Units, Parameter(help="Units to answer in.")] = "metric",
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Enter a bench test of a duty, and tell what it showed.

    Parameters
    ----------
    name
        Which duty of the book, such as left piston fit.
    test
        Which bench test, such as drop-test; see benchproof duties.
    record
        The set-up and its readings (TOML).
    """
    from benchproof.bench_tests import BENCH_TESTS
    from benchproof.book.errors import Conflict
    from benchproof.book.tested import result_of, standing_test
    from benchproof.job_files import contents
    from benchproof.reckon.learning import ImpossibleReadings
    from benchproof.refusing import told_of, unknown
    from benchproof.telling import tell_result
    from benchproof.telling_books import tell_entered, tell_impossible

    with entering(book, who) as opened:
        before = corrected(opened, instead_of)
        bound = opened.binding(name)
        if test not in BENCH_TESTS:
            raise Conflict(unknown(test, BENCH_TESTS, "bench test", "benchproof duties"))
        with told_of(record):
            stated = contents(record, f"a record of the {test}")
            entered = opened.test(name, test, stated, when=day(when), supersedes=before)
        job = opened.job(bound)
        last = standing_test(opened, bound)
        if last is None or last.record.id != entered.id:  # an older one, entered late
            tests = opened.state.tests_of(bound.id)
            last = next(each for each in tests if each.record.id == entered.id)
    say(tell_entered(entered, bound.name))
    try:
        found = result_of(job, last)
    except ImpossibleReadings as impossible:
        say("\n" + tell_impossible(str(impossible)))
        return NO_FIT
    say("\n" + tell_result(found, units))
    return NO_FIT if found.contradicted else ANSWERED


def past(
    process: str,
    aim: str,
    came_out: str,
    *,
    machine: MachineName = None,
    instrument: Gauge = None,
    u: Doubt = None,
    when: When = None,
    instead_of: Instead = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Enter a part made before the book was kept: what was aimed for, and what came out first.

    Parameters
    ----------
    process
        How it was made: bore, turn, place and others.
    aim
        Size it was cut to.
    came_out
        Size that came out, before it was cut again.
    """
    with nothing_written():
        fields = stated_only(
            process=process, aim=aim, came_out=came_out, u=u, instrument=instrument, when=day(when)
        )

    def subject(opened: Book) -> str:
        _known_gauge(opened, instrument)
        return only(opened, "machine", machine)

    return _enter("past part", fields, book, who, instead_of, subject)


def _known_gauge(opened: Book, name: str | None) -> None:
    from benchproof.specs import SpecError

    problems: list[Any] = []
    opened.gauge_named(name or "", problems)
    if problems:
        raise SpecError(problems)


def event(
    what: str,
    *,
    machine: MachineName = None,
    when: When = None,
    trust: Annotated[
        str | None, Parameter(help="How far parts before it still count, 0.01 to 1.")
    ] = None,
    process: Annotated[str | None, Parameter(help="The one process it changed.")] = None,
    instead_of: Instead = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Enter what changed a machine: parts made before it count in part from now on.

    Parameters
    ----------
    what
        What happened, such as spindle bearings adjusted.
    """
    with nothing_written():
        fields = stated_only(what=what, when=day(when), trust=trust, process=process)
    return _enter(
        "event", fields, book, who, instead_of, lambda opened: only(opened, "machine", machine)
    )


def scrap(
    piece: str,
    *,
    why: Annotated[str, Parameter(help="What went wrong.")],
    when: When = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Enter that a piece is lost.

    Parameters
    ----------
    piece
        Which piece.
    """
    with nothing_written():
        fields = stated_only(why=why, when=day(when))
    return _enter(
        "scrapped", fields, book, who, None, lambda opened: opened.find("piece", piece).id
    )


def note(
    about: str,
    text: str,
    *,
    when: When = None,
    instead_of: Instead = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Write a note about anything in the book.

    Parameters
    ----------
    about
        Name of an engine, part, piece, duty, machine, or an id.
    text
        The note.
    """
    from benchproof.book.history import named

    with nothing_written():
        fields = stated_only(text=text, when=day(when))
    return _enter("note", fields, book, who, instead_of, lambda opened: named(opened, about))


def attach(
    about: str,
    file: Path,
    *,
    note: Note = None,
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Keep a photograph or document about anything in the book.

    Parameters
    ----------
    about
        Name of an engine, part, piece, duty, machine, or an id.
    file
        The file; it is copied into the book.
    """
    from benchproof.book.history import named
    from benchproof.telling_books import tell_entered

    with entering(book, who) as opened:
        record = opened.attach(named(opened, about), file, note or "")
    say(tell_entered(record))
    return ANSWERED


def strike(
    record: str,
    *,
    why: Annotated[str, Parameter(help="Why it is struck out.")],
    book: BookFile = None,
    who: Who = None,
) -> int:
    """Strike out a record entered by mistake; it stays in the history.

    Parameters
    ----------
    record
        Its id, as benchproof history tells it, or the beginning of it.
    """
    from benchproof.book.history import record_of
    from benchproof.telling_books import tell_struck

    with entering(book, who) as opened:
        asked = record_of(opened, record)
        struck = opened.strike_out(asked.id, why)
        gone = record_of(opened, str(struck.supersedes))
        stands = next((r for r in opened.store.records if r.id == gone.supersedes), None)
    say(tell_struck(gone, stands))
    return ANSWERED


COMMANDS: Final[dict[str, Callable[..., int]]] = {
    "engine": engine,
    "machine": machine,
    "instrument": instrument,
    "part": part,
    "piece": piece,
    "give": give,
    "measure": measure,
    "test": bench_test,
    "past": past,
    "event": event,
    "scrap": scrap,
    "note": note,
    "attach": attach,
    "strike": strike,
}
