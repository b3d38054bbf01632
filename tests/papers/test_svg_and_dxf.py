"""SVG and DXF of one sheet say the same as the model, to people and to programs."""

from __future__ import annotations

import math
import subprocess
import sys
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchproof.drawing import (
    Angular,
    Corner,
    Datum,
    Dimension,
    Drawing,
    Finish,
    Linear,
    Note,
    Sized,
    Step,
    TurnedPart,
    pitch_circle,
)
from benchproof.duties.piston_fit import PistonFit
from benchproof.papers.dxf import STYLE, dxf
from benchproof.papers.layout import lay_out
from benchproof.papers.placed import Sheet
from benchproof.papers.svg import svg
from benchproof.papers.wording import Units, units_of
from examples.piston_fit import SPEC
from papers.invented_parts import drawings
from papers.reading_back import (
    SVG,
    ReadSize,
    document,
    in_unit,
    measured,
    number_of,
    shown_text,
    sizes_in_svg,
)

FLANGE = TurnedPart(
    outside=(
        Step(diameter=60e-3, length=6e-3, end=Corner("round", 1e-3)),
        Step(diameter=Sized(25.4e-3, -20e-6, -33e-6), length=19.05e-3, feature="spigot"),
    ),
    inside=(
        Step(diameter=Sized(12.7e-3, 18e-6, 0.0, True), length=15e-3, feature="bore"),
        Step(diameter=0.5e-3, length=10.05e-3, feature="weep hole"),
    ),
)
GLAND = Drawing(
    "Gland flange",
    (
        FLANGE.view("Flange"),
        FLANGE.end_view("From the left").adding(
            *pitch_circle(6, 46e-3, 4.2e-3),
            Angular(vertex=(0, 0), start_angle=math.pi / 6, end_angle=math.pi / 2, radius=30e-3),
        ),
    ),
    ("Invented.",),
    "gunmetal",
)
PISTON = PistonFit().drawing(
    SPEC, {"piston": Sized(29.9859e-3, 3.1e-6, -4.2e-6, True), "bore": Sized(30e-3, 12e-6, 0.0)}
)
sheets_of_both = pytest.mark.parametrize("units", ["metric", "inch", "both"])
both_drawings = pytest.mark.parametrize("drawing", [GLAND, PISTON], ids=["gland", "piston"])


def placed(sheets: tuple[Sheet, ...]) -> list[Dimension]:
    """Dimensions in the order they stand in the files."""
    return [
        each.what
        for sheet in sheets
        for view in sheet.views
        for each in view.dimensions
        if each.what is not None and not isinstance(each.what, Finish | Datum | Note)
    ]


def agrees(read: ReadSize, dimension: Dimension, unit: str) -> None:
    """Figure within half its last place of the model; limits within the model's."""
    assert read.feature == dimension.feature
    wanted = in_unit(dimension, dimension.nominal, unit)
    if dimension.kind.name == "taper" and " in " in read.text and "=" not in read.text:
        return
    assert read.nominal == pytest.approx(wanted, rel=1e-9, abs=0.5001 * read.last_figure)
    if dimension.tolerance is None:
        assert read.upper is None
        return
    assert read.upper is not None
    assert read.lower is not None
    upper = in_unit(dimension, dimension.nominal + dimension.tolerance.upper, unit)
    lower = in_unit(dimension, dimension.nominal + dimension.tolerance.lower, unit)
    slack = 1e-3 * read.last_figure
    assert lower - slack <= read.nominal + read.lower
    assert read.nominal + read.upper <= upper + slack


def texts_agree(sheets: tuple[Sheet, ...], unit: str) -> None:
    read = [size for sheet in sheets for size in sizes_in_svg(svg(sheet))]
    for size, dimension in zip(read, placed(sheets), strict=True):
        if type(dimension).__name__ != "Thread":
            agrees(size, dimension, unit)


@both_drawings
@sheets_of_both
def test_the_text_people_see_is_the_model(drawing: Drawing, units: Units) -> None:
    texts_agree(lay_out(drawing, paper="A5", units=units), units_of(units)[0])


@given(drawings(), st.sampled_from(["metric", "inch"]))
@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_the_text_of_random_parts_is_their_model(drawing: Drawing, unit: str) -> None:
    texts_agree(lay_out(drawing, units=unit), unit)  # type: ignore[arg-type]


