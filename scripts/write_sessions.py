"""Run the terminal sessions shown in the documents again, and write down what came out.

A session is a block that begins with ``$ benchproof ...`` under a comment such as
``<!-- session: WHAT IT BEARS, WHAT SPOILS IT -->``, which names the sections of the output that
are kept beside its top; an ellipsis stands where others were cut. ``session: top`` keeps the top
alone, and ``session`` the whole output.
Commands run in a folder with the demo's files, and with the TOML blocks of that page that carry
a file name as their caption. Ids and times of entry of a book differ from run to run: each id is
shown as a made-up one, which later commands of the page may name, and each time as one evening.
"""

from __future__ import annotations

import io
import os
import re
import shlex
import sys
import tempfile
from collections.abc import Callable
from contextlib import chdir, redirect_stderr, redirect_stdout
from hashlib import sha256
from pathlib import Path
from unittest.mock import patch

from benchproof.cli import run
from benchproof.demo import files_in

ROOT = Path(__file__).resolve().parent.parent
CUT = "…"

_SESSION = re.compile(
    r"(?P<head><!-- session(?:: (?P<kept>[^>]*?))? -->\n+```console\n"
    r"\$ benchproof (?P<words>[^\n]*)\n)(?P<shown>.*?)(?P<tail>```)",
    re.DOTALL,
)
_FILE = re.compile(
    r"```\{code-block\} toml\n:caption: (?P<name>\S+)\n\n(?P<text>.*?)```", re.DOTALL
)
_TITLE = re.compile(r"[A-Z]{2,}(?:[ ,].*)?")
_ID = re.compile(r"\b[0-9a-f]{8}(?:[0-9a-f]{8})?\b")
_TIME = re.compile(r"\b\d{4}-\d\d-\d\d \d\d:?\d\d\b")
_EVENING = "2026-03-01 19:30"
_BUILDER = {"USER": "builder"}
_NUMBER = re.compile(r"(?P<number>[0-9]+(?:\.[0-9]+)?)(?P<unit> mm\b)?")


def pages() -> list[Path]:
    """Every document that shows a session."""
    found = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
    return [page for page in found if _SESSION.search(page.read_text(encoding="utf-8"))]


def rewritten(page: Path) -> str:
    """A document with every session in it run again."""
    text = page.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as place:
        with files_in(Path(place)):
            for file in _FILE.finditer(text):
                Path(place, file["name"]).write_text(file["text"], encoding="utf-8")
        with chdir(place), patch.dict(os.environ, _BUILDER):
            ids = Ids()
            return _SESSION.sub(
                lambda found: (
                    found["head"] + cut(_output(found["words"], ids), found["kept"]) + found["tail"]
                ),
                text,
            )


class Ids:
    """Ids of a book, and the made-up ones shown in their place."""

    def __init__(self) -> None:
        self._shown: dict[str, str] = {}

    def shown(self, text: str) -> str:
        """Text with every id and time of entry replaced."""
        return _ID.sub(lambda found: self._made_up(found[0]), _TIME.sub(_EVENING, text))

    def real(self, words: str) -> str:
        """A command with its made-up ids replaced by real ones."""
        for real, shown in self._shown.items():
            words = words.replace(shown, real)
        return words

    def _made_up(self, real: str) -> str:
        number = str(len(self._shown)).encode()
        return self._shown.setdefault(real, sha256(number).hexdigest()[: len(real)])


def _output(words: str, ids: Ids) -> str:
    out = io.StringIO()
    with redirect_stdout(out), redirect_stderr(out):
        run(shlex.split(ids.real(words)))
    return ids.shown(out.getvalue()).strip("\n") + "\n"


def cut(output: str, kept: str | None) -> str:
    """Output with the sections that are not kept replaced by an ellipsis."""
    if kept is None:
        return output
    titles = {title.strip() for title in kept.split(",")} - {"top"}
    lines: list[str] = []
    keeping = True
    for line in output.splitlines():
        if _TITLE.fullmatch(line):
            begun = {title for title in titles if line.startswith(title)}
            keeping = bool(begun)
            titles -= begun
        if keeping:
            lines += ["", line] if lines[-1:] == [CUT] else [line]
        elif lines[-1:] != [CUT]:
            lines.append(CUT)
    if titles:
        raise ValueError(f"no such section in the output: {', '.join(sorted(titles))}")
    return "\n".join(lines) + "\n"


def agree(shown: str, run_again: str) -> bool:
    """Whether two texts say the same, numbers within what another processor may round otherwise.

    Line breaks do not count. A size in mm may differ by two in its last place; any other number
    by that, or by 3 % of the largest number in its line, since a range comes from counted draws.
    """
    masked = [" ".join(_NUMBER.sub("#", text).split()) for text in (shown, run_again)]
    if masked[0] != masked[1]:
        return False
    others = _NUMBER.finditer(run_again)
    for line in shown.splitlines():
        largest = max((float(found["number"]) for found in _NUMBER.finditer(line)), default=0.0)
        for found in _NUMBER.finditer(line):
            last_place = 10.0 ** -len(found["number"].partition(".")[2])
            spread = 0.0 if found["unit"] else 0.03 * largest
            allowed = max(2.0 * last_place, spread) * (1.0 + 1e-9)
            if abs(float(found["number"]) - float(next(others)["number"])) > allowed:
                return False
    return True


def behind(again: Callable[[Path], str] = rewritten) -> list[str]:
    """Names of the documents that show something else than what comes out."""
    return [
        str(page.relative_to(ROOT))
        for page in pages()
        if not agree(page.read_text(encoding="utf-8"), again(page))
    ]


if __name__ == "__main__":
    os.environ["COLUMNS"] = "80"
    if "--check" in sys.argv:
        late = behind()
        sys.exit(
            f"sessions are behind in {', '.join(late)}: run {Path(__file__).name}" if late else 0
        )
    for each in pages():
        each.write_text(rewritten(each), encoding="utf-8")
