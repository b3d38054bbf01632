"""Commands on a book: enter, correct, look back, judge, keep."""

from __future__ import annotations

from cyclopts import App, Group

from benchproof.book_commands import answering, entering, keeping, lots

__all__ = ["register"]


def register(app: App) -> None:
    """Put the commands on the command line's app, in groups of their own."""
    groups = (
        ("Keeping a book", keeping.COMMANDS),
        ("Writing in it", {**entering.COMMANDS, **lots.WRITING}),
        ("Asking it", {**answering.COMMANDS, **lots.ASKING}),
    )
    for place, (title, commands) in enumerate(groups, 1):
        group = Group(title, sort_key=place)
        for name, command in commands.items():
            app.command(command, name=name, group=group)
