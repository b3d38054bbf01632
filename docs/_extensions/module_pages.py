"""The directive ``modules``: every public module of a package, so that none is forgotten."""

from __future__ import annotations

import pkgutil
from importlib import import_module
from typing import TYPE_CHECKING, ClassVar

from docutils import nodes
from sphinx.util.docutils import SphinxDirective

if TYPE_CHECKING:
    from sphinx.application import Sphinx


class Modules(SphinxDirective):
    """One section for each module named, and for each module inside a package named."""

    required_arguments = 1
    optional_arguments = 20
    final_argument_whitespace = False
    option_spec: ClassVar = {}

    def run(self) -> list[nodes.Node]:
        """Write the sections and have them read."""
        text = "\n".join(_section(name) for named in self.arguments for name in _inside(named))
        return list(self.parse_text_to_nodes(text, allow_section_headings=True))


def _inside(name: str) -> list[str]:
    """Name of a module, or of a package and the public modules in it."""
    module = import_module(name)
    inner = [
        f"{name}.{found.name}"
        for found in pkgutil.iter_modules(getattr(module, "__path__", []))
        if not found.name.startswith("_") and not found.ispkg
    ]
    return [name, *sorted(inner)]


def _section(name: str) -> str:
    title = f"``{name.removeprefix('benchproof.')}``"
    return f"{title}\n{'-' * len(title)}\n\n.. automodule:: {name}\n"


def setup(app: Sphinx) -> dict[str, bool]:
    """Register the directive."""
    app.add_directive("modules", Modules)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
