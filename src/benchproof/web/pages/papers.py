"""Papers of a duty and of an engine: card, sheet, drawing; the long ones with progress."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Final

from starlette.responses import Response

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.book.cache import Cache
from benchproof.book.model import Book
from benchproof.quantities import System
from benchproof.web.asking import Asked, gone_to, missing, page
from benchproof.web.finding import binding_at, thing_at
from benchproof.web.pages.drawing import kept_sheets, sheet_asked
from benchproof.web.printing import Told
from benchproof.web.showing import shown

PDF: Final = "application/pdf"
MEDIA: Final = {".pdf": PDF, ".svg": "image/svg+xml", ".dxf": "image/vnd.dxf"}


def card(asked: Asked) -> Response:
    """The shop card of a duty."""
    from benchproof.papers.cards import Choices
    from benchproof.papers_work import cards_of, from_book, refused_in_words

    book = asked.desk.read()
    binding = binding_at(book, asked.path["key"])
    choices = Choices(units=asked.units)
    with refused_in_words():
        work = from_book(book, binding.id, asked.units, _address(asked), None)
        pdf = cards_of(work, choices, f"Shop card: {binding.name}")
    return _file(pdf, f"{binding.name} card", ".pdf")


def sheet(asked: Asked) -> Response:
    """The sheet of a bench test: the last one done, or one to fill in."""
    from benchproof.papers_work import refused_in_words, sheet_from_book

    book = asked.desk.read()
    binding = binding_at(book, asked.path["key"])
    test = asked.path["test"]
    if test not in BENCH_TESTS or binding.duty not in load_bench_test(test).serves:
        raise missing("bench test of this duty")
    blank = "blank" in asked.query
    with refused_in_words():
        pdf = sheet_from_book(
            book, binding.id, test, "A4", asked.units, _address(asked), blank=blank
        )
    return _file(pdf, f"{binding.name} {test}", ".pdf")


def drawing(asked: Asked) -> Response:
    """One sheet of the drawing of a duty for another program: DXF, or SVG."""
    binding = binding_at(asked.desk.read(), asked.path["key"])
    ending = f".{asked.path['ending']}"
    if ending not in {".svg", ".dxf"}:
        raise missing("drawing of that kind")
    sheets = kept_sheets(asked, binding, ending)
    place = sheet_asked(asked, len(sheets))
    several = f" sheet {place + 1}" if len(sheets) > 1 else ""
    return _file(sheets[place], f"{binding.name} drawing{several}", ending, saved=True)


def begin(asked: Asked) -> Response:
    """Have a long paper of an engine set in the background."""
    book = asked.desk.read()
    engine = thing_at(book, "engine", asked.path["key"])
    which = asked.typed.get("paper", "")
    if which not in LONG:
        raise missing("paper of that kind")
    title, setting = LONG[which]
    units = asked.units
    paper = asked.desk.printing.begin(
        f"{title} of {engine.name}",
        f"{engine.name} {which}",
        lambda told: setting(book, engine.id, units, told),
        of=engine.id,
    )
    return gone_to(f"/printing/{paper.id}")


def printing(asked: Asked) -> Response:
    """How far a long paper is, and where to fetch it."""
    paper = asked.desk.printing.paper(asked.path["key"])
    if paper is None:
        raise missing("paper being set")
    return shown(asked, "printing.html", paper=paper)


def fetched(asked: Asked) -> Response:
    """A long paper that is ready."""
    paper = asked.desk.printing.paper(asked.path["key"])
    if paper is None or paper.content is None:
        raise missing("paper that is ready")
    return _file(paper.content, paper.file, ".pdf")


def _engine_file(book: Book, engine: str, system: System, told: Told) -> bytes:
    from benchproof.papers.engine_file import engine_file
    from benchproof.papers_work import refused_in_words

    cache = Cache.beside(Path(book.store.path))
    try:
        with refused_in_words():
            return engine_file(book, engine, system=system, cache=cache, progress=told)
    finally:
        cache.close()


def _story(book: Book, engine: str, system: System, told: Told) -> bytes:
    del system
    from benchproof.papers.build_story import story_of, story_pdf
    from benchproof.papers_work import refused_in_words

    told(0, 1, "setting in type")
    with refused_in_words():
        return story_pdf(story_of(book, engine))


LONG: Final[dict[str, tuple[str, Callable[[Book, str, System, Told], bytes]]]] = {
    "file": ("The file", _engine_file),
    "story": ("The story", _story),
}


def _address(asked: Asked) -> str | None:
    """Where a tablet reaches these pages, for the code on a paper; None where none does."""
    pairing = asked.request.app.state.pairing
    return pairing.addresses[0] if pairing is not None and pairing.addresses else None


def _file(content: bytes, words: str, ending: str, *, saved: bool = False) -> Response:
    plain = re.sub(r"[^a-z0-9]+", "-", words.casefold()).strip("-") or "paper"
    how = "attachment" if saved else "inline"
    headers = {"Content-Disposition": f'{how}; filename="{plain}{ending}"'}
    return Response(content, media_type=MEDIA[ending], headers=headers)


ROUTES = (
    page("/duty/{key}/card.pdf", card),
    page("/duty/{key}/sheet/{test}.pdf", sheet),
    page("/duty/{key}/to-keep.{ending}", drawing, name="drawing to keep"),
    page("/engine/{key}/papers", begin, "POST", name="begin a paper"),
    page("/printing/{key}", printing),
    page("/printing/{key}/paper.pdf", fetched),
)
