"""Lots as typed: planned from a file, read from a column, kept in a book, paired."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from benchproof.book.demo import make_demo
from benchproof.cli import ANSWERED, NO_FIT, REFUSED, run

Captured = pytest.CaptureFixture[str]
FERRULES = """
wanted = 40
nominal = "8 mm"
iso_class = "h7"
correction = "smaller"
interval = 8
"""
COLUMN = "7.993\n7.994\n7.992\n7.995\n7.993\n7.994\n7.993\n7.992\n7.991\n8.001\n"


class Desk:
    """A folder at which somebody types commands."""

    def __init__(self, folder: Path, capsys: Captured) -> None:
        self.folder, self.capsys = folder, capsys

    def write(self, name: str, text: str) -> None:
        (self.folder / name).write_text(text, encoding="utf-8")

    def type(self, *words: str, code: int = ANSWERED) -> str:
        self.capsys.readouterr()
        assert run(list(words)) == code, self.capsys.readouterr()
        out, err = self.capsys.readouterr()
        assert "Traceback" not in err
        assert bool(err) == (code == REFUSED)
        if "--json" not in words:
            assert [line for line in (out + err).splitlines() if len(line) > 80] == []
        return " ".join((out + err).split())


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Captured) -> Desk:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("BENCHPROOF_BOOK", raising=False)
    made = Desk(tmp_path, capsys)
    made.write("ferrules.toml", FERRULES)
    made.write("readings.csv", COLUMN)
    return made


@pytest.fixture
def demo(desk: Desk) -> Desk:
    make_demo(desk.folder / "dunnock.book").close()
    return desk


def test_a_lot_is_planned_from_its_file(desk: Desk) -> None:
    told = desk.type("lot", "ferrules.toml")
    assert told.startswith("ferrules: 40 good ones of 7.985 to 8.000 mm Prepare ")
    for heading in ("ORDER OF WORK", "WHAT COMES OF IT", "TAKEN ON TRUST", "AS UNDERSTOOD"):
        assert heading in told
    assert "no part of this process is behind it" in told
    plan = json.loads(desk.type("lot", "ferrules.toml", "--json"))["plan"]
    assert f"Prepare {plan['blanks']} blanks" in told
    assert plan["binomial"] < plan["blanks"]
    assert plan["reached"] >= plan["chance"] == 0.95
    assert "0.3144" in desk.type("lot", "ferrules.toml", "--units", "inch")


def test_a_column_says_how_many_more(desk: Desk) -> None:
    words = ("lot", "ferrules.toml", "--so-far", "readings.csv")
    told = desk.type(*words)
    assert told.startswith("ferrules: 10 made, 40 good ones wanted Cut ")
    assert "Accept: 1 to 9" in told
    assert "Measure again, and take the mean: 10 (8.001 mm)" in told
    assert "9 of 10 accepted, cut in 2 settings" in told
    so_far = json.loads(desk.type(*words, "--json"))["so_far"]
    assert f"Cut {so_far['more']} more blanks for 31 more good ones" in told
    assert [piece["decision"] for piece in so_far["pieces"]] == ["accept"] * 9 + ["measure again"]
    assert so_far["more"] >= 31


def test_what_no_column_says_of_settings_is_told(desk: Desk) -> None:
    desk.write("ferrules.toml", FERRULES.replace("interval = 8", ""))
    words = ("lot", "ferrules.toml", "--so-far", "readings.csv")
    assert "No re-set is marked" in desk.type(*words)
    assert "No re-set is marked" not in desk.type(*words, "--every", "5")
    desk.write("readings.csv", COLUMN.replace("7.991", "re-set for 7.99 mm\n7.991"))
    assert "No re-set is marked" not in desk.type(*words)


def test_a_lot_that_cannot_be_had_is_an_answer(desk: Desk) -> None:
    desk.write("ferrules.toml", FERRULES + 'instrument = "caliper"\n')
    told = desk.type("lot", "ferrules.toml", code=NO_FIT)
    assert told.startswith("No plan: This gauge cannot prove it: 32.9 µm inside each limit")
    assert "no_plan" in json.loads(desk.type("lot", "ferrules.toml", "--json", code=NO_FIT))


def test_a_lot_from_the_first_blank_to_the_last_in_a_book(demo: Desk) -> None:
    entered = demo.type(
        "enter-lot", "more", "ferrules.toml", "--part", "ferrule", "--feature", "shank"
    )
    assert entered.startswith("Entered lot: more, 40 wanted of one shank")
    assert "more planned 0 0 40 Prepare " in demo.type("review")
    words = ("readings", "more", "readings.csv", "--with", "digital micrometer")
    first = demo.type(*words, "--when", "2026-03-02")
    assert first.startswith("Entered 10 readings of more: pieces 1 to 10")
    assert "9 of 10 accepted" in first
    again = demo.type(*words)
    assert again.startswith("Entered 0 readings of more; 10 held already")
    demo.write("readings.csv", COLUMN.replace("8.001", "7.991") + "7.992\n")
    grown = demo.type(*words)
    assert "Entered 1 reading of more: pieces 11; 9 held already" in grown
    assert "Corrected: piece 10, 8.0010 mm is now 7.9910 mm" in grown
    told = demo.type("lot", "MORE")
    assert told.startswith("more: 11 made, 40 good ones wanted")
    assert "more, as planned: 40 good ones" in told
    plain = json.loads(demo.type("lot", "more", "--json"))
    assert plain["so_far"]["made"] == 11
    listed = demo.type("history", "more")
    assert listed.count("lot reading (more): piece") == 12
    assert "corrected by" in listed
    assert "read in lots, of which the first of each setting counts" in demo.type("standing")


def test_the_review_lists_lots_half_done(demo: Desk) -> None:
    told = demo.type("review", "Dunnock")
    assert "ferrules half done 22 20 40 Cut " in told
    assert 'All about one: benchproof lot "ferrules"' in told
    last = json.loads(demo.type("review", "--json"))[-1]
    assert (last["name"], last["made"], last["state"]) == ("ferrules", 22, "half done")


def test_a_struck_reading_stays_out(demo: Desk) -> None:
    demo.type("enter-lot", "more", "ferrules.toml", "--part", "ferrule")
    demo.type("readings", "more", "readings.csv")
    record = json_id(demo, 10)
    demo.type("strike", record, "--why", "the micrometer slipped")
    assert "Left out, since they were struck out before: pieces 10" in demo.type(
        "readings", "more", "readings.csv"
    )
    assert "pieces 10" in demo.type("readings", "more", "readings.csv", "--struck-too")


def json_id(desk: Desk, number: int) -> str:
    """Id of the reading of a piece of the lot called more."""
    from benchproof.book.model import Book

    with Book.open(desk.folder / "dunnock.book") as book:
        return book.state.lot_readings(book.find("lot", "more").id)[number].id


def test_pairs_of_measured_pieces(desk: Desk) -> None:
    desk.write("holes.csv", "no;hand;d [mm]\n1;left;8.020\n2;;8.010\n3;right;8.030\n")
    desk.write("shafts.csv", "no;hand;d [mm]\n1;left;8.000\n2;;7.990\n3;right;8.010\n4;;7.9\n")
    words = ("pair", "holes.csv", "shafts.csv", "--least", "10 um", "--most", "30 um")
    told = desk.type(*words)
    assert told.startswith("3 pairs of 10.0 to 30.0 µm clearance: expect 3.0 right")
    assert "hole 1 shaft 1 20.0" in told
    assert "Left over: shaft 4." in told
    assert "every one goes with every other in 0 of 100" in told
    plain = json.loads(desk.type(*words, "--wish", "most-right", "--json"))
    assert {(fit["hole"], fit["shaft"]) for fit in plain["pairs"]} == {
        ("hole 1", "shaft 1"),
        ("hole 2", "shaft 2"),
        ("hole 3", "shaft 3"),
    }
    assert plain["any_with_any"]["every"] == 0.0
    desk.write("shafts.csv", "7.5\n7.6\n")
    assert desk.type(*words, code=NO_FIT).startswith("No two of these go together")
    desk.write("shafts.csv", "9.5\n9.6\n")
    assert "are the two files swapped?" in desk.type(*words, code=REFUSED)


def test_any_with_any_of_two_lots_before_they_are_made(desk: Desk) -> None:
    desk.write("holes.toml", 'wanted = 20\nnominal = "8 mm"\niso_class = "H8"\nprocess = "ream"\n')
    words = ("pair", "holes.toml", "ferrules.toml", "--least", "0 um")
    told = desk.type(*words, "--most", "40 um")
    assert "Of these lots, any one tried with any other is right in" in told
    wide, tight = (
        json.loads(desk.type(*words, "--most", most, "--json"))["any_with_any"]["every"]
        for most in ("40 um", "15 um")
    )
    assert tight < wide


INCHES = 'wanted = 20\nlower = "0.3146 in"\nupper = "0.3152 in"\n'


def test_bare_readings_are_in_the_unit_of_the_limits(demo: Desk) -> None:
    demo.write("pins.toml", INCHES)
    demo.write("in.csv", "0.3148\n0.3149\nre-set for 0.3149\n0.3150\nmoved by -0.0001\n0.3149\n")
    words = ("lot", "pins.toml", "--so-far", "in.csv", "--units", "inch")
    assert desk_made(demo.type(*words)) == 4
    assert desk_made(demo.type(*words, "--set-for", "0.3149")) == 4
    demo.write("bare.csv", "0.3148\n0.3149\n")
    bare = ("lot", "pins.toml", "--so-far", "bare.csv")
    wrong = demo.type(*bare, "--readings-in", "mm", code=REFUSED)
    assert "read as 0.315 mm, nothing like the size expected, about 7.998 mm" in wrong
    assert "write 0.3148 in" in wrong
    demo.type("enter-lot", "pins", "pins.toml", "--part", "ferrule")
    assert "pieces 1 to 4" in demo.type("readings", "pins", "in.csv", "--units", "inch")


def desk_made(told: str) -> int:
    """How many pieces a report counts."""
    return int(told.split(": ")[1].split(" made", maxsplit=1)[0])


@pytest.mark.parametrize(
    ("column", "where"),
    [
        ("0.3148\nre-set for 99\n0.3149\n", "line 2: is 99 in"),
        ("0.3148\nmoved to 7.99 in\n0.3149\n", "line 2: is 7.99 in"),
        ("d;set for\n0.3148;25\n0.3149;\n", "line 2: set for: is 25 in"),
        ("7.99\n", "If it is, write 7.99 mm"),
        ("0.3148\nre-set for 0.37\n0.3149\n", "piece 2: its stop lies more than a millimetre"),
    ],
)
def test_absurd_settings_and_readings_are_questioned(desk: Desk, column: str, where: str) -> None:
    desk.write("pins.toml", INCHES)
    desk.write("in.csv", column)
    told = desk.type("lot", "pins.toml", "--so-far", "in.csv", code=REFUSED)
    assert where in told


def test_a_stop_set_far_off_is_refused_by_its_option(desk: Desk) -> None:
    words = ("lot", "ferrules.toml", "--so-far", "readings.csv", "--set-for")
    assert "set-for: “25 mm” is too much; give a length from 6.985 mm" in desk.type(
        *words, "25 mm", code=REFUSED
    )


def test_pairs_with_interference_and_absurd_doubts(desk: Desk) -> None:
    desk.write("holes.csv", "8.000\n8.001\n")
    desk.write("shafts.csv", "8.010\n8.011\n")
    words = ("pair", "holes.csv", "shafts.csv")
    fitted = desk.type(*words, "--least", "-15um", "--most", "-5um")
    assert fitted.startswith("2 pairs of -15.0 to -5.0 µm clearance")
    for option, value in (("--hole-u", "400 mm"), ("--shaft-u", "-1um"), ("--most", "30 mm")):
        more = {"--least": "-15um", "--most": "5um", option: value}
        typed = [word for pair in more.items() for word in pair]
        assert option.removeprefix("--") + ": “" in desk.type(*words, *typed, code=REFUSED)
    desk.write("holes.csv", "0.3150\n")
    told = desk.type(*words, "--least", "1um", "--most", "9um", code=REFUSED)
    assert "hole 1: is nothing like the others" in told
    assert "given: 0.315 mm" in told


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("lot", "none.toml"), "does not exist"),
        (("lot", "ferules.toml"), "there is a ferrules.toml beside it"),
        (("lot", "ferrules.toml", "--so-far", "ferrules.toml"), "is a TOML file where a column"),
        (("lot", "ferrules.toml", "--every", "x"), "“x” is no whole number"),
        (("lot", "none"), "There is no book here"),
        (("lot", "broken.toml"), "is not TOML"),
        (("lot", "lathe.toml"), "reads like a lathe file"),
        (("lot", "ferrules.toml", "--every", "0"), "give 1 to 500"),
        (("lot", "ferrules.toml", "--set-for", "soon"), "set-for"),
        (("lot", "ferrules.toml", "--so-far", "none.csv"), "does not exist"),
        (("lot", "ferrules.toml", "--so-far", "empty.csv"), "no reading in it"),
        (("lot", "ferrules.toml", "--so-far", "words.csv"), "in words.csv, nothing was"),
        (("lot", "ferrules.toml", "--so-far", "rows.csv"), "more than 5000 lines"),
        (("lot", "ferrules.toml", "--so-far", "absurd.csv"), "slip of the unit"),
        (("lot", "ferrules.toml", "--so-far", "readings.csv", "--column", "d"), "no column"),
        (("pair", "readings.csv", "words.csv", "--least", "1 um", "--most", "9 um"), "line 2"),
        (("pair", "readings.csv", "rows.csv", "--least", "1 um", "--most", "9 um"), "5000"),
        (("pair", "readings.csv", "readings.csv", "--least", "9 um", "--most", "1 um"), "under"),
    ],
)
def test_what_is_refused_is_told_in_words(desk: Desk, words: tuple[str, ...], told: str) -> None:
    desk.write("broken.toml", "wanted = forty")
    desk.write("lathe.toml", 'name = "lathe"\ninvented = true\nnotes = "none"\n')
    desk.write("empty.csv", "\n\n")
    desk.write("words.csv", "seven\neight\n")
    desk.write("rows.csv", "7.99\n" * 6000)
    desk.write("absurd.csv", "7.99e9\n-3\n79.9\n")
    assert told in desk.type(*words, code=REFUSED)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("enter-lot", "a", "ferrules.toml", "--part", "ferule"), "did you mean 'ferrule'?"),
        (("enter-lot", "ferrules", "ferrules.toml", "--part", "ferrule"), "already"),
        (("enter-lot", "a", "bad.toml", "--part", "ferrule"), "no limits are stated"),
        (("readings", "ferules", "readings.csv"), "did you mean 'ferrules'?"),
        (("readings", "ferrules", "readings.csv", "--with", "ruler"), "no instrument known"),
        (("readings", "ferrules", "readings.csv", "--when", "soon"), "is no day"),
        (("readings", "ferrules", "far.csv"), "add --sure"),
        (("lot", "ferules"), "did you mean 'ferrules'?"),
    ],
)
def test_nothing_is_written_of_what_is_refused(
    demo: Desk, words: tuple[str, ...], told: str
) -> None:
    demo.write("bad.toml", "wanted = 40\n")
    demo.write("far.csv", "23: 6.9 mm\n")
    before = (demo.folder / "dunnock.book").read_bytes()
    refused = demo.type(*words, code=REFUSED)
    assert told in refused
    assert words[0] == "lot" or "othing was written" in refused
    assert (demo.folder / "dunnock.book").read_bytes() == before
