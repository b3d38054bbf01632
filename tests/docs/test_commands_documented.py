"""Every command and option is documented, and what is shown of them is what they do."""

from __future__ import annotations

import re
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from benchproof.cli import app

ROOT = Path(__file__).resolve().parents[2]
TYPED = re.compile(r"^\$ benchproof\b(.*)$", re.MULTILINE)
OPTION = re.compile(r"--[a-z][a-z-]*")
POSITIONAL = re.compile(r"\b[A-Z]+ --[a-z][a-z-]*")


def script(name: str) -> Any:
    """A module of the scripts' folder, which is no package."""
    where = spec_from_file_location(name, ROOT / "scripts" / f"{name}.py")
    assert where is not None
    assert where.loader is not None
    module: ModuleType = module_from_spec(where)
    where.loader.exec_module(module)
    return module


reference = script("write_command_reference")
sessions = script("write_sessions")
COMMANDS = [words for words in reference.commands(app) if words]


def written_by_hand() -> str:
    """All documents except the page of commands, which writes itself."""
    pages = [ROOT / "README.md", *(ROOT / "docs").rglob("*.md")]
    return "\n".join(page.read_text("utf-8") for page in pages if page != reference.PAGE)


def options(words: tuple[str, ...]) -> set[str]:
    """Options of a command; names under which positional ones may be given are none."""
    found = set(OPTION.findall(POSITIONAL.sub("", reference.help_of(words))))
    return found - {"--help", "--version"}


def test_there_are_commands_and_options_to_look_for() -> None:
    assert ("size",) in COMMANDS
    assert {"--lathe", "--made", "--json", "--units"} <= options(("size",))


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_every_command_and_its_options_are_shown_by_hand(words: tuple[str, ...]) -> None:
    text = written_by_hand()
    assert f"benchproof {' '.join(words)}" in text
    assert {option for option in options(words) if option not in text} == set()


def test_every_command_line_shown_exists() -> None:
    shown = {tuple(line.split()) for line in TYPED.findall(written_by_hand())}
    assert shown
    known = {words[0]: options(words) for words in COMMANDS if len(words) == 1}
    for words in shown:
        assert words[0] in known, words
        assert {word for word in words if word.startswith("--")} <= known[words[0]], words


def test_the_page_of_commands_is_up_to_date() -> None:
    assert not reference.behind(), "run scripts/write_command_reference.py"


def test_a_changed_command_would_be_noticed() -> None:
    page = reference.PAGE.read_text("utf-8")
    changed = page.replace("--made PATH", "--finished PATH")
    assert changed != page
    assert reference.plain(changed) != reference.plain(reference.written())


def test_sessions_shown_are_what_the_commands_print() -> None:
    assert len(sessions.pages()) >= 3
    assert sessions.behind() == [], "run scripts/write_sessions.py"


@pytest.mark.parametrize(
    ("shown", "again", "same"),
    [
        ("to 29.984 mm: 16.4 µm", "to 29.986 mm: 16.6 µm", True),
        ("to 29.984 mm", "to 29.987 mm", False),
        ("1.8 % (1.5 to 2.1 %)", "1.9 % (1.5 to 2.2 %)", True),
        ("68 in 100", "75 in 100", False),
        ("68 in 100 right", "68 in\n  100 right", True),
        ("68 in 100 right", "68 in 100 lost", False),
    ],
)
def test_only_rounding_may_differ(shown: str, again: str, same: bool) -> None:
    assert sessions.agree(shown, again) is same


def test_cuts_are_shown() -> None:
    output = "Top\n\nCUT TO 30 mm\n  a\n\nMIND\n  b\n\nRESTS ON\n  c\n"
    assert sessions.cut(output, "MIND") == "Top\n\n…\n\nMIND\n  b\n\n…\n"
    assert sessions.cut(output, "CUT TO, MIND") == output.replace("RESTS ON\n  c", "…")
    assert sessions.cut(output, None) == output
    with pytest.raises(ValueError, match="WHAT SPOILS IT"):
        sessions.cut(output, "WHAT SPOILS IT")
