"""Reckoned answers kept beside a book, so that they need not be reckoned again.

A cache is no evidence: it can be thrown away at any time, and a cache that cannot be read or
written is simply not used.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
from pathlib import Path
from typing import Any


class Cache:
    """Plain data under the hash of everything it was reckoned from."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._connection: sqlite3.Connection | None = None
        with contextlib.suppress(sqlite3.Error, OSError):
            connection = sqlite3.connect(path, timeout=1.0, isolation_level=None)
            connection.execute("PRAGMA synchronous = OFF")
            connection.execute(
                "CREATE TABLE IF NOT EXISTS answer (key TEXT PRIMARY KEY, data TEXT NOT NULL)"
            )
            self._connection = connection

    @classmethod
    def beside(cls, book: Path) -> Cache:
        """The cache that lies beside a book."""
        return cls(book.with_name(book.name + ".cache"))

    def get(self, key: str) -> dict[str, Any] | None:
        """What is kept under a key, if anything can be read there."""
        if self._connection is None:
            return None
        with contextlib.suppress(sqlite3.Error, ValueError, TypeError):
            row = self._connection.execute(
                "SELECT data FROM answer WHERE key = ?", (key,)
            ).fetchone()
            if row is not None:
                found = json.loads(row[0])
                return found if isinstance(found, dict) else None
        return None

    def put(self, key: str, data: dict[str, Any]) -> None:
        """Keep plain data under a key, if that can be done."""
        if self._connection is None:
            return
        with contextlib.suppress(sqlite3.Error):
            self._connection.execute(
                "INSERT OR REPLACE INTO answer VALUES (?, ?)", (key, json.dumps(data))
            )

    def close(self) -> None:
        """Close the file."""
        if self._connection is not None:
            self._connection.close()
