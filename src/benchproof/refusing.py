"""What was refused, in words: which file, which field, what was given, what to try.

Somebody who hands in the wrong file altogether wants to hear that, and not thirty fields of it
that do not belong there.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from benchproof.columns import WIDTH
from benchproof.quantities.errors import WITHOUT_WORDS, shortened
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
        equal = [kind for kind in kinds if alike[kind] == alike[likest]]
        told = likest if len(equal) == 1 else f"{', '.join(equal[:-1])} or {equal[-1]}"
        message = f"reads like {told}, and {wanted} is asked for: are two files swapped?"
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
        given = "" if problem.given in WITHOUT_WORDS else problem.given
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
    has_row = f"{problem.label}: ".startswith(row)
    label = problem.label if has_row else f"{row}{problem.label}"
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
    """Say that nothing of this name is known, what is, and a line that would do.

    ``example`` names one that is known: what was meant takes its place, where that is clear.
    """
    path = Path(key)
    meant = likest(path.stem if path.suffix else key, known)
    hint = f" Did you mean {meant}?" if meant else ""
    if path.suffix:
        hint = f" The {what} comes before the files."
    example = (
        " ".join(meant if word in known else word for word in example.split(" "))
        if meant
        else "benchproof duties"
    )
    given = shortened(key)
    return (
        f"No {what} is called {given}; there are: {', '.join(sorted(known))}.{hint}\nTry: {example}"
    )


def likest(key: str, known: Collection[str]) -> str:
    """What was meant by a name that is not known: of like letters, or with a word of it."""
    folded = "-".join(key.casefold().replace("_", " ").split())
    close = get_close_matches(folded, known, n=1, cutoff=0.7)
    words = set(folded.split("-")) - {"fit", "test"}
    close += sorted(name for name in known if words & set(name.split("-")))
    close += get_close_matches(folded, known, n=1)
    return close[0] if close else ""


def misused(words: str, command: str, typed: Sequence[str] = ()) -> str:
    """What was wrong with the command line, a line that would do, and where to read more.

    ``typed`` are its words: an option among them is not missing, only its value is.
    """

    def lacking(found: re.Match[str]) -> str:
        option = f"--{found[1]}"
        if option not in typed:
            return f"{found[1].upper()} is missing"
        after = [*typed, ""][typed.index(option) + 1]
        if not after.startswith("-") or after.startswith("--"):
            return f"{option} lacks its value"
        return f"{option} lacks its value; one that begins with - needs a =: {option}={after}"

    words = _NO_VALUE.sub(lacking, words).replace("Unused Tokens", "More words than it takes")
    words = _NO_NUMBER.sub(r"“\1” is no whole number", words)
    lines = _filled(words, "  ")
    if command in _EXAMPLES:
        lines += _filled(f"Such as: {_EXAMPLES[command]}", " " * 9)
    lines.append(f"Try: {' '.join(['benchproof', *command.split(), '--help'])}")
    return "\n".join(lines) + "\n"


_NO_VALUE = re.compile(r"^(?:Command .* )?[Pp]arameter \"?--([\w-]+)\"? requires an argument")
_NO_NUMBER = re.compile(r'unable to convert "([^"]*)" into int')

_EXAMPLES = {
    "lot": "benchproof lot ferrules.toml --so-far readings.csv",
    "pair": "benchproof pair holes.csv shafts.csv --least 10um --most 30um",
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
