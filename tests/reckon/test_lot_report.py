"""Pieces placed in settings, paste after paste; a lot half done, judged piece by piece."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from benchproof.features import PROCESSES
from benchproof.reckon.lot_by_spec import NoLotPlanError, plan_by_spec, stop_of
from benchproof.reckon.lot_entries import (
    LotEntry,
    LotPiece,
    LotSheet,
    Settings,
    lot_readings,
    placed,
    same,
)
from benchproof.reckon.lot_plain import plain_lot_plan, plain_lot_report
from benchproof.reckon.lot_plan import LotPlan
from benchproof.reckon.lot_report import do_next, lot_report, numbers_told
from benchproof.specs import SpecError
from benchproof.workshop.guard_band import Decision
from benchproof.workshop.lathe import Lathe, assumed_lathe, prior_of
from benchproof.workshop.lot_spec import LotSpec
from benchproof.workshop.standing import Summary, learn

STATED = {"wanted": "20", "nominal": "8 mm", "iso_class": "h7", "correction": "smaller"}
STOP = 7.992e-3


def lathe() -> Lathe:
    """A lathe that turns within 1.4 µm, without bias: thirty parts behind it."""
    assumed = assumed_lathe()
    shown = learn(prior_of(PROCESSES["turn"]), (), Summary(30, 0.0, 1.5))
    return replace(assumed, standings={**assumed.standings, "turn": shown})


def plan(**stated: Any) -> LotPlan:
    return plan_by_spec(LotSpec.from_text({**STATED, **stated}).spec, lathe())


@pytest.fixture(scope="module")
def planned() -> LotPlan:
    return plan()


def sheet(*rows: tuple[int, float], how: Settings = "not said", **more: Any) -> LotSheet:
    """Number and size in micrometres over 7.9 mm."""
    return LotSheet(
        tuple(LotEntry(str(n), n, 7.9e-3 + size * 1e-6, **more) for n, size in rows), how
    )


def held(pieces: list[LotPiece]) -> dict[int, LotPiece]:
    return {piece.number: piece for piece in pieces}


def test_a_column_in_instalments_is_the_column_at_once() -> None:
    rows = [(n, 92.0) for n in range(1, 8)]
    whole = placed(sheet(*rows), {}, stop=STOP, interval=3)
    assert [piece.setting for piece in whole] == [1, 1, 1, 2, 2, 2, 3]
    grown: dict[int, LotPiece] = {}
    for cut in (2, 5, 7):
        grown |= held(placed(sheet(*rows[:cut]), grown, stop=STOP, interval=3))
    assert list(grown.values()) == whole
    later = held(placed(sheet(*rows[:4]), {}, stop=STOP, interval=3))
    later |= held(placed(sheet(*rows[4:]), later, stop=STOP + 1e-6, interval=3))
    # A setting goes on where its stop stood; a new one begins where it is set then.
    assert [piece.set_for for piece in later.values()] == [STOP] * 6 + [STOP + 1e-6]


def test_marks_of_an_instalment_are_counted_on() -> None:
    before = held(placed(sheet((1, 92.0), (2, 92.0)), {}, stop=STOP))
    marked = LotSheet((LotEntry("3", 3, 7.992e-3), LotEntry("4", 4, 7.992e-3, setting=1)), "marked")
    assert [p.setting for p in placed(marked, before, stop=STOP)] == [1, 2]
    afresh = replace(marked, afresh=True)
    assert [p.setting for p in placed(afresh, before, stop=STOP)] == [2, 3]


def test_a_stop_moved_is_followed_until_it_is_set_afresh() -> None:
    moved = LotSheet(
        (
            LotEntry("1", 1, 7.992e-3),
            LotEntry("2", 2, 7.992e-3, moved=-2e-6),
            LotEntry("3", 3, 7.992e-3, moved=-3e-6),
            LotEntry("4", 4, 7.992e-3, setting=1),
        ),
        "marked",
    )
    first = placed(moved, {}, stop=STOP)
    found = [piece.set_for - STOP for piece in first]
    assert found == pytest.approx([0.0, -2e-6, -3e-6, 0.0], abs=1e-15)
    again = placed(moved, held(first), stop=STOP + 5e-6)
    assert all(same(one, two) for one, two in zip(first, again, strict=True))
    # An instalment counts its move from where the stop stood.
    part = LotSheet((LotEntry("4", 4, 7.992e-3, moved=1e-6),))
    (last,) = placed(part, held(first[:3]), stop=STOP)
    assert last.set_for - STOP == pytest.approx(-2e-6, abs=1e-15)


def test_a_piece_that_was_not_read_wore_the_tool_all_the_same() -> None:
    found = lot_readings(placed(sheet((4, 92.0), (7, 93.0)), {}, stop=STOP))
    assert [reading.place for reading in found] == [0, 3]


def test_a_second_cut_that_a_paste_leaves_out_is_kept() -> None:
    piece = LotPiece(1, 1, STOP, 8.001e-3, 7.992e-3)
    (found,) = placed(sheet((1, 101.0)), {1: piece}, stop=STOP)
    assert same(found, piece)
    assert not same(found, replace(piece, again=None))


def test_a_lot_half_done(planned: LotPlan) -> None:
    rows = [(n, 92.0 + n % 3) for n in range(1, 11)]
    rows[3], rows[7] = (4, 101.0), (8, 60.0)
    report = lot_report(planned, placed(sheet(*rows), {}, stop=stop_of(planned)))
    by_number = {each.number: each for each in report.decided}
    assert by_number[1].decision is Decision.ACCEPT
    assert by_number[4].decision is Decision.MEASURE_AGAIN
    assert by_number[8].decision is Decision.REJECT
    assert [n for n, each in by_number.items() if each.cut_again] == [4]
    assert report.so_far.accepted == 8
    assert report.so_far.more is not None
    assert report.so_far.more >= 12
    assert report.signals.changed
    told = do_next(report)
    assert told.startswith(f"cut {report.so_far.more} more blanks for 12 more good ones")
    assert "read 4 again" in told
    plain = plain_lot_report(report)
    assert plain["pieces"][7]["decision"] == "reject"
    assert plain_lot_plan(planned)["blanks"] == planned.blanks


def test_enough_is_said(planned: LotPlan) -> None:
    rows = [(n, 91.0 + n % 3) for n in range(1, 41)]
    report = lot_report(planned, placed(sheet(*rows), {}, stop=stop_of(planned)))
    assert report.done
    assert report.so_far.more == 0
    assert do_next(report) == "enough are made: 40 of 20 wanted are accepted"


def test_a_setting_that_runs_off_is_moved_back() -> None:
    exact = plan(u="0 um")
    stop = stop_of(exact)
    rows = [(n, (stop - 7.9e-3) * 1e6 + 6.0 + 0.5 * (n % 2)) for n in range(1, 7)]
    report = lot_report(exact, placed(sheet(*rows), {}, stop=stop))
    assert report.off == pytest.approx(6e-6, abs=2e-6)
    assert report.move == -report.off
    assert "smaller" in do_next(report)
    inches = do_next(report, "inch")
    assert "thou smaller" in inches


def test_a_reset_that_is_due_is_told() -> None:
    due = plan(interval="5")
    rows = [(n, 92.0 + n % 2) for n in range(1, 6)]
    report = lot_report(due, placed(sheet(*rows), {}, stop=stop_of(due)))
    assert report.reset_due
    assert report.move == 0.0
    assert f"first set the stop afresh, for {stop_of(due) * 1e3:.3f} mm" in do_next(report)


def test_no_reading_gives_no_report_and_gaps_are_named(planned: LotPlan) -> None:
    with pytest.raises(ValueError, match="no reading"):
        lot_report(planned, [])
    report = lot_report(planned, placed(sheet((2, 92.0), (5, 92.0)), {}, stop=STOP))
    assert report.missing == (3, 4)
    assert report.capability is None  # equal readings tell nothing of the scatter


def test_numbers_are_drawn_together() -> None:
    assert numbers_told([1, 2, 3, 5, 6, 9]) == "1 to 3, 5, 6, 9"
    assert numbers_told([]) == ""


def test_a_lot_that_cannot_be_had_says_why() -> None:
    with pytest.raises(NoLotPlanError, match=r"this gauge cannot prove it: 32\.9 µm"):
        plan(instrument="caliper")
    with pytest.raises(NoLotPlanError, match="widen the limits"):
        plan(wanted="500", iso_class="h5", u="0 um", correction="no", wear="2 um", interval="500")
    with pytest.raises(SpecError, match="no instrument known here"):
        plan(instrument="ruler")
    with pytest.raises(SpecError, match="lies outside what can be accepted"):
        plan(aim="8.1 mm")
    assert plan(instrument="Digital Micrometer", aim="7.992 mm").aim == pytest.approx(
        7.992e-3, rel=1e-12
    )


def test_of_fewer_pieces_than_a_mean_is_taken_over_there_is_no_mean() -> None:
    wide = plan(lower="7.9 mm", upper="8.1 mm", nominal=None, iso_class=None, plus_or_minus=None)
    assert wide.chart.useful
    assert wide.chart.count > 1
    pieces = placed(sheet((1, 100.0)), {}, stop=stop_of(wide))
    assert lot_report(wide, pieces).signals.reset == ()


def test_what_is_to_be_done_next_when_enough_are_made_or_none_can_be(planned: LotPlan) -> None:
    rows = tuple((n, 92.0 + 0.2 * (n % 5)) for n in range(1, 6))
    report = lot_report(planned, placed(sheet(*rows), {}, stop=STOP))

    def told(accepted: int, more: int | None) -> str:
        so_far = replace(report.so_far, accepted=accepted, more=more)
        return do_next(replace(report, so_far=so_far, decided=()))

    assert told(20, 0) == "enough are made: 20 of 20 wanted are accepted"
    assert "3 more would leave enough of them truly in limits 95 times in 100" in told(20, 3)
    assert told(5, None).startswith("no reasonable number of blanks is enough as this goes on")
