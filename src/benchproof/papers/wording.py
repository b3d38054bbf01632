"""What a dimension says, in millimetres or inches: one wording for SVG, DXF and plain text.

Limits are rounded inwards, so that a size read off the paper never lies outside the limits
reckoned. Untoleranced inches that were born as a common fraction (to 1/64) are written as one;
everything else in inches is in thousandths, or in tenths of them where there are limits.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, Literal

from benchproof.drawing import (
    Chamfer,
    Diameter,
    Dimension,
    Finish,
    Linear,
    Radius,
    TaperOf,
    Thread,
    Tolerance,
)
from benchproof.quantities import ANGLE, LENGTH, TAPER, show

Units = Literal["metric", "inch", "both"]
OneUnit = Literal["metric", "inch"]
PER_METRE: Final = {"metric": 1000.0, "inch": 1000.0 / 25.4}
SUFFIX: Final = {"metric": "mm", "inch": "in"}
_BORN = 2e-7  # [m] a size this near a round figure was meant to be it
_FINEST = 2  # decimals that narrow limits may add


@dataclass(frozen=True)
class Wording:
    """One line of a dimension: prefix, figure, deviations and what follows.

    ``number`` and the deviations are what the figures say, in ``unit``; ``live`` where a
    drawing program can write the figure itself from what it measures.
    """

    prefix: str
    figure: str
    upper: str
    lower: str
    ending: str
    number: float
    decimals: int
    live: bool = True

    @property
    def plain(self) -> str:
        """All of it on one line of text."""
        limits = ""
        if self.upper:
            limits = f" {self.upper}" if not self.lower else f" {self.upper}/{self.lower}"
        return f"{self.prefix}{self.figure}{limits}{self.ending}"


def units_of(units: Units) -> tuple[OneUnit, ...]:
    """The units to write, the leading one first."""
    return ("metric", "inch") if units == "both" else (units,)


def wordings(dimension: Dimension, units: Units) -> tuple[Wording, ...]:
    """One wording for each unit; what is the same in both, and the words after it, only once."""
    leading, *others = units_of(units)
    found = [_wording(dimension, leading)]
    if dimension.kind is LENGTH and not isinstance(dimension, Thread):
        bare = replace(dimension, suffix="")
        found += [_wording(bare, unit) for unit in others]
    return tuple(found)


def spoken(dimension: Dimension, units: Units) -> str:
    """The dimension in a line of plain text, for listeners and lists."""
    told = []
    for unit, wording in zip(units_of(units), wordings(dimension, units), strict=False):
        length = dimension.kind is LENGTH and not isinstance(dimension, Thread)
        told.append(f"{wording.plain} {SUFFIX[unit]}" if length else wording.plain)
    text = " = ".join(told)
    if dimension.feature:
        text = f"{dimension.feature}: {text}"
    return f"{text}; the odds of holding it are poor" if dimension.doubtful else text


def finish_text(finish: Finish, unit: OneUnit) -> str:
    """Roughness in micrometres, or in microinches where the drawing is in inches."""
    micrometres = finish.roughness * 1e6
    figure = f"{micrometres:.3g}" if unit == "metric" else f"{micrometres / 0.0254:.2g}"
    # A figure such as 1.3e+02 is no drawing's figure.
    figure = f"{float(figure):g}"
    return " ".join(part for part in (finish.parameter, figure, finish.process) if part)


def _wording(dimension: Dimension, unit: OneUnit) -> Wording:
    before, after = _about(dimension)
    if isinstance(dimension, Thread):
        major = dimension.nominal * PER_METRE[unit]
        return Wording(before, dimension.designation, "", "", after, major, 3, live=False)
    if dimension.kind is ANGLE:
        degrees = math.degrees(dimension.nominal)
        figure, up, low, decimals = _with_limits(
            degrees, _scaled(dimension.tolerance, 180.0 / math.pi), 2
        )
        if not up:
            figure = show(dimension.nominal, ANGLE, unit="°").removesuffix("°")
            decimals = len(figure.partition(".")[2])
        return Wording(before, f"{figure}°", up, low, after, degrees, decimals)
    if dimension.kind is TAPER:
        ratio = show(dimension.nominal, TAPER)
        if dimension.tolerance is None:
            return Wording(before, ratio, "", "", after, dimension.nominal, 5, live=False)
        figure, up, low, decimals = _with_limits(dimension.nominal, dimension.tolerance, 4)
        return Wording(
            f"{before}{ratio} = ", figure, up, low, after, dimension.nominal, decimals, live=False
        )
    return _length(dimension, unit, before, after)


def _length(dimension: Dimension, unit: OneUnit, before: str, after: str) -> Wording:
    value = dimension.nominal * PER_METRE[unit]
    tolerance = dimension.tolerance
    if tolerance is not None:
        finest = 3 if unit == "metric" else 4
        figure, up, low, decimals = _with_limits(value, _scaled(tolerance, PER_METRE[unit]), finest)
        if tolerance.fit:
            figure = f"{figure} {tolerance.fit}"
        return Wording(before, figure, up, low, after, value, decimals, live=not tolerance.fit)
    if unit == "inch":
        fraction = common_fraction(value)
        if fraction:
            return Wording(before, fraction, "", "", after, value, 4, live=False)
        decimals = 4 if dimension.feature else 3
        return Wording(before, f"{value:.{decimals}f}", "", "", after, value, decimals)
    if dimension.feature:
        return Wording(before, f"{value:.3f}", "", "", after, value, 3)
    decimals = next(
        (
            places
            for places in range(4)
            if abs(round(value, places) - value) <= _BORN * PER_METRE[unit]
        ),
        2,
    )
    return Wording(before, f"{value:.{decimals}f}", "", "", after, value, decimals)


def common_fraction(inches: float) -> str:
    """Inches as a whole number and a fraction to 1/64, or nothing where they are none.

    >>> common_fraction(1.1875), common_fraction(0.75), common_fraction(2.0), common_fraction(0.7)
    ('1 3/16', '3/4', '2', '')
    """
    nearest = Fraction(round(inches * 64), 64)
    if nearest <= 0 or abs(float(nearest) - inches) > _BORN * PER_METRE["inch"]:
        return ""
    whole, rest = divmod(nearest, 1)
    parts = [str(whole)] if whole else []
    if rest:
        parts.append(f"{rest.numerator}/{rest.denominator}")
    return " ".join(parts)


def _with_limits(
    value: float, tolerance: Tolerance | None, decimals: int
) -> tuple[str, str, str, int]:
    """Figure and deviations, rounded so that the limits written lie within the limits meant."""
    if tolerance is None:
        return f"{value:.{decimals}f}", "", "", decimals
    highest, lowest = value + tolerance.upper, value + tolerance.lower
    for places in range(decimals, decimals + _FINEST + 1):
        step = 10**places
        nominal = round(value * step)
        up = math.floor(highest * step + 1e-4) - nominal
        low = math.ceil(lowest * step - 1e-4) - nominal
        if up > low or (up == low and tolerance.upper - tolerance.lower < 1e-9 * max(value, 1.0)):
            break
    else:
        low = up = round(0.5 * (up + low))
    figure = f"{nominal / step:.{places}f}"
    if up == -low:
        return figure, f"±{up / step:.{places}f}", "", places
    return figure, _signed(up, step, places), _signed(low, step, places), places


def _signed(steps: int, step: int, decimals: int) -> str:
    if steps == 0:
        return "0"
    return f"{'+' if steps > 0 else '−'}{abs(steps) / step:.{decimals}f}"


def _scaled(tolerance: Tolerance | None, factor: float) -> Tolerance | None:
    if tolerance is None:
        return None
    return Tolerance(tolerance.upper * factor, tolerance.lower * factor)


def _about(dimension: Dimension) -> tuple[str, str]:
    """What stands before and after the figure."""
    sign: str
    match dimension:
        case Linear():
            sign = dimension.sign
        case Diameter():
            sign = "Ø"
        case Radius():
            sign = "R"
        case TaperOf():
            sign = "taper "
        case _:
            sign = ""
    before = f"{dimension.count} × {sign}" if dimension.count > 1 else sign
    after = f" {dimension.suffix.strip()}" if dimension.suffix else ""
    if isinstance(dimension, Chamfer):
        after = f" × {show(dimension.angle, ANGLE, unit='°')}{after}"
    if dimension.reference:
        before, after = f"({before}", f"{after})"
    return before, after
