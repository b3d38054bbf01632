"""The file of an engine and the story of its build, from the invented demo book."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from benchproof.bench_tests import load_bench_test
from benchproof.book.cache import Cache
from benchproof.book.demo import make_demo
from benchproof.book.errors import Conflict
from benchproof.book.lots import pieces_of
from benchproof.book.model import Book
from benchproof.book.review import review
from benchproof.book.state import Binding
from benchproof.papers.build_story import by_day, story_html, story_of, story_pdf
from benchproof.papers.engine_facts import engine_facts
from benchproof.papers.engine_file import DEFERS, engine_file, for_type
from benchproof.papers.typesetting import CannotSet, pictured, typeset
from benchproof.papers.wording import wordings
from benchproof.specs import Problem, SpecError, Understood
from papers.reading_pdf import opened, root, words

SQUARE = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><path d="M0 0h9"/></svg>'
UNTOLD = {"file": "a.svg", "width": 9.0, "height": 9.0, "words": None}


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    path = tmp_path_factory.mktemp("demo") / "demo.book"
    with make_demo(path) as book:
        yield book


@pytest.fixture(scope="module")
def cache(demo: Book) -> Iterator[Cache]:
    kept = Cache.beside(Path(demo.store.path))
    yield kept
    kept.close()


@pytest.fixture(scope="module")
def whole(demo: Book, cache: Cache) -> bytes:
    return engine_file(demo, "Dunnock", cache=cache)


def test_the_file_tells_every_part_duty_size_and_test(demo: Book, whole: bytes) -> None:
    text = words(whole)
    state = demo.state
    for thing in (*state.of("part"), *state.of("piece")):
        assert thing.name in text
    for binding in state.bindings.values():
        assert text.count(binding.name) >= 3
    for told in (
        "5 in (127 mm)",
        "30.002 mm, bore gauge, 7 February 2026",
        "2 min 8 s",
        "invented",
    ):
        assert told in text
    for source in load_bench_test("drop-test").sources:
        assert re.sub(r"\s+", " ", source) in text
    assert re.sub(r"\s+", " ", DEFERS) in text
    assert not re.search(r"\b(safe|approved|certified)\b", text, re.IGNORECASE)


def test_a_lot_is_told_with_its_plan_its_readings_and_its_run_chart(
    demo: Book, cache: Cache, whole: bytes
) -> None:
    (lot,) = demo.state.of("lot")
    pieces = pieces_of(demo, lot)
    data, pictures = for_type(demo, "Dunnock", cache=cache)
    (told,) = data["lots"]
    assert [row[0] for row in told["readings"]] == [str(piece.number) for piece in pieces]
    assert [float(row[2].split()[0]) for row in told["readings"]] == pytest.approx(
        [1e3 * piece.value for piece in pieces], rel=0.0, abs=0.51e-3
    )
    chart = pictures[told["chart"]["file"]].decode()
    assert chart.count("<circle") == len(pieces)
    text = words(whole)
    for label, value in told["plan"]:
        assert label in text
        assert value in text
    assert all(said in text for said in told["stands"])


def test_every_drawn_dimension_is_found(demo: Book, cache: Cache, whole: bytes) -> None:
    text = words(whole)
    for each in engine_facts(demo, "Dunnock", cache=cache).duties:
        drawing = each.job.duty.drawing(each.job.spec, each.sizes)
        assert drawing is not None
        for dimension in drawing.dimensions():
            (wording,) = wordings(dimension, "metric")
            assert all(p in text for p in (wording.figure, wording.upper, wording.lower))


def test_the_file_is_tagged_named_and_its_pictures_are_told_in_words(whole: bytes) -> None:
    told = root(whole)
    assert told["/Lang"] == "en-GB"
    assert told["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in told
    assert opened(whole).metadata["/Title"] == "Dunnock: engine file"  # type: ignore[index]
    # The typesetter checks that every picture has words; one without is refused.
    with pytest.raises(CannotSet, match="alt"):
        typeset("sheets", {"title": "x", "sheets": [UNTOLD]}, {"a.svg": SQUARE})


def test_contents_name_every_chapter_and_lead_to_it(whole: bytes) -> None:
    contents = opened(whole).pages[1].extract_text()
    titles = [entry.title for entry in opened(whole).outline if not isinstance(entry, list)]
    for chapter in (
        "Leading dimensions",
        "Where it stands",
        "Parts",
        "Duties, with drawings",
        "Bench tests",
        "Open questions",
        "Sources of every figure",
    ):
        assert chapter in titles
        assert chapter in contents


def test_nothing_changed_gives_the_same_bytes_with_and_without_what_was_kept(
    demo: Book, cache: Cache, whole: bytes
) -> None:
    assert engine_file(demo, "dunnock", cache=cache) == whole
    assert engine_file(demo, "Dunnock") == whole


def test_progress_is_told_and_states_are_those_of_the_review(demo: Book, cache: Cache) -> None:
    told: list[str] = []
    data, _ = for_type(
        demo, "Dunnock", cache=cache, progress=lambda done, of, what: told.append(what)
    )
    assert "drawing" in told
    judged = {v.name: v.state for v in review(demo, "Dunnock", cache=cache)}
    assert {row["name"]: row["state"] for row in data["standing"]} == judged
    pieces = {
        name: state for g in data["groups"] for p in g["parts"] for name, state in p["pieces"]
    }
    assert pieces["left piston"] == judged["left piston fit"]
    assert pieces["right cylinder"] == "made"
    assert pieces["right piston"] == "planned"


def test_open_questions_say_what_is_in_trouble_and_what_only_service_settles(
    demo: Book, cache: Cache
) -> None:
    data, _ = for_type(demo, "Dunnock", cache=cache)
    of_left = [told for of, told in data["questions"] if of == "left piston fit"]
    assert any(told.startswith("Odds ") for told in of_left)
    assert any("Only service can settle" in told for told in of_left)


def test_a_test_of_pieces_cut_since_says_so(tmp_path: Path) -> None:
    with make_demo(tmp_path / "demo.book") as book:
        kept = Cache.beside(tmp_path / "demo.book")
        before, _ = for_type(book, "Dunnock", cache=kept)
        taken = {"cut": "again", "when": "2026-03-01"}
        book.measure("left piston", "piston", "29.970 mm", taken=taken)
        data, _ = for_type(book, "Dunnock", cache=kept)
        kept.close()
    of_left = [
        [t["told"] for t in d["tests"] if t["of"] == "left piston fit"] for d in (before, data)
    ]
    assert of_left == [[""], ["Of the pieces as they were before."]]
    told = [told for of, told in data["questions"] if of == "left piston fit"]
    assert any("test again" in words for words in told)


def test_inches_are_told_in_inches(demo: Book, cache: Cache) -> None:
    text = words(engine_file(demo, "Dunnock", system="inch", cache=cache))
    assert "1.1812 in, bore gauge" in text
    assert "Ø1.1812" in text


def test_an_unknown_engine_is_refused_by_name(demo: Book) -> None:
    with pytest.raises(Conflict, match="no engine called 'Wren'"):
        engine_file(demo, "Wren")
    with pytest.raises(Conflict, match="no engine called 'Wren'"):
        story_of(demo, "Wren")


@pytest.fixture
def told_of(tmp_path: Path) -> Iterator[Book]:
    """The demo book with notes and pictures, one of them broken and one no picture at all."""
    with make_demo(tmp_path / "demo.book") as book:
        engine = book.find("engine", "Dunnock")
        text = "First air.\nTurns over at 0.3 bar <gauge>."
        book.enter("note", {"text": text, "when": "2026-03-03"}, subject=engine.id)
        book.enter("note", {"text": "Frames filed.", "when": "2025-11-03"}, subject=engine.id)
        page = pictured("sheets", {"title": "x", "sheets": []}, dots_per_inch=10.0)[0]
        for name, content in (
            ("shop.png", page),
            ("broken.png", b"\x89PNG\r\n\x1a\nrubbish"),
            ("notes.odt", b"PK"),
        ):
            (tmp_path / name).write_bytes(content)
            book.attach(engine.id, tmp_path / name, f"About {name}")
        yield book


def test_a_story_is_told_in_order_and_shows_its_pictures(told_of: Book) -> None:
    story = story_of(told_of, "Dunnock")
    days = [day for day, _ in by_day(story.moments)]
    assert days == sorted(days)
    assert days[0] == "2025-11-03"
    pdf = story_pdf(story)
    text = words(pdf)
    for said in ("3 November 2025", "Frames filed.", "First air.", "left piston", "invented"):
        assert said in text
    assert text.index("Frames filed.") < text.index("First air.")
    assert len(opened(pdf).pages[-1].images) + len(opened(pdf).pages[0].images) >= 1
    assert "cannot show: About broken.png" in text
    assert "cannot show: notes.odt" in text
    assert story_pdf(story) == pdf


def test_a_story_is_plain_html_with_its_pictures_beside_it(told_of: Book) -> None:
    files = story_html(story_of(told_of, "Dunnock"))
    page = files["index.html"].decode()
    assert "&lt;gauge&gt;" in page
    for name in re.findall(r'src="([^"]+)"', page):
        assert name in files
    assert "<script" not in page
    assert "http" not in page
    assert 'alt="About shop.png"' in page


def test_an_empty_story_says_so(tmp_path: Path) -> None:
    with Book.create(tmp_path / "new.book", {"name": "Shed"}) as book:
        book.enter("engine", {"name": "Wren"})
        assert "Nothing is noted yet." in words(story_pdf(story_of(book, "Wren")))
        text = words(engine_file(book, "Wren"))
        assert "No duty is given yet." in text
        assert "No part is entered yet." in text


def test_a_duty_that_cannot_be_read_is_told_and_hides_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with make_demo(tmp_path / "demo.book") as book:
        broken = next(b for b in book.state.bindings.values() if b.name == "right piston fit")
        read = Book.understood

        def refused(self: Book, binding: Binding) -> Understood[Any]:
            if binding.id == broken.id:
                raise SpecError([Problem("bore", "bore", "30", "is not known any more")])
            return read(self, binding)

        monkeypatch.setattr(Book, "understood", refused)
        data, _ = for_type(book, "Dunnock")
    told = {row["name"]: row["next"] for row in data["standing"]}
    assert told["right piston fit"].startswith("Mend its spec")
    assert len(told) == 1 + len(data["duties"])
    assert "left piston fit" in {each["name"] for each in data["duties"]}
