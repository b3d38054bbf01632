"""What the tests of one part in a book teach of the next part of the same duty.

Told with pistons, whose film of oil is taken here for something that all of them share: an
injector's coefficients are, but take seconds to learn.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from benchproof.book import taught as teaching
from benchproof.book.cache import Cache
from benchproof.book.demo import left_drop_test, make_demo
from benchproof.book.model import Book
from benchproof.book.tested import key_of
from benchproof.duties.injector import InjectorDuty
from benchproof.duties.piston_fit import PistonFit
from benchproof.reckon.taught import Taught

LEFT, RIGHT = "left piston fit", "right piston fit"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    with make_demo(tmp_path_factory.mktemp("demo") / "demo.book") as made:
        yield made


@pytest.fixture
def book(demo: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Book]:
    monkeypatch.setattr(PistonFit, "for_the_next", ("film",))
    demo.store.copy_to(tmp_path / "copy.book")
    with Book.open(tmp_path / "copy.book") as copy:
        yield copy


def taught_to(book: Book, name: str) -> Taught | None:
    return book.job(book.binding(name)).taught


def cut_again(book: Book, piece: str) -> None:
    taken = {"when": "2026-02-20", "cut": "again"}
    book.measure(piece, "piston", "29.93 mm", u="1 µm", taken=taken)


def test_an_injector_hands_on_all_that_injectors_of_one_builder_share() -> None:
    duty = InjectorDuty()
    unknowns = duty.unknowns(duty.spec_type(boiler_pressure=6e5, feed=1e-5))
    assert set(duty.for_the_next) == {
        unknown.name
        for unknown in unknowns
        if unknown.belongs == "builder" and not unknown.name.startswith("expansion")
    }


def test_the_untested_piston_hears_of_the_tested_one_and_not_the_other_way_round(
    book: Book,
) -> None:
    found = taught_to(book, RIGHT)
    assert found is not None
    assert found.parts == (LEFT,)
    assert list(found.spreads) == ["film"]
    assert taught_to(book, LEFT) is None


def test_a_piston_tested_later_hears_of_the_earlier_one_only(book: Book) -> None:
    book.test(RIGHT, "drop-test", left_drop_test(), when="2026-09-01")
    assert taught_to(book, LEFT) is None
    found = taught_to(book, RIGHT)
    assert found is not None
    assert found.parts == (LEFT,)


def test_a_test_struck_out_teaches_nothing(book: Book) -> None:
    (test,) = book.state.tests_of(book.binding(LEFT).id)
    book.strike_out(test.id, "the wrong piston was on the glass")
    assert taught_to(book, RIGHT) is None


def test_a_piston_cut_again_is_taught_by_its_own_test_of_before(book: Book) -> None:
    cut_again(book, "left piston")
    found = taught_to(book, LEFT)
    assert found is not None
    assert found.parts == (LEFT,)


def test_what_was_taught_enters_what_an_answer_is_known_by(book: Book) -> None:
    binding = book.binding(RIGHT)
    assert key_of(book.job(binding), None) != key_of(book.job_alone(binding), None)


def test_it_is_reckoned_once(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    first = taught_to(book, RIGHT)
    monkeypatch.setattr(teaching, "taught_by_test", None)  # would fail if called
    assert taught_to(book, RIGHT) == first


@pytest.mark.parametrize("kept", [{}, {"spreads": 3}, {"spreads": {}, "means": 3}])
def test_a_cache_that_is_not_whole_says_nothing(
    book: Book, monkeypatch: pytest.MonkeyPatch, kept: dict[str, object]
) -> None:
    monkeypatch.setattr(Cache, "get", lambda *_: kept)
    assert taught_to(book, RIGHT) is None


def test_an_earlier_part_whose_spec_cannot_be_read_teaches_nothing(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    left, right = book.binding(LEFT), book.binding(RIGHT)
    left.stated["bore_material"] = "butter"
    assert taught_to(book, RIGHT) is None
    assert book.job(right).spec == book.job_alone(right).spec
