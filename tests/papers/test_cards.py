"""The shop card says what to cut and draws it at its own size, on A5 and A4, in either unit."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from typing import Any

import pytest

from benchproof.drawing import Drawing, Sized, Step, TurnedPart
from benchproof.duties import DUTIES, load_duty
from benchproof.duties.piston_fit import PistonFit
from benchproof.papers.blank_rows import blanks_of
from benchproof.papers.cards import PASSES_NOTHING, About, Choices, card, for_type, shop_cards
from benchproof.papers.typesetting import FONTS, CannotSet, pictured, typeset
from benchproof.papers.wording import wordings
from benchproof.reckon.answer import BEST_ALL_THE_SAME, CUT_NOTHING, Answer
from benchproof.reckon.joint import Made
from benchproof.reckon.odds import Odds
from benchproof.reckon.plan import Job, plan
from benchproof.reckon.sized import sized
from benchproof.telling import what_to_cut
from benchproof.workshop.blanks import MOULDING
from benchproof.workshop.lathe import assumed_lathe
from examples import SPECS
from papers.reading_pdf import fonts, opened, root, size_mm, words

ABOUT = About(title="Left one", engine="Dunnock", address="http://127.0.0.1:8765/duty/7")
KEYS = tuple(DUTIES)


@lru_cache
def planned(key: str) -> tuple[Job[Any], Answer]:
    job = Job(load_duty(key), SPECS[key], assumed_lathe(), {})
    return job, plan(job, draws=4096)


@lru_cache
def made_card(key: str, choices: Choices) -> bytes:
    job, answer = planned(key)
    return shop_cards([card(job, answer, about=ABOUT, choices=choices)], choices, "Cards")


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize(("paper", "units"), [("A5", "metric"), ("A4", "inch"), ("A4", "both")])
def test_every_dimension_of_the_drawing_is_found_in_the_pdf(
    key: str, paper: Any, units: Any
) -> None:
    job, answer = planned(key)
    text = words(made_card(key, Choices(paper=paper, units=units)))
    drawing = job.duty.drawing(job.spec, sized(job, answer))
    assert drawing is not None
    for dimension in drawing.dimensions():
        for wording in wordings(dimension, units):
            for part in (wording.figure, wording.upper, wording.lower):
                assert part in text


@pytest.mark.parametrize("key", KEYS)
def test_the_card_says_what_to_cut_what_to_mind_and_that_it_passes_nothing(key: str) -> None:
    job, answer = planned(key)
    text = words(made_card(key, Choices(paper="A4")))
    for told in (*answer.work["metric"], *answer.cautions, "Left one", "Dunnock", PASSES_NOTHING):
        assert re.sub(r"\s+", " ", told) in text
    for feature in job.duty.features(job.spec):
        assert feature.label in text
    assert not re.search(r"\b(safe|approved|certified)\b", text, re.IGNORECASE)


def test_a_card_is_tagged_named_selectable_and_set_in_the_shipped_fonts_alone() -> None:
    pdf = made_card("piston-fit", Choices(paper="A4"))
    told = root(pdf)
    assert told["/Lang"] == "en-GB"
    assert told["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in told
    assert opened(pdf).metadata["/Title"] == "Cards"  # type: ignore[index]
    assert fonts(pdf) == {"DejaVuSansCondensed", "DejaVuSansCondensed-Bold"}
    assert {path.suffix for path in FONTS.iterdir()} == {".ttf", ".txt"}


def test_the_same_card_gives_the_same_bytes() -> None:
    choices = Choices(paper="A5", units="both")
    first = made_card("tyre-fit", choices)
    made_card.cache_clear()
    assert made_card("tyre-fit", choices) == first


def test_a_drawing_is_printed_at_its_own_size() -> None:
    job, answer = planned("pipe-union")
    choices = Choices(paper="A5")
    made = card(job, answer, about=ABOUT, choices=choices)
    pdf = shop_cards([made], choices, "Cards")
    own = {(round(p["width"]), round(p["height"])) for p in made.data["drawings"]}
    pages = {tuple(round(side) for side in size_mm(pdf, n)) for n in range(len(opened(pdf).pages))}
    assert own <= pages
    assert "1 : 1" in words(pdf) or re.search(r"\d : \d", words(pdf))


def test_half_an_a4_page_is_a_sheet_of_a5() -> None:
    pdf = made_card("piston-fit", Choices(paper="A4"))
    assert size_mm(pdf, 0) == pytest.approx((210.0, 297.0), abs=0.01)
    text = opened(pdf).pages[0].extract_text()
    assert "sizes in" in text
    assert "Cut the piston to" in text


def test_a_hole_too_small_to_see_is_drawn_again_enlarged_with_its_scale() -> None:
    part = TurnedPart(
        outside=(Step(diameter=8e-3, length=60e-3),),
        inside=(Step(diameter=Sized(0.4e-3, 10e-6, 0.0), length=60e-3, feature="throat"),),
    )

    class Nozzle(PistonFit):
        def drawing(self, spec: object, sizes: object) -> Drawing:
            return Drawing("Nozzle", (part.view("Nozzle", section="full"),))

    job, answer = planned("piston-fit")
    text = words(
        shop_cards([card(replace(job, duty=Nozzle()), answer, about=ABOUT)], Choices(), "Cards")
    )
    assert re.search(r"Detail Z \(?\s?(20|50) : 1", text)
    assert "Ø0.400" in text


def test_limits_are_those_of_the_answer_in_each_unit() -> None:
    job, answer = planned("running-fit")
    assert answer.size_limits is not None
    low, high = answer.size_limits
    for units, factor, digits in (("metric", 1e3, 3), ("inch", 1e3 / 25.4, 4)):
        made = card(job, answer, about=ABOUT, choices=Choices(units=units))  # type: ignore[arg-type]
        (told,) = made.data["accept"]
        lower, upper = (float(n) for n in re.findall(r"[\d.]+", told))
        assert low * factor <= lower <= low * factor + 1.01 * 10.0**-digits
        assert high * factor - 1.01 * 10.0**-digits <= upper <= high * factor


def test_inches_are_fractions_where_the_trade_has_them_and_thou_where_it_needs_them() -> None:
    job, answer = planned("running-fit")
    made = card(job, answer, about=ABOUT, choices=Choices(units="inch"))
    text = words(shop_cards([made], Choices(units="inch"), "Cards"))
    assert "3/4" in text  # the length, stated as 19.05 mm
    assert re.search(r"Ø0\.50\d\d", text)  # the bore that has limits
    assert any("Ø1/2 × 3/4 in" in row["finished"] for row in made.data["blanks"])
    assert any(
        re.fullmatch(r"Ø\d+/\d+ × \d \d+/\d+ in", size) for size in made.data["blanks"][0]["size"]
    )


def test_what_is_made_is_told_as_made_and_has_no_limits_left() -> None:
    made = {"bore": Made(30.004e-3, 3e-6), "piston": Made(29.98e-3, 2e-6)}
    job = Job(load_duty("piston-fit"), SPECS["piston-fit"], assumed_lathe(), made)
    told = card(job, plan(job, draws=4096), about=ABOUT).data
    assert told["deed"] == "Piston, as it is"
    assert [row["made"] for row in told["sizes"]] == ["30.004 mm", "29.980 mm"]
    assert [row["accept"] for row in told["sizes"]] == [["made"], ["made"]]
    assert [row["size"] for row in told["sizes"]] == [["–"], ["–"]]
    assert told["blanks"] == []


def test_blanks_are_told_only_where_the_drawing_gives_the_whole_size() -> None:
    duty, spec = load_duty("piston-fit"), SPECS["piston-fit"]
    drawing = duty.drawing(spec, {})
    assert drawing is not None
    (only,) = blanks_of(drawing, duty.features(spec), moulding=MOULDING[0])
    assert only.title == "Piston"
    assert only.material == "phosphor bronze"
    assert [blank.made_as for blank in only.blanks] == ["bar", MOULDING[0]]
    assert (only.diameter, only.length) == pytest.approx((30e-3, 20e-3), rel=1e-9)


@pytest.mark.parametrize(
    ("made_from", "kinds"),
    [("bar", ["bar"]), ("casting", [MOULDING[0]]), ("either", ["bar", MOULDING[0]])],
)
def test_a_part_made_from_bar_has_no_pattern_and_one_that_is_cast_no_bar(
    made_from: str, kinds: list[str]
) -> None:
    duty, spec = load_duty("piston-fit"), SPECS["piston-fit"]
    drawing = duty.drawing(spec, {})
    assert drawing is not None
    (only,) = blanks_of(
        drawing, duty.features(spec), moulding=MOULDING[0], made_from={"piston": made_from}
    )
    assert [blank.made_as for blank in only.blanks] == kinds


@pytest.mark.parametrize(("units", "size"), [("metric", "Ø32 × "), ("inch", "Ø1 3/8 × ")])
def test_bar_is_told_in_a_size_that_is_stocked(units: Any, size: str) -> None:
    # 30 mm and 1 mm a face are 32 mm, or 1.26 in.
    made = card(*planned("piston-fit"), about=ABOUT, choices=Choices(units=units))
    (told,) = made.data["blanks"][0]["size"]
    assert told.startswith(size)


def test_where_no_size_will_do_the_card_says_to_cut_nothing_as_the_answer_does() -> None:
    job, answer = planned("piston-fit")
    none = replace(answer.best, odds=Odds(0.0, 0.0, 1.0, 4096))
    window = replace(answer.window, lower=None, upper=None, reason="it leaks")
    hopeless = replace(answer, best=none, window=window)
    assert hopeless.hopeless
    told = card(job, hopeless, about=ABOUT).data
    assert told["deed"] == hopeless.no_size
    assert told["size"] == [CUT_NOTHING.capitalize()]
    assert told["steps"] == []
    assert set(told["cautions"]) == set(hopeless.cautions)
    assert any(
        f"{hopeless.no_size}: {CUT_NOTHING}" in said for said in what_to_cut(hopeless, "metric")
    )
    better = replace(hopeless, best=answer.best)
    assert card(job, better, about=ABOUT).data["deed"].startswith(BEST_ALL_THE_SAME)
    assert any(said.startswith(BEST_ALL_THE_SAME) for said in what_to_cut(better, "metric"))


def test_a_part_larger_than_the_tables_has_no_blank_but_its_card() -> None:
    part = TurnedPart(outside=(Step(diameter=0.3, length=0.05),))
    drawing = Drawing("Wheel", (part.view("Wheel"),), material="wheel cast iron")
    (only,) = blanks_of(drawing, (), moulding=MOULDING[0])
    assert only.material == "grey iron"
    assert only.blanks == ()


def test_many_cards_stand_in_one_paper_without_mixing_their_pictures() -> None:
    choices = Choices(paper="A5")
    cards = [
        card(*planned(key), about=replace(ABOUT, title=key), choices=choices, key=key)
        for key in ("piston-fit", "tyre-fit")
    ]
    data, pictures = for_type(cards, choices, "Two")
    assert len(pictures) == sum(len(each.pictures) for each in cards)
    text = words(typeset("card", data, pictures))
    assert "piston-fit" in text
    assert "tyre-fit" in text


def test_pages_can_be_looked_at() -> None:
    choices = Choices(paper="A5")
    made = card(*planned("piston-fit"), about=ABOUT, choices=choices)
    pages = pictured("card", *for_type([made], choices, "Look"), dots_per_inch=20.0)
    assert len(pages) >= 3
    assert all(page.startswith(b"\x89PNG") for page in pages)


def test_a_paper_that_cannot_be_set_says_which() -> None:
    with pytest.raises(CannotSet, match="card"):
        typeset("card", {"cards": []})
