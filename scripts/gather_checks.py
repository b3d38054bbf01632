"""Gather every test that names its outside source into the table the tool ships."""

from __future__ import annotations

import ast
import csv
import io
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TABLE = ROOT / "src" / "benchproof" / "checks.csv"


def gathered() -> str:
    """The table as text: name, source and kind of every test decorated with ``source``."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["name", "source", "kind"])
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names = _constants(tree)
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef | ast.ClassDef):
                for text, kind in _sources(node, names):
                    writer.writerow([node.name, text, kind])
    return out.getvalue()


def _constants(tree: ast.Module) -> dict[str, str]:
    """Module-level names bound to a string literal."""
    found = {}
    for node in tree.body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            try:
                value = ast.literal_eval(node.value)
            except ValueError:
                continue
            if isinstance(value, str):
                found[node.targets[0].id] = value
    return found


def _sources(
    node: ast.FunctionDef | ast.ClassDef, names: dict[str, str]
) -> Iterator[tuple[str, str]]:
    for mark in node.decorator_list:
        if isinstance(mark, ast.Call) and isinstance(mark.func, ast.Name):
            if mark.func.id != "source":
                continue
            kinds = [k.value for k in mark.keywords if k.arg == "kind"]
            kind = ast.literal_eval(kinds[0]) if kinds else "published"
            yield _text(mark.args[0], names), kind


def _text(node: ast.expr, names: dict[str, str]) -> str:
    if isinstance(node, ast.Name):
        return names[node.id]
    if isinstance(node, ast.BinOp):
        return _text(node.left, names) + _text(node.right, names)
    if isinstance(node, ast.JoinedStr):
        return "".join(
            _text(part.value if isinstance(part, ast.FormattedValue) else part, names)
            for part in node.values
        )
    return str(ast.literal_eval(node))


if __name__ == "__main__":
    if "--check" in sys.argv:
        sys.exit(0 if TABLE.read_text(encoding="utf-8") == gathered() else "checks.csv is behind")
    TABLE.write_text(gathered(), encoding="utf-8")
