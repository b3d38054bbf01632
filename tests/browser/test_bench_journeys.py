"""At the bench in a real browser: stopwatch, lots, sizes, photographs."""

from __future__ import annotations

import re
import time

import pytest
from playwright.sync_api import Browser, FilePayload, Page, expect

from browser.journeys import Served, visiting
from web.test_photographs import png


def drop_test(served: Served) -> str:
    """Address of the drop test of the left piston."""
    return f"/duty/{served.names['left piston fit']}/test/drop-test"


def set_up(page: Page) -> None:
    """A heavy piston over a short travel, so that a run takes less than a second."""
    for name, text in {"piston_mass": "800", "travel": "1", "air_temperature": "20"}.items():
        page.locator(f"#f-{name}").fill(text)
    page.locator("#f-reading-0-posture").select_option("upright")


def test_drop_test_by_stopwatch(chromium: Browser, served: Served) -> None:
    with visiting(chromium, served.base) as visit:
        page = visit.page(drop_test(served))
        set_up(page)
        page.get_by_role("button", name="Start").tap()
        expect(page.get_by_text("Running: reading 1.")).to_be_visible()
        time.sleep(0.7)
        page.get_by_role("button", name="Landed").tap()
        expect(page.locator("#f-reading-0-time")).to_have_value(re.compile(r"^[01]\.\d\d s$"))
        shown = page.locator("#answer")
        expect(shown).to_contain_text("1 reading shows")
        expect(shown).to_contain_text("Diametral clearance at 20 °C")
        expect(shown).to_contain_text("Steam past the piston")
        expect(page.locator("#glance")).to_contain_text("µm")
        # The next run takes over how it stood; by keyboard, with a mark on the way.
        expect(page.locator("#f-reading-1-posture")).to_have_value("upright")
        page.evaluate("document.activeElement.blur()")
        page.keyboard.press("Space")
        time.sleep(0.4)
        page.keyboard.press("m")
        time.sleep(0.35)
        page.keyboard.press("l")
        expect(page.locator("#f-reading-1-marks-0-time")).to_have_value(re.compile(r"^0\.\d\d s$"))
        page.locator("#f-reading-1-marks-0-at").fill("0.5 mm")
        expect(shown).to_contain_text("2 readings show")
        page.get_by_role("button", name="Enter the test").tap()
        expect(page.get_by_role("status").first).to_contain_text("Entered: Drop test")
        expect(page.get_by_role("heading", name="What to do next")).to_be_visible()
    test = served.state.tests_of(served.names["left piston fit"])[-1]
    assert len(test.stated["reading"]) == 2
    assert test.stated["reading"][1]["marks"][0]["at"] == "0.5 mm"


@pytest.mark.parametrize("size", ["tablet", "phone"])
def test_a_run_that_went_wrong_leaves_nothing(chromium: Browser, served: Served, size: str) -> None:
    with visiting(chromium, served.base, size) as visit:
        page = visit.page(drop_test(served))
        for name in ("Start", "Landed"):
            box = page.get_by_role("button", name=name).bounding_box()
            assert box
            assert min(box["width"], box["height"]) >= 96
        page.keyboard.press("Space")
        expect(page.get_by_text("Running: reading 1.")).to_be_visible()
        page.keyboard.press("Escape")
        expect(page.get_by_text("Left out. Ready for reading 1.")).to_be_visible()
        expect(page.locator("#f-reading-0-time")).to_have_value("")


def test_the_landing_heard(chromium: Browser, served: Served) -> None:
    with visiting(chromium, served.base, permissions=["microphone"]) as visit:
        page = visit.page(drop_test(served))
        ear = page.get_by_label("Stop at the sound of the landing")
        expect(ear).not_to_be_checked()
        ear.check()
        page.get_by_role("button", name="Start").tap()
        expect(page.locator("#f-reading-0-time")).to_have_value(
            re.compile(r"^\d\.\d\d s$"), timeout=20000
        )
        expect(page.get_by_text("Ready for reading 2.")).to_be_visible()


def test_a_gauge_goes_down_the_readings(chromium: Browser, served: Served) -> None:
    tyre = next(b.id for b in served.state.bindings.values() if b.duty == "tyre-fit")
    with visiting(chromium, served.base) as visit:
        page = visit.page(f"/duty/{tyre}/test/growth")
        page.locator("#f-reading-0-before").focus()
        assert page.locator("#f-reading-0-before").get_attribute("inputmode") == "decimal"
        for number in ("120.012", "120.087", "120.010", "120.085"):
            page.keyboard.type(number)
            page.keyboard.press("Enter")
        for place, name, text in ((0, "after", "120.087"), (1, "before", "120.010")):
            expect(page.locator(f"#f-reading-{place}-{name}")).to_have_value(text)
        expect(page.locator("#f-reading-2-before")).to_be_focused()
        assert page.url.endswith("/growth")


