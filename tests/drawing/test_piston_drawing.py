"""The drawing of a piston in its bore shows the answer's own sizes and nothing made up."""

from __future__ import annotations

import pytest

from benchproof.drawing import Finish, Linear, Sized, Tolerance
from benchproof.duties.piston_fit import Grooves, PistonFit, PistonSpec
from examples.piston_fit import SPEC

SIZES = {
    "piston": Sized(29.986e-3, 3e-6, -4e-6, doubtful=True),
    "bore": Sized(30.001e-3, 12e-6, -3e-6),
}


def test_piston_and_bore_carry_the_sizes_of_the_answer() -> None:
    drawing = PistonFit().drawing(SPEC, SIZES)
    (piston,) = drawing.of_feature("piston")
    (bore,) = drawing.of_feature("bore")
    assert piston.nominal == 29.986e-3
    assert piston.tolerance == Tolerance(3e-6, -4e-6)
    assert piston.doubtful
    assert (bore.nominal, bore.doubtful) == (30.001e-3, False)
    assert any("15 µm" in note for note in drawing.notes)


def test_without_an_answer_it_is_drawn_to_its_planned_sizes_without_limits() -> None:
    drawing = PistonFit().drawing(SPEC, {})
    for feature in ("piston", "bore"):
        (size,) = drawing.of_feature(feature)
        assert size.nominal == pytest.approx(SPEC.bore, rel=1e-12)
        assert size.tolerance is None


def test_stroke_and_lands_are_those_of_the_spec() -> None:
    spec = SPEC.model_copy(update={"grooves": Grooves(count=3), "piston_finish": 0.4e-6})
    drawing = PistonFit().drawing(spec, SIZES)
    lengths = {
        (each.suffix, each.count): each.nominal
        for each in drawing.dimensions()
        if isinstance(each, Linear) and not each.sign
    }
    assert lengths["stroke", 1] == pytest.approx(spec.stroke, rel=1e-9)
    assert 4 * lengths["", 4] == pytest.approx(spec.land_length, rel=1e-9)
    marks = [mark for view in drawing.views for mark in view.marks]
    assert [m.roughness for m in marks if isinstance(m, Finish)] == [0.4e-6]
    assert any("grooves" in note for note in drawing.notes)


def test_the_piston_stays_in_its_bore_at_both_ends_of_the_stroke() -> None:
    for spec in (SPEC, SPEC.model_copy(update={"grooves": Grooves(count=20)})):
        left, _, right, _ = PistonFit().drawing(spec, SIZES).views[1].box
        assert right - left >= spec.stroke + spec.land_length


def test_materials_stand_in_the_title_block() -> None:
    alike = PistonSpec(**(SPEC.model_dump() | {"piston_material": SPEC.bore_material}))
    assert PistonFit().drawing(alike, SIZES).material == "gunmetal"
    assert PistonFit().drawing(SPEC, SIZES).material == "piston phosphor bronze, bore gunmetal"
