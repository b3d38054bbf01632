"""What was refused, in words: which file, which field, what was given, what to try.

Somebody who hands in the wrong file altogether wants to hear that, and not thirty fields of it
that do not belong there.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from benchproof.columns import WIDTH
from benchproof.quantities.errors import shortened
from benchproof.specs import Problem, SpecError

_LEAST_ALIKE = 2  # fields of another kind of file, before it is taken for one


class RefusedEntryError(SpecError):
    """Problems of what was to be entered in a book; a file's name is told if they are of one."""

    def __init__(self, problems: Iterable[Problem], name: str = "") -> None:
        super().__init__(problems)
        self.name = name


class RefusedFileError(SpecError):
    """Problems of one file, whose path is told with them."""

    def __init__(self, path: Path, problems: Iterable[Problem]) -> None:
        super().__init__(problems)
        self.path = path


@contextmanager
def told_of(path: Path) -> Iterator[None]:
    """Name the file in whatever is refused inside."""
    try:
        yield
    except RefusedFileError:
        raise
    except SpecError as error:
        raise RefusedFileError(path, error.problems) from None


def check_kind(
    stated: Mapping[str, Any], wanted: str, kinds: Mapping[str, Collection[str]], path: Path
) -> None:
    """Refuse a file that states none of what is wanted and is plainly of another kind.

    ``kinds`` are the names at the top of each kind of file, by what it is called.
    """
    others = {name for kind, names in kinds.items() if kind != wanted for name in names}
    if any(name in kinds[wanted] and name not in others for name in stated):
        return
    alike = {kind: sum(name in stated for name in names) for kind, names in kinds.items()}
    likest = max(alike, key=lambda kind: alike[kind])
    if likest != wanted and alike[likest] >= max(_LEAST_ALIKE, alike[wanted] + 1):
        message = f"reads like {likest}, and {wanted} is asked for: are two files swapped?"
        raise RefusedFileError(path, [Problem(path.name, "file", "", message)])


def refusal(error: SpecError) -> str:
    """Every problem in words: the field, what was given, what is allowed, what to try."""
    where = f" in {error.path.name}" if isinstance(error, RefusedFileError) else ""
    undone = "reckoned"
    if isinstance(error, RefusedEntryError):
        where, undone = f" in {error.name}" if error.name else "", "written"
    lines = [f"Refused{where}, nothing was {undone}:"]
    for problem in error.problems:
        # A label is the field's name in words: said twice it only looks like two things.
        name = _named(problem)
        # What is no text and no number has no words of its own: only its file shows it.
        given = "" if problem.given.startswith("a value of type") else problem.given
        told = f" (given: {given})" if given and given not in problem.message else ""
        lines += _filled(f"- {name}: {problem.message}{told}", "  ")
        if problem.example:
            lines += _filled(f"  try: {problem.example}", "       ")
    return "\n".join(lines) + "\n"


def _named(problem: Problem) -> str:
    """A field as its file has it; the readings of a list are counted from one, as people do."""
    path, field = problem.field.split("."), problem.field
    places = [place for place, step in enumerate(path) if step.isdecimal()]
    if not places:
        return problem.label if problem.label == field else f"{problem.label} [{field}]"
    at = places[-1]
    own = ".".join(path[at + 1 :])
    row = f"{' '.join(path[:at])} {int(path[at]) + 1}: "
    label = problem.label if problem.label.startswith(row) else f"{row}{problem.label}"
    return f"{label} [{own}]" if own and label != f"{row}{own}" else label


def book_refusal(words: str) -> str:
    """What a book refused, as sentences."""
    lines = [line for each in words.splitlines() for line in _filled(_sentence(each), "  ")]
    return "\n".join(lines) + "\n"


def _sentence(text: str) -> str:
    """Text as a sentence; a file's name at its beginning stays as it is."""
    first = text.split(maxsplit=1)[0] if text.strip() else ""
    begun = text if set(first) & set("./\\") else text[:1].upper() + text[1:]
    return begun if begun.endswith((".", "?", "!")) else f"{begun}."


def _filled(text: str, after: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent=after, break_on_hyphens=False)


def unknown(key: str, known: Collection[str], what: str, example: str) -> str:
    """Say that nothing of this name is known, what is, and a line that would do."""
    near = get_close_matches(key, known, n=1)
    hint = f" Did you mean {near[0]}?" if near else ""
    if Path(key).suffix:
        hint = f" The {what} comes before the files."
    given = shortened(key)
    return (
        f"No {what} is called {given}; there are: {', '.join(sorted(known))}.{hint}\nTry: {example}"
    )


def misused(words: str, command: str) -> str:
    """What was wrong with the command line, a line that would do, and where to read more."""
    words = re.sub(
        r"^Command .* parameter --(\w+) requires an argument",
        lambda found: f"{found[1].upper()} is missing",
        words,
    ).replace("Unused Tokens", "More words than it takes")
    lines = _filled(words, "  ")
    if command in _EXAMPLES:
        lines += _filled(f"Such as: {_EXAMPLES[command]}", " " * 9)
    lines.append(f"Try: {' '.join(['benchproof', *command.split(), '--help'])}")
    return "\n".join(lines) + "\n"


_EXAMPLES = {
    "size": "benchproof size piston-fit piston.toml --made made.toml",
    "result": "benchproof result drop-test piston.toml drop.toml --made made.toml",
    "procedure": "benchproof procedure drop-test",
    "standing": "benchproof standing lathe.toml",
    "duties": "benchproof duties piston-fit",
    "new": 'benchproof new dunnock.book --workshop "My workshop"',
    "engine": 'benchproof engine Dunnock --gauge "5 in" --boiler-pressure "5 bar"',
    "part": 'benchproof part piston --engine Dunnock --group "cylinders and motion" --off 2',
    "piece": 'benchproof piece "left piston" --part piston',
    "instrument": 'benchproof instrument "bore gauge" --u "3 um" --checked 2026-01-10',
    "give": 'benchproof give piston-fit "left fit" piston.toml --role bore="left cylinder" '
    '--role piston="left piston"',
    "measure": 'benchproof measure "left cylinder" bore "30.006 mm" --aim "30 mm" '
    '--with "bore gauge"',
    "test": 'benchproof test "left fit" drop-test drop.toml',
    "plan": 'benchproof plan "left fit"',
    "past": 'benchproof past bore "25 mm" "25.004 mm" --with "bore gauge" --when 2026-01-10',
    "event": 'benchproof event "spindle bearings adjusted" --when 2026-03-01',
    "scrap": 'benchproof scrap "left piston" --why "turned too small"',
    "note": 'benchproof note "left piston" "lapped a little too eagerly"',
    "attach": 'benchproof attach "left piston" drawing.jpg',
    "strike": 'benchproof strike 1a2b3c4d --why "entered twice"',
    "export": "benchproof export plain",
    "import": "benchproof import plain again.book",
}
