"""Who may ask: a guard before every page.

- A page of another site that was pointed at this machine (DNS rebinding) names another host:
  refused.
- A form of another site names another origin: refused, and our cookies do not go along.
- What is larger than any form needs is refused before it is read.
- On the network nobody sees anything but the page for pairing until they are paired.
- Pages may load nothing from elsewhere, run no script and no style that stands in the page itself.
"""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Collection, Mapping
from typing import Final
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import HTTPConnection
from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from benchproof.book.records import new_id
from benchproof.web.pairing import COOKIE, Pairing

LARGEST_FORM: Final = 2 * 2**20  # bytes; a bench test of a thousand readings is a tenth of it
YEAR: Final = 365 * 24 * 3600
LOCAL_CLIENTS: Final = frozenset({"127.0.0.1", "::1"})
LOCAL_HOSTS: Final = frozenset({"127.0.0.1", "localhost", "::1"})
PAIRING: Final = "/pair"
SHIPPED: Final = "/static/"
_BROWSER: Final = re.compile(r"[0-9a-f]{32}")
HEADERS: Final = {
    "Content-Security-Policy": "default-src 'self'; frame-ancestors 'none'; form-action 'self'; "
    "base-uri 'none'; object-src 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), camera=(self), microphone=(self)",
}


class TooLarge(Exception):
    """More was sent than a form needs."""


class Guard:
    """The ASGI application behind it sees only what passed.

    ``hosts`` are names this machine goes by; ``largest`` are limits [bytes] of paths that take
    more than a form, by how the path begins.
    """

    def __init__(
        self,
        app: ASGIApp,
        *,
        hosts: Collection[str],
        pairing: Pairing | None,
        largest: Mapping[str, int],
    ) -> None:
        self.app = app
        self.hosts = {host.casefold() for host in hosts}
        self.pairing = pairing
        self.largest = largest

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let through, or refuse in a few words."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        refused = self._refused(scope)
        if refused is not None:
            await refused(scope, receive, _with_headers(send, None, scope))
            return
        connection = HTTPConnection(scope)
        known = connection.cookies.get("browser", "")
        fresh = None if _BROWSER.fullmatch(known) else new_id()
        scope["browser"] = fresh or known
        await self.app(scope, self._limited(scope, receive), _with_headers(send, fresh, scope))

    def _refused(self, scope: Scope) -> ASGIApp | None:
        headers = Headers(scope=scope)
        host = _host_of(headers.get("host", ""))
        if host not in self.hosts:
            return PlainTextResponse("This machine does not go by that name.", 421)
        if scope["method"] not in {"GET", "HEAD", "POST"}:
            return PlainTextResponse("Not here.", 405)
        if scope["method"] == "POST" and not _same_origin(headers):
            return PlainTextResponse("A form of another site is not taken.", 403)
        if _length(headers) > self._limit(scope):
            return PlainTextResponse("That is more than a form needs.", 413)
        client = (scope.get("client") or ("", 0))[0]
        # Whoever comes by the network's name is of the network, though a proxy on this machine
        # may hand it on.
        scope["local"] = client in LOCAL_CLIENTS and host in LOCAL_HOSTS
        if not scope["local"]:
            if self.pairing is None:
                return PlainTextResponse("Not from here.", 403)
            session = self.pairing.session(HTTPConnection(scope).cookies.get(COOKIE, ""))
            scope["paired_as"] = session.name if session else ""
            is_open = scope["path"] == PAIRING or scope["path"].startswith(SHIPPED)
            scope["paired"] = session is not None
            if session is None and not is_open:
                return RedirectResponse("/pair", 303)
        return None

    def _limit(self, scope: Scope) -> int:
        path = scope["path"]
        found = [limit for start, limit in self.largest.items() if path.startswith(start)]
        return max(found, default=LARGEST_FORM)

    def _limited(self, scope: Scope, receive: Receive) -> Receive:
        left = self._limit(scope)

        async def counting() -> Message:
            nonlocal left
            message = await receive()
            left -= len(message.get("body", b""))
            if left < 0:
                raise TooLarge
            return message

        return counting


def _with_headers(send: Send, browser: str | None, scope: Scope) -> Send:
    # What is shipped may be kept as long as it is asked for again; what a book says may not.
    keeping = "no-cache" if scope["path"].startswith(SHIPPED) else "no-store"

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            headers.setdefault("Cache-Control", keeping)
            if browser is not None:
                headers.append(
                    "Set-Cookie",
                    f"browser={browser}; Path=/; Max-Age={YEAR}; HttpOnly; SameSite=Strict",
                )
        await send(message)

    return sending


def _host_of(header: str) -> str:
    try:
        return (urlsplit(f"//{header}").hostname or "").casefold()
    except ValueError:
        return ""


def _same_origin(headers: Headers) -> bool:
    """Whether a form comes from one of our own pages; browsers say so themselves."""
    origin = headers.get("origin")
    if origin is None:
        return headers.get("sec-fetch-site") == "same-origin"
    try:
        parts = urlsplit(origin)
    except ValueError:
        return False
    return parts.scheme in {"http", "https"} and parts.netloc == headers.get("host", "")


def _length(headers: Headers) -> int:
    told = headers.get("content-length", "0")
    return int(told) if told.isdecimal() and len(told) < 16 else 2**60


def is_loopback(address: str) -> bool:
    """Whether an address is one of this machine to itself."""
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return address == "localhost"
