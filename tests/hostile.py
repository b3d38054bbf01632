"""Hostile versions of valid input files, by a seed: what a tired hand or a bad disk may leave."""

from __future__ import annotations

import copy
import datetime
import random
from collections.abc import Iterator
from typing import Any

DEEP: Any = "12 mm"
for _ in range(60):
    DEEP = {"bore": [DEEP]}

JUNK: tuple[Any, ...] = (
    "", "   ", "nan", "inf", "-inf", "1e999", "-1e-999", "NaN mm", "12", "12 mm", "-12 mm", "0",
    "0 mm", "1 7/16 in", "5 bar", "5 bar abs", "80 psi", "1e12 mm", "20 °C", "-300 °C", "10 ± 3 K",
    "10 ± -3 K", "70 to 40 K", "75 %", "175 %", "1 in 0", "300 rpm", "4:99", "5:10", "20 deg",
    "１２ ｍｍ", "12\u00a0mm", "µ", "\u202e12 mm", "\x00\x1b[31m", "\ud800", "x" * 10_000,
    "9" * 5000, "gunmetal", "Gun  Metal", "cast iron", "ptfe", "cheese", "yes", "no",
    "upright", "bore", "turn",
    "digital micrometer", "stopwatch", 0, 1, -1, 3, 20, 30, 10**30, -(10**400), 0.0, 1e-300, 1e300,
    0.75, 29.987, float("nan"), float("inf"), float("-inf"), True, False, None, [], [1], [[]], {},
    [{}], {"size": "30 mm"}, {"count": 3}, {"count": -1}, [{"time": "1 s"}], DEEP,
    datetime.date(2024, 2, 29), datetime.time(4, 12), datetime.datetime(2024, 2, 29, 4, 12),
)  # fmt: skip

KEYS = (
    "bore",
    "Bore",
    "size",
    "u",
    "aim",
    "",
    "\x00",
    "a.b",
    "x" * 5000,
    "model_config",
    "reading",
)


def mutations(valid: dict[str, Any], *, seed: int, count: int) -> Iterator[dict[str, Any]]:
    """Yield that many mutations of a valid mapping: one to four things wrong, or only odd."""
    choice = random.Random(seed)
    for _ in range(count):
        mutated = copy.deepcopy(valid)
        for _ in range(choice.choice((1, 1, 1, 2, 4))):
            _spoil(_somewhere(mutated, choice), choice)
        yield mutated


def odd_ones(valid: dict[str, Any], *, seed: int, count: int) -> Iterator[dict[str, Any]]:
    """Yield mutations that only scale quantities: many are still valid, and far from usual."""
    choice = random.Random(seed)
    for _ in range(count):
        mutated = copy.deepcopy(valid)
        for _ in range(choice.randint(1, 6)):
            table = _somewhere(mutated, choice)
            key = choice.choice([*table])
            if isinstance(table[key], str):
                table[key] = _scaled(table[key], choice)
        yield mutated


def _somewhere(mapping: dict[str, Any], choice: random.Random) -> dict[str, Any]:
    """Return a table of the mapping: itself, or one within."""
    here = mapping
    while choice.random() < 0.6:
        tables = [value for value in here.values() if isinstance(value, dict) and value]
        for value in here.values():
            if isinstance(value, list):
                tables += [row for row in value if isinstance(row, dict) and row]
        if not tables:
            break
        here = choice.choice(tables)
    return here


def _spoil(table: dict[str, Any], choice: random.Random) -> None:
    key = choice.choice([*table] or ["bore"])
    what = choice.random()
    if what < 0.1:
        table.pop(key, None)
    elif what < 0.2:
        table[choice.choice(KEYS)] = table.pop(key, None)
    elif what < 0.3:
        value = table.get(key)
        table[key] = value * choice.choice((2, 9)) if isinstance(value, (list, str)) else [value]
    elif what < 0.45 and isinstance(table.get(key), str):
        table[key] = _retyped(table[key], choice)
    elif what < 0.6 and isinstance(table.get(key), str):
        table[key] = _scaled(table[key], choice)
    else:
        table[key] = choice.choice(JUNK)


def _retyped(text: str, choice: random.Random) -> str:
    """Text with a letter left out, doubled or changed."""
    place = choice.randrange(len(text) + 1)
    letter: str = choice.choice(("", text[place : place + 1] * 2, *"0.,-/ ±µ°%x"))
    return text[:place] + letter + text[place + 1 :]


def _scaled(text: str, choice: random.Random) -> str:
    """Text with its first number made larger or smaller: often still believable."""
    head, space, rest = text.partition(" ")
    try:
        number = float(head)
    except ValueError:
        return text
    return f"{number * choice.choice((0.5, 0.9, 1.001, 1.1, 2.0, 5.0, 100.0)):.6g}{space}{rest}"
