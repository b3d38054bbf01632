"""Read a drawing back from its files as a person or a program would."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Any
from xml.etree import ElementTree

from benchproof.drawing import Dimension

SVG = "{http://www.w3.org/2000/svg}"
_NUMBER = re.compile(r"(?:(\d+) )?(\d+)/(\d+)|\d+(?:\.\d+)?")


@dataclass(frozen=True)
class ReadSize:
    """What a dimension says, in its own unit: figure, deviations and worth of its last figure."""

    feature: str
    text: str
    nominal: float
    upper: float | None
    lower: float | None
    last_figure: float


def number_of(text: str) -> tuple[float, float]:
    """The figure of a dimension's text, a fraction or a decimal, and its last figure's worth."""
    plain = re.sub(r"^\D*\d+ × (?=[ØR\d])", "", text)
    found = _NUMBER.search(plain)
    assert found is not None, text
    if found[3]:
        return float(int(found[1] or 0) + Fraction(int(found[2]), int(found[3]))), 1e-9
    decimals = len(found[0].partition(".")[2])
    return float(found[0]), 10.0**-decimals


def signed(text: str) -> float:
    """A deviation with its sign."""
    return float(text.replace("−", "-").replace("+", ""))


def sizes_in_svg(text: str) -> Iterator[ReadSize]:
    """Every dimension's leading figures, from the text people see."""
    for group in ElementTree.fromstring(text).iter(f"{SVG}g"):
        names = group.get("class", "").split()
        if "dimension" not in names or {"mark", "note", "finish", "datum"} & set(names):
            continue
        rows = [(row.get("class"), row.text or "") for row in group.iter(f"{SVG}text")]
        figure = next(words for role, words in rows if role == "figure")
        upper = next((words for role, words in rows if role == "upper"), None)
        lower = next((words for role, words in rows if role == "lower"), None)
        both = re.search(r"±(\S+)", figure)
        nominal, last = number_of(figure.partition(" ±")[0])
        yield ReadSize(
            group.get("data-feature", ""),
            figure,
            nominal,
            float(both[1]) if both else (signed(upper) if upper else None),
            -float(both[1]) if both else (signed(lower) if lower else None),
            last,
        )


def document(text: str) -> Any:
    """A DXF document from its text."""
    import ezdxf.filemanagement

    return ezdxf.filemanagement.read(io.StringIO(text))


def shown_text(dimension: Any) -> str:
    """What a DXF dimension shows, its stacked limits unfolded."""
    (shown,) = [e.text for e in dimension.virtual_entities() if e.dxftype() == "MTEXT"]
    shown = shown.replace("%%c", "Ø")
    unfolded = re.sub(r"\{\\H[\d.]+x;\\S([^^]+)\^ ([^;]+);\}", r"\1/\2", shown)
    return str(unfolded)


def measured(dimension: Any) -> float:
    """What a program measures of a DXF dimension: millimetres, inches or degrees."""
    raw = float(dimension.get_measurement())
    if dimension.dimtype in {2, 5}:
        return raw
    return raw * float(dimension.override().get("dimlfac", 1.0))


def in_unit(dimension: Dimension, value: float, unit: str) -> float:
    """A value [SI] of a dimension's kind in the unit a drawing writes it in."""
    if dimension.kind.name == "angle":
        return math.degrees(value)
    if dimension.kind.name == "taper":
        return value
    return value * (1000.0 if unit == "metric" else 1000.0 / 25.4)
