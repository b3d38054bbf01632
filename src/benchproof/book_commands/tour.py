"""The first five minutes with a book: an invented one, walked through."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from benchproof.exits import ANSWERED, say

if TYPE_CHECKING:
    from collections.abc import Callable

NEXT = """\
What to try next:
  benchproof new dunnock.book --demo    this book, to keep and to change
  benchproof review    all of it again, in that folder
  benchproof measure "right piston" piston "29.989 mm" --aim "29.989 mm"
  benchproof plan "right piston fit"    what that changed
  benchproof new my.book --workshop "My workshop"    a book of your own
"""


def tour() -> int:
    """Walk through a book in five minutes: an invented engine, and what to ask of its book."""
    from benchproof.book_commands.answering import history, plan

    say(
        "A book keeps what you make and measure. This one is of Dunnock, an invented\n"
        "0-6-0 tank engine in 5 inch gauge; every reading in it is invented.\n"
    )
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "dunnock.book")
        steps: list[tuple[str, str, Callable[[], int]]] = [
            (
                "2. What do I cut next? The right bore is made and measured; its piston is not.",
                'plan "right piston fit"',
                lambda: plan("right piston fit", book=path),
            ),
            (
                "3. What was entered of the left piston? Nothing is ever overwritten.",
                'history "left piston"',
                lambda: history("left piston", book=path),
            ),
        ]
        reviewed(path, "1. What holds this engine back? The worst comes first.")
        for words, typed, step in steps:
            say(_heading(words, typed))
            step()
    say(f"\n{'=' * 78}\n{NEXT}")
    return ANSWERED


def reviewed(path: Path, words: str) -> None:
    """Make the demo book at ``path`` and show its review."""
    from benchproof.book.demo import make_demo
    from benchproof.book_commands.answering import review

    make_demo(path).close()
    say(_heading(words, "review Dunnock"))
    review("Dunnock", book=path)


def _heading(words: str, typed: str) -> str:
    return f"\n{'=' * 78}\n{words}\n\n$ benchproof {typed}\n\n"
