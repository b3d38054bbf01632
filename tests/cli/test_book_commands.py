"""A builder's week with a book, as typed: on the demo book, and on a new and empty one."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import time
from datetime import date
from importlib.resources import files
from pathlib import Path

import pytest

from benchproof.book.demo import make_demo
from benchproof.cli import ANSWERED, NO_FIT, REFUSED, run
from benchproof.demo import FILES

Captured = pytest.CaptureFixture[str]
ID = re.compile(r"\[([0-9a-f]{8})\]")


class Desk:
    """A folder at which somebody types commands."""

    def __init__(self, folder: Path, capsys: Captured) -> None:
        self.folder = folder
        self.capsys = capsys

    def type(self, *words: str, code: int = ANSWERED) -> str:
        """Type a command; what it prints, or what it refuses, in one line of text."""
        self.capsys.readouterr()
        assert run(list(words)) == code, self.capsys.readouterr()
        out, err = self.capsys.readouterr()
        if "--json" not in words:
            typed = re.sub(r"(?m)^\$ .*$", "", out + err)
            assert [line for line in typed.splitlines() if len(line) > 80] == []
        assert "Traceback" not in err
        if code == REFUSED:
            assert not out
            return " ".join(err.split())
        assert not err
        return " ".join(out.split())

    def enter(self, *words: str) -> str:
        """Type a command that enters something; the id it was given."""
        found = ID.search(self.type(*words))
        assert found is not None
        return found[1]


@pytest.fixture(scope="module")
def demo_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "dunnock.book"
    make_demo(path).close()
    return path


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Captured) -> Desk:
    for name in FILES:
        shutil.copyfile(str(files("benchproof.demo") / name), tmp_path / name)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("USER", "anna")
    monkeypatch.delenv("BENCHPROOF_BOOK", raising=False)
    return Desk(tmp_path, capsys)


@pytest.fixture
def demo(desk: Desk, demo_book: Path) -> Desk:
    shutil.copyfile(demo_book, desk.folder / "dunnock.book")
    return desk


@pytest.fixture(scope="module")
def own_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A new book with an engine, a lathe, two pieces and no duty yet."""
    path = tmp_path_factory.mktemp("own") / "my.book"
    parts = [("part", "cylinder"), ("part", "piston")]
    grouped = ("--group", "cylinders and motion", "--off", "2")
    for words in (
        ("machine", "Small lathe", "--swing-over-bed", "7 in", "--between-centres", "18 in"),
        ("instrument", "my gauge", "--u", "4 um", "--checked", "2026-01-10"),
        ("engine", "Wren", "--gauge", "5 in", "--boiler-pressure", "5 bar"),
        *((*part, *grouped) for part in parts),
        ("piece", "left cylinder", "--part", "CYLINDER"),
        ("piece", "left piston", "--part", "Piston"),
    ):
        if not path.exists():
            begin = ["new", str(path), "--workshop", "Anna's shed", "--who", "anna"]
            assert run(begin) == ANSWERED
        assert run([*words, "--book", str(path), "--who", "anna"]) == ANSWERED
    return path


@pytest.fixture
def own(desk: Desk, own_book: Path) -> Desk:
    shutil.copyfile(own_book, desk.folder / "my.book")
    return desk


BOTH = ("--role", "bore=left cylinder", "--role", "piston=left piston")


def given(own: Desk) -> Desk:
    own.type("give", "piston-fit", "left fit", "piston.toml", *BOTH)
    return own


def test_a_week_on_the_demo_book(demo: Desk) -> None:
    first = demo.type("review", "dunnock")
    assert first.startswith("What holds Dunnock back most: left piston fit (in trouble).")
    assert "right piston fit planned" in first

    plan = demo.type("plan", "RIGHT piston fit")
    assert plan.startswith("right piston fit Piston in its bore, without rings Cut the piston to")
    assert "boiler pressure: 5 bar gauge (72.5 psi gauge) (engine)" in plan

    cut = ("measure", "right piston", "piston")
    gauge = ("--with", "Digital Micrometer")
    wrong = demo.enter(*cut, "29.998 mm", "--aim", "29.990 mm", *gauge)
    right = demo.enter(*cut, "29.988 mm", "--aim", "29.990 mm", *gauge, "--instead-of", wrong)
    lapped = demo.type(*cut, "29.987 mm", "--cut", "fitted", *gauge, "--room-temperature", "19 C")
    assert "It tells nothing of the lathe: only a size as it came off the tool does." in lapped

    shown = demo.type("test", "right piston fit", "drop-test", "drop.toml")
    assert shown.startswith("Entered bench test of right piston fit: drop-test, 6 readings")
    assert "Leave it as it is." in shown

    last = demo.type("review")
    assert "right piston fit tested" in last
    assert "after the test" in demo.type("plan", "right piston fit")

    told = demo.type("history", "right piston")
    places = [told.index(each) for each in ("29.998 mm", "29.988 mm", "29.987 mm", "drop-test")]
    assert places == sorted(places)
    assert f"corrected by {right}" in told
    assert " anna size (right piston)" in told
    assert "left piston" not in told


