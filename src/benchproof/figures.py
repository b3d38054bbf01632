"""Figures as a machinist reads them: what stands together has one unit and one rounding."""

from __future__ import annotations

import math
from collections.abc import Sequence

from benchproof.quantities import (
    ANGLE,
    FRACTION,
    MASS_FLOW,
    Kind,
    System,
    Unit,
    degrees_and_minutes,
    show,
)
from benchproof.quantities.showing import join
from benchproof.reckon.answer import Range

_FINEST = 4  # decimals; beyond them a figure is said to be under the last one


def in_hundred(share: float) -> str:
    """Share as a number of cases in a hundred; what is not quite none or all is said so."""
    if 0.0 < share < 0.005:
        return "under 1"
    if 0.995 < share < 1.0:
        return "over 99"
    return f"{100.0 * share:.0f}"


def in_hundreds(shares: Sequence[float]) -> list[str]:
    """Shares of one whole as numbers of cases in a hundred that add up to a hundred."""
    exact = [100.0 * share for share in shares]
    cases = [math.floor(each) for each in exact]
    nearest = sorted(range(len(exact)), key=lambda place: cases[place] - exact[place])
    for place in nearest[: 100 - sum(cases)]:
        cases[place] += 1
    told = []
    for share, number in zip(shares, cases, strict=True):
        if number == 0:
            told.append("under 1" if share > 0.0 else "none")
        else:
            told.append("over 99" if number == 100 and share < 1.0 else str(number))
    return told


def best_unit(largest: float, kind: Kind, system: System) -> Unit:
    """Unit for figures of which ``largest`` [SI] is the largest."""
    if kind is MASS_FLOW and system == "metric":
        kilogram_an_hour = kind.named("kg/h")
        return kilogram_an_hour if largest >= float(kilogram_an_hour.scale) else kind.named("g/h")
    if kind is ANGLE:  # no finer than what is set or read in a workshop
        return kind.display(max(largest, float(kind.named("arcmin").scale)), system)
    return kind.display(largest, system)


def together(values: Sequence[float], kind: Kind, unit: Unit, *, middle: float = 0.0) -> list[str]:
    """Numbers of some values [SI] in one unit, rounded alike, without the unit.

    The largest keeps three figures, ``middle`` two where nothing is negative; what is
    positive and rounds to nothing is said to be under the last decimal, and a share above one
    to be over 100 %.
    """
    numbers = [unit.from_si(value) for value in values]
    decimals = _decimals(numbers, unit, unit.from_si(middle))
    if kind is ANGLE:
        decimals = min(decimals, unit.decimals)
    positive = min(numbers) >= 0.0
    told = []
    for value, number in zip(values, numbers, strict=True):
        text = f"{number:.{decimals}f}"
        if kind is FRACTION and value > 1.0:
            told.append("over 100")
        elif text.strip("-0.") or number == 0.0:
            told.append(text if number else "0")
        else:
            told.append(f"under {10.0**-decimals:.{decimals}f}" if positive else "0")
    return told


def _decimals(numbers: Sequence[float], unit: Unit, middle: float) -> int:
    largest = max(abs(number) for number in numbers)
    if largest == 0.0:
        return 0
    size = _magnitude(largest)
    wanted = min(2 - size, max(unit.decimals, 1 - size))
    if middle and min(numbers) >= 0.0:
        wanted = max(wanted, min(1 - _magnitude(middle), _FINEST - 1))
    return min(max(wanted, 0), _FINEST)


def _magnitude(number: float) -> int:
    return int(f"{number:.2e}".split("e")[1])


def span(
    lower: float, upper: float, kind: Kind, system: System, *, unit: Unit | None = None
) -> str:
    """From one value [SI] to another: ``13.6 to 22.7 µm``; ``unit`` where others stand beside."""
    unit = unit or best_unit(max(abs(lower), abs(upper)), kind, system)
    low, high = together([lower, upper], kind, unit)
    return join(f"{low} to {high}", unit.symbol)


def unit_of(figure: Range, system: System) -> Unit:
    """Unit that a figure's middle and span are told in."""
    return best_unit(max(abs(figure.p5), abs(figure.p95)), figure.kind, system)


def middle_and_span(
    figure: Range, system: System, *, before: Range | None = None, unit: Unit | None = None
) -> str:
    """Middle of a figure, where nine in ten lie, and where they lay before a test.

    All in one unit: that of the figure itself unless another stands beside it.
    """
    ends = (figure.p5, figure.p95)
    unit = unit or unit_of(figure, system)
    numbers = together([figure.median, *ends], figure.kind, unit, middle=figure.median)
    middle, low, high = numbers
    text = join(middle, unit.symbol)
    told = text if low == middle == high else f"{text} ({low} to {high})"
    if before is not None:
        low, high = together([before.p5, before.p95], figure.kind, unit)
        told += f"; before the test {low}" + (f" to {high}" if low != high else "")
    return told


def size_text(value: float, kind: Kind, system: System) -> str:
    """A size to cut, to the last figure a machinist reads or sets, zeros kept."""
    if kind is ANGLE:
        return degrees_and_minutes(value)
    unit = kind.display(value, system)
    return show(value, kind, unit=unit.symbol, digits=unit.decimals)


def sizes_within(lower: float, upper: float, kind: Kind, system: System) -> str:
    """Sizes to accept, rounded inwards: what is read off never lies outside the limits."""
    unit = kind.display(upper, system)
    low, high = unit.from_si(lower), unit.from_si(upper)
    decimals = unit.decimals
    while True:
        step = 10**decimals
        inner = math.ceil(low * step - 1e-6) / step, math.floor(high * step + 1e-6) / step
        if inner[0] < inner[1] or decimals >= unit.decimals + 2:
            told = f"{inner[0]:.{decimals}f} to {inner[1]:.{decimals}f}"
            return join(told, unit.symbol)
        decimals += 1
