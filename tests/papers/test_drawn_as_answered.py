"""What an answer says in plain data is what its drawing says as SVG, DXF and PDF."""

from __future__ import annotations

import io
import json
import math
import random
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from benchproof.cli import ANSWERED, run
from benchproof.drawing import Angular, Diameter, Dimension, Linear, Radius, Sized, Thread
from benchproof.duties import DUTIES, load_duty
from benchproof.papers.dxf import dxf
from benchproof.papers.layout import lay_out
from benchproof.papers.pictures import pictures_of
from benchproof.papers.placed import Sheet
from benchproof.papers.svg import svg
from benchproof.papers.typesetting import typeset
from benchproof.papers.wording import OneUnit
from benchproof.physics.errors import OutOfRange
from benchproof.quantities import TAPER, show
from benchproof.reckon.plain import plain_answer
from benchproof.reckon.plan import Job, plan
from benchproof.reckon.sized import sized
from benchproof.workshop.lathe import assumed_lathe
from papers.reading_back import ReadSize, document, in_unit, measured, shown_text, sizes_in_svg
from papers.specs_at_random import spec_at_random

DEMO = Path(__file__).parents[2] / "src" / "benchproof" / "demo"


@dataclass(frozen=True)
class Said:
    """What the plain data say of a feature [SI]: its size, and its limits if it has any."""

    size: float
    limits: tuple[float, float] | None = None


def said_by(job: Job[Any], plain: Mapping[str, Any]) -> dict[str, Said]:
    """Size of every feature by an answer's plain data: as aimed for, the others as planned."""
    best, limits = plain["aims"][0], plain["size_limits"]
    found = {f.name: Said(f.aim) for f in job.duty.features(job.spec)}
    held = None if limits is None else (limits["lower"], limits["upper"])
    found[best["feature"]] = Said(best["size"], held)
    return found


def dimensions(sheet: Sheet) -> list[Dimension]:
    """Dimensions of a sheet with figures of their own, in the order they stand in its files."""
    found = (each.what for view in sheet.views for each in view.dimensions)
    return [w for w in found if isinstance(w, Linear | Diameter | Radius | Angular)]


def check(sheets: tuple[Sheet, ...], said: Mapping[str, Said], feature: str, unit: OneUnit) -> None:
    """Every feature's figures in all three forms, and that the feature aimed for is drawn."""
    pictures = pictures_of(sheets, "d")
    data = {"title": "Sheets", "sheets": [each.plain for each in pictures]}
    pdf = typeset("sheets", data, {each.name: each.data for each in pictures})
    drawn = set()
    for sheet, page in zip(sheets, PdfReader(io.BytesIO(pdf)).pages, strict=True):
        of_feature = {d.feature: d for d in sheet.drawing.dimensions() if d.feature in said}
        text = page.extract_text()
        for read in sizes_in_svg(svg(sheet)):
            dimension = of_feature.get(read.feature)
            if dimension is None or isinstance(dimension, Thread):
                continue
            if dimension.kind is TAPER:
                _taper_as_said(read, said[read.feature])
            else:
                _as_said(read, dimension, said[read.feature], unit)
            assert read.text.split(" ±")[0] in text
            drawn.add(read.feature)
        true = [d for d in dimensions(sheet) if not d.off_scale]
        for dimension, entity in zip(
            true, document(dxf(sheet)).modelspace().query("DIMENSION"), strict=True
        ):
            if dimension.feature not in said:
                continue
            asked = in_unit(dimension, said[dimension.feature].size, unit)
            assert measured(entity) == pytest.approx(asked, rel=1e-6, abs=1e-6)
            limits = said[dimension.feature].limits
            assert bool(re.search("[±+−]", shown_text(entity))) == (limits is not None)
    assert feature in drawn


