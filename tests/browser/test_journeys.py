"""Whole journeys in a real browser, on a tablet and on a phone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from browser.journeys import in_full, odds, serving, visiting
from web.screens import demo_book


def test_open_the_demo(chromium: Browser, nothing: str) -> None:
    with visiting(chromium, nothing) as visit:
        page = visit.page()
        page.get_by_role("button", name="Open the demo book").tap()
        page.wait_for_selector('#reviewed[data-running="no"]')
        worst = page.get_by_role("region", name="What holds Dunnock back most")
        expect(worst).to_contain_text("left piston fit")
        expect(page.get_by_text("in trouble").first).to_be_visible()
        page.get_by_role("link", name="right piston fit").tap()
        in_full(page)
        assert len(odds(page)) == 3


def test_change_a_pressure_and_see_the_odds_move(chromium: Browser, demo: str) -> None:
    with visiting(chromium, demo) as visit:
        page = visit.page()
        page.get_by_role("link", name="right piston fit").first.tap()
        in_full(page)
        before = odds(page)
        page.get_by_label("boiler pressure").fill("290 psi")
        page.wait_for_function(
            "(was) => document.querySelector('#answer .odds').innerText !== was",
            arg=page.locator("#answer .odds").inner_text(),
        )
        in_full(page)
        assert odds(page) != before
        expect(page.locator("#f-boiler_pressure-notes")).to_contain_text("19.99 bar gauge")
        expect(page.locator("#glance")).to_contain_text(odds(page)[0])
        page.get_by_label("boiler pressure").fill("plenty")
        expect(page.locator("#f-boiler_pressure-notes .wrong")).to_be_visible()
        page.get_by_label("boiler pressure").fill("3 bar")
        page.get_by_role("button", name="Keep this").tap()
        expect(page.get_by_role("status").first).to_contain_text("Kept")
        expect(page.get_by_label("boiler pressure")).to_have_value("3 bar")


def test_a_new_part_from_nothing_in_inches(chromium: Browser, nothing: str) -> None:
    with visiting(chromium, nothing, "phone") as visit:
        page = visit.page()
        page.get_by_label("whose workshop").fill("Ada's shed")
        page.get_by_role("button", name="Begin my book").tap()
        page.get_by_role("button", name="inch").tap()
        page.get_by_role("link", name="Enter an engine").tap()
        page.get_by_label("name", exact=False).first.fill("Wren")
        page.get_by_label("boiler pressure").fill("80 psi")
        page.get_by_role("button", name="Enter it").tap()
        page.get_by_role("link", name="Choose a duty").tap()
        page.get_by_role("link", name="Piston in its bore").tap()
        for name, text in {
            "bore": "1 3/16 in",
            "land_length": "3/4 in",
            "stroke": "1 1/2 in",
        }.items():
            page.locator(f"#f-{name}").fill(text)
        page.get_by_label("bore material").select_option("gunmetal")
        page.get_by_label("piston material").select_option("gunmetal")
        in_full(page)
        expect(page.locator("#answer .size")).to_contain_text("in")
        page.get_by_role("button", name="Put it in the book").tap()
        page.get_by_label("what it is called").fill("left piston fit")
        page.get_by_label("a new one, called").nth(0).fill("left cylinder")
        page.get_by_label("a new one, called").nth(1).fill("left piston")
        page.get_by_label("group of the engine").select_option("cylinders and motion")
        page.get_by_role("button", name="Enter it").tap()
        expect(page.get_by_role("heading", name="left piston fit")).to_be_visible()
        expect(page.locator("#f-bore-notes")).to_contain_text("30.163 mm (1.1875 in)")
        in_full(page)


def test_record_a_bore_as_a_calliper_types_it(chromium: Browser, demo: str) -> None:
    with visiting(chromium, demo, "phone") as visit:
        page = visit.page()
        page.get_by_role("link", name="feed pump piston fit").first.tap()
        page.get_by_role("link", name="Enter the size of the bore").tap()
        expect(page.get_by_label("what the gauge says")).to_be_focused()
        page.keyboard.type("21.003")
        page.keyboard.press("Enter")
        expect(page.get_by_label("size it was cut to")).to_be_focused()
        page.keyboard.type("20")
        page.keyboard.press("Enter")
        expect(page.get_by_role("alert")).to_contain_text("Is that right?")
        expect(page.get_by_label("what the gauge says")).to_have_value("21.003")
        page.get_by_label("what the gauge says").fill("20.003")
        page.keyboard.press("Enter")
        expect(page.get_by_role("status")).to_contain_text("Entered: bore 20.003 mm")
        expect(page.get_by_role("cell", name="20.003 mm").first).to_be_visible()
        page.get_by_role("button", name="Undo", exact=True).tap()
        expect(page.get_by_text("Not made yet")).to_be_visible()


def test_two_tabs_on_one_part(chromium: Browser, demo: str) -> None:
    with visiting(chromium, demo) as visit:
        first = visit.page()
        first.get_by_role("link", name="right piston fit").first.tap()
        first.wait_for_url("**/duty/*")
        second = visit.page(first.url.removeprefix(demo))
        second.get_by_label("boiler pressure").fill("3 bar")
        second.get_by_role("button", name="Keep this").tap()
        expect(second.get_by_role("status").first).to_contain_text("Kept")
        first.get_by_label("boiler pressure").fill("6 bar")
        first.get_by_role("button", name="Keep this").tap()
        told = first.get_by_role("alert").filter(has_text="Changed meanwhile")
        expect(told).to_contain_text("3 bar")
        expect(told).to_contain_text("6 bar")
        expect(first.get_by_label("boiler pressure")).to_have_value("6 bar")
        second.reload()
        expect(second.get_by_label("boiler pressure")).to_have_value("3 bar")


def test_everything_by_keyboard(chromium: Browser, demo: str) -> None:
    with visiting(chromium, demo) as visit:
        page = visit.page()
        page.wait_for_selector('#reviewed[data-running="no"]')

        def tab_to(words: str) -> None:
            for _ in range(80):
                page.keyboard.press("Tab")
                focused = "document.activeElement"
                told = page.evaluate(
                    f"{focused}.labels?.[0]?.innerText ?? {focused}.innerText ?? ''"
                )
                if re.match(words, told):
                    outline = page.evaluate(f"getComputedStyle({focused}).outlineStyle")
                    assert outline != "none"
                    return
            raise AssertionError(f"no way to {words} by keyboard")

        tab_to("right piston fit")
        page.keyboard.press("Enter")
        page.wait_for_url("**/duty/*")
        tab_to("boiler pressure")
        page.keyboard.type("4 bar")
        in_full(page)
        tab_to("Keep this")
        page.keyboard.press("Enter")
        expect(page.get_by_role("status").first).to_contain_text("Kept")
        tab_to("Undo")
        page.keyboard.press("Enter")
        expect(page.get_by_role("status").first).to_contain_text("Undone")


def test_without_a_script_forms_work_as_forms(chromium: Browser, demo: str) -> None:
    with visiting(chromium, demo, java_script_enabled=False) as visit:
        page = visit.page("/quick/piston-fit")
        for name, text in {"bore": "30", "land_length": "20", "stroke": "40"}.items():
            page.locator(f"#f-{name}").fill(text)
        page.locator("#f-bore_material").select_option("gunmetal")
        page.locator("#f-piston_material").select_option("gunmetal")
        page.get_by_role("button", name="Reckon").tap()
        expect(page.locator("#answer .odds")).to_be_visible()
        expect(page.get_by_role("img", name="Odds against aim")).to_be_visible()


def test_what_was_typed_outlives_the_page(chromium: Browser, demo: str) -> None:
    with visiting(chromium, demo) as visit:
        page = visit.page("/enter/engine")
        page.get_by_label("note").fill("bought as a set of castings")
        page.reload()
        page.get_by_role("button", name="Bring it back").tap()
        expect(page.get_by_label("note")).to_have_value("bought as a set of castings")


def test_a_tablet_pairs_by_the_code(chromium: Browser, tmp_path: Path) -> None:
    more = {"lan": True, "hosts": ["127.0.0.2"], "addresses": ("http://127.0.0.2",)}
    with (
        serving(demo_book(tmp_path), host="127.0.0.2", **more) as (base, app),
        visiting(chromium, base) as tablet,
    ):
        page = tablet.page("/history")
        expect(page.get_by_label("code")).to_be_visible()
        assert "piston" not in page.content()
        page.get_by_label("code").fill("no such")
        page.get_by_role("button", name="Pair").tap()
        expect(page.get_by_role("alert")).to_contain_text("not the code")
        page.get_by_label("code").fill(app.state.pairing.code)
        page.get_by_label("who is using this").fill("bench tablet")
        page.get_by_role("button", name="Pair").tap()
        expect(page.get_by_role("heading", name="Dunnock", exact=True)).to_be_visible()
        expect(page.get_by_text("Writing as bench tablet")).to_be_visible()
        (session,) = app.state.pairing.sessions()
        app.state.pairing.revoke(session.id)
        page.reload()
        expect(page.get_by_label("code")).to_be_visible()


@pytest.mark.parametrize("size", ["tablet", "phone"])
def test_the_reading_under_a_finger(chromium: Browser, demo: str, size: str) -> None:
    with visiting(chromium, demo, size) as visit:
        page = visit.page()
        page.get_by_role("link", name="right piston fit").first.tap()
        in_full(page)
        chart = page.get_by_role("img", name="Odds against aim")
        chart.scroll_into_view_if_needed()
        chart.tap(position={"x": 150, "y": 60})
        expect(page.locator("figure .reading").first).to_contain_text("lost")
        expect(page.locator("svg .finger")).to_have_count(1)
