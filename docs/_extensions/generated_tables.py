"""Tables that the code itself fills: fields of input files, and the units that are read.

``{fields} piston-fit`` lists what a duty or a bench test is stated in; ``{units}`` lists every
kind of quantity with its units. Neither can fall behind the code.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from docutils import nodes
from sphinx.util.docutils import SphinxDirective

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.duties import load_duty
from benchproof.quantities import KINDS, Kind, show
from benchproof.specs import FieldRow, describe
from benchproof.workshop import lathe_specs

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sphinx.application import Sphinx

MANY = 12


class Fields(SphinxDirective):
    """Every field of a duty's spec, of a bench test's record, or of a group of a lathe file."""

    required_arguments = 1
    option_spec: ClassVar = {}

    def run(self) -> list[nodes.Node]:
        """Describe the fields in a table."""
        rows = [
            (nodes.literal(text=row.name.replace(".*.", "[].")), *map(_text, _facts(row)))
            for row in describe(_spec_type(self.arguments[0]))
        ]
        return [table(("field", "what it is", "unit", "allowed", "if not stated"), rows)]


class Units(SphinxDirective):
    """Every kind of quantity, the units it may be written in, and how it is shown."""

    option_spec: ClassVar = {}

    def run(self) -> list[nodes.Node]:
        """Describe the kinds in a table."""
        rows = [tuple(map(_text, _units(kind))) for kind in KINDS]
        return [table(("kind", "stored in", "units read", "shown as"), rows)]


def _spec_type(key: str) -> Any:
    if key in BENCH_TESTS:
        return load_bench_test(key).record_type
    if hasattr(lathe_specs, key):
        return getattr(lathe_specs, key)
    return load_duty(key).spec_type


def _facts(row: FieldRow) -> tuple[str, str, str, str]:
    what = row.label + (f": {row.help}" if row.help else "")
    if row.options and len(row.options) <= MANY:
        allowed = ", ".join(row.options)
    elif row.options:
        allowed = f"one of {len(row.options)}: benchproof materials"
    else:
        allowed = row.bounds or row.form
    return what, row.unit, allowed, "must be stated" if row.required else row.default


def _units(kind: Kind) -> tuple[str, str, str, str]:
    symbols = [unit.symbol for unit in kind.units if unit.symbol] + list(kind.by_name)
    both = dict.fromkeys(show(kind.example, kind, system=s) for s in ("metric", "inch"))
    return kind.name, kind.unit, ", ".join(symbols) or "no unit", " or ".join(both)


def _text(words: str) -> nodes.Node:
    return nodes.inline(text=words)


def table(heads: Sequence[str], rows: Sequence[Sequence[nodes.Node]]) -> nodes.table:
    """Build a table of plain cells."""
    group = nodes.tgroup(cols=len(heads))
    group += [nodes.colspec(colwidth=1) for _ in heads]
    group += nodes.thead("", _row([_text(head) for head in heads]))
    group += nodes.tbody("", *[_row(row) for row in rows])
    return nodes.table("", group, classes=["colwidths-auto"])


def _row(cells: Sequence[nodes.Node]) -> nodes.row:
    return nodes.row("", *[nodes.entry("", nodes.paragraph("", "", cell)) for cell in cells])


def setup(app: Sphinx) -> dict[str, bool]:
    """Register the directives."""
    app.add_directive("fields", Fields)
    app.add_directive("units", Units)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
