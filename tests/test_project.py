"""The project as a package: what it ships with, what it holds, and what it must never say."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import distribution
from importlib.resources import files
from pathlib import Path
from zipfile import ZipFile

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

import benchproof

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "src" / "benchproof"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
RUNTIME = {canonicalize_name(Requirement(text).name) for text in PROJECT["dependencies"]}

# Licences that ask for no more than their own text. The last three cover small parts that numpy
# carries within itself and ask for less still; PSF-2.0 is that of typing_extensions.
PERMISSIVE = {
    "MIT",
    "BSD",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Apache-2.0",
    "PSF-2.0",
    "0BSD",
    "Zlib",
    "CC0-1.0",
}
CLASSIFIED = {
    "License :: OSI Approved :: MIT License": "MIT",
    "License :: OSI Approved :: BSD License": "BSD",
    "License :: OSI Approved :: ISC License (ISCL)": "ISC",
    "License :: OSI Approved :: Apache Software License": "Apache-2.0",
    "License :: OSI Approved :: Python Software Foundation License": "PSF-2.0",
}


def needed_by(name: str, extras: frozenset[str] = frozenset()) -> Iterator[Requirement]:
    """What an installed package asks for on this machine."""
    for text in distribution(name).requires or []:
        wanted = Requirement(text)
        applies = [{"extra": extra} for extra in ("", *extras)]
        if wanted.marker is None or any(wanted.marker.evaluate(each) for each in applies):
            yield wanted


def shipped() -> list[str]:
    """Every package that comes along when only Benchproof is installed."""
    found: dict[str, None] = {}
    waiting = [Requirement(text) for text in PROJECT["dependencies"]]
    while waiting:
        wanted = waiting.pop()
        name = canonicalize_name(wanted.name)
        if name not in found:
            found[name] = None
            waiting += needed_by(name, frozenset(wanted.extras))
    return sorted(found)


def licences(expression: str | None, words: str | None, classifiers: list[str]) -> set[str]:
    """Licences that metadata name: the expression if there is one, else classifiers, else words."""
    if expression:
        return set(re.split(r"\s+(?:AND|OR)\s+", expression.replace("(", "").replace(")", "")))
    named = [each for each in classifiers if each.startswith("License ::")]
    if named:
        return {CLASSIFIED.get(each, each) for each in named}
    return {words} if words else set()


@pytest.mark.parametrize("name", shipped())
def test_shipped_packages_carry_permissive_licences(name: str) -> None:
    metadata = distribution(name).metadata
    found = licences(
        metadata["License-Expression"], metadata["License"], metadata.get_all("Classifier") or []
    )
    assert found, f"{name} names no licence"
    assert found <= PERMISSIVE, f"{name}: {found - PERMISSIVE}"


@pytest.mark.parametrize(
    ("expression", "words", "classifiers"),
    [
        ("MIT AND GPL-3.0-or-later", None, []),
        (None, "LGPL", []),
        (None, None, ["License :: OSI Approved :: GNU General Public License v3 (GPLv3)"]),
        (None, "MIT", ["License :: OSI Approved :: Mozilla Public License 2.0 (MPL 2.0)"]),
    ],
)
def test_other_licences_are_found_out(
    expression: str | None, words: str | None, classifiers: list[str]
) -> None:
    assert not licences(expression, words, classifiers) <= PERMISSIVE


def test_only_these_packages_are_asked_for_at_run_time() -> None:
    assert {
        "numpy",
        "scipy",
        "pydantic",
        "cyclopts",
        "ezdxf",
        "typst",
        "segno",
        "starlette",
        "uvicorn",
        "jinja2",
        "markupsafe",
        "python-multipart",
    } == RUNTIME


def imports_of(path: Path) -> set[str]:
    """Top names of everything a module imports, at its top or later."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {each.name.partition(".")[0] for each in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names.add(node.module.partition(".")[0])
    return names


def test_the_source_imports_only_what_comes_along() -> None:
    imported = set().union(*(imports_of(path) for path in SOURCE.rglob("*.py")))
    assert imported >= RUNTIME - {"python-multipart"}  # starlette alone uses that one
    # pydantic brings the very pydantic_core it was made with, and shows some of it as its own.
    allowed = RUNTIME | {"benchproof", "pydantic_core"} | sys.stdlib_module_names
    assert sorted(imported - allowed) == []


