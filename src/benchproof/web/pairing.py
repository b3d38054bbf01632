"""Pairing a tablet: a code that works once and not for long, and sessions that can be revoked.

A code has six digits and is void after ten wrong guesses, whoever made them, so that guessing
succeeds once in a hundred thousand codes; a new code is made on the machine itself alone.
Sessions live as long as the program: started again, everyone pairs again.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

COOKIE: Final = "paired"
CODE_LIVES: Final = 600.0  # s
SESSION_LIVES: Final = 30 * 24 * 3600.0  # s
MOST_GUESSES: Final = 10
MOST_SESSIONS: Final = 20
_DIGITS: Final = 6


@dataclass(frozen=True)
class Session:
    """A paired browser: its id for revoking it, its name, where and when it was paired."""

    id: str
    name: str
    address: str
    since: float


class Pairing:
    """One code at a time, and the browsers that are paired. ``addresses`` are where to reach us."""

    def __init__(
        self, addresses: tuple[str, ...] = (), *, clock: Callable[[], float] = time.time
    ) -> None:
        self.addresses = addresses
        self._clock = clock
        self._lock = threading.Lock()
        self._code = ""
        self._until = 0.0
        self._wrong = 0
        self._sessions: dict[str, Session] = {}
        self.new_code()

    def new_code(self) -> str:
        """Make a code in place of the one there is."""
        with self._lock:
            self._code = f"{secrets.randbelow(10**_DIGITS):0{_DIGITS}}"
            self._until = self._clock() + CODE_LIVES
            self._wrong = 0
            return self._code

    @property
    def code(self) -> str:
        """The code that pairs now; empty when it was used, guessed at too often, or too old."""
        with self._lock:
            return self._code if self._clock() < self._until else ""

    def pair(self, guess: str, name: str, address: str) -> str | None:
        """A secret for the cookie of whoever knows the code; None for anybody else."""
        with self._lock:
            alive = bool(self._code) and self._clock() < self._until
            given = "".join(
                letter for letter in guess[:40] if letter.isascii() and letter.isdigit()
            )
            if not alive or not hmac.compare_digest(given, self._code):
                self._wrong += 1
                if self._wrong >= MOST_GUESSES:
                    self._code = ""
                return None
            self._code = ""
            secret = secrets.token_urlsafe(32)
            session = Session(secrets.token_hex(8), name or "tablet", address, self._clock())
            self._sessions[_hash(secret)] = session
            while len(self._sessions) > MOST_SESSIONS:
                self._sessions.pop(next(iter(self._sessions)))
            return secret

    def session(self, secret: str) -> Session | None:
        """The session that a cookie belongs to, unless it was revoked or is too old."""
        with self._lock:
            found = self._sessions.get(_hash(secret)) if secret else None
            if found is not None and self._clock() - found.since > SESSION_LIVES:
                return None
            return found

    def sessions(self) -> list[Session]:
        """Every browser that is paired, the earliest first."""
        with self._lock:
            return list(self._sessions.values())

    def revoke(self, key: str) -> None:
        """Let a browser see nothing any more."""
        with self._lock:
            self._sessions = {
                hashed: session for hashed, session in self._sessions.items() if session.id != key
            }


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
