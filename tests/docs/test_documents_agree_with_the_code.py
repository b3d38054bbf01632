"""Pictures, lists and words of the documents against the code they speak of."""

from __future__ import annotations

import inspect
import pkgutil
import re
import tomllib
from importlib import import_module
from pathlib import Path

import benchproof.physics
from benchproof.physics import errors, ranges

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"


def names_of_a_layer(line: str) -> frozenset[str]:
    """Modules named in one line of a picture or of the linter's settings."""
    return frozenset(name.strip().removeprefix("benchproof.") for name in line.split("|"))


def test_the_picture_of_the_layers_is_what_the_linter_checks() -> None:
    page = (DOCS / "developer" / "architecture.md").read_text("utf-8")
    picture = re.search(r"```\{code-block\} text\n:name: layers\n\n(.*?)```", page, re.DOTALL)
    assert picture is not None
    drawn = [names_of_a_layer(line.split("  ")[0]) for line in picture[1].splitlines()]
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    contracts = settings["tool"]["importlinter"]["contracts"]
    checked = [c["layers"] for c in contracts if c["type"] == "layers"]
    assert len(checked) == 1
    assert drawn == [names_of_a_layer(layer) for layer in checked[0]]


def test_every_quantity_of_physics_is_in_the_nomenclature() -> None:
    page = (DOCS / "nomenclature.md").read_text("utf-8")
    listed = set(re.findall(r"`([a-z_]+)`", page))
    taken: set[str] = set()
    for found in pkgutil.iter_modules(benchproof.physics.__path__):
        module = import_module(f"benchproof.physics.{found.name}")
        for name, thing in vars(module).items():
            ours = getattr(thing, "__module__", "").startswith("benchproof.physics.")
            if ours and inspect.isfunction(thing) and not name.startswith("_"):
                taken |= set(inspect.signature(thing).parameters)
    for checks in (errors, ranges):  # these take any quantity, by its name
        for function in (f for f in vars(checks).values() if inspect.isfunction(f)):
            taken -= set(inspect.signature(function).parameters)
    assert "radial_gap" in taken
    assert sorted(taken - listed) == []


def test_every_target_the_documents_name_is_in_the_makefile() -> None:
    makefile = (ROOT / "Makefile").read_text("utf-8")
    texts = [(ROOT / name).read_text("utf-8") for name in ("README.md", "CONTRIBUTING.md")]
    typed = re.compile(r"(?:`|^\$ )make ([a-z]+)", re.MULTILINE)
    named = {target for text in texts for target in typed.findall(text)}
    assert {"demo", "test", "docs", "bench"} <= named
    assert named <= set(re.findall(r"^([a-z]+):", makefile, re.MULTILINE))


def test_paths_named_in_the_readme_exist() -> None:
    text = (ROOT / "README.md").read_text("utf-8")
    links = re.findall(r"\]\((?!https?:)([^)#]+)\)", text)
    paths = re.findall(r"`((?:src|tests|docs)/[^`]*)`", text)
    assert links
    built = {path for path in paths if path.startswith("docs/_build")}
    assert [path for path in {*links, *paths} - built if not (ROOT / path).exists()] == []


def test_the_readme_opens_with_one_paragraph_and_two_commands() -> None:
    text = (ROOT / "README.md").read_text("utf-8")
    opening, commands = text.split("\n## ")[:2]
    title, *paragraphs = [part for part in opening.split("\n\n") if part.strip()]
    assert title.startswith("# ")
    assert len(paragraphs) == 1
    assert re.findall(r"^\$ (.*)$", commands, re.MULTILINE) == ["make demo", "make test"]


def test_the_changelog_names_the_version_of_the_package() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    assert f"## [{settings['project']['version']}]" in (ROOT / "CHANGELOG.md").read_text("utf-8")
