"""Which machine a part was cut on, sizes before their duty, days, and sizes taken warm."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from benchproof.book.evidence import instrument_u, witnesses
from benchproof.book.model import Book
from benchproof.book.questions import unlikely
from benchproof.book.review import review, to_make_again
from benchproof.book.temperatures import at_twenty
from benchproof.specs import SpecError
from benchproof.tables.materials import material
from benchproof.workshop.usual_gauges import USUAL_GAUGE
from book.books import small_book
from sources import source

SPEC = {
    "bore": "30 mm",
    "land_length": "20 mm",
    "stroke": "40 mm",
    "bore_material": "gunmetal",
    "piston_material": "gunmetal",
    "boiler_pressure": "5 bar",
}


@pytest.fixture
def book(tmp_path: Path) -> Book:
    return small_book(tmp_path)


@pytest.fixture
def two(tmp_path: Path) -> Book:
    """A workshop with two machines, an engine and two pieces, no duty yet."""
    made = Book.create(tmp_path / "two.book", {"name": "Two machines"})
    made.enter("machine", {"name": "old lathe"}, key="old")
    made.enter("machine", {"name": "new lathe"}, key="new")
    engine = made.enter("engine", {"name": "Dunnock"})
    part = made.enter("part", {"name": "cylinder and piston"}, subject=engine.id)
    for name in ("cylinder", "piston"):
        made.enter("piece", {"name": name}, subject=part.id)
    return made


def past(aim: str, came_out: str) -> dict[str, Any]:
    return {"process": "turn", "aim": aim, "came_out": came_out}


def bind(book: Book, **more: Any) -> None:
    pieces = {"bore": "cylinder", "piston": "piston"}
    book.bind("piston-fit", "fit", SPEC, pieces, engine="Dunnock", **more)


def test_each_machine_has_its_own_standing(two: Book) -> None:
    for number in range(4):
        two.enter("past part", past("20 mm", f"20.0{number + 3}0 mm"), subject="old")
    two.enter("past part", past("20 mm", "20.002 mm"), subject="new")
    old, new = two.lathe_called("old"), two.lathe_called("new")
    assert (old.name, old.standings["turn"].parts) == ("old lathe", 4)
    assert (new.name, new.standings["turn"].parts) == ("new lathe", 1)
    assert two.lathe is two.lathe_called(None)
    assert two.lathe.name == "old lathe"
    assert new.standings["turn"].spread_quantile(0.5) < old.standings["turn"].spread_quantile(0.5)


def test_an_event_changes_its_own_machine_alone(two: Book) -> None:
    for machine in ("old", "new"):
        stated = past("20 mm", "20.005 mm") | {"when": "2025-01-01"}
        two.enter("past part", stated, subject=machine)
    two.enter("event", {"what": "new bearings", "when": "2025-06-01"}, subject="new")
    assert two.lathe_called("old").standings["turn"].worth == pytest.approx(1.0, rel=1e-12)
    assert two.lathe_called("new").standings["turn"].worth == pytest.approx(0.25, rel=1e-12)


def test_a_duty_is_reckoned_on_the_machine_of_its_route(two: Book) -> None:
    bind(two, machine="new lathe")
    assert two.job(two.binding("fit")).lathe.name == "new lathe"
    two.measure("piston", "piston", "29.985 mm", aim="29.984 mm")
    assert two.lathe_called("new").standings["turn"].parts == 1
    assert two.lathe_called("old").standings["turn"].parts == 0
    assert "new lathe" in review(two)[0].known_from


def test_a_size_may_say_where_it_was_cut(two: Book) -> None:
    bind(two)
    taken = {"machine": "new lathe"}
    two.measure("piston", "piston", "29.985 mm", aim="29.984 mm", taken=taken)
    assert two.lathe_called("new").standings["turn"].parts == 1


def test_a_size_entered_before_its_duty_counts_once_the_duty_is_given(two: Book) -> None:
    two.measure("piston", "piston", "29.985 mm", aim="29.984 mm", u="2 um")
    assert witnesses(two.state) == []
    bind(two)
    [witness] = witnesses(two.state)
    assert (witness.process, witness.machine) == ("turn", "old")
    assert witness.deviation == pytest.approx(1e-6, rel=1e-6)
    assert witness.scale == 30e-3


def test_a_past_part_is_never_taken_as_exact(two: Book) -> None:
    two.enter("past part", past("20 mm", "20.005 mm"))
    [witness] = witnesses(two.state)
    assert witness.u == instrument_u(two.state, USUAL_GAUGE["turn"]) > 0.0


@pytest.mark.parametrize("when", ["last Tuesday", "2026-02-30", "01/02/2026"])
def test_what_is_no_day_is_refused_whoever_enters_it(book: Book, when: str) -> None:
    with pytest.raises(SpecError, match="is no day"):
        book.enter("past part", past("20 mm", "20.005 mm") | {"when": when})
    with pytest.raises(SpecError, match="is no day"):
        book.measure("piston", "piston", "29.98 mm", taken={"when": when})
    with pytest.raises(SpecError, match="is no day"):
        book.enter("instrument", {"name": "plug", "u": "1 um", "checked": when})


@source("ISO 1:2022, standard reference temperature 20 °C; expansion as a hand calculation")
def test_a_size_taken_warm_is_told_at_twenty_degrees() -> None:
    # 30 mm of gunmetal at 45 °C read with a steel gauge at 20 °C: 30 mm times 18e-6 times 25 K.
    alone = {"of": "gunmetal", "part_temperature": 318.15, "room_temperature": 293.15}
    size, u = at_twenty(30.0e-3, 2e-6, **alone)  # type: ignore[arg-type]
    assert 30.0e-3 - size == pytest.approx(13.5e-6, rel=1e-6)
    expansion = material("gunmetal").expansion
    assert u > 30e-3 * 25.0 * expansion.u
    # Part and gauge alike at 25 °C: only the difference of their expansions is left.
    both = {"of": "gunmetal", "part_temperature": 298.15, "room_temperature": None}
    size, _ = at_twenty(30.0e-3, 2e-6, **both)  # type: ignore[arg-type]
    assert 30.0e-3 - size == pytest.approx(30e-3 * (18e-6 - 11.5e-6) * 5.0, rel=1e-6)


def test_without_a_temperature_or_a_material_a_size_stays_as_it_was_read() -> None:
    unsaid = at_twenty(30e-3, 2e-6, of="gunmetal", part_temperature=None, room_temperature=None)
    assert unsaid == (30e-3, 2e-6)
    unknown = at_twenty(30e-3, 2e-6, of=None, part_temperature=310.0, room_temperature=None)
    assert unknown == (30e-3, 2e-6)


def test_a_warm_size_keeps_what_the_gauge_said_beside_what_it_is_worth(book: Book) -> None:
    taken = {"part_temperature": "45 °C", "room_temperature": "20 °C"}
    record = book.measure("piston", "piston", "29.990 mm", aim="29.985 mm", taken=taken)
    assert record.body["stated"]["size"] == "29.990 mm"
    assert record.body["value"] == pytest.approx(29.990e-3 * (1.0 - 18e-6 * 25.0), rel=1e-9)
    assert book.state.sizes_of("piston")[0].value == record.body["value"]


def test_a_scrapped_piece_is_to_be_made_again_and_the_new_one_counts(two: Book) -> None:
    bind(two)
    two.measure("cylinder", "bore", "30.002 mm", aim="30 mm", u="2 um")
    two.measure("piston", "piston", "29.960 mm", aim="29.984 mm", u="2 um")
    piston = two.find("piece", "piston")
    two.enter("scrapped", {"why": "cut too small"}, subject=piston.id)
    bound = two.binding("fit")
    assert set(two.made(bound)) == {"bore"}
    [verdict] = review(two)
    assert verdict.state == "planned"
    assert verdict.do_next["metric"].startswith("make the piston again: cut the piston to")
    two.measure("piston", "piston", "29.985 mm", aim="29.984 mm", u="2 um")
    assert two.made(bound)["piston"].size == pytest.approx(29.985e-3, rel=1e-9)
    assert to_make_again(two, bound) == []
    turned = [w.deviation for w in witnesses(two.state) if w.process == "turn"]
    assert sorted(turned) == pytest.approx([-24e-6, 1e-6], abs=1e-9)


def test_a_day_still_to_come_is_questioned(book: Book) -> None:
    piece, body = book.read_size("piston", "piston", "29.98 mm", taken={"when": "2099-01-01"})
    assert unlikely(book, piece, body) == ["2099-01-01 is still to come"]
    assert unlikely(book, piece, body, today=date(2099, 1, 2)) == []
