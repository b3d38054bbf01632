"""Photographs: kept as they are, once, about anything; what is none is refused."""

from __future__ import annotations

import re
import zlib
from struct import pack

import httpx
import pytest

from web.screens import Browser, ids


def png(side: int = 8) -> bytes:
    """A grey picture."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return pack(">I", len(data)) + name + data + pack(">I", zlib.crc32(name + data))

    rows = b"".join(b"\0" + b"\x80" * side for _ in range(side))
    head = pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


def send(browser: Browser, data: bytes, about: str, **typed: str) -> httpx.Response:
    """Send a photograph as a form does."""
    return browser.ask(
        "POST",
        "/photo",
        data={"about": about, **typed},
        files={"photograph": ("../../IMG 1.html", data, "text/html")},
        headers={"origin": browser.base},
    )


@pytest.mark.parametrize("what", ["left piston", "left piston fit", "piston", "ferrules"])
def test_a_photograph_is_kept_once_and_shown_where_it_belongs(demo: Browser, what: str) -> None:
    about = ids(demo)[what]
    first = send(demo, png(), about, note="scored", key="photograph-1")
    send(demo, png(), about, note="scored", key="photograph-1")
    page = demo.then(first).text
    assert page.count('<img loading="lazy" src="/picture/photograph-1"') == 1
    assert 'alt="scored"' in page
    shown = demo.get("/picture/photograph-1")
    assert shown.content == png()
    assert shown.headers["content-type"] == "image/png"
    known = {"if-none-match": shown.headers["etag"]}
    assert demo.get("/picture/photograph-1", headers=known).status_code == 304
    (kept,) = demo.app.state.desk.read().state.attachments
    assert "/" not in kept.body["name"]
    assert kept.body["name"].endswith(".png")


def test_a_photograph_of_a_bench_test_and_of_a_note(demo: Browser) -> None:
    piece = ids(demo)["left piston"]
    test = demo.app.state.desk.read().state.tests[0]
    assert "/picture/" in demo.then(send(demo, png(), test.id)).text
    note = demo.then(demo.post("/enter/note", {"about": piece, "text": "scored"})).text
    found = re.search(r"/photo\?about=([0-9a-f]+)\">Add a photograph", note)
    assert found
    assert "/picture/" in demo.then(send(demo, png(), found[1])).text


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "No photograph was chosen"),
        (b"<html><script>alert(1)</script>", "no photograph this book can show"),
        (b"GIF89a" + b"\0" * 40, "no photograph this book can show"),
        (b"%PDF-1.7", "no photograph this book can show"),
        (b"\xff\xd8\xff" + b"\0" * (20 * 2**20), "20 at the most"),
    ],
)
def test_what_is_no_photograph_is_refused(demo: Browser, data: bytes, told: str) -> None:
    answer = send(demo, data, ids(demo)["left piston"], note="scored")
    assert answer.status_code == 422
    assert told in answer.text
    assert 'value="scored"' in answer.text
    assert demo.app.state.desk.read().state.attachments == []


def test_far_too_much_is_not_even_read(demo: Browser) -> None:
    answer = send(demo, b"\xff\xd8\xff" + b"\0" * (21 * 2**20), ids(demo)["left piston"])
    assert answer.status_code == 413


def test_a_file_is_taken_nowhere_else(demo: Browser) -> None:
    answer = demo.ask(
        "POST",
        "/enter/engine",
        data={"name": "Wren"},
        files={"photograph": ("a.png", png(), "image/png")},
        headers={"origin": demo.base},
    )
    assert answer.status_code in {400, 413}
    assert "Wren" not in ids(demo)


def test_a_document_is_never_shown_as_a_page(demo: Browser) -> None:
    desk, piece = demo.app.state.desk, ids(demo)["left piston"]
    data = b"<script>alert(1)</script>"
    with desk.writing("Ada") as book:
        kept = book.attach_data(piece, 'a"b.html', data)
    shown = demo.get(f"/picture/{kept.id}")
    assert shown.headers["content-type"] == "application/octet-stream"
    assert shown.headers["content-disposition"] == 'attachment; filename="a-b.html"'


def test_a_struck_out_photograph_is_shown_no_more(demo: Browser) -> None:
    piece = ids(demo)["left piston"]
    send(demo, png(), piece, key="photograph-1")
    demo.post("/strike/photograph-1", {"why": "blurred"})
    assert "/picture/" not in demo.get(f"/piece/{piece}").text
    assert demo.get("/picture/photograph-1").status_code == 404