def test_a_lot_of_ten_by_typed_values(chromium: Browser, served: Served) -> None:
    with visiting(chromium, served.base, "phone") as visit:
        page = visit.page(f"/enter/lot?about={served.names['piston']}")
        for name, text in {
            "name": "pins",
            "wanted": "10",
            "lower": "7.98",
            "upper": "8.02",
        }.items():
            page.locator(f"#f-{name}").fill(text)
        page.get_by_role("button", name="Enter it").tap()
        expect(page.get_by_text("Not begun")).to_be_visible()
        sizes = ["8.001", "7.998", "8.003", "8.000", "8.030", "7.999", "8.0195", "8.002", "7.997"]
        page.get_by_label("what the gauge says").focus()
        for size in [*sizes, "8.001"]:
            page.keyboard.type(size)
            page.keyboard.press("Enter")
        expect(page.get_by_text("Piece 10: accept")).to_be_visible()
        expect(page.locator(".run-chart .mark-of")).to_have_count(10)
        expect(page.locator(".run-chart .mark-of.reject")).to_have_count(1)
        expect(page.locator(".counts")).to_contain_text("measure again 1: 7")
        expect(page.locator("#so-far output")).to_contain_text("more")
        expect(page.get_by_label("piece", exact=True)).to_have_value("11")
        # A slip of a digit is questioned, and the question comes with what was typed.
        page.keyboard.type("80.01")
        page.keyboard.press("Enter")
        expect(page.get_by_text("Is that right?")).to_be_visible()
        expect(page.get_by_label("what the gauge says")).to_have_value("80.01")
    held = served.state.lot_readings(served.names["pins"])
    assert [round(held[n].value * 1e6) for n in range(1, 10)] == [
        round(1e3 * float(size)) for size in sizes
    ]
    assert len(held) == 10


def test_a_photograph_from_the_camera(chromium: Browser, served: Served) -> None:
    with visiting(chromium, served.base) as visit:
        page = visit.page(f"/piece/{served.names['left piston']}")
        page.get_by_role("link", name="Photograph", exact=True).tap()
        field = page.get_by_label("the picture")
        assert field.get_attribute("accept") == "image/*"
        assert field.get_attribute("capture") == "environment"
        field.set_input_files({"name": "notes.txt", "mimeType": "text/plain", "buffer": b"no"})
        page.get_by_label("what it shows").fill("a score along the land")
        page.get_by_role("button", name="Keep it").tap()
        expect(page.get_by_role("alert")).to_contain_text("no photograph")
        expect(page.get_by_label("what it shows")).to_have_value("a score along the land")
        picture: FilePayload = {"name": "IMG_1.png", "mimeType": "image/png", "buffer": png(64)}
        page.get_by_label("the picture").set_input_files(picture)
        page.get_by_role("button", name="Keep it").tap()
        image = page.get_by_role("img", name="a score along the land")
        image.scroll_into_view_if_needed()
        page.wait_for_function("document.querySelector('.album img').naturalWidth === 64")


def test_sizes_one_after_the_other_by_keyboard(chromium: Browser, served: Served) -> None:
    names = served.names
    with visiting(chromium, served.base, "phone") as visit:
        page = visit.page(f"/part/{names['piston']}/sizes")
        page.locator(f'[name="size.{names["left piston"]}.piston"]').focus()
        page.keyboard.type("29.979")
        page.keyboard.press("Enter")
        expect(page.locator(f'[name="size.{names["right piston"]}.piston"]')).to_be_focused()
        page.keyboard.type("27.1")
        page.keyboard.press("Enter")
        expect(page.get_by_text("entered 29.979")).to_be_visible()
        expect(page.get_by_text("Is that right?")).to_be_visible()
        right = page.locator(f'[name="size.{names["right piston"]}.piston"]')
        expect(right).to_have_value("27.1")
        page.get_by_label("It is right: enter it all the same").tap()
        expect(page.get_by_text("entered 27.1")).to_be_visible()
    assert len(served.state.sizes_of(names["right piston"], "piston")) == 1


def test_a_long_paper_shows_how_far_it_is(chromium: Browser, served: Served) -> None:
    with visiting(chromium, served.base) as visit:
        page = visit.page("/")
        page.get_by_role("button", name="The story of its build, PDF").tap()
        expect(page.get_by_role("link", name="Open the PDF")).to_be_visible()
