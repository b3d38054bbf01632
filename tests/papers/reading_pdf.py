"""A PDF read back as a reader would, and as a listener would."""

from __future__ import annotations

import io
import re
from functools import lru_cache
from typing import Any

from pypdf import PdfReader


@lru_cache(maxsize=32)
def opened(pdf: bytes) -> PdfReader:
    """The PDF, to look into."""
    return PdfReader(io.BytesIO(pdf))


def root(pdf: bytes) -> dict[str, Any]:
    """What the PDF says of itself as a whole."""
    found: dict[str, Any] = dict(opened(pdf).trailer["/Root"].get_object())  # type: ignore[call-overload]
    return found


@lru_cache(maxsize=32)
def words(pdf: bytes) -> str:
    """All text of a PDF on one line, page after page."""
    pages = (page.extract_text() for page in opened(pdf).pages)
    return re.sub(r"\s+", " ", " ".join(pages))


def fonts(pdf: bytes) -> set[str]:
    """Names of the fonts used, without the letters that mark a part of one."""
    found = set()
    for page in opened(pdf).pages:
        resources = page["/Resources"].get_object()
        for font in (resources.get("/Font") or {}).values():  # type: ignore[union-attr]
            found.add(str(font.get_object()["/BaseFont"]).split("+")[-1])
        found |= _fonts_of_forms(resources)
    return found


def _fonts_of_forms(resources: object) -> set[str]:
    found: set[str] = set()
    for form in (resources.get("/XObject") or {}).values():  # type: ignore[attr-defined]
        inner = form.get_object().get("/Resources")
        if inner is None:
            continue
        inner = inner.get_object()
        for font in (inner.get("/Font") or {}).values():
            found.add(str(font.get_object()["/BaseFont"]).split("+")[-1])
        found |= _fonts_of_forms(inner)
    return found


def size_mm(pdf: bytes, page: int) -> tuple[float, float]:
    """Width and height of a page [mm]."""
    box = opened(pdf).pages[page].mediabox
    return float(box.width) * 25.4 / 72.0, float(box.height) * 25.4 / 72.0
