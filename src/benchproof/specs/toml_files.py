"""Read a spec's text from a TOML file, with errors a builder can act on."""

from __future__ import annotations

import stat
import tomllib
from contextlib import suppress
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from benchproof.specs.problems import Problem, SpecError

LARGEST = 1_000_000
"""No spec needs a larger file [bytes]."""


def read_toml(path: Path | str) -> dict[str, Any]:
    """Return the contents of a TOML file.

    Raises SpecError when it is missing, no plain file, too large, not UTF-8 or not TOML (the
    line is named).
    """
    file = Path(path)

    def refused(message: str, example: str = "") -> SpecError:
        return SpecError([Problem(file.name or str(path), "file", str(path), message, example)])

    content = None
    try:
        mode = file.stat().st_mode
        if stat.S_ISREG(mode):  # a pipe would keep us waiting
            with file.open("rb") as stream:
                content = stream.read(LARGEST + 1)
    except FileNotFoundError:
        near = _like(file)
        hint = f"; there is a {near} beside it" if near else ""
        raise refused(f"does not exist{hint}", near) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise refused(f"cannot be read: {reason}") from None
    if content is None:
        folder = stat.S_ISDIR(mode)
        raise refused("is a folder; name the file in it" if folder else "is not a plain file")
    if len(content) > LARGEST:
        raise refused(f"is larger than {LARGEST} bytes")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise refused(f"is not UTF-8 text (line {line}); save it as UTF-8") from None
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise refused("is nested too deep") from None
    except ValueError as error:
        hint = 'bore = "30 mm"'
        raise refused(f"is not TOML: {error}; text stands in quotes", hint) from None


def _like(file: Path) -> str:
    """Name of a file beside one that is missing, and much like it; empty where there is none."""
    with suppress(OSError):
        names = [each.name for each in file.parent.iterdir() if each.suffix == file.suffix]
        near = get_close_matches(file.name, names, n=1, cutoff=0.75)
        return near[0] if near else ""
    return ""
