"""A duty whose spec cannot be read any more is told so, and hides none of the others."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchproof.book.demo import make_demo
from benchproof.book.review import holds_back, review
from benchproof.book.store import Entry


def test_a_spec_that_cannot_be_read_fails_no_review(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchproof.book.review.REVIEW_DRAWS", 512)
    with make_demo(tmp_path / "demo.book") as book:
        bound = book.binding("right piston fit")
        before = {verdict.name for verdict in review(book)}
        body = {**bound.record.body, "stated": {**bound.stated, "bore_material": "moonstone"}}
        book.store.add([Entry("duty", body, bound.engine, bound.record.id)])
        verdicts = {verdict.name: verdict for verdict in review(book)}
    assert set(verdicts) == before
    broken = verdicts["right piston fit"]
    assert (broken.state, broken.right) == ("in trouble", 0.0)
    assert "cannot be read" in broken.do_next["metric"]
    assert "bore material" in broken.do_next["metric"]
    assert holds_back(list(verdicts.values())) is not None
