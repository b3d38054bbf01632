"""The command that opens the screens: a local web app in the browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import App, Group, Parameter

from benchproof.book_commands.opening import ENDING, ENVIRONMENT, Who, books_here, writer
from benchproof.exits import ANSWERED, say

PORT = 8765
FIRST_BOOK = Path(f"workshop{ENDING}")


def open_(
    book: Path | None = None,
    *,
    lan: Annotated[
        bool, Parameter(negative="", help="Let paired tablets of the workshop's network in.")
    ] = False,
    port: Annotated[int, Parameter(help="Port to serve on; another one if it is taken.")] = PORT,
    no_browser: Annotated[bool, Parameter(negative="", help="Leave the browser closed.")] = False,
    who: Who = None,
) -> int:
    """Open the screens: serve the book on this machine, and show it in the browser.

    Parameters
    ----------
    book
        The book; else BENCHPROOF_BOOK, else the only *.book in this folder. One that is not there
        yet is begun on the first page.
    """
    from benchproof.web.serving import serve

    path = _path(book)
    say(f"{path.name}: serving until you press Ctrl-C.\n")
    serve(path, who=writer(who), lan=lan, port=port, browser=not no_browser, say=say)
    return ANSWERED


def _path(stated: Path | None) -> Path:
    """The book that is meant; a name for a new one where there is none."""
    import os

    from benchproof.book.errors import NoBook

    if stated is not None:
        return stated
    told = os.environ.get(ENVIRONMENT)
    if told:
        return Path(told)
    here = books_here()
    if len(here) > 1:
        names = ", ".join(path.name for path in here)
        raise NoBook(f"there are {len(here)} books here: {names}. Say which: open {here[0].name}")
    return here[0] if here else FIRST_BOOK


def register(app: App) -> None:
    """Put the command on the command line's app."""
    app.command(open_, name="open", group=Group("On the screen", sort_key=4))
