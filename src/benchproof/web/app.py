"""The web app: pages, their places in the navigation, and the guard before them.

A new module of pages is one line in ``PAGES``, its entry in the navigation one in ``NAVIGATION``.
"""

from __future__ import annotations

import contextlib
from collections.abc import AsyncIterator, Collection
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount
from starlette.staticfiles import StaticFiles

from benchproof.web.asking import Asked, told
from benchproof.web.desk import Desk
from benchproof.web.pages import (
    bench,
    copying,
    drawing,
    duty,
    engine,
    entries,
    first,
    lathe,
    looking,
    lots,
    machines,
    measure,
    pairs,
    papers,
    photographs,
    quick,
    settings,
    sizes,
    things,
)
from benchproof.web.pairing import Pairing
from benchproof.web.security import LOCAL_HOSTS, Guard


@dataclass(frozen=True)
class Entry:
    """A place in the navigation; it is marked on pages whose addresses begin so."""

    address: str
    words: str
    begins: tuple[str, ...]

    def is_at(self, here: str) -> bool:
        """Whether a page belongs to this place."""
        return here == self.address or here.startswith(self.begins)


PAGES: Final[tuple[Any, ...]] = (
    engine,
    duty,
    drawing,
    papers,
    lathe,
    machines,
    lots,
    sizes,
    copying,
    things,
    quick,
    measure,
    bench,
    photographs,
    entries,
    looking,
    first,
    settings,
    pairs,
)
NAVIGATION: Final = (
    Entry(
        "/",
        "Engine",
        ("/engine/", "/duty/", "/part/", "/piece/", "/measure/", "/test/", "/lot/", "/photo"),
    ),
    Entry("/lathe", "Lathe", ("/lathe",)),
    Entry("/quick", "Quick answers", ("/quick/",)),
    Entry("/history", "History", ("/history",)),
)
LARGEST: Final[dict[str, int]] = {"/photo": photographs.LARGEST_PHOTOGRAPH + 2**16}
"""Bytes that may be sent to paths that take more than a form, by how the path begins."""


def create_app(
    path: Path,
    *,
    who: str = "",
    lan: bool = False,
    hosts: Collection[str] = (),
    addresses: tuple[str, ...] = (),
) -> Starlette:
    """Make the app for the book at ``path``, which need not be there yet.

    ``lan`` lets paired browsers of the network in; ``hosts`` are the names and addresses this
    machine goes by there, ``addresses`` where to reach it, for the QR code. Raises ``BookError``
    when the book cannot be opened.
    """
    desk = Desk(path, who=who)
    pairing = Pairing(addresses) if lan else None

    @contextlib.asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        del app
        yield
        desk.close()

    app = Starlette(
        routes=[
            *(route for module in PAGES for route in module.ROUTES),
            Mount("/static", StaticFiles(directory=str(files("benchproof.web") / "static"))),
        ],
        middleware=[
            Middleware(Guard, hosts={*LOCAL_HOSTS, *hosts}, pairing=pairing, largest=LARGEST)
        ],
        exception_handlers={HTTPException: _refused},
        lifespan=lifespan,
    )
    app.state.desk = desk
    app.state.pairing = pairing
    app.state.navigation = NAVIGATION
    return app


def _refused(request: Request, wrong: Exception) -> Response:
    """A page for what is not there, or not to be had in this way."""
    assert isinstance(wrong, HTTPException)
    words = {404: "There is no such page.", 405: "This page takes no such request."}
    asked = Asked(request, request.app.state.desk, {})
    detail = str(wrong.detail)
    plain = detail if " " in detail and wrong.status_code != 405 else ""
    said = (
        plain
        if plain and plain != "Not Found"
        else words.get(wrong.status_code, "That was refused.")
    )
    return told(
        asked, wrong.status_code, "Not found" if wrong.status_code == 404 else "Refused", said
    )
