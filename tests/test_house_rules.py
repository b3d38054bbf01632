"""Rules of the house that no linter knows: units in every docstring of physics, thin imports."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

import benchproof.physics

PHYSICS = Path(benchproof.physics.__file__).parent
QUANTITY = re.compile(r"\b(float|Numbers|Array|ArrayLike|Vector|Callable)\b")
UNIT = r"\[[^\]]+\]"


@dataclass(frozen=True)
class Function:
    """A public function of physics as its source has it."""

    module: str
    name: str
    docstring: str
    quantities: tuple[str, ...]
    returns: str


def public_functions(source: str, module: str) -> Iterator[Function]:
    """Every public function at the top of a module."""
    for node in ast.parse(source).body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            named = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            yield Function(
                module,
                node.name,
                ast.get_docstring(node) or "",
                tuple(
                    each.arg
                    for each in named
                    if each.annotation and QUANTITY.search(ast.unparse(each.annotation))
                ),
                ast.unparse(node.returns) if node.returns else "",
            )


FUNCTIONS = {
    f"{function.module}.{function.name}": function
    for path in sorted(PHYSICS.glob("*.py"))
    for function in public_functions(path.read_text(encoding="utf-8"), path.stem)
}


def without_unit(function: Function, known: dict[str, Function]) -> list[str]:
    """Quantities for which the docstring names no unit, itself or where it refers to.

    A unit stands in brackets behind the name (or the name in words), before the sentence ends;
    "as in ``sink_speed``" passes the question on to that function.
    """
    told = re.sub(r"\s+", " ", function.docstring)
    others = [
        known[f"{function.module}.{name}"]
        for name in re.findall(r"as in ``(\w+)``", told)
        if f"{function.module}.{name}" in known
    ]
    missing = [
        name
        for name in function.quantities
        if not re.search(rf"\b(?:{name}|{name.replace('_', ' ')})\b[^.\[]*{UNIT}", told)
    ]
    for other in others:
        lacking = without_unit(other, known)
        missing = [n for n in missing if n not in other.quantities or n in lacking]
    return missing


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_quantity_in_physics_has_its_unit_in_the_docstring(name: str) -> None:
    assert without_unit(FUNCTIONS[name], FUNCTIONS) == []


@pytest.mark.parametrize("name", [n for n, f in FUNCTIONS.items() if "Array" in f.returns])
def test_every_result_in_physics_has_its_unit_in_the_docstring(name: str) -> None:
    summary = FUNCTIONS[name].docstring.split("\n\n", maxsplit=1)[0]
    returned = re.findall(rf"Returns \([^)]*{UNIT}", FUNCTIONS[name].docstring)
    assert re.search(UNIT, summary) or returned


def test_a_docstring_without_a_unit_is_found() -> None:
    written = '''
def bare(*, gap: Numbers, length: float, entries: int) -> Array:
    """Flow [m³/s].

    gap: between the walls. length: along the flow [m].
    """

def referring(*, gap: Numbers, length: float) -> Array:
    """Flow [m³/s]. All as in ``bare``."""
'''
    found = {f"made_up.{f.name}": f for f in public_functions(written, "made_up")}
    assert without_unit(found["made_up.bare"], found) == ["gap"]
    assert without_unit(found["made_up.referring"], found) == ["gap"]
