from collections.abc import Iterator
from pathlib import Path

import pytest

from benchproof.book.demo import WHO, make_demo
from benchproof.book.demo_injectors import CONES
from benchproof.book.errors import Conflict
from benchproof.book.evidence import counted
from benchproof.book.lots import lots_under_way
from benchproof.book.model import Book


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    with make_demo(tmp_path_factory.mktemp("demo") / "demo.book") as made:
        yield made


def test_it_says_that_it_is_invented(demo: Book) -> None:
    assert demo.lathe.invented
    assert demo.state.of("workshop")[0].spec.invented == "yes"
    assert {record.who for record in demo.store.records} == {WHO}


def test_what_stands_behind_its_lathe(demo: Book) -> None:
    shown = counted(demo.state)
    # Fifteen past parts each, and first sizes against an aim: two cylinders and a tyre; a piston,
    # two wheel seats, two journals and a nose; of the lot of ferrules the first of each of three
    # settings.
    assert (shown["bore"].witnesses, shown["turn"].witnesses) == (18, 24)
    # Three throats and a mouth; the draft bore was reamed until it suited.
    assert (shown["cone ream"].witnesses, shown["cone ream"].fitted) == (4, 1)
    assert shown["die thread"].witnesses == 1
    assert shown["turn"].in_lots == 22
    assert shown["turn"].fitted == 1
    # Parts from before the bearings were adjusted count a quarter: 8 bores among 15, 7 turned.
    assert demo.lathe.standings["turn"].worth == pytest.approx(24 - 0.75 * 8, rel=1e-12)
    assert demo.lathe.standings["bore"].worth == pytest.approx(18 - 0.75 * 7, rel=1e-12)


def test_each_piece_has_its_state(demo: Book) -> None:
    made = {b.name: sorted(demo.made(b)) for b in demo.state.bindings.values()}
    assert made == {
        "left piston fit": ["bore", "piston"],
        "right piston fit": ["bore"],
        "feed pump piston fit": [],
        "leading left tyre fit": ["seat", "tyre bore"],
        "leading right tyre fit": ["seat"],
        "leading left journal": ["journal"],
        "leading right journal": ["journal"],
        "left front drain cock": ["body angle", "plug angle"],
        "right front drain cock": [],
        "clack union": ["fitting thread", "nut thread"],
        "left injector": sorted(size for sizes in CONES.values() for size in sizes),
        "right injector": [],
    }
    assert sorted(test.test for test in demo.state.tests) == [
        "bubble-test",
        "catch-test",
        "drop-test",
        "dry-point",
        "growth",
        "pressure-hold",
        "throttle-test",
        "warm-tank",
        "witness-mark",
    ]


def test_one_lot_is_half_done(demo: Book) -> None:
    (lot,) = lots_under_way(demo, "Dunnock")
    assert (lot.name, lot.part, lot.state) == ("ferrules", "ferrule", "half done")
    assert (lot.wanted, lot.made) == (40, 22)
    assert lot.more is not None
    assert lot.more >= 40 - lot.accepted


def test_made_twice_it_says_the_same(demo: Book, tmp_path: Path) -> None:
    with make_demo(tmp_path / "again.book") as again:
        assert [r.body.get("si") for r in again.store.records if r.kind != "part"] == [
            r.body.get("si") for r in demo.store.records if r.kind != "part"
        ]
        assert [(s.value, s.aim, s.cut) for s in again.state.sizes] == [
            (s.value, s.aim, s.cut) for s in demo.state.sizes
        ]


def test_a_path_that_is_taken_is_refused(demo: Book) -> None:
    head = demo.store.head
    with pytest.raises(Conflict, match="is there already"):
        make_demo(demo.store.path)
    with Book.open(demo.store.path) as still:
        assert still.store.head == head
