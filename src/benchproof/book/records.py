"""What a book holds: records, and the entries they are made from.

A record is chained to all before it: its ``chain`` is the SHA-256 of the chain before it, followed
by its own fields in UTF-8, joined by NUL, an absent subject or superseded record being empty. That
is unmistakable because no field holds a NUL, no id is empty, and the number of fields is fixed.
"""

from __future__ import annotations

import hashlib
import json
import math
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from typing import Any, Final, NamedTuple

from benchproof.book.errors import Conflict

FIRST_CHAIN: Final = hashlib.sha256(b"benchproof book").digest()
LARGEST_BODY: Final = 2**20  # bytes as JSON
LONGEST_NAME: Final = 200  # letters of an id, a kind, a name
DEEPEST_BODY: Final = 40  # tables within tables
LARGEST_WHOLE: Final = 10**300  # far beyond any count, short enough for any reader of JSON

_sha256: Final = hashlib.sha256  # looked up once: a book has very many records
_UNSTORABLE: Final = re.compile("[\x00\ud800-\udfff]")


class _Fields(NamedTuple):
    seq: int
    id: str
    kind: str
    subject: str | None
    supersedes: str | None
    at: str
    who: str
    text: str
    chain: bytes


class Record(_Fields):
    """One record: what was entered, about what, by whom and when. ``text`` is its body as JSON."""

    @cached_property
    def body(self) -> dict[str, Any]:
        """What was entered, as plain data, read when first asked for."""
        found: dict[str, Any] = json.loads(self.text)
        return found


@dataclass(frozen=True)
class Entry:
    """A record to be written. ``id`` and ``at`` are made here unless its writer made them."""

    kind: str
    body: Mapping[str, Any]
    subject: str | None = None
    supersedes: str | None = None
    who: str = ""
    at: str = ""
    id: str = ""


def new_id() -> str:
    """Make an id nobody else makes."""
    return uuid.uuid4().hex


def now() -> str:
    """The time of entry, UTC, to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def canonical(body: Mapping[str, Any]) -> str:
    """JSON with one spelling for one content; :class:`Conflict` for what a book cannot hold."""
    if not isinstance(body, Mapping):
        raise Conflict("the body of a record must be a table of names and values")
    plain = _plain(body, DEEPEST_BODY)
    text = json.dumps(
        plain, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False
    )
    size = len(text.encode())
    if size > LARGEST_BODY:
        raise Conflict(f"a record of {size / 2**20:.1f} MiB is too large: 1 at the most")
    return text


def _plain(value: object, depth: int) -> object:
    """The same value in the types of JSON, so that it is read as it was written."""
    if depth == 0:
        raise Conflict(f"a record holds no tables within tables more than {DEEPEST_BODY} deep")
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return _text(value, "text")
    if isinstance(value, int) and abs(value) < LARGEST_WHOLE:
        return int(value)
    if isinstance(value, float) and math.isfinite(value):
        return float(value)
    if isinstance(value, Mapping):
        if not all(isinstance(key, str) for key in value):
            raise Conflict("every value in a record needs a name that is text")
        return {_text(key, "name"): _plain(each, depth - 1) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(each, depth - 1) for each in value]
    if isinstance(value, int | float):
        raise Conflict("a number in a record is not finite, or beyond all measure")
    raise Conflict(f"a record holds text, numbers, lists and tables, no {type(value).__name__}")


def _text(text: object, what: str) -> str:
    if not isinstance(text, str):
        raise Conflict(f"the {what} of a record must be text, not {type(text).__name__}")
    if _UNSTORABLE.search(text):
        raise Conflict(f"the {what} {text[:40]!a} holds a character that cannot be stored")
    return text


def _name(text: object, what: str) -> str:
    found = _text(text, what)
    if not found.strip() or len(found) > LONGEST_NAME:
        raise Conflict(f"the {what} of a record must have 1 to {LONGEST_NAME} letters")
    return found


def _time(text: object) -> str:
    found = _text(text, "time")
    try:
        zone = datetime.fromisoformat(found).tzinfo
    except ValueError:
        zone = None
    if zone is None:
        raise Conflict(
            f"{found[:40]!r} is no time of entry: write it like 2026-11-25T14:32:00+00:00"
        )
    return found


def complete(entry: Entry, *, seq: int, before: bytes) -> Record:
    """The record that an entry becomes; :class:`Conflict` says what a book cannot hold."""
    if len(_text(entry.who, "writer")) > LONGEST_NAME:
        raise Conflict(f"the writer of a record must have at most {LONGEST_NAME} letters")
    fields = (
        seq,
        _name(entry.id or new_id(), "id"),
        _name(entry.kind, "kind"),
        None if entry.subject is None else _name(entry.subject, "subject"),
        None if entry.supersedes is None else _name(entry.supersedes, "superseded record"),
        _time(entry.at or now()),
        entry.who,
        canonical(entry.body),
    )
    return Record(*fields, chain=link(before, *fields))


def link(
    before: bytes,
    seq: int,
    key: str,
    kind: str,
    subject: str | None,
    supersedes: str | None,
    at: str,
    who: str,
    text: str,
) -> bytes:
    """Hash of a record and all before it.

    Raises TypeError when a field is not what it must be, ValueError when one holds a NUL: both
    happen in damaged files only.
    """
    about = "" if subject is None else subject
    old = "" if supersedes is None else supersedes
    joined = "\0".join((str(seq), key, kind, about, old, at, who, text))
    if joined.count("\0") != 7:
        raise ValueError("a field holds a NUL")
    return _sha256(before + joined.encode()).digest()
