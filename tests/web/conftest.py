"""A browser before the demo book, and one before no book at all."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from web.screens import Browser, browsing, demo_book


@pytest.fixture
def demo(tmp_path: Path) -> Iterator[Browser]:
    with browsing(demo_book(tmp_path)) as browser:
        yield browser


@pytest.fixture
def nothing(tmp_path: Path) -> Iterator[Browser]:
    with browsing(tmp_path / "workshop.book") as browser:
        yield browser
