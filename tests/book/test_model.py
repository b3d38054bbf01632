import math
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchproof.book.demo import left_drop_test
from benchproof.book.errors import Conflict
from benchproof.book.history import history
from benchproof.book.model import Book
from benchproof.specs import SpecError
from book.books import SPEC, bind, small_book


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with small_book(tmp_path) as made:
        yield made


def taken(**stated: str) -> dict[str, str]:
    return stated


def test_what_was_entered_is_there_when_opened_again(book: Book) -> None:
    book.measure("piston", "piston", "29.98 mm", aim="29.98 mm")
    with Book.open(book.store.path) as again:
        assert [t.name for t in again.state.of("piece")] == ["cylinder", "piston"]
        assert again.state.sizes == book.state.sizes
        assert again.find("engine", "Wren").record.who == "tester"


@pytest.mark.parametrize("name", ["wren", "  WREN ", "Wren"])
def test_found_by_name_in_any_letter_case(book: Book, name: str) -> None:
    assert book.find("engine", name).id == "wren"


def test_not_found_says_what_there_is(book: Book) -> None:
    with pytest.raises(Conflict, match=r"no piece called 'pistn'; did you mean 'piston'\?"):
        book.find("piece", "pistn")
    with pytest.raises(Conflict, match="There are: Wren"):
        book.find("engine", "Kestrel")
    with pytest.raises(Conflict, match="There are: none yet"):
        book.find("instrument", "bore gauge")
    with pytest.raises(Conflict, match="no one duty called 'pump'"):
        book.binding("pump")
    assert book.binding("Piston Fit").id == "fit"


def test_a_name_is_taken_once_in_its_kind(book: Book) -> None:
    with pytest.raises(Conflict, match="has a piece called 'PISTON' already"):
        book.enter("piece", {"name": "PISTON"}, subject="part")
    book.enter("part", {"name": "piston"}, subject="wren")
    with pytest.raises(Conflict, match="has a duty called 'piston fit' already"):
        book.bind(
            "piston-fit",
            "piston fit",
            SPEC,
            {"bore": "cylinder", "piston": "piston"},
            engine="Wren",
        )
    with pytest.raises(Conflict, match="has a piece called 'cylinder' already"):
        book.enter("piece", {"name": "cylinder"}, supersedes="piston")


def test_a_thing_is_renamed_by_a_correction_and_keeps_what_it_belongs_to(book: Book) -> None:
    book.enter("piece", {"name": "left piston"}, supersedes="piston")
    found = book.find("piece", "left piston")
    assert (found.id, found.subject) == ("piston", "part")
    book.enter("piece", {"name": "left piston", "note": "bronze"}, supersedes="piston")
    assert book.find("piece", "left piston").spec.note == "bronze"
    assert len(book.state.of("piece")) == 2


def test_a_correction_is_of_the_same_kind(book: Book) -> None:
    with pytest.raises(Conflict, match="a note cannot take the place of a piece"):
        book.enter("note", {"text": "?"}, supersedes="piston")
    with pytest.raises(Conflict, match="holds no record nowhere"):
        book.enter("piece", {"name": "x"}, supersedes="nowhere")


def test_corrections_of_a_size(book: Book) -> None:
    first = book.measure("piston", "piston", "29.89 mm", aim="29.98 mm")
    second = book.measure("piston", "piston", "29.99 mm", aim="29.98 mm", supersedes=first.id)
    third = book.measure("piston", "piston", "29.98 mm", aim="29.98 mm", supersedes=first.id)
    assert third.supersedes == second.id  # a correction is of the newest, whichever is named
    assert [s.value for s in book.state.sizes] == pytest.approx([29.98e-3], rel=1e-12)
    assert len(book.store.records) > 3


def test_striking_out(book: Book) -> None:
    first = book.measure("piston", "piston", "29.89 mm")
    second = book.measure("piston", "piston", "29.98 mm", supersedes=first.id)
    third = book.measure("piston", "piston", "29.97 mm", supersedes=first.id)
    with pytest.raises(Conflict, match="say why"):
        book.strike_out(first.id, " ")
    with pytest.raises(Conflict, match=f"itself corrected; strike out {third.id[:8]}"):
        book.strike_out(second.id, "wrong")
    book.strike_out(third.id, "it was another piece")
    assert [s.value for s in book.state.sizes] == pytest.approx([29.98e-3], rel=1e-12)
    with pytest.raises(Conflict, match="struck out already"):
        book.strike_out(third.id, "again")
    fourth = book.measure("piston", "piston", "29.96 mm", supersedes=first.id)
    assert fourth.supersedes == second.id
    book.strike_out(first.id, "never measured at all")
    assert book.state.sizes == []
    for key in (first.id, fourth.id):
        with pytest.raises(Conflict, match="struck out already; enter it anew"):
            book.measure("piston", "piston", "29.9 mm", supersedes=key)
    kept = [r.id for r in book.store.records if r.kind == "size"]
    assert kept == [first.id, second.id, third.id, fourth.id]


