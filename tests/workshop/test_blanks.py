"""Blanks: bar and castings with what is left to machine off, patterns with what they shrink by."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.tables.castings import allowances, contraction, methods
from benchproof.tables.materials import UnknownMaterial
from benchproof.workshop.blanks import (
    MOULDING,
    PARTING,
    SMALL_PATTERN,
    NoAllowance,
    bar_blank,
    casting_blank,
)
from sources import source

SAND = "green sand by hand"


@source("Dooley, Applied Science for Metal Workers, ch. XXXI, 426, allowances for shrinkage")
@pytest.mark.parametrize(
    ("name", "per_foot"),
    [("cast iron", "3/32"), ("brass", "3/16"), ("phosphor bronze", "5/32"), ("lm25", "7/32")],
)
def test_contraction_of_one_book_is_within_what_is_taken(name: str, per_foot: str) -> None:
    found = contraction(name)
    assert found is not None
    share = float(Fraction(per_foot)) / 12.0
    assert found.least - 1e-12 <= share <= found.most + 1e-12


@source("Lineham, A Text-book of Mechanical Engineering, p. 63, linear contraction")
@pytest.mark.parametrize(
    ("name", "inches"),
    [("cast iron", 0.125), ("brass", 0.1875), ("gunmetal", 0.1667), ("lm25", 0.265)],
)
def test_contraction_of_the_other_book_is_too(name: str, inches: float) -> None:
    found = contraction(name)
    assert found is not None
    assert found.least - 1e-5 <= inches / 12.0 <= found.most + 1e-5


@source("ISO 8062:1994, table 2, grades E, G and H, largest size 63 to 160 mm", kind="from memory")
@pytest.mark.parametrize(
    ("method", "largest", "per_face"),
    [
        (SAND, 90e-3, 2e-3),
        (SAND, 150e-3, 3e-3),
        ("resin-bonded sand", 90e-3, 1.4e-3),
        ("lost wax", 90e-3, 0.7e-3),
    ],
)
def test_allowances_are_those_of_the_grade(method: str, largest: float, per_face: float) -> None:
    row = next(row for row in allowances(method) if largest <= row.up_to)
    assert row.per_face == pytest.approx(per_face, rel=1e-12)


@pytest.mark.parametrize("method", methods())
def test_a_larger_blank_never_has_less_to_come_off(method: str) -> None:
    rows = allowances(method)
    assert [row.up_to for row in rows] == sorted(row.up_to for row in rows)
    assert [row.per_face for row in rows] == sorted(row.per_face for row in rows)
    assert all(row.source for row in rows)


@given(st.floats(1e-3, 0.25), st.floats(1e-3, 0.25))
def test_bar_is_larger_than_the_part_every_way(diameter: float, length: float) -> None:
    blank = bar_blank(diameter=diameter, length=length)
    left = blank.allowance.per_face
    assert blank.diameter == pytest.approx(diameter + 2.0 * left, rel=1e-12)
    assert 10e-3 <= blank.held <= 25e-3
    assert blank.length == pytest.approx(length + 2.0 * left + PARTING + blank.held, rel=1e-12)
    assert blank.pattern is None


@given(st.floats(1e-3, 0.25), st.floats(1e-3, 0.25), st.sampled_from(["gunmetal", "cast iron"]))
def test_a_pattern_shrinks_to_its_casting(diameter: float, length: float, metal: str) -> None:
    blank = casting_blank(diameter=diameter, length=length, metal=metal, moulding=SAND)
    assert blank is not None
    assert blank.contraction is not None
    assert blank.pattern is not None
    shrinks = 1.0 + blank.contraction.middle
    assert blank.pattern[0] / shrinks == pytest.approx(blank.diameter, rel=1e-12)
    assert blank.pattern[1] / shrinks == pytest.approx(blank.length, rel=1e-12)
    assert blank.diameter == pytest.approx(diameter + 2.0 * blank.allowance.per_face, rel=1e-12)
    small = max(blank.diameter, blank.length) < SMALL_PATTERN
    assert any("rapping" in note for note in blank.notes) is small
    assert len(blank.sources) == 2


def test_lost_wax_gives_no_pattern_and_says_whom_to_ask() -> None:
    blank = casting_blank(diameter=30e-3, length=20e-3, metal="gunmetal", moulding="lost wax")
    assert blank is not None
    assert blank.pattern is None
    assert "foundry" in blank.notes[0]


def test_what_is_not_cast_has_no_casting() -> None:
    assert casting_blank(diameter=0.03, length=0.02, metal="mild steel", moulding=SAND) is None
    with pytest.raises(UnknownMaterial):
        casting_blank(diameter=0.03, length=0.02, metal="cheese", moulding=SAND)


def test_beyond_the_tables_is_refused_in_words() -> None:
    with pytest.raises(NoAllowance, match=r"ends at 250 mm; the part measures 300\.0 mm"):
        bar_blank(diameter=0.3, length=0.1)
    with pytest.raises(NoAllowance, match="'plaster'; known: bar, green sand by hand"):
        casting_blank(diameter=0.03, length=0.1, metal="gunmetal", moulding="plaster")
    assert SAND in MOULDING
    assert "bar" not in MOULDING
