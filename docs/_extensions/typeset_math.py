"""Equations as MathML, which every present browser draws without a script or a font to fetch."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from docutils import nodes
from latex2mathml.converter import convert

if TYPE_CHECKING:
    from sphinx.application import Sphinx


def inline(writer: Any, node: nodes.math) -> None:
    """Write an equation that stands in a line."""
    writer.body.append(convert(node.astext()))
    raise nodes.SkipNode


def displayed(writer: Any, node: nodes.math_block) -> None:
    """Write an equation that stands by itself, wide ones in a box that scrolls."""
    equation = convert(node.astext(), display="block")
    writer.body.append(f'<div class="math" style="overflow-x: auto">{equation}</div>\n')
    raise nodes.SkipNode


def setup(app: Sphinx) -> dict[str, bool]:
    """Register the renderer under the name the settings ask for."""
    app.add_html_math_renderer("mathml", (inline, None), (displayed, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}