def test_what_a_duty_stands_on_is_not_struck_out(book: Book) -> None:
    for key in ("wren", "piston", "cylinder"):
        with pytest.raises(Conflict, match="the duty 'piston fit' needs this"):
            book.strike_out(key, "a slip")
    book.strike_out("fit", "another engine's")
    book.strike_out("piston", "never made")
    assert [t.name for t in book.state.of("piece")] == ["cylinder"]


def test_a_duty_wants_a_piece_for_each_role_and_no_other(book: Book) -> None:
    for roles in ({"bore": "cylinder"}, {"bore": "cylinder", "piston": "piston", "rod": "piston"}):
        with pytest.raises(Conflict, match="wants a piece for each of: bore, piston"):
            book.bind("piston-fit", "other", SPEC, roles, engine="Wren")
    with pytest.raises(Conflict, match="no piece called 'plug'"):
        book.bind(
            "piston-fit", "other", SPEC, {"bore": "cylinder", "piston": "plug"}, engine="Wren"
        )
    with pytest.raises(SpecError, match="bore"):
        book.bind(
            "piston-fit", "other", {}, {"bore": "cylinder", "piston": "piston"}, engine="Wren"
        )


def test_measuring_a_feature_no_duty_speaks_of(book: Book) -> None:
    with pytest.raises(Conflict, match="no duty speaks of the pistn of 'piston'; it has: piston"):
        book.measure("piston", "pistn", "29.98 mm")
    book.enter("piece", {"name": "rod"}, subject="part")
    free = book.measure("rod", "diameter", "6.01 mm", aim="6 mm")
    assert (free.body["process"], free.body["scale"]) == (None, pytest.approx(6.01e-3, rel=1e-9))


def test_every_problem_of_a_size_is_told_at_once(book: Book) -> None:
    with pytest.raises(SpecError) as refused:
        book.measure(
            "piston", "piston", "wide", aim="narrow", u="-1 um", taken=taken(cut="sometimes")
        )
    assert {p.field for p in refused.value.problems} == {"size", "aim", "u", "cut"}
    assert book.state.sizes == []


def test_the_doubt_of_a_size_is_its_instruments(book: Book) -> None:
    def doubt(**stated: str) -> float:
        record = book.measure("piston", "piston", "29.98 mm", taken=taken(**stated))
        return float(record.body["u"])

    assert doubt(instrument="caliper") == pytest.approx(20e-6, rel=1e-9)
    book.enter("instrument", {"name": "caliper", "u": "12 um"})
    book.enter("instrument", {"name": "grandfather's", "u": "5 um"})
    assert doubt(instrument="caliper") == pytest.approx(12e-6, rel=1e-9)
    assert doubt(instrument="Grandfather's") == pytest.approx(5e-6, rel=1e-9)
    # The doubt is that of the day: an instrument checked again does not rewrite old sizes.
    assert book.state.sizes[0].u == pytest.approx(20e-6, rel=1e-9)
    stated = book.measure(
        "piston", "piston", "29.98 mm", u="1 um", taken=taken(instrument="caliper")
    )
    assert stated.body["u"] == pytest.approx(1e-6, rel=1e-9)
    with pytest.raises(SpecError, match="no such instrument"):
        doubt(instrument="callipr")


def test_a_spec_follows_its_engine_and_an_old_bench_test_does_not(book: Book) -> None:
    book.test("piston fit", "drop-test", left_drop_test(), when="2026-02-01")
    book.enter("engine", {"name": "Wren", "boiler_pressure": "6 bar"}, supersedes="wren")
    bound = book.binding("piston fit")
    assert book.understood(bound).spec.boiler_pressure == pytest.approx(6e5, rel=1e-9)
    (old,) = book.state.tests_of("fit")
    assert old.resolved["spec"]["boiler_pressure"] == pytest.approx(5e5, rel=1e-9)
    book.test("piston fit", "drop-test", left_drop_test(), when="2026-03-01")
    new = book.state.tests_of("fit")[-1]
    assert new.resolved["spec"]["boiler_pressure"] == pytest.approx(6e5, rel=1e-9)
    # A stated value stands whatever the engine says.
    book.bind(
        "piston-fit",
        "piston fit",
        {**SPEC, "boiler_pressure": "4 bar"},
        {"bore": "cylinder", "piston": "piston"},
        engine="Wren",
        supersedes="fit",
    )
    stated = book.understood(book.binding("piston fit")).spec
    assert stated.boiler_pressure == pytest.approx(4e5, rel=1e-9)


