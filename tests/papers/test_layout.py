"""Set out on a sheet: nothing overlaps, nothing leaves the frame, scales are honest."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchproof.drawing import (
    Angular,
    Corner,
    Datum,
    Drawing,
    Line,
    Linear,
    Note,
    Point,
    Sized,
    Step,
    TurnedPart,
    View,
    hole,
)
from benchproof.papers.boxes import overlap, shifted, within
from benchproof.papers.details import SCALES, SMALLEST_HOLE
from benchproof.papers.layout import lay_out
from benchproof.papers.lettering import wrapped
from benchproof.papers.placed import PlacedDimension, PlacedView, Sheet, scale_text
from benchproof.papers.rows import NoRoom
from benchproof.papers.title_block import TitleBlock
from papers.invented_parts import drawings
from sources import source

NOZZLE = TurnedPart(
    outside=(Step(diameter=8e-3, length=24e-3), Step(diameter=5e-3, length=16e-3)),
    inside=(Step(diameter=Sized(0.4e-3, 10e-6, 0.0), length=40e-3, feature="throat"),),
)
COLLAR = TurnedPart(
    outside=(
        Step(diameter=30e-3, length=6e-3, start=Corner("chamfer", 1e-3), datum="A"),
        Step(diameter=20e-3, length=25e-3, finish=0.8e-6),
    )
)


def span_of(each: PlacedDimension, view: PlacedView) -> tuple[Point, ...]:
    """The dimension line between its extension lines, about the view's origin."""
    assert isinstance(each.what, Linear)
    k = 1000.0 * view.scale
    ends = (each.what.start, each.what.end)
    if each.what.direction == "vertical":
        return tuple((each.line_at[0], k * y) for _, y in ends)
    return tuple((k * x, each.line_at[1]) for x, _ in ends)


def on_one_another(one: tuple[Point, ...], other: tuple[Point, ...]) -> bool:
    """Whether two level or upright lines share more than an end."""
    for along, across in ((0, 1), (1, 0)):
        if max(p[across] for p in (*one, *other)) - min(p[across] for p in (*one, *other)) < 1e-6:
            (first, last), (low, high) = (sorted(p[along] for p in line) for line in (one, other))
            return low < last - 1e-3 and first < high - 1e-3
    return False


def clear(sheet: Sheet) -> None:
    """No lettering on other lettering, all of it and every view within the frame."""
    boxes = sheet.text_boxes()
    for place, box in enumerate(boxes):
        assert within(box, sheet.frame)
        assert not any(overlap(box, other) for other in boxes[:place])
    for view in sheet.views:
        assert within(view.area, sheet.frame)
    for view in sheet.views:
        spans = [
            span_of(each, view)
            for each in view.dimensions
            if isinstance(each.what, Linear)
            and each.what.side != "leader"
            and each.what.direction != "aligned"
        ]
        assert not any(on_one_another(one, other) for one, other in combinations(spans, 2))
    for one in sheet.views:
        assert not any(overlap(one.area, other.area) for other in sheet.views if other is not one)


@given(drawings(), st.sampled_from(["A5", "A4"]), st.sampled_from(["metric", "inch", "both"]))
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_random_parts_stand_clear_on_their_sheets(drawing: Drawing, paper: str, units: str) -> None:
    sheets = lay_out(drawing, paper=paper, units=units)  # type: ignore[arg-type]
    for sheet in sheets:
        clear(sheet)
    shown = [each.what for sheet in sheets for view in sheet.views for each in view.dimensions]
    for dimension in drawing.dimensions():
        assert shown.count(dimension) == list(drawing.dimensions()).count(dimension)


@source("ISO 5455:1979, table 1: recommended scales", kind="from memory")
def test_scales_are_the_recommended_ones_and_are_written_as_drawings_do() -> None:
    for scale in SCALES:
        larger = scale if scale >= 1.0 else 1.0 / scale
        mantissa = larger / 10.0 ** math.floor(math.log10(larger) + 1e-9)
        assert any(math.isclose(mantissa, step, rel_tol=1e-9) for step in (1.0, 2.0, 5.0))
    assert (scale_text(10.0), scale_text(1.0), scale_text(1 / 20)) == ("10 : 1", "1 : 1", "1 : 20")


def test_a_sheet_states_the_scale_it_is_drawn_at() -> None:
    (sheet,) = lay_out(Drawing("Collar", (COLLAR.view("Collar"),)), paper="A5")
    values = [words.text for words in sheet.words if words.role == "value"]
    assert scale_text(sheet.scale) in values
    (view,) = sheet.views
    (x0, _), (x1, _) = view.on_paper((0.0, 0.0)), view.on_paper((COLLAR.length, 0.0))
    assert x1 - x0 == pytest.approx(1000.0 * COLLAR.length * sheet.scale, rel=1e-9)


