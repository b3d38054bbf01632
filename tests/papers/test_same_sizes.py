"""Whatever is asked of any duty, its drawing stands clear and says the same in every form."""

from __future__ import annotations

import io
import json
import random
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from benchproof.drawing import Datum, Dimension, Drawing, Finish, Note, Thread
from benchproof.duties import DUTIES, load_duty
from benchproof.papers.boxes import overlap, within
from benchproof.papers.dxf import dxf
from benchproof.papers.layout import lay_out
from benchproof.papers.pictures import pictures_of
from benchproof.papers.placed import Sheet
from benchproof.papers.svg import svg
from benchproof.papers.typesetting import typeset
from benchproof.papers.wording import Units, units_of, wordings
from papers.reading_back import (
    document,
    in_unit,
    measured,
    number_of,
    shown_text,
    sizes_in_svg,
)
from papers.specs_at_random import sizes_at_random, spec_at_random

duties = pytest.mark.parametrize("key", DUTIES)
ANY_SEED = st.integers(0, 10**6)
seldom = settings(max_examples=4, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def drawn(key: str, seed: int) -> Drawing:
    """A drawing of a random valid spec of a duty, to random sizes."""
    choice = random.Random(seed)
    spec = spec_at_random(key, choice)
    drawing = load_duty(key).drawing(spec, sizes_at_random(key, spec, choice))
    assert drawing is not None
    return drawing


def sized(sheet: Sheet) -> list[Dimension]:
    """Dimensions of a sheet, in the order they stand in its files."""
    found = [each.what for view in sheet.views for each in view.dimensions]
    return [w for w in found if w is not None and not isinstance(w, Finish | Datum | Note)]


def pdf_words(sheets: tuple[Sheet, ...]) -> list[str]:
    """All text of each page of a PDF that shows sheets at their own size."""
    pictures = pictures_of(sheets, "d")
    data = {"title": "Sheets", "sheets": [each.plain for each in pictures]}
    pdf = typeset("sheets", data, {each.name: each.data for each in pictures})
    return [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]


@duties
@given(ANY_SEED, st.sampled_from(["A5", "A4"]), st.sampled_from(["metric", "inch", "both"]))
@seldom
def test_no_lettering_overlaps_and_nothing_leaves_the_frame(
    key: str, seed: int, paper: str, units: str
) -> None:
    for sheet in lay_out(drawn(key, seed), paper=paper, units=units):  # type: ignore[arg-type]
        boxes = sheet.text_boxes()
        for place, box in enumerate(boxes):
            assert within(box, sheet.frame)
            assert not any(overlap(box, other) for other in boxes[:place])
        assert all(within(view.area, sheet.frame) for view in sheet.views)


@duties
@given(ANY_SEED, st.sampled_from(["metric", "inch"]))
@seldom
def test_svg_dxf_pdf_and_plain_data_give_the_same_sizes(key: str, seed: int, units: Units) -> None:
    sheets = lay_out(drawn(key, seed), paper="A5", units=units)
    for sheet, page in zip(sheets, pdf_words(sheets), strict=True):
        shown = [each for each in sized(sheet) if not isinstance(each, Thread)]
        wanted = [wordings(each, units)[0] for each in shown]
        # What the answer's plain data say, in SI, is what the paper says to its last figure.
        plain = json.loads(json.dumps([[each.feature, each.nominal] for each in shown]))
        in_svg = [read for read in sizes_in_svg(svg(sheet)) if read.text in _figures(sheet, Thread)]
        assert len(in_svg) == len(shown)
        for read, (feature, nominal), each, words in zip(in_svg, plain, shown, wanted, strict=True):
            assert read.feature == feature
            assert words.figure in read.text
            assert words.figure in page
            assert {words.upper, words.lower} <= {"", *_texts(svg(sheet))} | _within(read.text)
            assert all(limit in page for limit in (words.upper, words.lower))
            if each.kind.name != "taper":
                asked = in_unit(each, nominal, units)
                assert read.nominal == pytest.approx(asked, rel=1e-9, abs=0.51 * read.last_figure)


@duties
@given(ANY_SEED, st.sampled_from(["metric", "inch"]))
@seldom
def test_what_a_drawing_program_measures_is_what_was_asked(
    key: str, seed: int, units: Units
) -> None:
    unit = units_of(units)[0]
    for sheet in lay_out(drawn(key, seed), paper="A5", units=units):
        doc = document(dxf(sheet))
        audit = doc.audit()
        assert not audit.has_errors
        assert not audit.has_fixes
        true = [
            each
            for each in sized(sheet)
            if type(each).__name__ in {"Linear", "Diameter", "Radius", "Angular"}
            and not each.off_scale
        ]
        found = list(doc.modelspace().query("DIMENSION"))
        assert len(found) == len(true)
        for each, entity in zip(true, found, strict=True):
            asked = in_unit(each, each.nominal, unit)
            assert measured(entity) == pytest.approx(asked, rel=1e-6, abs=1e-6)
            figure, last = number_of(shown_text(entity).split(" ±")[0])
            assert figure == pytest.approx(asked, abs=0.51 * last)


def _figures(sheet: Sheet, without: type) -> set[str]:
    """Figures of all dimensions but those of one kind, as the sheet has them."""
    return {
        words.text
        for view in sheet.views
        for each in view.dimensions
        if not isinstance(each.what, without)
        for words in each.words
        if words.role == "figure"
    }


def _texts(picture: str) -> set[str]:
    return set(re.findall(r"<text[^>]*>([^<]*)</text>", picture))


def _within(text: str) -> set[str]:
    return set(re.findall(r"±\S+", text))
