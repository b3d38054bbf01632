"""Commands that put things on paper: from a book by name, and without one from files."""

from __future__ import annotations

import shutil
from importlib.resources import files
from pathlib import Path

import pytest

from benchproof.book.demo import make_demo
from benchproof.cli import ANSWERED, REFUSED, run
from papers.reading_back import document, sizes_in_svg
from papers.reading_pdf import words

DEMO = Path(str(files("benchproof.demo")))
PISTON = str(DEMO / "piston.toml")


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("kept") / "demo.book"
    make_demo(path).close()
    return path


@pytest.fixture
def folder(tmp_path: Path, kept: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copy(kept, tmp_path / "demo.book")
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("BENCHPROOF_BOOK", raising=False)
    return tmp_path


def papers(*typed: str) -> int:
    return run(["papers", *typed])


def test_a_card_of_a_duty_says_whose_it_is(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    address = "http://192.168.1.20:8765"
    assert papers("card", "right piston fit", "--address", address) == ANSWERED
    assert "Written: right-piston-fit-card.pdf" in capsys.readouterr().out
    text = words((folder / "right-piston-fit-card.pdf").read_bytes())
    for told in ("right piston fit", "Dunnock", "right cylinder", "30.006 mm", "Cut the piston to"):
        assert told in text


def test_a_part_has_the_cards_of_all_its_pieces(folder: Path) -> None:
    typed = ("card", "piston", "--paper", "A5", "--units", "inch", "--to", "both.pdf")
    assert papers(*typed) == ANSWERED
    text = words((folder / "both.pdf").read_bytes())
    assert "left piston fit" in text
    assert "right piston fit" in text
    assert "feed pump" not in text
    assert "inches" in text


def test_a_card_without_a_book(folder: Path) -> None:
    assert papers("card", "piston-fit", PISTON, "--to", "a.pdf") == ANSWERED
    assert papers("card", "piston-fit", PISTON, "--to", "b.pdf", "--gauge", "caliper") == ANSWERED
    usual, other = (words((folder / name).read_bytes()) for name in ("a.pdf", "b.pdf"))
    assert "digital micrometer ±4 µm" in usual
    assert "caliper ±40 µm" in other


def test_a_file_is_replaced_only_when_that_is_asked_for(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "x.svg").write_text("mine")
    typed = ("drawing", "left piston fit", "--to", "x.svg")
    assert papers(*typed) == REFUSED
    assert "--again" in capsys.readouterr().err
    assert (folder / "x.svg").read_text() == "mine"
    assert papers(*typed, "--again") == ANSWERED
    assert "<svg" in (folder / "x.svg").read_text("utf-8")


def test_a_drawing_is_svg_or_dxf_by_its_ending(folder: Path) -> None:
    tyre = ("drawing", "tyre-fit", str(DEMO / "tyre.toml"), "--units", "both")
    assert papers(*tyre, "--to", "t.svg", "--third-angle") == ANSWERED
    assert papers(*tyre, "--to", "t.dxf") == ANSWERED
    assert not document((folder / "t.dxf").read_text("utf-8")).audit().has_errors
    assert any(s.feature for s in sizes_in_svg((folder / "t.svg").read_text("utf-8")))
    assert papers("drawing", "left piston fit", "--to", "t.png") == REFUSED


def test_sheets_blank_and_as_taken_with_and_without_a_book(folder: Path) -> None:
    assert papers("sheet", "left piston fit", "--to", "taken.pdf") == ANSWERED
    assert papers("sheet", "left piston fit", "--blank", "--to", "blank.pdf") == ANSWERED
    assert (
        papers("sheet", "right piston fit", "--test", "leak-down", "--to", "leak.pdf") == ANSWERED
    )
    assert papers("sheet", "drop-test", "--to", "none.pdf") == ANSWERED
    record = (PISTON, str(DEMO / "drop.toml"), "--made", str(DEMO / "made.toml"))
    assert papers("sheet", "drop-test", PISTON, "--to", "spec.pdf") == ANSWERED
    assert papers("sheet", "drop-test", *record, "--to", "files.pdf") == ANSWERED
    told = {
        name: words((folder / f"{name}.pdf").read_bytes())
        for name in ("taken", "blank", "leak", "none", "spec", "files")
    }
    assert "What the test showed" in told["taken"]
    assert "2 min 8 s" in told["taken"]
    assert "What the test showed" in told["files"]
    for name in ("blank", "none", "spec"):
        assert "Drop test on plate glass" in told[name]
        assert "What the test showed" not in told[name]
    assert "Leak-down with air" in told["leak"]


def test_an_engine_file_and_a_story(folder: Path) -> None:
    assert papers("engine-file", "dunnock") == ANSWERED
    assert papers("story", "Dunnock") == ANSWERED
    assert papers("story", "Dunnock", "--html") == ANSWERED
    assert "Sources of every figure" in words((folder / "dunnock-engine-file.pdf").read_bytes())
    assert "Lapped a little too eagerly" in words((folder / "dunnock-story.pdf").read_bytes())
    assert "Lapped a little" in (folder / "dunnock-story" / "index.html").read_text("utf-8")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("card", "nothing"), "no one duty called 'nothing'"),
        (("card", "cheese", PISTON), "cheese"),
        (("card", "piston-fit", PISTON, "--gauge", "ruler"), "no instrument is called 'ruler'"),
        (("card", "piston-fit", PISTON, "--gauge", "stopwatch"), "does not measure the piston"),
        (("card", "piston-fit", PISTON, "--moulding", "jelly"), "green sand by hand"),
        (("sheet", "left piston fit", "--test", "growth"), "tells nothing of a piston-fit"),
        (("engine-file", "Wren"), "no engine called 'Wren'"),
        (("story", "Wren"), "no engine called 'Wren'"),
    ],
)
def test_what_cannot_be_printed_is_refused_in_words_and_writes_nothing(
    folder: Path, typed: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = sorted(folder.iterdir())
    assert papers(*typed) == REFUSED
    assert said.casefold() in " ".join(capsys.readouterr().err.split()).casefold()
    assert [p for p in sorted(folder.iterdir()) if ".cache" not in p.name] == before


def test_a_piece_without_a_duty_is_told_so(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from benchproof.book.model import Book

    with Book.open(folder / "demo.book") as book:
        book.enter("part", {"name": "buffer"}, subject=book.find("engine", "Dunnock").id)
    assert papers("card", "buffer") == REFUSED
    assert "no duty is given for 'buffer' yet" in capsys.readouterr().err.casefold()
