"""What a page is asked, and how it answers: the form read, words for whatever is refused."""

from __future__ import annotations

import logging
import re
import traceback
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Final, Literal
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from benchproof.book.errors import BookError
from benchproof.book.records import new_id
from benchproof.quantities import System
from benchproof.specs import SpecError
from benchproof.web.desk import Desk
from benchproof.web.security import TooLarge

MOST_FIELDS: Final = 3000
ID: Final = re.compile(r"[A-Za-z0-9_-]{8,64}")
LONGEST_NAME: Final = 60
YEAR: Final = 365 * 24 * 3600
log = logging.getLogger("benchproof.web")

Method = Literal["GET", "POST"]


@dataclass(frozen=True)
class Sent:
    """A file that was sent: what it is called there, and what is in it."""

    name: str
    data: bytes


@dataclass(frozen=True)
class Asked:
    """One request: what stands in the address and in the form, who asks, in which units."""

    request: Request
    desk: Desk
    typed: Mapping[str, str]
    files: Mapping[str, Sent] = field(default_factory=dict)

    @property
    def path(self) -> Mapping[str, str]:
        """Named parts of the address."""
        return self.request.path_params

    @property
    def query(self) -> Mapping[str, str]:
        """What stands behind the question mark."""
        return self.request.query_params

    @property
    def posted(self) -> bool:
        """Whether a form was sent."""
        return self.request.method == "POST"

    @cached_property
    def units(self) -> System:
        """Measuring system of answers: what this browser has chosen, else what the book has."""
        return self.own_units or self.desk.units

    @property
    def own_units(self) -> System | None:
        """Measuring system that this browser has chosen for itself, if it has."""
        chosen = self.request.cookies.get("units")
        return "inch" if chosen == "inch" else "metric" if chosen == "metric" else None

    @property
    def who(self) -> str:
        """Name written beside what this browser enters."""
        paired = self.request.scope.get("paired_as", "")
        return name_of(self.request.cookies.get("who", "")) or paired or self.desk.who

    @property
    def browser(self) -> str:
        """Id by which this browser is known again."""
        known: str = self.request.scope["browser"]
        return known

    @property
    def local(self) -> bool:
        """Whether it is asked on the machine that the book lies on."""
        return bool(self.request.scope["local"])

    @property
    def trusted(self) -> bool:
        """Whether whoever asks may see the book: from this machine, or paired."""
        return self.local or bool(self.request.scope.get("paired"))

    @property
    def key(self) -> str:
        """Id that the form's maker gave the entry, so that sent twice it is entered once."""
        return self.key_kept or new_id()

    @property
    def key_kept(self) -> str:
        """The same where one was sent: a form that was refused keeps it when it is drawn again."""
        given = self.typed.get("key", "")
        return given if ID.fullmatch(given) else ""

    @property
    def by_script(self) -> bool:
        """Whether a script of ours sent the form, which shows by itself where to go next."""
        return self.request.headers.get("sent-by") == "script"

    @property
    def today(self) -> str:
        """Today."""
        return date.today().isoformat()


Answering = Callable[[Asked], Response]


def name_of(text: str) -> str:
    """A name as it can be kept: what prints, in one line, not too long."""
    # Cookies hold Latin letters only, so that names are written there with percent signs.
    from urllib.parse import unquote

    clean = "".join(letter for letter in unquote(text) if letter.isprintable())
    return " ".join(clean.split())[:LONGEST_NAME]


def page(
    path: str, answering: Answering, *methods: Method, name: str | None = None, files: int = 0
) -> Route:
    """A route to a page; what it refuses is told in words, and what breaks in it is told too.

    ``files`` is how many a form may bring along.
    """

    async def endpoint(request: Request) -> Response:
        typed: dict[str, str] = {}
        brought: dict[str, Sent] = {}
        if request.method == "POST":
            typed, brought = await _typed(request, files)
        asked = Asked(request, request.app.state.desk, typed, brought)
        answer = await run_in_threadpool(_answered, answering, asked)
        return _for_script(answer) if asked.by_script else answer

    named: Callable[[Request], Awaitable[Response]] = endpoint
    return Route(path, named, methods=list(methods or ("GET",)), name=name or answering.__name__)


class Gone(RedirectResponse):
    """Where to go after a deed, and what was done in words."""

    def __init__(self, address: str, done: str) -> None:
        super().__init__(address, status_code=303)
        self.done = done


def _for_script(answer: Response) -> Response:
    """Where to go after a deed, as plain data; anything else as it is."""
    if not isinstance(answer, Gone):
        return answer
    return JSONResponse({"done": answer.done, "next": answer.headers["location"]})


async def _typed(request: Request, files: int) -> tuple[dict[str, str], dict[str, Sent]]:
    try:
        async with request.form(max_fields=MOST_FIELDS, max_files=files) as form:
            typed = {name: text for name, text in form.items() if isinstance(text, str)}
            brought = {
                name: Sent(held.filename or "", await held.read())
                for name, held in form.items()
                if isinstance(held, UploadFile)
            }
            return typed, brought
    except HTTPException:
        raise
    except TooLarge as wrong:
        raise HTTPException(413, "That is more than a form needs.") from wrong
    except Exception as wrong:  # whatever a parser makes of bytes that are no form
        raise HTTPException(400, "That was no form.") from wrong


def _answered(answering: Answering, asked: Asked) -> Response:
    try:
        return answering(asked)
    except (BookError, SpecError) as refused:
        return told(asked, 409, "Not done", str(refused))
    except HTTPException:
        raise
    except Exception as wrong:
        where = traceback.extract_tb(wrong.__traceback__)[-1]
        # Type and place alone: what somebody typed is no business of a log.
        place = f"{Path(where.filename).name}:{where.lineno}"
        log.error("%s at %s in %s", type(wrong).__name__, place, asked.request.url.path)
        return told(
            asked,
            500,
            "This page has broken down",
            "Nothing in the book was harmed, and what you typed stands below. Go back and try "
            "again; if it happens again, this is a fault of ours.",
        )


def told(asked: Asked, status: int, title: str, words: str) -> Response:
    """A page that says in words why something was not done, with all that was typed."""
    from benchproof.web.showing import shown

    typed = [(name, text) for name, text in asked.typed.items() if name not in _HIDDEN and text]
    return shown(asked, "told.html", status, title=title, words=_sentences(words), typed=typed)


_HIDDEN: Final = frozenset({"key", "drawn_from"})


def _sentences(words: str) -> list[str]:
    lines = [line.strip() for line in words.splitlines() if line.strip()]
    return [
        line[:1].upper() + line[1:] + ("" if line.endswith((".", "?", "!")) else ".")
        for line in lines
    ]


def gone_to(address: str, *, done: str = "") -> Response:
    """Send the browser on after a deed; ``done`` is said at the top of where it goes."""
    response = Gone(address, done)
    if done:
        response.set_cookie("done", quote(done[:300]), max_age=20, samesite="strict", httponly=True)
    return response


def missing(what: str) -> HTTPException:
    """What to raise when there is no such thing."""
    return HTTPException(404, f"There is no {what} here.")
