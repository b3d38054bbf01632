"""Sheets of a lot's readings: re-sets, moves of the stop, second cuts, tables, and nonsense."""

import io
from contextlib import suppress
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.lot_sheets import LARGEST, lot_sheet, read_lot_sheet, read_measured, text_of
from benchproof.reckon.lot_entries import LotPiece, LotSheet, placed
from benchproof.specs import SpecError

STOP = 7.994e-3


def sheet(text: str) -> LotSheet:
    return lot_sheet(text, near=8e-3)


def pieces(text: str, *, interval: int | None = None) -> list[LotPiece]:
    return placed(sheet(text), {}, stop=STOP, interval=interval)


def settings_of(text: str, *, interval: int | None = None) -> list[int]:
    return [piece.setting for piece in pieces(text, interval=interval)]


@pytest.mark.parametrize(
    "text",
    [
        "7.995\n7.996\nre-set\n7.993",
        "1: 7.995\n2: 7.996\n\n# reset\n3: 7.993",
        "7,995\n7,996\nre-set\n7.993 mm",
        "re-set\n7.995\n7.996\nre-set\nRESET\n7.993 mm",
        "no;setting;d [mm]\n1;1;7.995\n2;;7.996\n3;2;7.993",
        "piece,setting,diameter [mm]\n1,1,7.995\n2,1,7.996\n3,2,7.993",
        "setting\td [um]\n1\t7995\n1\t7996\n2\t7993",
    ],
)
def test_the_same_two_settings(text: str) -> None:
    found = pieces(text)
    assert [(piece.number, piece.setting) for piece in found] == [(1, 1), (2, 1), (3, 2)]
    assert [piece.value for piece in found] == pytest.approx(
        [7.995e-3, 7.996e-3, 7.993e-3], rel=1e-12
    )
    assert {piece.set_for for piece in found} == {STOP}


def test_without_a_mark_all_are_of_one_setting_unless_the_interval_is_said() -> None:
    text = "\n".join(["7.995"] * 5)
    assert settings_of(text) == [1] * 5
    assert settings_of(text, interval=2) == [1, 1, 2, 2, 3]


@pytest.mark.parametrize(
    ("text", "stops"),
    [
        ("7.995\nre-set for 7.992 mm\n7.993\n7.993", (7.994, 7.992, 7.992)),
        ("7.995\nmoved by -2 um\n7.993\n7.993", (7.994, 7.992, 7.992)),
        ("7.995\nstop moved to 7.991\n7.993\nmoved by 0.001\n7.993", (7.994, 7.991, 7.992)),
        ("re-set for 7.990\nmoved by 1 um\n7.995\n7.993\nre-set\n7.993", (7.991, 7.991, 7.994)),
        ("d;set for [mm]\n7.995;7.99\n7.993;\n7.993;7.992", (7.99, 7.99, 7.992)),
    ],
)
def test_where_the_stop_stood(text: str, stops: tuple[float, ...]) -> None:
    found = [piece.set_for for piece in pieces(text)]
    assert found == pytest.approx([stop * 1e-3 for stop in stops], rel=1e-12)


def test_a_second_cut_stands_beside_the_first() -> None:
    found = pieces("no;d [mm];again\n1;7.995;\n2;8.001;7.996")
    assert [piece.again for piece in found] == [None, pytest.approx(7.996e-3, rel=1e-12)]
    assert found[1].last == found[1].again


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no reading"),
        ("re-set\nre-set", "no reading"),
        ("7.995\nseven", "line 2"),
        ("7.995\n79.95", "slip of the unit"),
        ("0: 7.995", "counted from 1"),
        ("1: 7.995\n1: 7.996", "keep one"),
        ("7.995\nmoved 3", "moved to SIZE"),
        ("7.995\nre-set for soon", "line 2"),
        ("moved by 2 um\n7.995", "what the stop was set for"),
        ("a;b;again\n7.995;7.996;", "which column"),
        ("setting,d [mm]\n,7.995\n1,7.996", "no setting stands"),
        ("setting;d [mm]\n0;7.995", "counted from 1"),
        ("setting;d [mm]\none;7.995", "line 2"),
        ("\n".join(["7.995"] * 2001), "2000 at most"),
        ("\n".join(["7.995\nre-set"] * 501), "500 at most"),
        ("\n".join(["seven"] * 4000), "more such lines"),
        ("\n".join(["7.995"] * 6000), "more than 5000 lines"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(SpecError) as refused:
        sheet(text)
    assert words in str(refused.value)
    assert len(refused.value.problems) <= 13


SCRAPS = "0178.,;\t\n #:-reset moved by to um[]set for again"


@settings(max_examples=200, deadline=None)
@given(st.text(st.sampled_from(SCRAPS), max_size=60))
def test_whatever_is_pasted_is_read_or_refused(text: str) -> None:
    found = None
    with suppress(SpecError):
        found = sheet(text)
    assert found is None or len(placed(found, {}, stop=STOP)) == len(found.entries) > 0


def test_a_file_that_is_none_is_refused(tmp_path: Path) -> None:
    (tmp_path / "latin.csv").write_bytes("7,995 µm".encode("latin-1"))
    (tmp_path / "large.csv").write_bytes(b"7.995\n" * (LARGEST // 6 + 1))
    for name, words in (
        ("none.csv", "does not exist"),
        ("", "is a folder"),
        ("latin.csv", "not UTF-8"),
        ("large.csv", "larger than"),
    ):
        with pytest.raises(SpecError, match=words):
            text_of(tmp_path / name)
    with pytest.raises(SpecError, match="cannot be used"):
        text_of(Path("a\0b"))


def test_what_is_pasted_at_the_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    typed = SimpleNamespace(buffer=io.BytesIO(b"7.995\n7.996\n"))
    monkeypatch.setattr("sys.stdin", typed)
    assert len(read_lot_sheet(Path("-"), near=8e-3).entries) == 2


def test_hands_of_measured_pieces(tmp_path: Path) -> None:
    path = tmp_path / "holes.csv"
    path.write_text("no;hand;d [mm]\n1;left;8.01\n2;R;8.02\n3;;8.03\n", encoding="utf-8")
    found = read_measured(path, u=1e-6, prefix="hole")
    assert [(each.name, each.hand) for each in found] == [
        ("hole 1", "left"),
        ("hole 2", "right"),
        ("hole 3", "either"),
    ]
    path.write_text("\n".join(["8.01"] * 501), encoding="utf-8")
    with pytest.raises(SpecError, match="500 at most"):
        read_measured(path, u=1e-6, prefix="hole")
