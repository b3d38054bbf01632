"""Commands that put things on paper: cards, sheets, drawings, an engine's file, a build story."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, Literal, NoReturn

from cyclopts import App, Group, Parameter

from benchproof.book_commands.opening import BookFile, opened
from benchproof.exits import ANSWERED, say

if TYPE_CHECKING:
    from benchproof.drawing.views import Projection

Units = Literal["metric", "inch", "both"]
OneUnit = Literal["metric", "inch"]
CardPaper = Literal["A5", "A4"]
DrawingPaper = Literal["A5", "A4", "A3"]

To = Annotated[Path | None, Parameter(help="File to write; else it is named after the thing.")]
Again = Annotated[bool, Parameter(negative="", help="Put it in place of a file of that name.")]
InUnits = Annotated[Units, Parameter(help="Units to draw and write in.")]
InOneUnit = Annotated[OneUnit, Parameter(help="Units to draw and write in.")]
Lathe = Annotated[
    Path | None, Parameter(help="What your lathe has shown (TOML); for work without a book.")
]
Made = Annotated[
    Path | None, Parameter(help="What is made and measured (TOML); for work without a book.")
]
Address = Annotated[
    str | None,
    Parameter(help="Where the screens are served, as http://192.168.1.20:8765, for the code."),
]
ThirdAngle = Annotated[bool, Parameter(negative="", help="Draw in third-angle projection.")]
Gauge = Annotated[
    str | None, Parameter(help="Instrument at hand for the last cut, if not the usual one.")
]


def card(
    name: str,
    spec: Path | None = None,
    *,
    paper: CardPaper = "A4",
    units: InUnits = "metric",
    moulding: Annotated[
        str | None, Parameter(help="How castings are moulded; green sand by hand if left out.")
    ] = None,
    gauge: Gauge = None,
    third_angle: ThirdAngle = False,
    address: Address = None,
    lathe: Lathe = None,
    made: Made = None,
    to: To = None,
    again: Again = False,
    book: BookFile = None,
) -> int:
    """Print a shop card: drawing, blank, sizes and limits, order of work, bench test to fill in.

    Parameters
    ----------
    name
        A duty, piece, part or engine of the book, such as left piston fit. With a spec: the kind
        of duty, such as piston-fit.
    spec
        What it must do in figures (TOML), where there is no book.
    """
    from benchproof.papers.cards import Choices
    from benchproof.papers_work import cards_of, from_book, from_files, refused_in_words
    from benchproof.workshop.blanks import MOULDING

    if moulding is not None and moulding not in MOULDING:
        _refuse(f"{moulding!r} is no way of moulding known here; known: {', '.join(MOULDING)}")
    choices = Choices(
        paper=paper,
        units=units,
        moulding=moulding or MOULDING[0],
        projection=_projection(third_angle),
    )
    system: OneUnit = "inch" if units == "inch" else "metric"
    with refused_in_words():
        if spec is not None:
            work = [from_files(name, spec, lathe, made, system, address, gauge)]
        else:
            with opened(book) as kept:
                work = from_book(kept, name, system, address, gauge)
        pdf = cards_of(work, choices, f"Shop card: {work[0].about.title if spec else name}")
    return _written(to or _named(f"{name} card", ".pdf"), pdf, again=again)


def sheet(
    name: str,
    spec: Path | None = None,
    record: Path | None = None,
    *,
    test: Annotated[
        str | None, Parameter(help="Which bench test, such as drop-test; else the last one done.")
    ] = None,
    blank: Annotated[
        bool, Parameter(negative="", help="To fill in, even where a test was done already.")
    ] = False,
    paper: CardPaper = "A4",
    units: InOneUnit = "metric",
    address: Address = None,
    lathe: Lathe = None,
    made: Made = None,
    to: To = None,
    again: Again = False,
    book: BookFile = None,
) -> int:
    """Print the sheet of a bench test: how it is done, and its readings to fill in or as taken.

    Parameters
    ----------
    name
        A duty of the book, such as left piston fit; without a book a bench test, such as
        drop-test.
    spec
        What the part must do (TOML), where there is no book.
    record
        The set-up and its readings (TOML), where there is no book.
    """
    from benchproof.bench_tests import BENCH_TESTS
    from benchproof.papers_work import refused_in_words, sheet_from_book, sheet_from_files

    with refused_in_words():
        if name in BENCH_TESTS:
            pdf = sheet_from_files(name, spec, record, lathe, made, paper, units)
        else:
            with opened(book) as kept:
                pdf = sheet_from_book(kept, name, test, paper, units, address, blank=blank)
    return _written(to or _named(f"{name} sheet", ".pdf"), pdf, again=again)


def drawing(
    name: str,
    spec: Path | None = None,
    *,
    to: To = None,
    paper: DrawingPaper = "A4",
    units: InUnits = "metric",
    third_angle: ThirdAngle = False,
    lathe: Lathe = None,
    made: Made = None,
    again: Again = False,
    book: BookFile = None,
) -> int:
    """Write the drawing of a duty as SVG or DXF, by the ending of the file.

    Parameters
    ----------
    name
        A duty of the book, such as left piston fit. With a spec: the kind of duty.
    spec
        What it must do in figures (TOML), where there is no book.
    """
    from benchproof.papers_work import drawn_sheets, from_book, from_files, refused_in_words

    path = to or _named(f"{name} drawing", ".svg")
    if path.suffix.lower() not in {".svg", ".dxf"}:
        _refuse(f"a drawing is written as .svg or .dxf, not as {path.name}")
    system: OneUnit = "inch" if units == "inch" else "metric"
    with refused_in_words():
        if spec is not None:
            work = from_files(name, spec, lathe, made, system, None, None)
        else:
            with opened(book) as kept:
                work = from_book(kept, name, system, None, None)[0]
        sheets = drawn_sheets(work, path.suffix.lower(), paper, units, _projection(third_angle))
    for number, content in enumerate(sheets, 1):
        numbered = path.with_stem(f"{path.stem}-{number}") if len(sheets) > 1 else path
        _written(numbered, content, again=again)
    return ANSWERED


def engine_file(
    engine: str,
    *,
    units: InOneUnit = "metric",
    to: To = None,
    again: Again = False,
    book: BookFile = None,
) -> int:
    """Print everything about an engine: parts, drawings, bench tests, sources, open questions.

    Parameters
    ----------
    engine
        Which engine of the book.
    """
    from benchproof.book.cache import Cache
    from benchproof.papers.engine_file import engine_file as whole
    from benchproof.papers_work import refused_in_words

    with opened(book) as kept, refused_in_words():
        cache = Cache.beside(Path(kept.store.path))
        try:
            pdf = whole(kept, engine, system=units, cache=cache, progress=_progress())
        finally:
            cache.close()
    return _written(to or _named(f"{engine} engine file", ".pdf"), pdf, again=again)


def story(
    engine: str,
    *,
    html: Annotated[
        bool, Parameter(negative="", help="A folder with a plain web page and its pictures.")
    ] = False,
    to: To = None,
    again: Again = False,
    book: BookFile = None,
) -> int:
    """Print the story of a build: dated notes and photographs in order, ready to publish.

    Parameters
    ----------
    engine
        Which engine of the book.
    """
    from benchproof.papers.build_story import story_html, story_of, story_pdf
    from benchproof.papers_work import refused_in_words

    with opened(book) as kept, refused_in_words():
        told = story_of(kept, engine)
        if html:
            return _folder(to or _named(f"{engine} story", ""), story_html(told))
        return _written(to or _named(f"{engine} story", ".pdf"), story_pdf(told), again=again)


def _progress() -> Callable[[int, int, str], None] | None:
    """Say what is being done, where somebody is looking at a terminal."""
    if not sys.stderr.isatty():
        return None

    def told(done: int, whole: int, words: str) -> None:
        text = f"{done} of {whole}: {words}" if words else ""
        sys.stderr.write(f"\r{text[:78]:<78}" + ("" if words else "\r"))
        sys.stderr.flush()

    return told


def _projection(third_angle: bool) -> Projection:
    return "third angle" if third_angle else "first angle"


def _named(words: str, ending: str) -> Path:
    """A name for a file that every system takes."""
    plain = re.sub(r"[^\w]+", "-", words.strip().casefold()).strip("-")
    return Path((plain or "paper") + ending)


def _written(path: Path, content: bytes, *, again: bool) -> int:
    """Put a file in its place whole, in place of another only where that was asked for."""
    from benchproof.book.placing import placed
    from benchproof.telling_books import tell_written

    if path.is_file():
        if not again:
            _refuse(f"{path} is there already; choose another name with --to, or say --again")
        part = path.with_name(f".{path.name}.part")
        part.write_bytes(content)
        part.replace(path)
    else:
        with placed(path) as part:
            part.write_bytes(content)
    say(tell_written("Written:", path))
    return ANSWERED


def _folder(path: Path, files: Mapping[str, bytes]) -> int:
    from benchproof.book.placing import placed
    from benchproof.telling_books import tell_written

    with placed(path) as part:
        part.mkdir()
        for name, content in files.items():
            (part / name).write_bytes(content)
    say(tell_written("Written:", path / "index.html"))
    return ANSWERED


def _refuse(words: str) -> NoReturn:
    from benchproof.book.errors import Conflict

    raise Conflict(words)


COMMANDS: Final[dict[str, Callable[..., int]]] = {
    "card": card,
    "sheet": sheet,
    "drawing": drawing,
    "engine-file": engine_file,
    "story": story,
}


def register(app: App) -> None:
    """Put the commands on the command line's app, under one name."""
    papers = App(
        name="papers",
        help="Print cards, sheets, drawings, an engine's file, a story.",
        group=Group("On paper", sort_key=5),
    )
    for name, command in COMMANDS.items():
        papers.command(command, name=name)
    app.command(papers)