def test_a_test_no_longer_speaks_of_a_piece_cut_again(demo: Desk) -> None:
    assert "in trouble" in demo.type("review")
    demo.type(
        "measure", "left piston", "piston", "29.970 mm", "--cut", "again", "--with", "micrometer"
    )
    words = demo.type("plan", "left piston fit")
    assert "The drop-test of 2026-02-16 speaks of the pieces as they were before" in words
    assert "WHAT THE TEST SHOWED" not in words


def test_a_test_holds_after_sizes_of_the_same_day(demo: Desk) -> None:
    day = ("--when", "2026-03-02")
    cut = ("measure", "right piston", "piston", "29.987 mm", "--cut", "fitted")
    demo.type(*cut, "--with", "micrometer", *day)
    demo.type("test", "right piston fit", "drop-test", "drop.toml", *day)
    assert "WHAT THE TEST SHOWED" in demo.type("plan", "right piston fit")
    demo.type(*cut, "--with", "micrometer", *day)
    assert "WHAT THE TEST SHOWED" not in demo.type("plan", "right piston fit")


def test_a_week_on_a_book_of_ones_own(own: Desk) -> None:
    assert "No duty is given yet" in own.type("review")
    shown = own.type("give", "piston-fit", "left fit", "piston.toml", *BOTH)
    assert "left fit, piston-fit" in shown
    assert "AS UNDERSTOOD bore: 30 mm" in shown
    bore = own.enter("measure", "left cylinder", "bore", "30.006", "--aim", "30", "--u", "3 um")
    assert "left fit planned" in own.type("review", "wren")
    own.type("measure", "left piston", "piston", "29.990 mm", "--with", "my gauge")
    assert own.type("history").count(" anna ") == 11
    again = own.type("strike", bore, "--why", "of another cylinder")
    assert "Struck out size: bore 30.006, aimed at 30, as it came off the tool" in again
    told = own.type("history", "left cylinder")
    assert "because: of another cylinder" in told
    assert "struck out by" in told
    assert "The piston is made and its bore is not" in own.type("plan", "left fit")


def test_leading_values_of_the_engine_are_inherited_until_stated(own: Desk) -> None:
    text = (own.folder / "piston.toml").read_text(encoding="utf-8")
    kept = [line for line in text.splitlines() if not line.startswith("boiler_pressure")]
    (own.folder / "short.toml").write_text("\n".join(kept), encoding="utf-8")
    shown = own.type("give", "piston-fit", "left fit", "short.toml", *BOTH)
    assert "boiler pressure: 5 bar gauge (72.5 psi gauge) (engine)" in shown


def test_parts_and_events_change_the_standing(own: Desk) -> None:
    assert "nothing yet" in own.type("standing")
    for came_out in ("25.004 mm", "25.002 mm", "24.999 mm"):
        own.type("past", "bore", "25 mm", came_out, "--with", "my gauge", "--when", "2025-05-01")
    three = own.type("standing")
    assert three.startswith("Small lathe ")
    assert "shown by 3 parts;" in three
    assert "bore: 3 parts counted" in three
    own.type("event", "new bearings", "--when", "2025-06-01", "--trust", "0.5")
    assert "3 parts (some older, together worth 1.5)" in own.type("standing")
    assert "No parts yet" not in own.type("standing", "lathe.toml")


def test_fitted_and_scrapped_pieces_are_told_but_not_counted(own: Desk) -> None:
    given(own)
    own.type("measure", "left piston", "piston", "29.99", "--cut", "fitted", "--u", "2 um")
    own.type("scrap", "left piston", "--why", "dropped")
    assert "turn: 0 parts counted, each once, by its first size; 0 cut again, 1 fitted, 1" in (
        own.type("standing")
    )


