"""What the cones of an injector go into, the tools they are cut with, and the drawing of it all."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.duties.injector import InjectorDuty
from benchproof.duties.injector_body import HOLES, body_of
from benchproof.duties.injector_layout import layout_of, size_by_feature
from benchproof.duties.injector_model import COMBINING, DRAFT, MOUTH, NOSE
from benchproof.duties.injector_sizes import plan_of
from benchproof.duties.injector_spec import InjectorSpec
from benchproof.specs import SpecError
from examples.injector import SPEC
from sources import source

DUTY = InjectorDuty()
SIZE, LAYOUT = size_by_feature(SPEC, {}), layout_of(SPEC, {})
BODY = body_of(SPEC, LAYOUT, SIZE)


def stated(**more: str) -> InjectorSpec:
    text = {"boiler_pressure": "5 bar", "lowest_pressure": "3.5 bar", "feed": "0.3 L/min"}
    return InjectorSpec.from_text(text | more).spec


@source("areas and chords of circles", kind="own calculation")
def test_ways_out_are_as_large_as_ways_in() -> None:
    area = 0.25 * np.pi
    gap = np.pi * SIZE[COMBINING] * LAYOUT.overflow_gap
    assert BODY.way_out >= 4.0 * gap
    assert BODY.way_out >= area * SIZE[MOUTH] ** 2
    np.testing.assert_allclose(BODY.way_out, HOLES * area * BODY.hole**2, rtol=1e-12)
    # Round the rim of the lifted ball as much as through the seat; past the ball no less.
    np.testing.assert_allclose(np.pi * BODY.seat * BODY.lift, area * BODY.seat**2, rtol=1e-12)
    assert area * (BODY.chamber**2 - BODY.ball**2) >= area * BODY.seat**2 * (1.0 - 1e-9)
    # The edge of the seat meets the ball at 45 degrees, or a little steeper.
    assert np.sqrt(2.0) - 1e-9 <= BODY.ball / BODY.seat < np.sqrt(2.0) + 0.5e-3 / BODY.seat


def test_water_reaches_the_ring_slowly() -> None:
    ring = 0.25 * np.pi * (SIZE[DRAFT] ** 2 - SIZE[NOSE] ** 2)
    slot = LAYOUT.water_port * (LAYOUT.nose_length - LAYOUT.nose_depth)
    assert slot >= 3.8 * ring  # four times, before it was made a twentieth of a millimetre


def test_holes_stand_where_the_gaps_are() -> None:
    first = (BODY.draft + LAYOUT.draft, BODY.combining)
    last = (BODY.combining + LAYOUT.combining, BODY.delivery)
    for place, (left, right) in ((BODY.first_gap_at, first), (BODY.overflow_gap_at, last)):
        assert left <= place <= right
    assert BODY.nose - LAYOUT.nose_length <= BODY.water_at <= BODY.draft


def test_the_drawing_gives_all_that_a_builder_must_know() -> None:
    drawing = DUTY.drawing(SPEC, {})
    titles = [view.title.split(",")[0] for view in drawing.views]
    assert titles == ["Steam cone", "Draft cone", "Combining cone", "Delivery cone",
                      "Cones in their tube", "Tube", "Clack"]  # fmt: skip
    drawn = [each.nominal for each in drawing.dimensions()]
    for length in (
        *(SIZE[feature] for feature in SIZE if feature != "nose depth"),
        *(LAYOUT.draft, LAYOUT.combining, LAYOUT.delivery, LAYOUT.first_gap, LAYOUT.overflow_gap),
        *(LAYOUT.water_port, BODY.hole, BODY.length, BODY.seat, BODY.ball, BODY.chamber),
    ):
        assert np.min(np.abs(np.array(drawn) - length)) < 1e-9, length
    tapers = [each for each in drawing.dimensions() if each.kind.name == "taper"]
    assert len(tapers) == 4
    notes = " ".join(drawing.notes)
    for words in ("steam pipe 2.5 mm", "water 5 mm", "delivery 2.5 mm", "lift by 0.6 mm"):
        assert words in notes


def test_a_tube_so_wide_that_the_ports_leave_no_wall_between_is_drawn_all_the_same() -> None:
    wide = stated(tube_bore="9 mm")
    assert DUTY.drawing(wide, {}).views[-2].title == "Tube"


@pytest.mark.parametrize(
    ("more", "field", "said"),
    [
        ({"feed": "0.2 L/min", "smallest_reamer": "0.4 mm"}, "smallest_reamer", "or more"),
        ({"smallest_drill": "0.5 mm"}, "smallest_drill", "would spoil the delivery throat"),
        (
            {"steam_throat": "0.72 mm", "delivery_throat": "0.40 mm", "smallest_reamer": "0.41 mm"},
            "smallest_reamer",
            "take larger throats",
        ),
    ],
)
def test_a_throat_that_no_tool_to_hand_cuts_is_refused(
    more: dict[str, str], field: str, said: str
) -> None:
    with pytest.raises(SpecError) as refused:
        stated(**more)
    told = {problem.field: problem.message for problem in refused.value.problems}
    assert said in told[field]


def test_the_feed_that_is_named_has_a_throat_the_reamer_goes_into() -> None:
    with pytest.raises(SpecError) as refused:
        stated(feed="0.2 L/min", smallest_reamer="0.4 mm")
    told = str(refused.value)
    litres = told.split("ask for ", maxsplit=1)[1].split(" (", maxsplit=1)[0]
    throat = plan_of(stated(feed=litres, smallest_reamer="0.39 mm")).sizes["delivery_throat"]
    np.testing.assert_allclose(throat, 0.4e-3, rtol=0.0, atol=5e-6)
