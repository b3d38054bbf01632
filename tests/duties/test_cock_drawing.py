"""The drawing of a plug cock: what the answer says, at true size."""

from __future__ import annotations

from math import atan, tan

import pytest

from benchproof.drawing import Linear, Sized, TaperOf
from benchproof.duties.taper_cock import TaperCock, expected_sink
from examples.taper_cock import SPEC


def test_taper_and_diameter_are_drawn_as_they_are_to_be_cut() -> None:
    angle = 2.0 * atan(0.052)
    sizes = {"plug angle": Sized(angle, 3e-4, -5e-4), "plug diameter": Sized(3.01e-3, 2e-6, -1e-6)}
    drawing = TaperCock().drawing(SPEC, sizes)
    (taper,) = drawing.of_feature("plug angle")
    assert isinstance(taper, TaperOf)
    assert taper.nominal == pytest.approx(0.104, rel=1e-9)
    assert taper.tolerance is not None
    assert taper.tolerance.upper == pytest.approx(2.0 * tan(0.5 * (angle + 3e-4)) - 0.104, rel=1e-9)
    assert taper.tolerance.lower < 0.0
    (diameter,) = drawing.of_feature("plug diameter")
    assert isinstance(diameter, Linear)
    assert diameter.nominal == pytest.approx(3.01e-3)
    assert diameter.tolerance is not None


def test_without_an_answer_it_is_drawn_as_planned() -> None:
    drawing = TaperCock().drawing(SPEC, {})
    (body,), (plug,) = drawing.of_feature("body angle"), drawing.of_feature("plug angle")
    assert body.nominal == plug.nominal == pytest.approx(0.1)
    (diameter,) = drawing.of_feature("plug diameter")
    # Ports drilled apart: the plug is aimed large by what lapping will sink it.
    assert diameter.nominal == pytest.approx(3e-3 + 0.1 * expected_sink(SPEC))


@pytest.mark.parametrize("lapping", ["none", "touch", "full"])
def test_ports_drilled_together_say_so_and_wait_for_no_diameter(lapping: str) -> None:
    together = SPEC.model_copy(
        update={"ports": "drilled together before lapping", "lapping": lapping}
    )
    drawing = TaperCock().drawing(together, {})
    assert drawing.of_feature("plug diameter") == ()
    ports = [each for each in drawing.dimensions() if each.nominal == pytest.approx(1.2e-3)]
    assert [port.suffix for port in ports] == ["plug and body together"] * 2
    assert any("apped" in note for note in drawing.notes)
    assert [view.kind for view in drawing.views] == ["section", "section"]
