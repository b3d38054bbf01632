"""Lots in a book: pasted once or twice, corrected, struck out; each setting counts once."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from benchproof.book.cache import Cache
from benchproof.book.errors import Conflict
from benchproof.book.evidence import counted, standings, witnesses
from benchproof.book.exchange import export_book, import_book
from benchproof.book.history import history
from benchproof.book.lots import (
    Taken,
    enter_lot,
    enter_readings,
    lot_plan,
    lots_under_way,
    pieces_of,
    progress,
)
from benchproof.book.model import Book
from benchproof.book.state import replay
from benchproof.book.store import Entry
from benchproof.features import PROCESSES
from benchproof.lot_sheets import lot_sheet
from benchproof.reckon.lot_entries import lot_readings
from benchproof.reckon.lot_evidence import shown_by_lot
from benchproof.specs import SpecError
from book.books import in_another_order, small_book, written

SPEC = {"wanted": "12", "nominal": "8 mm", "iso_class": "h7", "correction": "smaller"}
COLUMN = """re-set for 7.992 mm
7.993
7.994
7.992
re-set for 7.992 mm
7.991
7.992
8.001
"""


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with small_book(tmp_path) as made:
        made.enter("part", {"name": "ferrule", "off": "12"}, subject="wren", key="ferrule")
        enter_lot(made, "ferrules", SPEC, part="ferrule", feature="shank", key="lot")
        yield made


def paste(book: Book, text: str, **how: Any) -> Taken:
    sheet = lot_sheet(text, near=8e-3, sheet="lot")
    return enter_readings(book, "ferrules", sheet, **{"when": "2026-03-02", **how})


def values(book: Book) -> list[float]:
    return [round(piece.value * 1e6) for piece in pieces_of(book, book.find("lot", "ferrules"))]


def test_the_same_paste_twice_stores_nothing_new(book: Book) -> None:
    first = paste(book, COLUMN)
    assert (len(first.new), first.held) == (6, ())
    head = book.store.head
    again = paste(book, COLUMN.replace("7.99", "7,99"), when="2026-03-09")
    assert (again.new, again.corrected, again.held) == ((), (), (1, 2, 3, 4, 5, 6))
    assert book.store.head == head
    grown = paste(book, COLUMN + "7.990\n")
    assert [piece.number for piece in grown.new] == [7]
    assert len(grown.held) == 6


def test_a_corrected_reading_supersedes_and_is_told(book: Book) -> None:
    paste(book, COLUMN)
    told = paste(book, COLUMN.replace("7.994", "7.995"))
    ((number, before, after),) = [(c.number, c.before, c.after) for c in told.corrected]
    assert (number, before.value, after.value) == (2, 7.994e-3, 7.995e-3)
    assert values(book) == [7993, 7995, 7992, 7991, 7992, 8001]
    # Put back, and corrected once more: each a record of its own, none lost.
    paste(book, COLUMN)
    assert values(book)[1] == 7994
    paste(book, COLUMN.replace("7.994", "7.995"))
    assert values(book)[1] == 7995
    of_piece = [r for r in book.store.records if r.kind == "lot reading" and r.body["number"] == 2]
    assert [r.supersedes for r in of_piece] == [None, *(r.id for r in of_piece[:-1])]
    lines = [line for line in history(book, "lot") if line.record in of_piece]
    assert [line.corrected_by for line in lines] == [*(r.id for r in of_piece[1:]), None]


def test_a_second_cut_is_entered_later(book: Book) -> None:
    paste(book, COLUMN)
    cut = paste(book, "no;d [mm];again\n6;8.001;7.993\n")
    assert [c.number for c in cut.corrected] == [6]
    piece = pieces_of(book, book.find("lot", "ferrules"))[-1]
    assert (piece.value, piece.again, piece.setting) == (8.001e-3, 7.993e-3, 2)
    assert paste(book, COLUMN).held == (1, 2, 3, 4, 5, 6)


def test_what_was_struck_out_stays_out_unless_it_is_asked_for(book: Book) -> None:
    paste(book, COLUMN)
    third = next(r for r in book.state.lot_readings("lot").values() if r.number == 3)
    book.strike_out(third.id, "the micrometer had slipped")
    assert 3 not in book.state.lot_readings("lot")
    told = paste(book, COLUMN)
    assert (told.struck, told.new) == ((3,), ())
    assert [p.number for p in paste(book, COLUMN, struck_too=True).new] == [3]
    assert paste(book, COLUMN).held == (1, 2, 3, 4, 5, 6)


def test_the_first_piece_of_each_setting_goes_into_the_standing_once(book: Book) -> None:
    paste(book, COLUMN)
    found = [w for w in witnesses(book.state) if w.lot == "lot"]
    unit = PROCESSES["turn"].unit_at(7.9925e-3)
    pieces = pieces_of(book, book.find("lot", "ferrules"))
    wanted = shown_by_lot(lot_readings(pieces), unit=unit, u=2e-6)
    off = sorted(w.deviation / unit for w in found)
    assert off == pytest.approx(sorted(shown.deviation for shown in wanted), rel=1e-9)
    assert [w.u / unit for w in found] == pytest.approx([s.u for s in wanted], rel=1e-9)
    assert len(found) == 2
    assert {w.machine for w in found} == {"lathe"}
    assert standings(book.state)["turn"].parts == 2
    assert counted(book.state)["turn"].in_lots == 6
    # A lot is judged without what it added itself.
    assert standings(book.state, without="lot")["turn"].parts == 0
    assert lot_plan(book, book.find("lot", "ferrules")).process.standing.parts == 0
    book.strike_out("lot", "never made")
    assert standings(book.state)["turn"].parts == 0


def test_each_machine_has_its_own_lots(book: Book) -> None:
    book.enter("machine", {"name": "little lathe"}, key="little")
    enter_lot(book, "pins", SPEC, part="ferrule", machine="little lathe", key="pins")
    enter_readings(book, "pins", lot_sheet(COLUMN, near=8e-3, sheet="pins"))
    assert standings(book.state)["turn"].parts == 0
    assert standings(book.state, "little")["turn"].parts == 2


def test_an_event_trusts_the_settings_before_it_in_part(book: Book) -> None:
    paste(book, COLUMN)
    stated = {"what": "new bearings", "when": "2026-03-03", "trust": "0.5"}
    book.enter("event", stated, subject="lathe")
    assert standings(book.state)["turn"].worth == pytest.approx(1.0, rel=1e-12)


def test_replayed_in_any_order_it_says_the_same(book: Book) -> None:
    paste(book, COLUMN)
    paste(book, COLUMN.replace("7.994", "7.995"))
    third = book.state.lot_readings("lot")[3]
    book.strike_out(third.id, "slipped")
    entries = [
        Entry(r.kind, r.body, r.subject, r.supersedes, r.who, r.at, r.id)
        for r in book.store.records
    ]
    for seed in range(5):
        state = replay(written(in_another_order(entries, random.Random(seed))))
        assert {n: (r.id, r.piece) for n, r in state.lot_readings("lot").items()} == {
            n: (r.id, r.piece) for n, r in book.state.lot_readings("lot").items()
        }
        shown, known = (standings(each)["turn"] for each in (state, book.state))
        assert np.array_equal(shown.probability, known.probability)


def test_of_two_first_entries_of_a_piece_the_later_one_stands(book: Book) -> None:
    paste(book, COLUMN)
    record = book.state.lot_readings("lot")[1].record
    other = Entry(
        "lot reading",
        {**record.body, "value": 7.99e-3},
        "lot",
        None,
        at="2030-01-01T00:00:00+00:00",
    )
    entries = [
        Entry(r.kind, r.body, r.subject, r.supersedes, r.who, r.at, r.id)
        for r in book.store.records
    ]
    place = next(n for n, entry in enumerate(entries) if entry.id == record.id)
    for order in ([*entries, other], [*entries[:place], other, *entries[place:]]):
        held = replay(written(order)).lot_readings("lot")
        assert held[1].value == 7.99e-3
        assert len(held) == 6


def test_an_export_holds_lots_and_makes_them_again(book: Book, tmp_path: Path) -> None:
    paste(book, COLUMN)
    export_book(book.store, tmp_path / "out")
    with Book.open(import_book(tmp_path / "out", tmp_path / "again.book")) as again:
        assert again.store.records == book.store.records
        lot = again.find("lot", "ferrules")
        assert pieces_of(again, lot) == pieces_of(book, book.find("lot", "ferrules"))
        assert lot.spec == book.find("lot", "ferrules").spec
    sheets = {path.name[3:] for path in (tmp_path / "out" / "sheets").iterdir()}
    assert {"lot.csv", "lot reading.csv"} <= sheets


def test_a_lot_half_done_is_judged_and_kept(book: Book, tmp_path: Path) -> None:
    (planned,) = lots_under_way(book)
    assert (planned.state, planned.made) == ("planned", 0)
    assert f"prepare {planned.more} blanks for 12 good ones" == planned.do_next["metric"]
    paste(book, COLUMN)
    cache = Cache(tmp_path / "cache")
    (half,) = lots_under_way(book, "Wren", cache=cache)
    assert (half.state, half.made, half.accepted, half.wanted) == ("half done", 6, 5, 12)
    assert lots_under_way(book, "Wren", cache=cache) == [half]
    cache.close()
    report = progress(
        book, book.find("lot", "ferrules"), lot_plan(book, book.find("lot", "ferrules"))
    )
    assert report is not None
    assert report.so_far.more == half.more
    book.enter("engine", {"name": "Owl"})
    assert lots_under_way(book, "Owl") == []


def test_a_lot_that_is_done_is_no_longer_told(book: Book) -> None:
    paste(book, "re-set for 7.992 mm\n" + "7.992\n7.993\n" * 6)
    assert lots_under_way(book) == []


def test_a_lot_that_cannot_be_had_is_in_trouble(book: Book) -> None:
    hopeless = {**SPEC, "instrument": "caliper"}
    enter_lot(book, "hopeless", hopeless, part="ferrule")
    first = lots_under_way(book)[0]
    assert (first.name, first.state) == ("hopeless", "in trouble")
    assert "cannot prove" in first.do_next["metric"]
    # Readings are taken all the same, and say what the lathe holds.
    taken = enter_readings(book, "hopeless", lot_sheet("7.992\n7.993", near=8e-3))
    stops = [piece.set_for for piece in taken.new]
    assert stops == pytest.approx([7.9925e-3] * 2, rel=1e-12)


def test_limits_corrected_later_judge_the_readings_anew(book: Book) -> None:
    paste(book, COLUMN)
    wider = {**SPEC, "iso_class": "h9"}
    enter_lot(book, "ferrules", wider, part="ferrule", supersedes="lot")
    (half,) = lots_under_way(book)
    assert half.accepted == 5
    assert len(pieces_of(book, book.find("lot", "ferrules"))) == 6


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("7.9\n9.5", "more than a millimetre outside"),
        ("no;d [mm];again\n1;7.992;6.5", "it, cut again, lies more than"),
        ("re-set for 9.9 mm\n7.992", "its stop lies more than"),
    ],
)
def test_a_size_far_off_is_questioned(book: Book, text: str, words: str) -> None:
    head = book.store.head
    with pytest.raises(SpecError, match=words):
        paste(book, text)
    assert book.store.head == head
    assert paste(book, text, sure=True).new


def test_what_is_refused(book: Book) -> None:
    with pytest.raises(SpecError, match="no instrument known here"):
        paste(book, COLUMN, instrument="ruler")
    with pytest.raises(SpecError, match="no instrument known here"):
        enter_lot(book, "pins", {**SPEC, "instrument": "ruler"}, part="ferrule")
    with pytest.raises(SpecError, match="is not a field here"):
        enter_lot(book, "pins", {**SPEC, "name": "other"}, part="ferrule")
    with pytest.raises(Conflict, match="already"):
        enter_lot(book, "FERRULES", SPEC, part="ferrule")
    paste(book, "\n".join(["7.992"] * 2000))
    with pytest.raises(SpecError, match="more than 2000 pieces"):
        paste(book, "2001: 7.992")


def test_with_an_instrument_of_its_own_a_column_has_its_doubt(book: Book) -> None:
    book.enter("instrument", {"name": "old micrometer", "u": "4 um"})
    paste(book, COLUMN, instrument="Old Micrometer")
    assert {r.u for r in book.state.lot_readings("lot").values()} == {4e-6}
    more = enter_lot(book, "pins", {**SPEC, "u": "1 um"}, part="ferrule", key="pins")
    enter_readings(book, more.id, lot_sheet("7.992", near=8e-3, sheet="pins"))
    assert [r.u for r in book.state.lot_readings("pins").values()] == [1e-6]


def test_a_damaged_cache_is_not_believed(book: Book, tmp_path: Path) -> None:
    cache = Cache(tmp_path / "cache")
    (sound,) = lots_under_way(book, cache=cache)
    assert cache._connection is not None
    cache._connection.execute("UPDATE answer SET data = ?", ['{"state": "half done"}'])
    assert lots_under_way(book, cache=cache) == [sound]
    assert replace(sound, more=None) != sound
    cache.close()
