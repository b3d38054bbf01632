"""Two injectors in a book: one tested four times, one planned."""

from __future__ import annotations

from pathlib import Path

from benchproof.book.demo_injectors import CONES, enter_injectors
from benchproof.book.model import Book
from benchproof.duties import load_duty
from examples.injector import SPEC


def test_one_injector_is_tested_and_one_is_planned(tmp_path: Path) -> None:
    book = Book.create(tmp_path / "w.book", {"name": "Invented", "invented": "yes"}, who="builder")
    book.enter("machine", {"name": "Small centre lathe"})
    stated = {"name": "Dunnock", "boiler_pressure": "5 bar", "evaporation": "12 kg/h"}
    book.enter("engine", stated)
    enter_injectors(book, "Dunnock")
    features = {feature.name for feature in load_duty("injector").features(SPEC)}
    assert {size for sizes in CONES.values() for size in sizes} == features
    assert book.binding("left injector")
    assert book.binding("right injector")