def test_unlikely_sizes_are_questioned(own: Desk) -> None:
    given(own)
    bore = ("measure", "left cylinder", "bore")
    for words, said in (
        (("31.006 mm", "--aim", "30 mm"), "1.006 mm over its aim, 30 mm: more than a millimetre"),
        (("30.3 mm", "--aim", "30 mm"), "times the spread this lathe has shown"),
        (("28.9 mm",), "1.1 mm under what is drawn"),
    ):
        refused = own.type(*bore, *words, code=REFUSED)
        assert said in refused
        assert refused.endswith("add --sure. Nothing was written.")
    assert "29.9" not in own.type("history")
    own.type(*bore, "31.006 mm", "--aim", "30 mm", "--sure")
    assert "bore 31.006 mm" in own.type("history", "left cylinder")
    assert "over the size before" in own.type(*bore, "33 mm", "--cut", "again", code=REFUSED)
    assert "It tells nothing of the lathe: no aim is stated." in own.type(*bore, "31.01 mm")
    slip = own.enter(*bore, "36 mm", "--sure")
    own.type(*bore, "31.02 mm", "--instead-of", slip)
    assert "bore 36 mm" in own.type("history", "left cylinder")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["measure", "left pistn", "piston", "29.9 mm"], "did you mean 'left piston'?"),
        (["measure", "left piston", "diameter", "29.9 mm"], "it has: piston"),
        (["measure", "left piston", "piston", "30 psi"], "is a gauge pressure, not a length"),
        (
            ["measure", "left piston", "piston", "29.9", "--with", "micrometre"],
            "no such instrument",
        ),
        (["measure", "left piston", "piston", "29.9", "--when", "1.3.26"], "is no day"),
        (["measure", "left piston", "piston", "29.9", "--instead-of", "ffff0000"], "no record"),
        (["test", "left fot", "drop-test", "drop.toml"], "did you mean 'left fit'?"),
        (["test", "left fit", "drop", "drop.toml"], "No bench test is called drop"),
        (["test", "left fit", "drop-test", "piston.toml"], "are two files swapped?"),
        (["test", "left fit", "drop-test", "none.toml"], "does not exist"),
        (["give", "piston", "x", "piston.toml", *BOTH], "No duty is called piston"),
        (["give", "piston-fit", "x", "piston.toml", *BOTH[:2]], "a piece for each of: bore"),
        (["give", "piston-fit", "x", "piston.toml", "--role", "bore"], "with = between them"),
        (["give", "piston-fit", "x", "drop.toml", *BOTH], "reads like a record of the drop-test"),
        (["give", "piston-fit", "LEFT fit", "piston.toml", *BOTH], "already"),
        (["engine", "wren"], "already"),
        (["engine", "Tit", "--gauge", "5 bar", "--evaporation", "lots"], "evaporation: “lots”"),
        (["part", "frame", "--engine", "Wran"], "did you mean 'Wren'?"),
        (["part", "frame", "--group", "frame"], "is not one of wheels and axles"),
        (["piece", "no. 1", "--part", "pistn"], "did you mean 'piston'?"),
        (["past", "boring", "25 mm", "25.004 mm"], "is not one of bore"),
        (["past", "bore", "25 mm", "25.004 mm", "--with", "eye"], "no such instrument"),
        (["event", "dropped it", "--trust", "3"], "from 0.01 to 1"),
        (["scrap", "right piston", "--why", "lost"], "did you mean 'left piston'?"),
        (["note", "Wrens", "hm"], "did you mean 'Wren'?"),
        (["strike", "ffff0000", "--why", "x"], "has no record"),
        (["attach", "Wren", "none.jpg"], "Cannot use none.jpg: No such file"),
        (["new", "my.book", "--workshop", "x"], "is there already"),
        (["new", "other", "--workshop", "x"], "Call it other.book"),
        (["new", "other.book"], "--workshop"),
    ],
)
def test_what_is_refused_is_told_and_not_written(own: Desk, words: list[str], said: str) -> None:
    given(own)
    before = own.type("verify")
    refused = own.type(*words, code=REFUSED)
    assert said in refused
    assert "othing was written" in refused
    assert own.type("verify") == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["plan", "left fot"], "did you mean 'left fit'?"),
        (["review", "Wran"], "did you mean 'Wren'?"),
        (["history", "left pistn"], "did you mean 'left piston'?"),
        (["history", "--book", "none.book"], "none.book"),
        (["history", "--book", "piston.toml"], "piston.toml"),
        (["measure", "left piston"], "Such as: benchproof measure"),
    ],
)
def test_what_is_asked_wrongly_is_told_in_words(own: Desk, words: list[str], said: str) -> None:
    given(own)
    assert said in own.type(*words, code=REFUSED)


