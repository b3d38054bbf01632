"""The checks of the tool against the outside world, as they stand in its tests.

``checks.csv`` beside this module is gathered from the tests by ``scripts/gather_checks.py``; a
test fails when it is behind.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from importlib.resources import files


@dataclass(frozen=True)
class Check:
    """One test that rests on an outside source: its name, source and kind."""

    name: str
    source: str
    kind: str


def checks() -> list[Check]:
    """Every check, in the order of the tests."""
    text = (files("benchproof") / "checks.csv").read_text(encoding="utf-8")
    return [Check(**row) for row in csv.DictReader(text.splitlines())]
