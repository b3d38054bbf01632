"""Text in 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

WIDTH = 80


def wrapped(text: str, first: str = "  ", after: str = "  ", *, width: int = WIDTH) -> list[str]:
    """Lines of at most ``width`` columns, what is in front of them included."""
    return textwrap.wrap(text, width, initial_indent=first, subsequent_indent=after)


def page(lines: Iterable[str]) -> str:
    """Lines as one text that ends in a line end."""
    return "\n".join(lines).rstrip() + "\n"
