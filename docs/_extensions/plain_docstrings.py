"""Docstrings are plain text that people read in the source; here they are made ready for pages.

Two things are added. What a page builder would take for markup (``|taper|``, ``a*b``) is
escaped, and an indented paragraph, which in the source is an equation, becomes a literal block.
Literals in double backticks, cross references, emphasis and examples stay as they are.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel

if TYPE_CHECKING:
    from sphinx.application import Sphinx

_KEPT = re.compile(r"``[^`]*``|:[a-z:]+:`[^`]*`|(?<![\w*])\*[A-Za-z][^*]*\*(?![\w*])")
_MARKUP = re.compile(r"[|*\\`]|(?<=\w)_(?!\w)")


def plain(lines: list[str]) -> list[str]:
    """Lines of a docstring, ready to be read as reStructuredText."""
    ready: list[str] = []
    for paragraph in _paragraphs(lines):
        first = paragraph[0]
        if first.lstrip().startswith(">>>"):
            ready += paragraph
        elif first.startswith(" "):
            ready += ["::", "", *paragraph]
        else:
            ready += [_escaped(line) for line in paragraph]
        ready.append("")
    return ready


def _paragraphs(lines: list[str]) -> Iterator[list[str]]:
    paragraph: list[str] = []
    for line in [*lines, ""]:
        if line.strip():
            paragraph.append(line.rstrip())
        elif paragraph:
            yield paragraph
            paragraph = []


def _escaped(line: str) -> str:
    parts, place = [], 0
    for kept in _KEPT.finditer(line):
        parts += [_MARKUP.sub(r"\\\g<0>", line[place : kept.start()]), kept.group()]
        place = kept.end()
    return "".join([*parts, _MARKUP.sub(r"\\\g<0>", line[place:])])


def _process(
    _app: Any, _what: str, _name: str, _thing: Any, _options: Any, lines: list[str]
) -> None:
    lines[:] = plain(lines)


def _signature(
    _app: Any, what: str, _name: str, thing: Any, _options: Any, _given: str, returned: str
) -> tuple[str, str] | None:
    """Leave out the signature of a spec: its fields stand in a table of their own."""
    if what == "class" and isinstance(thing, type) and issubclass(thing, BaseModel):
        return "", returned
    return None


def setup(app: Sphinx) -> dict[str, bool]:
    """Hook into autodoc."""
    app.connect("autodoc-process-docstring", _process)
    app.connect("autodoc-process-signature", _signature)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