def _taper_as_said(read: ReadSize, said: Said) -> None:
    """An included angle written as a taper: its ratio, and beside limits its decimal."""
    ratio = 2.0 * math.tan(0.5 * said.size)
    if said.limits is None:
        assert show(ratio, TAPER) in read.text
        return
    figure = re.search(r"= (0\.\d+)", read.text)
    assert figure is not None
    last = 10.0 ** -len(figure[1].partition(".")[2])
    assert float(figure[1]) == pytest.approx(ratio, rel=0.0, abs=0.51 * last)
    assert read.lower is not None
    assert read.upper is not None
    low, high = (2.0 * math.tan(0.5 * limit) for limit in said.limits)
    # The drawing takes the limits of the taper in proportion to those of the angle.
    slack = 1.01 * last
    assert float(figure[1]) + read.lower == pytest.approx(low, rel=0.0, abs=slack)
    assert float(figure[1]) + read.upper == pytest.approx(high, rel=0.0, abs=slack)


def _as_said(read: ReadSize, dimension: Dimension, said: Said, unit: OneUnit) -> None:
    """The figure to its last place; limits rounded inwards, by no more than their last place."""
    last = read.last_figure
    asked = in_unit(dimension, said.size, unit)
    assert read.nominal == pytest.approx(asked, rel=1e-9, abs=0.51 * last)
    assert (read.upper is not None) == (said.limits is not None)
    if said.limits is None or read.upper is None or read.lower is None:
        return
    low, high = (in_unit(dimension, limit, unit) for limit in said.limits)
    inwards = 1.01 * last + 1e-9
    assert low - 1e-4 * last <= read.nominal + read.lower <= low + inwards
    assert high - inwards <= read.nominal + read.upper <= high + 1e-4 * last


def answered(key: str, seed: int) -> tuple[Job[Any], dict[str, Sized], dict[str, Any]]:
    """A random valid job of a duty, the sizes to draw, and its answer as plain data."""
    spec = spec_at_random(key, random.Random(seed))
    job = Job(load_duty(key), spec, assumed_lathe(), {})
    try:
        answer = plan(job, draws=1024, brief=True)
    except OutOfRange:  # a part that nobody would build, outside the physics
        reject()
    return job, sized(job, answer), json.loads(json.dumps(plain_answer(answer)))


@pytest.mark.parametrize("key", DUTIES)
@given(st.integers(0, 10**6), st.sampled_from(["metric", "inch"]))
@settings(max_examples=3, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_drawing_says_the_sizes_and_limits_of_its_answer(
    key: str, seed: int, unit: OneUnit
) -> None:
    job, sizes, plain = answered(key, seed)
    drawing = job.duty.drawing(job.spec, sizes)
    assert drawing is not None
    said, feature = said_by(job, plain), plain["aims"][0]["feature"]
    check(lay_out(drawing, paper="A4", units=unit), said, feature, unit)


@pytest.mark.parametrize("key", DUTIES)
def test_a_drawing_that_drifts_from_its_answer_is_found_out(key: str) -> None:
    job, sizes, plain = answered(key, 1)
    feature = plain["aims"][0]["feature"]
    said = said_by(job, plain)
    one = sizes[feature]
    off = replace(one, aim=one.aim * (1.0 + 2e-3))
    drawing = job.duty.drawing(job.spec, sizes | {feature: off})
    assert drawing is not None
    with pytest.raises(AssertionError):
        check(lay_out(drawing, paper="A4"), said, feature, "metric")


def test_the_commands_for_an_answer_and_for_its_drawing_agree(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = str(DEMO / "running.toml")
    assert run(["size", "running-fit", spec, "--json"]) == ANSWERED
    plain = json.loads(capsys.readouterr().out)
    to = tmp_path / "journal.svg"
    assert run(["papers", "drawing", "running-fit", spec, "--to", str(to)]) == ANSWERED
    best, limits = plain["aims"][0], plain["size_limits"]
    (read,) = [s for s in sizes_in_svg(to.read_text()) if s.feature == best["feature"]]
    assert read.nominal == pytest.approx(1e3 * best["size"], rel=0.0, abs=0.51 * read.last_figure)
    assert read.upper is not None
    assert read.lower is not None
    for deviation, limit in ((read.lower, limits["lower"]), (read.upper, limits["upper"])):
        assert read.nominal + deviation == pytest.approx(
            1e3 * limit, rel=0.0, abs=1.01 * read.last_figure
        )