@both_drawings
@sheets_of_both
def test_what_a_program_measures_is_the_model(drawing: Drawing, units: Units) -> None:
    sheets = lay_out(drawing, paper="A5", units=units)
    unit = units_of(units)[0]
    found = []
    for sheet in sheets:
        read = document(dxf(sheet))
        audit = read.audit()
        assert not audit.errors
        assert not audit.fixes
        assert read.header["$INSUNITS"] == (4 if unit == "metric" else 1)
        found += list(read.modelspace().query("DIMENSION"))
    real = [
        d for d in placed(sheets) if type(d).__name__ in {"Linear", "Diameter", "Radius", "Angular"}
    ]
    assert real
    for entity, dimension in zip(found, real, strict=True):
        wanted = in_unit(dimension, dimension.nominal, unit)
        assert measured(entity) == pytest.approx(wanted, rel=1e-9)
        assert entity.dxf.dimstyle == STYLE
        nominal, last = number_of(shown_text(entity))
        assert nominal == pytest.approx(wanted, rel=1e-9, abs=0.5001 * last)
        if dimension.tolerance is not None:
            override = entity.override()
            assert override.get("dimtp") == pytest.approx(
                in_unit(dimension, dimension.tolerance.upper, unit), rel=1e-9
            )
            assert override.get("dimtm") == pytest.approx(
                -in_unit(dimension, dimension.tolerance.lower, unit), rel=1e-9
            )


@both_drawings
@sheets_of_both
def test_svg_and_dxf_show_the_same_figures(drawing: Drawing, units: Units) -> None:
    for sheet in lay_out(drawing, paper="A5", units=units):
        said = {
            each.says[0].plain
            for view in sheet.views
            for each in view.dimensions
            if isinstance(each.what, Linear)
        }
        shown = [
            shown_text(each).partition(" [")[0].removesuffix(" (odds poor)")
            for each in document(dxf(sheet)).modelspace().query("DIMENSION")
        ]
        assert said <= set(shown)


def test_geometry_measures_true_in_model_space() -> None:
    (sheet, *_) = lay_out(GLAND, paper="A4", units="metric")
    lines = document(dxf(sheet)).modelspace().query("LINE[layer=='VISIBLE']")
    ends = [(line.dxf.start, line.dxf.end) for line in lines]
    lengths = [start.distance(end) for start, end in ends]
    assert any(math.isclose(length, 60.0 - 0.0, rel_tol=1e-9) for length in lengths)


def test_the_dimension_style_is_our_own_and_multiplies_by_nothing() -> None:
    (sheet, *_) = lay_out(PISTON)
    read = document(dxf(sheet))
    assert read.dimstyles.get(STYLE).dxf.dimlfac == 1.0


def test_the_same_sheet_gives_the_same_bytes() -> None:
    (one, *_), (other, *_) = lay_out(GLAND), lay_out(GLAND)
    assert dxf(one) == dxf(other)
    assert svg(one) == svg(other)


def test_the_picture_has_a_name_a_description_and_real_text() -> None:
    (sheet, *_) = lay_out(PISTON)
    root = ElementTree.fromstring(svg(sheet))
    assert root.get("role") == "img"
    ids = (root.get("aria-labelledby") or "").split()
    named = {each.get("id"): each.text or "" for each in root if each.get("id")}
    assert named[ids[0]] == "Piston in its bore"
    assert "piston: Ø29.986 +0.003/−0.004 mm; the odds of holding it are poor" in named[ids[1]]
    groups = [g for g in root.iter(f"{SVG}g") if "doubtful" in g.get("class", "")]
    assert [g.get("data-feature") for g in groups] == ["piston"]
    # Every line of text is held to the width its box was reckoned with.
    texts = list(root.iter(f"{SVG}text"))
    assert texts
    assert all(float(text.get("textLength", "0")) > 0.0 for text in texts)


def test_the_picture_asks_for_nothing_from_outside_and_needs_no_style_sheet() -> None:
    (sheet, *_) = lay_out(PISTON)
    text = svg(sheet)
    root = ElementTree.fromstring(text)
    tags = {each.tag.removeprefix(SVG) for each in root.iter()}
    assert tags <= {"svg", "title", "desc", "g", "path", "text"}
    assert "href" not in text
    assert "url(" not in text


def test_words_with_signs_of_markup_come_back_as_they_were() -> None:
    drawing = Drawing('Pin <"A" & B>', PISTON.views, ("Less < more & so on.",))
    (sheet, *_) = lay_out(drawing)
    root = ElementTree.fromstring(svg(sheet))
    assert root[0].text == 'Pin <"A" & B>'
    assert "Less < more & so on." in [text.text for text in root.iter(f"{SVG}text")]


def test_two_pictures_in_one_page_keep_their_ids_apart() -> None:
    (sheet, *_) = lay_out(PISTON)
    assert 'id="first-title"' in svg(sheet, prefix="first")
    assert 'id="second-title"' in svg(sheet, prefix="second")


def test_the_library_for_dxf_is_only_loaded_to_write_one() -> None:
    code = "import sys, benchproof.papers.dxf; sys.exit('ezdxf' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
