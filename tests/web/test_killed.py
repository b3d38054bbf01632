"""However often the server is killed, what it acknowledged is in the book, once."""

from __future__ import annotations

from pathlib import Path

from web.killing import kill, lost_or_doubled


def test_no_acknowledged_reading_is_lost_or_doubled(tmp_path: Path) -> None:
    path = tmp_path / "killed.book"
    clients = kill(path, times=20, seed=1911)
    assert lost_or_doubled(path, clients) == []
    assert all(len(client.acknowledged) >= 5 for client in clients)
    assert sum(client.tries - len(client.acknowledged) for client in clients) > 20
