"""The file of an engine: everything the book knows of it, as one paper with contents."""

from __future__ import annotations

from hashlib import sha256
from typing import Any, Final

from benchproof.bench_tests import load_bench_test
from benchproof.book.cache import Cache
from benchproof.book.model import Book
from benchproof.book.review import Progress, Verdict
from benchproof.book.tested import still_stands
from benchproof.columns import sentence
from benchproof.drawing import Drawing
from benchproof.features import Feature
from benchproof.figures import in_hundreds, size_text, sizes_within
from benchproof.papers import engine_words
from benchproof.papers.build_story import in_words
from benchproof.papers.engine_facts import IMPOSSIBLE, DutyFacts, engine_facts
from benchproof.papers.engine_lots import lots
from benchproof.papers.layout import lay_out
from benchproof.papers.lot_chart import HEIGHT, WIDTH
from benchproof.papers.pictures import Picture, pictures_of
from benchproof.papers.readings import as_taken
from benchproof.papers.rows import NoRoom
from benchproof.papers.title_block import TitleBlock
from benchproof.papers.typesetting import typeset
from benchproof.quantities import System

DEFERS: Final = (
    "This file tells what was stated, made, measured and reckoned. It passes nothing: a boiler and "
    "its fittings are for the boiler inspector and the code in force where the owner lives."
)
_STEPS: Final = 40  # how often progress is told while drawing


def engine_file(
    book: Book,
    engine: str,
    *,
    system: System = "metric",
    cache: Cache | None = None,
    progress: Progress | None = None,
) -> bytes:
    """Set the file of an engine as PDF; ``progress`` is told what is done, of what, and what next.

    ``cache`` is that beside the book. Raises :class:`benchproof.book.errors.Conflict` for an
    engine the book does not know.
    """
    found = for_type(book, engine, system=system, cache=cache, progress=progress)
    if progress is not None:
        progress(1, 1, "setting in type")
    pdf = typeset("engine", *found)
    if progress is not None:
        progress(1, 1, "")
    return pdf


