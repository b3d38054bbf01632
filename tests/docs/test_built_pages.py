"""The documents build without a warning, their examples run, and they need no network."""

from __future__ import annotations

import re
import subprocess
import sys
from html import unescape
from pathlib import Path

import pytest

DOCS = Path(__file__).resolve().parents[2] / "docs"
ANOTHER_PLACE = re.compile(r"^(?:https?:)?//")
LOADS = re.compile(r"<(?:script|img|iframe|source|video|audio)\b[^>]*?\bsrc=[\"']([^\"']+)")
LINKED = re.compile(r"<link\b[^>]*?\bhref=[\"']([^\"']+)")
IMPORTED = re.compile(r"@import\s+[\"']([^\"']+)|url\([\"']?([^\"')]+)")


def sphinx(builder: str, target: Path, doctrees: Path) -> subprocess.CompletedProcess[str]:
    """Build the documents, any warning being an error; reading them once serves two builders."""
    command = [sys.executable, "-m", "sphinx", "-q", "-W", "--keep-going", "-b", builder]
    command += ["-d", str(doctrees), str(DOCS), str(target)]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder of the pages, built once."""
    target = tmp_path_factory.mktemp("pages")
    done = sphinx("html", target / "html", target / "doctrees")
    assert done.returncode == 0, done.stdout + done.stderr
    return target


def test_examples_run(built: Path) -> None:
    done = sphinx("doctest", built / "doctest", built / "doctrees")
    assert done.returncode == 0, done.stdout + done.stderr
    count = re.search(r"([0-9]+) tests\n", (built / "doctest" / "output.txt").read_text("utf-8"))
    assert count is not None
    assert int(count[1]) > 0


def test_every_page_of_the_sources_is_built(built: Path) -> None:
    sources = {path.relative_to(DOCS).with_suffix("") for path in DOCS.rglob("*.md")}
    sources = {path for path in sources if path.parts[0] != "_build"}
    pages = {p.relative_to(built / "html").with_suffix("") for p in built.rglob("html/**/*.html")}
    assert sources <= pages


def test_pages_load_nothing_from_elsewhere(built: Path) -> None:
    loaded = []
    for page in built.rglob("html/**/*.html"):
        text = page.read_text("utf-8")
        loaded += [(page.name, place) for place in LOADS.findall(text) + LINKED.findall(text)]
    for sheet in built.rglob("html/**/*.css"):
        text = sheet.read_text("utf-8")
        loaded += [(sheet.name, one or other) for one, other in IMPORTED.findall(text)]
    assert loaded
    assert [(name, place) for name, place in loaded if ANOTHER_PLACE.match(place)] == []


def test_equations_are_typeset(built: Path) -> None:
    page = (built / "html" / "theory" / "piston_fit.html").read_text("utf-8")
    assert page.count("<math") > 10
    assert "MathJax" not in page


def test_pages_claim_nothing_that_only_others_may(built: Path) -> None:
    claim = re.compile(r"\b(?:safe|approved|certified)\b", re.IGNORECASE)
    denied = re.compile(r"\b(?:never|nothing)\b", re.IGNORECASE)
    texts = {"README.md": (DOCS.parent / "README.md").read_text("utf-8")}
    for page in built.rglob("html/**/*.html"):
        article = re.search(r"<article.*?</article>", page.read_text("utf-8"), re.DOTALL)
        texts[str(page)] = unescape(re.sub(r"<[^>]+>", "", article[0])) if article else ""
    found = []
    for name, text in texts.items():
        found += [
            f"{name}: {sentence}"
            for sentence in re.split(r"(?<=[.:])\s", " ".join(text.split()))
            if claim.search(sentence) and not denied.search(sentence)
        ]
    assert found == []
