"""Everybody can use it: nothing serious for axe, nothing too small to touch, nothing cut off."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import (  # type: ignore[import-untyped] # ships no types
    Axe,
)
from playwright.sync_api import Browser, Page

from browser.journeys import SIZES, Served, serving, visiting
from web.screens import demo_book

PAGES = (
    "/",
    "duty",
    "duty refused",
    "/quick",
    "/quick/taper-cock",
    "lathe",
    "piece",
    "measure",
    "bench",
    "bench done",
    "sizes",
    "lot",
    "/lathe",
    "photograph",
    "history",
    "drawings",
    "part",
    "note",
    "/search?q=piston",
    "/settings",
    "/tablets",
    "/enter/part",
    "/nothing",
)
DARK = (
    "/",
    "duty",
    "duty refused",
    "measure",
    "bench",
    "lot",
)  # every colour there is stands on these
TOO_SMALL = """() => [...document.querySelectorAll(
    'button, .button, select, input, textarea, summary, .head a, .duties a, .parts a, .deeds a,'
    + 'td a'
  )].filter((each) => {
    const box = each.getBoundingClientRect();
    const inner = each.matches('[type=radio], [type=checkbox], [type=hidden], button.plain');
    return box.width && !inner && box.height < 47.5;
  }).map((each) => each.outerHTML.slice(0, 80))"""


def serious(page: Page, scheme: str) -> list[tuple[str, Any]]:
    """What axe finds serious or worse, and where; in the dark only the colours are others."""
    wanted: dict[str, Any] = {"resultTypes": ["violations"]}
    if scheme == "dark":
        wanted["runOnly"] = ["color-contrast"]
    found = Axe().run(page, options=wanted).response["violations"]
    return [
        (each["id"], [node["html"][:120] for node in each["nodes"][:3]])
        for each in found
        if each["impact"] in {"serious", "critical"}
    ]


@pytest.fixture(scope="module")
def looked_at(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One book for all that only look: its answers are reckoned once."""
    with serving(demo_book(tmp_path_factory.mktemp("book"))) as (base, app):
        yield Served(base, app)


@pytest.mark.parametrize(("size", "scheme"), [("tablet", "light"), ("phone", "dark")])
def test_every_page_is_for_everybody(
    chromium: Browser, looked_at: Served, size: str, scheme: str
) -> None:
    served, demo = looked_at, looked_at.base
    with visiting(chromium, demo, size, color_scheme=scheme) as visit:
        page = visit.page()
        page.wait_for_selector('#reviewed[data-running="no"]')
        piece = page.locator(".parts .piece").last.get_attribute("href") or ""
        names = served.names
        duty = f"/duty/{names['right piston fit']}"
        tested = next(test for test in served.state.tests if test.test == "drop-test")
        drop = f"/duty/{tested.binding}/test/drop-test"
        named = {
            "duty": f"{duty}?full",
            "duty refused": f"{duty}?full",
            "lathe": f"{duty}/lathe",
            "piece": piece,
            "measure": f"/measure/{piece.rpartition('/')[2]}/piston",
            "bench": f"{drop}?as_before",
            "bench done": f"/test/{tested.id}",
            "sizes": f"/part/{names['piston']}/sizes",
            "lot": f"/lot/{names['ferrules']}",
            "photograph": f"/photo?about={names['left piston']}",
            "history": f"/history?about={names['left piston fit']}",
            "drawings": f"/duty/{names['left injector']}/drawings",
            "part": f"/part/{names['piston']}",
            "note": f"/enter/note?about={names['left piston']}",
        }
        for name in PAGES:
            page.goto(demo + named.get(name, name))
            if name == "duty refused":
                page.locator("#f-bore").fill("thirty")
                page.wait_for_selector("#f-bore-notes .wrong")
            if scheme == "light" or name in DARK:
                assert serious(page, scheme) == [], name
            assert page.evaluate(TOO_SMALL) == [], name
            assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size]["width"], (
                name
            )
