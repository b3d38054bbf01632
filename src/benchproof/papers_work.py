"""What a paper is about, from a book or from files: the job, its answer, and its words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.book.errors import Conflict
from benchproof.book.model import Book
from benchproof.book.state import Binding
from benchproof.book.tested import result_of, standing_test
from benchproof.drawing.views import Projection
from benchproof.duties import DUTIES
from benchproof.job_files import read_job, read_record
from benchproof.papers.bench_sheet import bench_sheet
from benchproof.papers.cards import About, CardPaper, Choices, card, shop_cards
from benchproof.papers.layout import Paper, lay_out
from benchproof.papers.rows import NoRoom
from benchproof.papers.svg import svg
from benchproof.papers.title_block import TitleBlock
from benchproof.papers.typesetting import CannotSet
from benchproof.papers.wording import Units
from benchproof.quantities import System
from benchproof.reckon.answer import Answer
from benchproof.reckon.finished import not_measured, still_to_make
from benchproof.reckon.learning import ImpossibleReadings
from benchproof.reckon.plan import Job, plan
from benchproof.reckon.result import Result, bench_result
from benchproof.reckon.sized import sized
from benchproof.refusing import unknown
from benchproof.telling import as_it_stands, beware, what_to_cut


@dataclass(frozen=True)
class Work:
    """A job to put on paper, its answer, whose it is, and the answer in words."""

    job: Job[Any]
    answer: Answer
    about: About
    lead: Sequence[str]


def cards_of(works: Sequence[Work], choices: Choices, title: str) -> bytes:
    """Shop cards of several jobs in one PDF.

    Raises :class:`benchproof.papers.rows.NoRoom` where no sheet holds a drawing.
    """
    cards = [
        card(
            each.job,
            each.answer,
            about=each.about,
            lead=each.lead,
            choices=choices,
            key=f"card{number}",
        )
        for number, each in enumerate(works)
    ]
    return shop_cards(cards, choices, title)


@contextmanager
def refused_in_words() -> Iterator[None]:
    """Say in words that a drawing found no room, or that a paper could not be set."""
    try:
        yield
    except (NoRoom, CannotSet, ImpossibleReadings) as wrong:
        raise Conflict(str(wrong)) from wrong


def from_files(
    duty: str,
    spec: Path,
    lathe: Path | None,
    made: Path | None,
    system: System,
    address: str | None,
    gauge: str | None,
) -> Work:
    """Work without a book: a duty by its key, its spec, and what is made of it."""
    if duty not in DUTIES:
        raise Conflict(unknown(duty, DUTIES, "duty", "benchproof papers card piston-fit a.toml"))
    job, _, flags = read_job(duty, spec, lathe, made)
    job = gauged_with(job, gauge)
    answer = plan(job, more_flags=[*still_to_make(job.duty, job.spec, job.made), *flags])
    about = About(title=job.duty.title, address=address or "")
    return Work(job, answer, about, _told(answer, system))


def from_book(
    book: Book, name: str, system: System, address: str | None, gauge: str | None
) -> list[Work]:
    """Every duty of the book that a name means, as it stands now."""
    found = []
    for binding in bindings_named(book, name):
        job = gauged_with(book.job(binding), gauge)
        result = None
        test = standing_test(book, binding)
        if test is not None:
            result = result_of(job, test)
            answer = result.answer
        else:
            answer = plan(job, more_flags=still_to_make(job.duty, job.spec, job.made))
        about = about_binding(book, binding, address)
        found.append(Work(job, answer, about, _told(answer, system, result)))
    return found


def bindings_named(book: Book, name: str) -> list[Binding]:
    """Duties that a name means: that duty, or all of a piece, a part or an engine."""
    state = book.state
    wanted = name.strip().casefold()
    everything = list(state.bindings.values())
    exact = [b for b in everything if b.id == name or b.name.casefold() == wanted]
    if exact:
        return [book.binding(name)]
    ids = {t.id for t in state.things.values() if name == t.id or t.name.casefold() == wanted}
    ids |= {piece.id for part in list(ids) for piece in state.of("piece", part)}
    found = [b for b in everything if b.engine in ids or ids & set(b.roles.values())]
    if found:
        return sorted(found, key=lambda b: b.name.casefold())
    if ids:
        raise Conflict(f"no duty is given for {name!r} yet: benchproof give --help")
    return [book.binding(name)]  # refuses with what comes near


def about_binding(book: Book, binding: Binding, address: str | None) -> About:
    """What a paper says of whose it is, and what its code reads."""
    things = book.state.things
    page = f"{address.rstrip('/')}/duty/{binding.id}" if address else binding.id
    return About(
        title=binding.name,
        engine=things[binding.engine].name,
        roles=tuple((role, things[piece].name) for role, piece in binding.roles.items()),
        made_from={
            role: things[part].spec.made_from
            for role, piece in binding.roles.items()
            if (part := things[piece].subject) in things
        },
        address=page,
    )


def gauged_with(job: Job[Any], gauge: str | None) -> Job[Any]:
    """The job with the last-cut feature measured with another instrument."""
    if gauge is None:
        return job
    known = job.lathe.instruments
    last = next(f for f in job.duty.features(job.spec) if f.cut_last)
    if gauge not in known:
        raise Conflict(f"no instrument is called {gauge!r}; there are: {', '.join(known)}")
    if last.gauge is None:
        raise Conflict(f"the {last.label} is measured with no gauge")
    if known[gauge].measures != known[last.gauge].measures:
        raise Conflict(f"a {gauge} does not measure the {last.label}")
    instruments = {**known, last.gauge: known[gauge]}
    return replace(job, lathe=replace(job.lathe, instruments=instruments))


def _told(answer: Answer, system: System, result: Result | None = None) -> list[str]:
    if not answer.already_cut:
        return what_to_cut(answer, system)
    return [*(beware(result) if result is not None else ()), *as_it_stands(answer, system)]


def drawn_sheets(
    work: Work, ending: str, paper: Paper, units: Units, projection: Projection
) -> list[bytes]:
    """Every sheet of a drawing, as SVG or DXF by the ending."""
    job = work.job
    drawing = job.duty.drawing(job.spec, sized(job, work.answer))
    if drawing is None:
        raise Conflict(f"there is no drawing of a {job.duty.key}")
    sheets = lay_out(
        replace(drawing, projection=projection),
        paper=paper,
        units=units,
        block=TitleBlock(engine=work.about.engine),
    )
    if ending == ".svg":
        return [svg(sheet).encode() for sheet in sheets]
    from benchproof.papers.dxf import dxf

    return [dxf(sheet).encode() for sheet in sheets]


def sheet_from_files(
    key: str,
    spec: Path | None,
    record: Path | None,
    lathe: Path | None,
    made: Path | None,
    paper: CardPaper,
    system: System,
) -> bytes:
    """The sheet of a bench test without a book: blank, or with the readings of a record."""
    test = load_bench_test(key)
    if spec is None:
        return bench_sheet(test, about=About(title=""), paper=paper, system=system)
    job, _, flags = read_job(test.serves[0], spec, lathe, made)
    about = About(title=job.duty.title)
    if record is None:
        return bench_sheet(test, about=about, spec=job.spec, paper=paper, system=system)
    seen = read_record(test, record).spec
    flags = [*not_measured(job.duty, job.spec, job.made), *flags]
    found = bench_result(job, test, seen, more_flags=flags)
    return bench_sheet(
        test,
        about=about,
        spec=job.spec,
        record=seen,
        result=found,
        lead=_told(found.answer, system, found),
        paper=paper,
        system=system,
    )


def sheet_from_book(
    book: Book,
    name: str,
    key: str | None,
    paper: CardPaper,
    system: System,
    address: str | None,
    *,
    blank: bool,
) -> bytes:
    """The sheet of a duty's bench test: the last one done, else blank."""
    binding = book.binding(name)
    serve = [each for each in BENCH_TESTS if binding.duty in load_bench_test(each).serves]
    if not serve:
        raise Conflict(f"no bench test serves a {binding.duty} yet")
    if key is not None and key not in serve:
        raise Conflict(f"a {key} tells nothing of a {binding.duty}; these do: {', '.join(serve)}")
    done = [t for t in book.state.tests_of(binding.id) if key is None or t.test == key]
    job = book.job(binding)
    about = about_binding(book, binding, address)
    if blank or not done:
        test = load_bench_test(key or serve[0])
        return bench_sheet(test, about=about, spec=job.spec, paper=paper, system=system)
    last = done[-1]
    test = load_bench_test(last.test)
    found = result_of(job, last)
    return bench_sheet(
        test,
        about=about,
        spec=job.spec,
        record=test.record_type.from_text(last.stated).spec,
        result=found,
        lead=_told(found.answer, system, found),
        when=last.order[0],
        paper=paper,
        system=system,
    )
