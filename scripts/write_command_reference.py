"""Write the page of commands from what the commands themselves say under ``--help``."""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator
from pathlib import Path

from cyclopts import App
from rich.console import Console

from benchproof.cli import app

PAGE = Path(__file__).resolve().parent.parent / "docs" / "commands.md"
WIDTH = 80

HEAD = """\
# Commands

What each command says of itself. This page is written by `scripts/write_command_reference.py`,
and a test fails when it is behind the commands. How to use them stands in the
[tour](tour.md), in [A piston in its bore](tasks/piston.md) and in
[Keeping a book](tasks/book.md).
"""


def commands(within: App, words: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Words of every command, commands inside commands included, in alphabetical order."""
    yield words
    for name in sorted(name for name in within if not name.startswith("-")):
        yield from commands(within[name], (*words, name))


def help_of(words: tuple[str, ...]) -> str:
    """What a command prints under ``--help`` in a terminal of 80 columns without colour."""
    out = io.StringIO()
    console = Console(file=out, width=WIDTH, color_system=None, force_terminal=False)
    app.help_print(list(words), console=console)
    return "\n".join(line.rstrip() for line in out.getvalue().strip().splitlines())


def written() -> str:
    """The whole page."""
    sections = []
    for words in commands(app):
        typed = " ".join(["benchproof", *words])
        title = f"## `{typed}`\n\n" if words else ""
        sections.append(f"{title}```console\n$ {typed} --help\n{help_of(words)}\n```\n")
    return "\n".join([HEAD, *sections])


def plain(text: str) -> list[str]:
    """Words of a page without its frames and line breaks, which vary with the library's version."""
    return [word for word in text.split() if not set(word) <= set("╭╮╰╯│─┌┐└┘+-|")]


def behind() -> bool:
    """Whether the page on disk says anything else than the commands do."""
    return not PAGE.exists() or plain(PAGE.read_text(encoding="utf-8")) != plain(written())


if __name__ == "__main__":
    if "--check" in sys.argv:
        sys.exit(f"{PAGE.name} is behind: run {Path(__file__).name}" if behind() else 0)
    PAGE.write_text(written(), encoding="utf-8")
