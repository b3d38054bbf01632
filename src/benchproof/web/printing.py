"""Papers that take long: set in the background, with how far they are, until they are fetched."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Final, TypeAlias

from benchproof.book.errors import BookError
from benchproof.book.records import new_id
from benchproof.specs import SpecError

MOST_KEPT: Final = 12  # papers held until they are fetched

Told: TypeAlias = Callable[[int, int, str], None]


@dataclass
class Paper:
    """One paper being set: what it is, how far it is, and in the end its content or what failed."""

    id: str
    title: str
    file: str
    of: str
    done: int = 0
    whole: int = 0
    at: str = ""
    content: bytes | None = None
    wrong: str = ""

    @property
    def running(self) -> bool:
        """Whether it is still being set."""
        return self.content is None and not self.wrong


class Printing:
    """Sets one paper after the other; whoever asked may go on meanwhile."""

    def __init__(self) -> None:
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="printing")
        self._papers: OrderedDict[str, Paper] = OrderedDict()
        self._lock = threading.Lock()

    def close(self) -> None:
        """Drop what is waiting."""
        self._pool.shutdown(wait=False, cancel_futures=True)

    def begin(
        self, title: str, file: str, setting: Callable[[Told], bytes], *, of: str = ""
    ) -> Paper:
        """Have a paper of something set; ``setting`` makes it and tells how far it is."""
        paper = Paper(new_id(), title, file, of)
        with self._lock:
            self._papers[paper.id] = paper
            while len(self._papers) > MOST_KEPT:
                self._papers.popitem(last=False)
        self._pool.submit(self._set, paper, setting)
        return paper

    def papers(self, of: str) -> list[Paper]:
        """Papers of a thing of this name that are being set or are ready, the newest first."""
        with self._lock:
            return [each for each in reversed(self._papers.values()) if each.of == of]

    def paper(self, key: str) -> Paper | None:
        """A paper by its id; None where it was dropped for newer ones."""
        return self._papers.get(key)

    def _set(self, paper: Paper, setting: Callable[[Told], bytes]) -> None:
        def told(done: int, whole: int, words: str) -> None:
            paper.done, paper.whole, paper.at = done, whole, words

        try:
            paper.content = setting(told)
        except (BookError, SpecError) as refused:
            paper.wrong = str(refused)
        except Exception:
            # Whoever waits for it must not wait for ever.
            paper.wrong = "it could not be set; that is a fault of ours"