def test_a_bench_test_is_of_a_duty_it_serves(book: Book) -> None:
    with pytest.raises(SpecError):
        book.test("piston fit", "drop-test", {})
    with pytest.raises(Conflict, match="no one duty"):
        book.test("pump", "drop-test", left_drop_test())
    assert book.state.tests == []


def test_what_is_made(book: Book) -> None:
    bound = book.binding("piston fit")
    assert book.made(bound) == {}
    book.measure("piston", "piston", "29.99 mm", aim="29.98 mm", u="2 um")
    first = book.made(bound)["piston"]
    assert (first.size, first.u, first.aim) == pytest.approx((29.99e-3, 2e-6, 29.98e-3), rel=1e-9)
    # Read again as it came off the tool: the later reading, against the same aim.
    book.measure("piston", "piston", "29.991 mm", aim="29.98 mm", u="1 um")
    assert book.made(bound)["piston"].size == pytest.approx(29.991e-3, rel=1e-9)
    assert book.made(bound)["piston"].aim == pytest.approx(29.98e-3, rel=1e-9)
    # Cut again or fitted: the size stands alone, since the lathe is known by first cuts only.
    for cut in ("again", "fitted"):
        book.measure("piston", "piston", "29.98 mm", aim="29.98 mm", taken=taken(cut=cut))
        assert book.made(bound)["piston"].aim is None
    assert book.state.sizes[-1].aim is None  # fitted: to no aim, whatever was stated
    assert book.job(bound).made == book.made(bound)


def test_the_same_key_twice_is_one_record(book: Book) -> None:
    """A tablet that lost its wireless sends again, and finds its own record."""

    def send() -> list[str]:
        return [
            book.enter("engine", {"name": "Robin"}, key="k engine").id,
            book.enter(
                "engine", {"name": "Robin", "note": "n"}, supersedes="k engine", key="k2"
            ).id,
            bind(book).id,
            book.measure("piston", "piston", "29.98 mm", key="k size").id,
            book.test("piston fit", "drop-test", left_drop_test(), key="k test").id,
        ]

    once = send()
    # Whatever else has changed meanwhile.
    book.enter("instrument", {"name": "digital micrometer", "u": "7 um"})
    book.measure("cylinder", "bore", "30.01 mm", aim="30 mm")
    head = book.store.head
    assert send() == once
    assert book.store.head == head
    with pytest.raises(Conflict, match="another record under the id k size"):
        book.measure("piston", "piston", "29.97 mm", key="k size")
    with pytest.raises(Conflict, match="another record under the id k size"):
        book.enter("note", {"text": "?"}, key="k size")


def test_a_file_is_kept_with_what_it_is_about(book: Book, tmp_path: Path) -> None:
    photograph = tmp_path / "bore.jpg"
    photograph.write_bytes(b"light and shade")
    record = book.attach("cylinder", photograph, "after honing")
    (kept,) = book.state.attachments
    assert kept == record
    assert (record.body["media"], record.body["note"]) == ("image/jpeg", "after honing")
    assert book.store.content(record.body["sha256"]) == b"light and shade"
    book.strike_out(record.id, "another cylinder")
    assert book.state.attachments == []


def test_a_state_once_taken_does_not_change(book: Book) -> None:
    before = book.state
    book.measure("piston", "piston", "29.98 mm")
    assert before.sizes == []
    assert before.sizes_of("piston") == []
    assert len(book.state.sizes) == 1


def test_what_another_program_entered_is_seen(book: Book) -> None:
    with Book.open(book.store.path) as other:
        other.measure("piston", "piston", "29.98 mm")
    book.store.refresh()
    assert len(book.state.sizes) == 1


def test_the_lathe_is_what_its_parts_show(book: Book) -> None:
    assert book.lathe.assumed
    book.enter("past part", {"process": "turn", "aim": "20 mm", "came_out": "20.01 mm"})
    assert book.lathe.standings["turn"].parts == 1
    assert book.lathe.standings["bore"].parts == 0
    assert book.lathe.name == "lathe"
    assert math.isfinite(book.lathe.standings["turn"].spread_quantile(0.5))


def test_the_history_of_what_is_struck_out_shows_no_correction_as_standing(book: Book) -> None:
    first = book.measure("piston", "piston", "29.98 mm")
    second = book.measure("piston", "piston", "29.97 mm", supersedes=first.id)
    gone = book.strike_out(first.id, "another piece")
    lines = {line.record.id: line for line in history(book)}
    assert lines[first.id].struck_by == lines[second.id].struck_by == gone.id
