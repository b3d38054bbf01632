"""Whatever is typed, nothing breaks."""

from __future__ import annotations

from pathlib import Path

from benchproof.book.store import Store
from web.hostile_forms import Sender
from web.screens import browsing, demo_book


def test_random_forms_break_nothing(tmp_path: Path) -> None:
    path = demo_book(tmp_path)
    with browsing(path, lan=True) as browser:
        sender = Sender(browser, seed=1908)
        assert sender.send(2000) == []
    assert set(sender.counts) >= {200, 303, 404, 409, 422}
    Store.open(path).close()
