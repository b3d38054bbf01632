"""Papers from the screen: the short ones at once, the long ones with progress."""

from __future__ import annotations

import re
import time
from html import unescape

import pytest

from benchproof.web.printing import Printing
from web.screens import Browser, ids, words


@pytest.mark.parametrize(
    ("paper", "media", "begins"),
    [
        ("card.pdf", "application/pdf", b"%PDF-"),
        ("sheet/drop-test.pdf", "application/pdf", b"%PDF-"),
        ("sheet/leak-down.pdf?blank", "application/pdf", b"%PDF-"),
        ("to-keep.svg", "image/svg+xml", b"<"),
        ("to-keep.dxf", "image/vnd.dxf", b"  0\nSECTION"),
    ],
)
def test_papers_of_a_duty(demo: Browser, paper: str, media: str, begins: bytes) -> None:
    answer = demo.get(f"/duty/{ids(demo)['left piston fit']}/{paper}")
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith(media)
    assert answer.content.replace(b"\r\n", b"\n").startswith(begins)
    assert "left-piston-fit" in answer.headers["content-disposition"]


def test_every_sheet_of_a_drawing_is_there(demo: Browser) -> None:
    duty = ids(demo)["left injector"]
    page = demo.get(f"/duty/{duty}/drawings").text
    pictures = re.findall(r'<img [^>]*src="([^"]+)"', page)
    count = len(pictures)
    assert count > 1
    assert f"sheet {count} of {count}" in page
    drawn = [demo.get(unescape(each)) for each in pictures]
    assert all(each.headers["content-type"].startswith("image/svg+xml") for each in drawn)
    assert len({each.content for each in drawn}) == count
    for kept in re.findall(r'href="([^"]+to-keep[^"]+)"', page):
        assert demo.get(unescape(kept)).status_code == 200, kept
    assert demo.get(f"/duty/{duty}/drawing.svg?sheet={count + 1}").status_code == 404


def test_a_long_paper_is_set_while_one_goes_on(demo: Browser) -> None:
    engine = ids(demo)["Dunnock"]
    begun = demo.post(f"/engine/{engine}/papers", {"paper": "story"})
    where = begun.headers["location"]
    for _ in range(200):
        page = demo.get(where).text
        if 'data-running="no"' in page:
            break
        time.sleep(0.1)
    assert "Ready" in words(page)
    assert demo.get(f"{where}/paper.pdf").content.startswith(b"%PDF-")
    assert demo.post(f"/engine/{engine}/papers", {"paper": "none"}).status_code == 404


def test_what_is_no_paper_is_not_there(demo: Browser) -> None:
    duty = ids(demo)["left piston fit"]
    for path in ("to-keep.exe", "to-keep.svg?sheet=9", "sheet/growth.pdf", "sheet/none.pdf"):
        assert demo.get(f"/duty/{duty}/{path}").status_code == 404, path
    assert demo.get("/printing/none").status_code == 404


def test_a_paper_that_breaks_says_so() -> None:
    printing = Printing()

    def breaks(told: object) -> bytes:
        raise ZeroDivisionError

    paper = printing.begin("The file", "file", breaks)
    for _ in range(100):
        if not paper.running:
            break
        time.sleep(0.02)
    assert "could not be set" in paper.wrong
    printing.close()