def test_which_book_is_meant(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "There is no book here." in desk.type("history", code=REFUSED)
    assert "No parts yet" in desk.type("standing")
    for name in ("one", "two"):
        desk.type("new", f"{name}.book", "--workshop", f"Shed {name}")
    for command in ("history", "standing"):
        assert "2 books here: one.book, two.book. Say which" in desk.type(command, code=REFUSED)
    assert "Shed one" in desk.type("history", "--book", "one.book")
    monkeypatch.setenv("BENCHPROOF_BOOK", str(desk.folder / "two.book"))
    assert "Shed two" in desk.type("history")
    assert "Shed one" in desk.type("history", "--book", "one.book")


def test_with_two_engines_one_has_to_be_named(own: Desk) -> None:
    own.type("engine", "Robin")
    refused = own.type("part", "frame", code=REFUSED)
    assert "say which with --engine: Wren, Robin" in refused
    own.type("part", "frame", "--engine", "robin")
    assert "part (Robin): frame" in own.type("history", "Robin")


def test_striking_out_a_correction_brings_back_what_it_corrected(own: Desk) -> None:
    given(own)
    cut = ("measure", "left cylinder", "bore")
    first = own.enter(*cut, "30.006 mm")
    later = own.enter(*cut, "30.016 mm", "--instead-of", first)
    told = own.type("strike", later[:5], "--why", "it was right")
    assert (
        f"so this stands again: bore 30.006 mm, as it came off the tool, {today()} [{first}]"
        in (told)
    )
    assert "bore: 30.006 mm" in own.type("plan", "left fit")
    own.type("strike", first, "--why", "of another cylinder")
    assert "bore: 30.006 mm" not in own.type("plan", "left fit")
    assert "struck out already" in own.type("strike", first, "--why", "again", code=REFUSED)


def test_things_of_one_name_are_told_apart_by_id(own: Desk) -> None:
    piece = own.enter("piece", "bush", "--part", "piston")
    own.type("part", "Bush")
    refused = own.type("note", "bush", "hm", code=REFUSED)
    assert "2 things are called 'bush'; name one by its id:" in refused
    assert f"piece {piece}" in refused
    own.type("note", piece, "of the piece")
    assert "note (bush): of the piece" in own.type("history", piece)


def test_a_size_no_duty_speaks_of_is_kept_for_what_it_is(own: Desk) -> None:
    told = own.type("measure", "left piston", "length", "400 mm", "--with", "caliper")
    assert "no duty speaks of it yet; once one does, it will count." in told
    assert "400 mm over the size before" not in told
    assert "more than a millimetre" in own.type(
        "measure", "left piston", "length", "40 mm", code=REFUSED
    )


def test_a_machine_is_wanted_before_its_past(desk: Desk) -> None:
    desk.type("new", "bare.book", "--workshop", "Shed", "--note", "cold in winter")
    refused = desk.type("past", "bore", "25 mm", "25.004 mm", code=REFUSED)
    assert "no machine yet; enter one: benchproof machine NAME" in refused


def today() -> str:
    return date.today().isoformat()


def test_who_wrote_it_can_be_stated(own: Desk) -> None:
    own.type("note", "Wren", "Wheels are cast.", "--who", "Bert")
    assert " Bert note (Wren): Wheels are cast" in own.type("history", "Wren")


def test_a_duty_and_an_engine_can_be_corrected(own: Desk) -> None:
    given(own)
    engine = re.search(r"([0-9a-f]{8}) \S+ \S+ anna engine: Wren", own.type("history", "Wren"))
    assert engine is not None
    own.type("engine", "Wren", "--boiler-pressure", "6 bar", "--instead-of", engine[1])
    text = (own.folder / "piston.toml").read_text(encoding="utf-8")
    kept = "\n".join(line for line in text.splitlines() if not line.startswith("boiler_pres"))
    (own.folder / "short.toml").write_text(kept, encoding="utf-8")
    duty = re.search(r"([0-9a-f]{8}) \S+ \S+ anna duty", own.type("history", "left fit"))
    assert duty is not None
    words = ("give", "piston-fit", "left fit", "short.toml", *BOTH, "--instead-of", duty[1])
    assert "boiler pressure: 6 bar gauge (87 psi gauge) (engine)" in own.type(*words)
    assert "corrected by" in own.type("history", "left fit")


def test_contradicting_readings_are_entered_and_told(demo: Desk) -> None:
    drops = (demo.folder / "drop.toml").read_text(encoding="utf-8")
    odd = drops.replace('"4:02"', '"20 s"').replace('"3:58"', '"21 s"')
    (demo.folder / "odd.toml").write_text(odd, encoding="utf-8")
    said = demo.type("test", "right piston fit", "drop-test", "odd.toml", code=NO_FIT)
    assert "Do not cut by this" in said
    assert "drop-test, 6 readings" in demo.type("history", "right piston fit")
    assert "Do not cut by this" in demo.type("plan", "right piston fit", code=NO_FIT)
    assert "right piston fit in trouble" in demo.type("review")


def test_impossible_readings_are_entered_and_told(
    demo: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    from benchproof.book import tested
    from benchproof.reckon.learning import ImpossibleReadings

    def impossible(*_: object, **__: object) -> None:
        raise ImpossibleReadings

    monkeypatch.setattr(tested, "bench_result", impossible)
    words = ("test", "right piston fit", "drop-test", "drop.toml")
    told = "The bench test is in the book, but:"
    assert told in demo.type(*words, code=NO_FIT)
    assert told in demo.type("plan", "right piston fit", code=NO_FIT)
    asked = ("plan", "right piston fit", "--json")
    assert "impossible" in json.loads(demo.type(*asked, code=NO_FIT))


def test_plain_data(demo: Desk) -> None:
    verdicts = json.loads(demo.type("review", "--json"))
    assert verdicts[0]["name"] == "left piston fit"
    assert json.loads(demo.type("plan", "left piston fit", "--json"))["name"] == "left piston fit"
    planned = json.loads(demo.type("plan", "right piston fit", "--json"))
    assert planned["made"]["bore"]["size"] == pytest.approx(0.030006, abs=0.3e-6)


def test_the_second_review_comes_from_the_cache(demo: Desk) -> None:
    first = demo.type("review")
    assert (demo.folder / "dunnock.book.cache").exists()
    start = time.perf_counter()
    assert demo.type("review") == first
    assert time.perf_counter() - start < 1.0


def test_progress_is_told_where_somebody_looks(
    demo: Desk, monkeypatch: pytest.MonkeyPatch, capsys: Captured
) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    assert run(["review"]) == ANSWERED
    out, err = capsys.readouterr()
    assert "1 of 12: " in err
    assert "of 12" not in out
    assert not err.rpartition("\r")[2]


def test_a_file_is_kept_and_checked(own: Desk) -> None:
    own.type("attach", "left piston", "drop.toml", "--note", "as timed")
    assert "drop.toml" in own.type("history", "left piston")
    assert "1 file kept in it" in own.type("verify")


def test_it_is_carried_elsewhere_and_back(own: Desk) -> None:
    own.type("attach", "Wren", "drop.toml")
    before = own.type("verify").removeprefix("my.book")
    own.type("export", "plain")
    own.type("import", "plain", "again.book")
    assert own.type("verify", "--book", "again.book").removeprefix("again.book") == before
    said = own.type("backup", "kept", "--book", "my.book")
    copies = list((own.folder / "kept").glob("*.book"))
    assert len(copies) == 1
    assert copies[0].name in said
    own.type("restore", str(copies[0]), "third.book")
    assert own.type("verify", "--book", "third.book").removeprefix("third.book") == before
    own.type("upgrade", "--book", "my.book")
    assert own.type("verify", "--book", "my.book") == f"my.book{before}"
    for words in (("import", "plain", "my.book"), ("restore", str(copies[0]), "my.book")):
        assert "Nothing was written." in own.type(*words, code=REFUSED)


def test_a_damaged_book_is_refused_in_words(own: Desk) -> None:
    book = own.folder / "my.book"
    data = bytearray(book.read_bytes())
    place = data.index(b"Anna's shed")
    data[place : place + 4] = b"Emma"
    book.write_bytes(bytes(data))
    for words in (("verify",), ("history",), ("review",)):
        assert "damaged" in own.type(*words, code=REFUSED)
    assert book.read_bytes() == bytes(data)


def test_the_tour_walks_through_and_leaves_nothing(desk: Desk) -> None:
    before = set(desk.folder.iterdir())
    told = desk.type("tour")
    for typed in ("review Dunnock", 'plan "right piston fit"', 'history "left piston"'):
        assert f"$ benchproof {typed}" in told
    assert "What to try next:" in told
    assert set(desk.folder.iterdir()) == before


def test_the_demo_book_has_its_own_workshop(desk: Desk) -> None:
    refused = desk.type("new", "d.book", "--demo", "--workshop", "x", code=REFUSED)
    assert "leave out --workshop" in refused
    assert "invented records" in desk.type("new", "d.book", "--demo")


def test_help_is_quick_and_loads_no_reckoning() -> None:
    code = (
        "import sys; from benchproof.cli import run; run(['--help']); "
        "sys.exit(any(name in sys.modules for name in ('numpy', 'scipy', 'pydantic', 'sqlite3')))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert done.returncode == 0
