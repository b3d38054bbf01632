"""Photographs: taken with the tablet's camera, kept in the book about anything, shown."""

from __future__ import annotations

import re
from typing import Any, Final

from starlette.responses import Response

from benchproof.book.errors import BookError
from benchproof.book.model import Book
from benchproof.web.asking import Asked, gone_to, missing, page
from benchproof.web.finding import address_of, called, test_called
from benchproof.web.showing import shown

LARGEST_PHOTOGRAPH: Final = 20 * 2**20  # bytes; what the camera of a tablet makes is a third of it
LONGEST_NAME: Final = 80
_KINDS: Final = {
    b"\xff\xd8\xff": ("image/jpeg", ".jpg"),
    b"\x89PNG\r\n\x1a\n": ("image/png", ".png"),
}


def photograph(asked: Asked) -> Response:
    """Take a photograph of something in the book."""
    book = asked.desk.read()
    about = asked.typed.get("about") or asked.query.get("about", "")
    if not _can_be_shown(book, about):
        raise missing("thing to take a photograph of")
    note = asked.typed.get("note", "").strip()
    wrong = ""
    if asked.posted:
        sent = asked.files.get("photograph")
        data = sent.data if sent is not None else b""
        wrong = refusal(data)
        if not wrong and len(note) > 2000:
            wrong = "The note is too long: 2000 letters at the most."
        if not wrong and sent is not None:
            key, name = asked.key, _name(sent.name, data)

            def deed(live: Book) -> tuple[str, ...]:
                return (live.attach_data(about, name, data, note, key=key).id,)

            try:
                asked.desk.write(asked.who, asked.browser, deed)
                return gone_to(address_of(asked.desk.read(), about), done="Kept: the photograph.")
            except BookError as refused:
                wrong = f"{refused}."
    return shown(
        asked,
        "photograph.html",
        422 if wrong else 200,
        about=about,
        about_name=called(book, about),
        back=address_of(book, about),
        note=note,
        wrong=wrong,
        largest=LARGEST_PHOTOGRAPH // 2**20,
        key=asked.key_kept,
    )


def picture(asked: Asked) -> Response:
    """A photograph as it was taken."""
    book = asked.desk.read()
    found = next((r for r in book.state.attachments if r.id == asked.path["key"]), None)
    if found is None:
        raise missing("photograph")
    mark = f'"{found.body["sha256"]}"'
    # A browser may keep it, but asks each time whether it may still show it.
    headers = {"ETag": mark, "Cache-Control": "private, no-cache"}
    if asked.request.headers.get("if-none-match") == mark:
        return Response(status_code=304, headers=headers)
    data = asked.desk.content(found.body["sha256"])
    kind = kind_of(data)
    if kind is None:  # a document: to be kept on the disk, never shown as a page of ours
        name = re.sub(r"[^A-Za-z0-9._-]+", "-", found.body["name"]) or "document"
        headers["Content-Disposition"] = f'attachment; filename="{name}"'
    media = kind[0] if kind is not None else "application/octet-stream"
    return Response(data, media_type=media, headers=headers)


def photographs_of(book: Book, *about: str) -> list[dict[str, Any]]:
    """Every photograph and document about these, the newest last."""
    return [
        {
            "id": record.id,
            "name": record.body["name"],
            "note": record.body["note"],
            "who": record.who,
            "at": record.at,
            "is_picture": str(record.body["media"]) in {kind for kind, _ in _ALL_KINDS},
        }
        for record in book.state.attachments
        if record.subject in about
    ]


def kind_of(data: bytes) -> tuple[str, str] | None:
    """Media type and ending of a picture by what it begins with; None for anything else."""
    for start, kind in _KINDS.items():
        if data.startswith(start):
            return kind
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return _WEBP
    return None


def refusal(data: bytes) -> str:
    """Why a file is not taken as a photograph; empty when it is."""
    if not data:
        return "No photograph was chosen. Take one, or choose a file."
    if kind_of(data) is None:
        return "That is no photograph this book can show: it takes JPEG, PNG and WebP pictures."
    if len(data) > LARGEST_PHOTOGRAPH:
        most = LARGEST_PHOTOGRAPH // 2**20
        return f"That photograph has {len(data) / 2**20:.0f} MiB: {most} at the most."
    return ""


_WEBP: Final = ("image/webp", ".webp")
_ALL_KINDS: Final = (*_KINDS.values(), _WEBP)


def _can_be_shown(book: Book, about: str) -> bool:
    state = book.state
    known = about in state.things or about in state.bindings
    return known or test_called(book, about) is not None


def _name(given: str, data: bytes) -> str:
    """A name for it with the ending that belongs to what it is."""
    kind = kind_of(data)
    assert kind is not None
    plain = "".join(each if each.isalnum() or each in "-_ " else "-" for each in given)
    stem = plain.rpartition("-")[0] if "." in given else plain
    return (stem.strip("- ")[:LONGEST_NAME] or "photograph") + kind[1]


ROUTES = (
    page("/photo", photograph, "GET", "POST", files=1),
    page("/picture/{key}", picture),
)
