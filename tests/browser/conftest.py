"""A browser for each module of journeys, and the demo book served afresh for each journey.

The browser is let go at the end of its module: its event loop would be in the way of other tests.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect, sync_playwright

from browser.journeys import ARGUMENTS, CHROMIUM, Served, serving
from web.screens import demo_book, judged_before

expect.set_options(timeout=20_000)  # a busy machine is slow, not wrong


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    if not CHROMIUM.exists():
        pytest.skip(f"there is no {CHROMIUM}")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    with serving(demo_book(tmp_path)) as (base, app):
        yield Served(base, app)


@pytest.fixture
def demo(served: Served) -> str:
    return served.base


@pytest.fixture
def nothing(tmp_path: Path) -> Iterator[str]:
    path = tmp_path / "workshop.book"
    judged_before(path)
    with serving(path) as (base, _):
        yield base
