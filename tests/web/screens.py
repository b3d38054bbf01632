"""Ask the web app without a server: one browser of a stated address, with its cookies."""

from __future__ import annotations

import asyncio
import re
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from functools import lru_cache
from pathlib import Path
from shutil import copyfile
from typing import Any

import httpx
from starlette.applications import Starlette

from benchproof.book.cache import Cache
from benchproof.book.demo import make_demo
from benchproof.book.review import review
from benchproof.web.app import create_app

HERE = "http://127.0.0.1"


class Browser:
    """A browser at an address; it says where its forms come from, as browsers do."""

    def __init__(self, app: Starlette, *, at: str = "127.0.0.1", base: str = HERE) -> None:
        transport = httpx.ASGITransport(app=app, client=(at, 40000))
        self._loop = asyncio.new_event_loop()
        self._http = httpx.AsyncClient(transport=transport, base_url=base)
        self.app = app
        self.base = base

    def ask(self, method: str, path: str, **more: Any) -> httpx.Response:
        """Any request at all."""
        return self._loop.run_until_complete(self._http.request(method, path, **more))

    def get(self, path: str, **more: Any) -> httpx.Response:
        """Look at a page."""
        return self.ask("GET", path, **more)

    def post(self, path: str, typed: Mapping[str, str] | None = None) -> httpx.Response:
        """Send a form from one of our own pages."""
        return self.ask("POST", path, data=dict(typed or {}), headers={"origin": self.base})

    def then(self, answer: httpx.Response) -> httpx.Response:
        """Go where a form was sent on to."""
        assert answer.status_code == 303, answer.text
        return self.get(answer.headers["location"])

    def close(self) -> None:
        """Close what is open."""
        self._loop.run_until_complete(self._http.aclose())
        self._loop.run_until_complete(self._loop.shutdown_default_executor())
        self._loop.close()


@lru_cache(maxsize=1)
def _demo() -> Path:
    path = Path(tempfile.mkdtemp(prefix="benchproof-"), "demo.book")
    with make_demo(path) as book, closing(Cache.beside(path)) as cache:
        review(book, cache=cache)
    return path


def demo_book(folder: Path) -> Path:
    """A copy of the demo book, judged already: a cache lies beside it."""
    path = Path(copyfile(_demo(), folder / "demo.book"))
    judged_before(path)
    return path


def judged_before(path: Path) -> None:
    """Lay a cache beside a book that knows every answer about the demo book."""
    copyfile(Cache.beside(_demo()).path, Cache.beside(path).path)


@contextmanager
def browsing(path: Path, *, at: str = "127.0.0.1", **more: Any) -> Iterator[Browser]:
    """A browser before the app of a book."""
    app = create_app(path, who="Ada", **more)
    browser = Browser(app, at=at)
    try:
        yield browser
    finally:
        browser.close()
        app.state.desk.close()


def hidden(page: str, name: str) -> str:
    """Value of a hidden field of a page."""
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found, f"no field {name}"
    return found[1]


def words(page: str) -> str:
    """What a page says, without its tags."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page)).strip()


def ids(browser: Browser) -> dict[str, str]:
    """Ids by name of every thing and duty in the book."""
    state = browser.app.state.desk.read().state
    found = {t.name: t.id for t in state.things.values()}
    return found | {b.name: b.id for b in state.bindings.values()}
