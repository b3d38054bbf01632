"""A real browser before a real server on this machine; every request it makes is looked at."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page
from starlette.applications import Starlette

from benchproof.book.state import State
from benchproof.web.app import create_app

SIZES: Final[dict[str, Any]] = {
    "tablet": {"width": 1024, "height": 768},
    "phone": {"width": 390, "height": 844},
}
CHROMIUM: Final = Path("/usr/bin/chromium")
ARGUMENTS: Final = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    # A microphone that hears a beep every second.
    "--use-fake-device-for-media-stream",
    "--use-fake-ui-for-media-stream",
]


@contextmanager
def serving(path: Path, *, host: str = "127.0.0.1", **more: Any) -> Iterator[tuple[str, Starlette]]:
    """Serve a book on a free port: its address without the last slash, and the app."""
    app = create_app(path, who="Ada", **more)
    held = socket.socket()
    held.bind((host, 0))
    config = uvicorn.Config(app, log_level="error", access_log=False, ws="none")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [held]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    try:
        yield f"http://{host}:{held.getsockname()[1]}", app
    finally:
        server.should_exit = server.force_exit = True
        thread.join(10.0)
        held.close()


@dataclass(frozen=True)
class Served:
    """A book that is served: where, and the app before it."""

    base: str
    app: Starlette

    @property
    def state(self) -> State:
        """What the book says now."""
        found: State = self.app.state.desk.read().state
        return found

    @property
    def names(self) -> dict[str, str]:
        """Ids by name of every thing and duty."""
        found = {thing.name: thing.id for thing in self.state.things.values()}
        return found | {each.name: each.id for each in self.state.bindings.values()}


@dataclass
class Visit:
    """One visitor: pages of one browser, every host they asked, everything that went wrong."""

    context: BrowserContext
    base: str
    hosts: set[str] = field(default_factory=set)
    wrong: list[str] = field(default_factory=list)

    def page(self, path: str = "/") -> Page:
        """Open a page in a tab of its own."""
        page = self.context.new_page()
        page.set_default_timeout(30_000)
        page.on("console", lambda said: self._heard(said.type, said.text))
        page.on("pageerror", lambda error: self.wrong.append(str(error)))
        page.goto(self.base + path)
        return page

    def _heard(self, kind: str, text: str) -> None:
        # A page that is refused or not there is said so by the browser as well; that is no fault.
        told = ("responded with a status of 4", "net::ERR_INTERNET_DISCONNECTED")
        if kind == "error" and not any(each in text for each in told):
            self.wrong.append(text)


@contextmanager
def visiting(browser: Browser, base: str, size: str = "tablet", **more: Any) -> Iterator[Visit]:
    """A visitor with a tablet or a phone; nothing may leave the machine, nothing may go wrong."""
    context = browser.new_context(viewport=SIZES[size], has_touch=True, **more)
    visit = Visit(context, base)
    context.on("request", lambda request: visit.hosts.add(urlsplit(request.url).hostname or ""))
    try:
        yield visit
    finally:
        context.close()
    assert visit.hosts <= {urlsplit(base).hostname}
    assert visit.wrong == []


def odds(page: Page) -> list[str]:
    """The three odds that stand in the answer."""
    return page.locator("#answer .odds dd").all_inner_texts()


def in_full(page: Page) -> None:
    """Wait until the full answer stands there."""
    page.wait_for_selector('#answer[data-quick="no"] .odds')
