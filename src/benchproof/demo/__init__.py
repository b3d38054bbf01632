"""The piston of an invented engine, from what it must do to what the drop test showed.

Engine, workshop and readings are invented. The files beside this module are real input files.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.resources import as_file, files
from pathlib import Path

from benchproof.columns import page, wrapped

FILES = (
    "lathe.toml",
    *("piston.toml", "made_bore.toml", "made.toml", "drop.toml"),
    *("tyre.toml", "made_seat.toml", "made_tyre.toml", "growth.toml", "witness.toml"),
    *("running.toml", "made_running.toml"),
    *("cock.toml", "made_cock.toml", "bubble.toml", "drip.toml"),
    *("union.toml", "made_union.toml", "hold.toml"),
    *("injector.toml", "made_nose.toml", "made_injector.toml"),
    *("catch.toml", "dry.toml", "throttle.toml", "warm.toml"),
)


@dataclass(frozen=True)
class Step:
    """One command of the demo, and what the builder is doing with it."""

    words: str
    command: tuple[str, ...]

    def heading(self) -> str:
        """The step in words, and the command as one would type it."""
        typed = " ".join(word.replace("FOLDER/", "") for word in self.command)
        lines = wrapped(f"$ benchproof {typed}", "", "      ")
        return f"\n{'=' * 78}\n{self.words}\n\n{page(lines)}\n"


STEPS = (
    Step(
        "1. What must this piston do, and can my lathe hold it?",
        ("size", "piston-fit", "FOLDER/piston.toml", "--lathe", "FOLDER/lathe.toml"),
    ),
    Step(
        "2. The bore is made and measured: turn the piston to suit it.",
        (
            "size",
            "piston-fit",
            "FOLDER/piston.toml",
            "--lathe",
            "FOLDER/lathe.toml",
            "--made",
            "FOLDER/made_bore.toml",
        ),
    ),
    Step(
        "3. Turned tight and lapped until it moved; dropped on plate glass and timed.",
        (
            "result",
            "drop-test",
            "FOLDER/piston.toml",
            "FOLDER/drop.toml",
            "--made",
            "FOLDER/made.toml",
            "--lathe",
            "FOLDER/lathe.toml",
        ),
    ),
)


@contextmanager
def files_in(into: Path | None) -> Iterator[Path]:
    """Hand out a folder with the demo's files: copied to ``into``, or where they are shipped."""
    with as_file(files(__package__)) as shipped:
        if into is None:
            yield shipped
            return
        into.mkdir(parents=True, exist_ok=True)
        for name in FILES:
            if not (into / name).exists():
                shutil.copyfile(shipped / name, into / name)
        yield into


def opening() -> str:
    """What the demo is about."""
    return (
        "Dunnock is an invented 0-6-0 tank engine in 5 inch gauge, built in an invented\n"
        "workshop; every reading is invented too. Its piston has no rings: it must be\n"
        "steam-tight, yet free when hot.\n"
    )


def closing(folder: Path | None) -> str:
    """What to try next."""
    where = folder if folder is not None else "my-piston"
    first = (
        ""
        if folder is not None
        else f"  benchproof demo --into {where}    the demo's files, to change\n"
    )
    return (
        f"\n{'=' * 78}\nWhat to try next:\n{first}"
        f"  benchproof size piston-fit {where}/piston.toml    your own sizes in it\n"
        "  benchproof duties piston-fit    every field, its unit and its limits\n"
        "  benchproof procedure drop-test    how to do the test at the bench\n"
        "  benchproof tour    the book that such an engine is kept in\n"
        "  benchproof standing    what is assumed of a lathe nobody has told about\n"
    )