def test_constraints_are_exact_versions_and_nothing_else() -> None:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if not re.fullmatch(r"[\w.-]+==[\w.]+", line)] == []


def test_constraints_pin_every_package_that_a_developer_installs() -> None:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pinned = {canonicalize_name(line.partition("==")[0]): line for line in lines}
    wanted = list(needed_by("benchproof", frozenset({"test", "check", "docs"})))
    reached = set()
    while wanted:
        requirement = wanted.pop()
        name = canonicalize_name(requirement.name)
        if name not in reached and name != "benchproof":
            reached.add(name)
            wanted += needed_by(name, frozenset(requirement.extras))
    assert len(reached) > len(RUNTIME)
    assert sorted(reached - set(pinned)) == []


def test_the_version_is_the_same_everywhere() -> None:
    assert PROJECT["version"] == benchproof.__version__
    assert distribution("benchproof").version == benchproof.__version__


@pytest.mark.parametrize(
    "name",
    [str(p.relative_to(SOURCE)) for p in sorted(SOURCE.rglob("*")) if p.suffix in {".csv", ".toml"}]
    + ["py.typed"],
)
def test_data_files_are_found_in_the_package(name: str) -> None:
    found = files("benchproof")
    for part in Path(name).parts:
        found = found / part
    assert found.is_file()


def test_the_wheel_holds_code_and_data_and_nothing_else(tmp_path: Path) -> None:
    built = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert built.returncode == 0, built.stderr
    (wheel,) = tmp_path.glob("*.whl")
    held = {n for n in ZipFile(wheel).namelist() if n.startswith("benchproof/")}
    wanted = {
        "benchproof/" + p.relative_to(SOURCE).as_posix()
        for p in SOURCE.rglob("*")
        if p.is_file() and "__pycache__" not in p.parts
    }
    assert held == wanted


SLOW = ("numpy", "scipy", "pydantic", "CoolProp", "pint")


def modules_after(code: str) -> set[str]:
    """Top names of what is loaded once a fresh Python has run some code."""
    last = "; import sys; print('\\n' + ' '.join(sorted(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", code + last], capture_output=True, text=True, check=True
    )
    return {name.partition(".")[0] for name in done.stdout.splitlines()[-1].split()}


@pytest.mark.parametrize("words", [["--help"], ["size", "--help"], ["--version"]])
def test_asking_for_help_loads_no_slow_library(words: list[str]) -> None:
    loaded = modules_after(f"from benchproof.cli import run; run({words!r})")
    assert "benchproof" in loaded
    assert loaded.isdisjoint(SLOW)


def test_a_slow_library_would_be_noticed() -> None:
    assert "numpy" in modules_after("import benchproof.spread")


# What no file of the project may hold, and why. Brackets keep a rule from finding itself.
NEVER = {
    "a folder of one machine": r"(?<![\w.])/(?:wor[k]|roo[t]|hom[e]/\w+)/",
    "the address of a package index": r"p[y]pi\.org|python[h]osted\.|index[-]url",
    "a claim that only an inspector can make": (
        r"\b(?:is|are|was|it's)\s+(?:now\s+)?(?:saf[e]|approve[d]|certifie[d])\b(?!\s+(?:to|under)\b)"
    ),
}


def written_files() -> list[Path]:
    """Every text file that belongs to the project, new ones too."""
    told = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    if told.returncode != 0:
        pytest.skip("not a git checkout, so nobody knows which files belong to the project")
    return [ROOT / name for name in told.stdout.split("\0") if name and (ROOT / name).is_file()]


@pytest.mark.parametrize("what", NEVER)
def test_no_file_says(what: str) -> None:
    rule = re.compile(NEVER[what], re.IGNORECASE)
    found = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()}"
        for path in written_files()
        for number, line in enumerate(
            path.read_text(encoding="utf-8", errors="replace").splitlines(), 1
        )
        if rule.search(line)
    ]
    assert found == []


@pytest.mark.parametrize(
    ("what", "words"),
    [
        ("a folder of one machine", "see " + "/wor" + "k/notes.md"),
        ("the address of a package index", "https://p" + "ypi.org/simple"),
        ("a claim that only an inspector can make", "This boiler is " + "safe."),
    ],
)
def test_the_rules_find_what_they_are_for(what: str, words: str) -> None:
    assert re.search(NEVER[what], words, re.IGNORECASE)
