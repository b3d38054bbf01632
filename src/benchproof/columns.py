"""Text in 80 columns."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Iterable, Sequence

WIDTH = 80
_WIDEST_LEFT = 46


def wrapped(text: str, first: str = "  ", after: str = "  ", *, width: int = WIDTH) -> list[str]:
    """Lines of at most ``width`` columns, what is in front of them included."""
    return textwrap.wrap(
        text, width, initial_indent=first, subsequent_indent=after, break_on_hyphens=False
    )


def page(lines: Iterable[str]) -> str:
    """Lines as one text that ends in a line end."""
    return "\n".join(lines).rstrip() + "\n"


def paragraphs(texts: Iterable[str]) -> list[str]:
    """Texts one below the other, an empty line in front."""
    return ["", *(line for text in texts for line in wrapped(text))]


def section(title: str, lines: Sequence[str]) -> list[str]:
    """Lines under a title; nothing where there are none."""
    return ["", title, *lines] if lines else []


def item(text: str, bullet: str = "- ") -> list[str]:
    """One point of a list."""
    return wrapped(text, f"  {bullet}", " " * (2 + len(bullet)))


def table(rows: Sequence[tuple[str, str]], gap: int = 2) -> list[str]:
    """Rows of two columns, the right one wrapped beside the left; at least one row."""
    width = min(max(len(left) for left, _ in rows), _WIDEST_LEFT)
    lines: list[str] = []
    for left, right in rows:
        space = " " * (2 + width + gap)
        beside = wrapped(right, "", "", width=WIDTH - len(space))
        lines.append(f"  {left:<{width}}{' ' * gap}{beside[0]}")
        lines += [space + line for line in beside[1:]]
    return lines


def sentence(text: str) -> str:
    """Text with a capital at its beginning and one full stop at its end, or its question mark."""
    begun = text[:1].upper() + text[1:].rstrip(".")
    return begun if begun.endswith(("?", "!")) else f"{begun}."


def let_it_write_every_letter(stream: object) -> None:
    """Make a stream write UTF-8 where its own encoding lacks letters that units need."""
    if isinstance(stream, io.TextIOWrapper):
        try:
            "µ°±³“”".encode(stream.encoding)
        except (LookupError, UnicodeEncodeError):
            # Refusing would stop the command, and "?m" for a micrometre reads as a metre.
            stream.reconfigure(encoding="utf-8")