def for_type(
    book: Book,
    engine: str,
    *,
    system: System = "metric",
    cache: Cache | None = None,
    progress: Progress | None = None,
) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Data and pictures of an engine's file, for the typesetter."""
    facts = engine_facts(book, engine, system=system, cache=cache, progress=progress)
    desk = _Desk(facts.engine.name, system)
    duties = []
    ordered = sorted(facts.duties, key=lambda each: each.verdict.name.casefold())
    for done, each in enumerate(ordered):
        if progress is not None and done % max(1, len(ordered) // _STEPS) == 0:
            progress(done, len(ordered), "drawing")
        duties.append(_duty(book, each, desk))
    last = book.store.records[-1]
    workshop = book.state.of("workshop")
    data = {
        "title": f"{facts.engine.name}: engine file",
        "engine": facts.engine.name,
        "note": facts.engine.spec.note,
        "workshop": workshop[0].name if workshop else "",
        "invented": bool(workshop) and workshop[0].spec.invented == "yes",
        "as-of": f"{len(book.store.records)} records, the last of {in_words(last.at[:10])}; "
        f"hash {book.store.head.hex()[:16]}",
        "defers": DEFERS,
        "leading": [list(row) for row in engine_words.leading(facts, system)],
        "standing": [
            _standing(verdict, system)
            for verdict in (*facts.unread, *(each.verdict for each in facts.duties))
        ],
        "lots": [_lot(each, desk) for each in lots(book, facts.engine, system=system, cache=cache)],
        "groups": engine_words.parts(book, facts),
        "duties": duties,
        "tests": _tests(book, ordered, system),
        "questions": [list(row) for row in engine_words.open_questions(book, facts, system)],
        "sources": engine_words.sources(book, facts, system),
    }
    return data, {picture.name: picture.data for picture in desk.pictures.values()}


class _Desk:
    """Drawings of the file, each laid out once however many duties look alike."""

    def __init__(self, engine: str, system: System) -> None:
        self.system = system
        self.pictures: dict[str, Picture] = {}
        self._block = TitleBlock(engine=engine)
        self._laid: dict[str, tuple[Picture, ...]] = {}

    def drawn(self, drawing: Drawing | None) -> list[dict[str, Any]]:
        """Sheets of a drawing as the template wants them; none where no sheet holds it."""
        if drawing is None:
            return []
        key = sha256(repr(drawing).encode()).hexdigest()[:20]
        if key not in self._laid:
            try:
                sheets = lay_out(
                    drawing,
                    paper="A5",
                    orientation="landscape",
                    units=self.system,
                    block=self._block,
                )
                self._laid[key] = pictures_of(sheets, key)
            except NoRoom:
                self._laid[key] = ()
            self.pictures |= {picture.name: picture for picture in self._laid[key]}
        return [picture.plain for picture in self._laid[key]]


def _lot(told: dict[str, Any], desk: _Desk) -> dict[str, Any]:
    """A lot with its run chart among the pictures."""
    chart = told.pop("chart")
    if not chart:
        return {**told, "chart": None}
    name = f"lot-{sha256(chart.encode()).hexdigest()[:20]}.svg"
    words = f"Run chart of the lot {told['name']}: readings by number of the piece"
    desk.pictures[name] = Picture(name, chart.encode(), WIDTH, HEIGHT, words)
    return {**told, "chart": desk.pictures[name].plain}


def _standing(verdict: Verdict, system: System) -> dict[str, str]:
    right, correctable, lost = in_hundreds([verdict.right, verdict.correctable, verdict.lost])
    return {
        "name": verdict.name,
        "state": verdict.state,
        "right": right,
        "correctable": correctable,
        "lost": lost,
        "next": sentence(verdict.do_next[system]),
    }


def _duty(book: Book, each: DutyFacts, desk: _Desk) -> dict[str, Any]:
    things = book.state.things
    drawing = each.job.duty.drawing(each.job.spec, each.sizes)
    return {
        **_standing(each.verdict, desk.system),
        "duty": each.job.duty.title,
        "summary": each.job.duty.summary,
        "known-from": each.verdict.known_from,
        "roles": [[role, things[piece].name] for role, piece in each.binding.roles.items()],
        "sizes": [_size(book, each, feature, desk.system) for feature in each.features],
        "asked": [list(row) for row in engine_words.asked_of(each)],
        "drawings": desk.drawn(drawing),
        "showed": _showed(each),
    }


def _size(book: Book, each: DutyFacts, feature: Feature, system: System) -> dict[str, str]:
    """One feature: planned or aimed for, limits, and what came out, with what and when."""
    size = each.sizes.get(feature.name)
    aim = size_text(size.aim if size else feature.aim, feature.kind, system)
    accept = ""
    if size is not None and size.upper is not None and size.lower is not None:
        accept = sizes_within(size.aim + size.lower, size.aim + size.upper, feature.kind, system)
    made = ""
    if feature.name in each.job.made:
        piece = each.binding.roles[feature.name]
        last = book.state.sizes_of(piece, feature.name)[-1]
        with_what = last.record.body["taken"]["instrument"] or feature.gauge or ""
        said = [size_text(last.value, feature.kind, system), with_what, in_words(last.order[0])]
        made, aim, accept = ", ".join(filter(None, said)), "", ""
    return {"what": feature.label, "aim": aim, "accept": accept, "made": made}


def _showed(each: DutyFacts) -> dict[str, Any] | None:
    if each.showed is None or each.stands is None:
        return None
    head = {
        "title": load_bench_test(each.stands.test).title,
        "when": in_words(each.stands.order[0]),
    }
    if IMPOSSIBLE in each.showed:
        told = sentence(str(each.showed[IMPOSSIBLE]))
        return {**head, "measured": [], "needs": [], "flags": [told], "open": ""}
    return {**head, **each.showed}


def _tests(book: Book, duties: list[DutyFacts], system: System) -> list[dict[str, Any]]:
    """Every bench test with its readings as taken, the earliest first."""
    found = []
    for each in duties:
        for test in book.state.tests_of(each.binding.id):
            bench = load_bench_test(test.test)
            record = bench.record_type.from_text(test.stated).spec
            stands = still_stands(book, each.binding, test)
            told = "" if stands else "Of the pieces as they were before."
            found.append(
                (
                    test.order,
                    {
                        "title": bench.title,
                        "of": each.verdict.name,
                        "when": in_words(test.order[0]),
                        "told": told,
                        "who": test.record.who,
                        "table": as_taken(bench, record, system).plain,
                    },
                )
            )
    return [plain for _, plain in sorted(found, key=lambda pair: pair[0])]
