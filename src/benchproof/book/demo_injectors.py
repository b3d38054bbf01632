"""Two injectors of the demo book's engine: one tested, one planned; all of it invented.

Spec, sizes and readings are the input files that ship with the demo.
"""

from __future__ import annotations

from importlib.resources import as_file, files
from typing import Any, Final

from benchproof.book.model import Book
from benchproof.specs import read_toml

CONES: Final = {
    "steam cone": ("steam throat", "mouth", "nose", "nose depth"),
    "draft cone": ("draft bore",),
    "combining cone": ("combining throat",),
    "delivery cone": ("delivery throat",),
}
_TESTS: Final = {
    "catch-test": ("catch", "2026-03-07"),
    "dry-point": ("dry", "2026-03-08"),
    "throttle-test": ("throttle", "2026-03-14"),
    "warm-tank": ("warm", "2026-03-15"),
}


def enter_injectors(book: Book, engine: str) -> None:
    """Enter the cones of a left and a right injector, and all that was measured of the left one."""
    owner = book.find("engine", engine).id
    for cone in CONES:
        stated = {"name": cone, "group": "feed and fittings", "off": "2"}
        part = book.enter("part", stated, subject=owner)
        for side in ("left", "right"):
            book.enter("piece", {"name": f"{side} {cone}"}, subject=part.id)
    spec = {name: value for name, value in _file("injector").items() if name != "boiler_pressure"}
    for side in ("left", "right"):
        roles = {size: f"{side} {cone}" for cone, sizes in CONES.items() for size in sizes}
        book.bind("injector", f"{side} injector", spec, roles, engine=engine)
    made = _file("made_injector")
    for cone, sizes in CONES.items():
        for size in sizes:
            found = made[size]
            taken = {"when": "2026-03-02"} | ({} if "aim" in found else {"cut": "fitted"})
            aim = {"aim": found["aim"]} if "aim" in found else {}
            book.measure(f"left {cone}", size, found["size"], u=found["u"], taken=taken, **aim)
    for key, (name, when) in _TESTS.items():
        book.test("left injector", key, _file(name), when=when)


def _file(name: str) -> dict[str, Any]:
    with as_file(files("benchproof.demo") / f"{name}.toml") as path:
        return dict(read_toml(path))