def test_a_hole_that_would_be_a_speck_gets_a_detail_that_says_its_scale() -> None:
    drawing = Drawing("Nozzle", (NOZZLE.view("Nozzle"),))
    (sheet,) = lay_out(drawing, paper="A5")
    parent, detail = sheet.views
    assert 1000.0 * 0.4e-3 * parent.scale < SMALLEST_HOLE
    assert 1000.0 * 0.4e-3 * detail.scale >= 6.0
    assert detail.captions[0].text == f"Detail Z ({scale_text(detail.scale)})"
    assert "throat" in [getattr(each.what, "feature", "") for each in detail.dimensions]
    assert "throat" not in [getattr(each.what, "feature", "") for each in parent.dimensions]
    # The letter stands on the parent, at the circle the detail is taken from.
    assert [each.words[0].text for each in parent.dimensions if each.what is None] == ["Z"]
    clear(sheet)


def test_a_hole_large_enough_on_paper_needs_no_detail() -> None:
    plate = View("Plate", (Line((0.0, 0.0), (50e-3, 0.0)),), scale=1.0).adding(
        *hole((25e-3, 10e-3), 2.1e-3)
    )
    (sheet,) = lay_out(Drawing("Plate", (plate,)))
    assert len(sheet.views) == 1
    smaller = View("Plate", (Line((0.0, 0.0), (50e-3, 0.0)),), scale=1.0).adding(
        *hole((25e-3, 10e-3), 1.9e-3)
    )
    (sheet,) = lay_out(Drawing("Plate", (smaller,)))
    assert [view.view.kind for view in sheet.views] == ["view", "detail"]


@source("ISO 5456-2:1996, first and third angle projection", kind="from memory")
@pytest.mark.parametrize(
    ("projection", "stands_right"), [("first angle", True), ("third angle", False)]
)
def test_what_is_seen_from_the_left_stands_where_the_projection_puts_it(
    projection: str, stands_right: bool
) -> None:
    drawing = Drawing(
        "Collar",
        (COLLAR.view("Collar"), COLLAR.end_view("From the left")),
        projection=projection,  # type: ignore[arg-type]
    )
    (sheet,) = lay_out(drawing)
    front, end = sheet.views
    assert (end.origin[0] > front.origin[0]) == stands_right
    assert end.origin[1] == pytest.approx(front.origin[1], abs=1e-9)


def test_views_that_share_no_sheet_go_on_two_that_say_so() -> None:
    long = TurnedPart(outside=(Step(diameter=40e-3, length=200e-3),))
    views = tuple(
        View(f"View {n}", long.view("Bar").shapes, long.view("Bar").dimensions, scale=0.5)
        for n in range(4)
    )
    sheets = lay_out(Drawing("Bars", views), paper="A5", orientation="landscape")
    assert len(sheets) > 1
    assert [view.view.title for sheet in sheets for view in sheet.views] == [
        f"View {n}" for n in range(4)
    ]
    for sheet in sheets:
        assert f"{sheet.number} of {len(sheets)}" in [words.text for words in sheet.words]
        clear(sheet)


def test_what_fits_on_no_sheet_is_refused_by_name() -> None:
    bar = View("Bar", (Line((0.0, 0.0), (2.0, 0.0)),), scale=1.0)
    with pytest.raises(NoRoom, match="Long bar"):
        lay_out(Drawing("Long bar", (bar,)))


def test_everything_else_there_is_to_say_finds_a_clear_place() -> None:
    view = COLLAR.view("Collar").adding(
        Angular(vertex=(0.0, 0.0), start_angle=2.0, end_angle=2.6, radius=18e-3),
        Linear(
            start=(0.0, 0.0), end=(20e-3, 10e-3), direction="aligned", side="above", reference=True
        ),
        Note(at=(20e-3, 5e-3), text="turn this end last, between centres, with a light cut"),
        Datum(at=(20e-3, -10e-3), letter="B"),
    )
    for paper in ("A5", "A4"):
        (sheet,) = lay_out(Drawing("Collar", (view,), ("One note.",)), paper=paper)
        clear(sheet)
        said = {each.spoken for each in sheet.views[0].dimensions}
        assert {"datum A", "datum B", "finish Ra 0.8"} <= said


def test_the_title_block_says_what_it_was_told_and_flags_what_is_doubtful() -> None:
    part = TurnedPart(
        outside=(Step(diameter=Sized(10e-3, 1e-6, -1e-6, True), length=20e-3, feature="pin"),)
    )
    drawing = Drawing("Pin", (part.view("Pin"),), material="silver steel", quantity="2 off")
    block = TitleBlock(engine="Dunnock", drawn_by="A. Builder", date="2026-03-01")
    for orientation in ("portrait", "landscape"):
        (sheet,) = lay_out(drawing, paper="A5", orientation=orientation, block=block)
        said = [words.text for words in sheet.words]
        assert {"Pin", "silver steel", "2 off", "Dunnock", "A. Builder", "2026-03-01"} <= set(said)
        assert any("odds of coming right are poor" in text for text in said)
        clear(sheet)


def test_long_notes_are_wrapped_and_keep_every_word() -> None:
    words = "one two three four five six seven eight nine ten"
    lines = wrapped(words, 2.5, 30.0)
    assert len(lines) > 1
    assert " ".join(lines) == words


def test_boxes_shift_and_overlap_as_boxes_do() -> None:
    box = (0.0, 0.0, 2.0, 1.0)
    assert overlap(box, shifted(box, 1.9, 0.0))
    assert not overlap(box, shifted(box, 2.0, 0.0))
