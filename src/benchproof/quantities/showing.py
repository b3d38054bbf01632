"""SI values to the text a person reads: the rounding a machinist would use, never 12 digits."""

from __future__ import annotations

import math

from benchproof.quantities.kinds import Kind, System, Unit
from benchproof.quantities.rates import DURATION
from benchproof.quantities.ratios import NUMBER, TAPER
from benchproof.quantities.temperatures import TEMPERATURE_DIFFERENCE


def show(
    value: float,
    kind: Kind,
    *,
    system: System = "metric",
    unit: str | None = None,
    digits: int | None = None,
) -> str:
    """Text of a value [SI unit of its kind].

    Without ``unit`` the unit follows the size and the measuring system, a duration is written
    ``4 min 12 s`` and a taper ``1 in 10``. ``digits`` fixes the number of decimals and keeps
    trailing zeros. What is not finite is said in words. Raises LookupError for a unit that is
    none of the kind's.
    """
    number, symbol = shown_parts(value, kind, system=system, unit=unit, digits=digits)
    return join(number, symbol)


def shown_parts(
    value: float,
    kind: Kind,
    *,
    system: System = "metric",
    unit: str | None = None,
    digits: int | None = None,
) -> tuple[str, str]:
    """Return number and unit symbol apart; the symbol of what carries its own units is empty."""
    if not math.isfinite(value):
        return ("not a number" if math.isnan(value) else f"{'-' * (value < 0)}unlimited"), ""
    if unit is None and digits is None:
        if kind is DURATION:
            return _duration(value), ""
        if kind is TAPER:
            return _taper(value), ""
        if kind is NUMBER:
            return _significant(value, 4), ""
    chosen = kind.named(unit) if unit is not None else kind.display(value, system)
    try:
        number = chosen.from_si(value)
    except OverflowError:
        return f"{'-' * (value < 0)}unlimited", ""
    if digits is not None:
        return _unsigned_zero(f"{number:.{digits}f}"), chosen.symbol
    return _rounded(number, chosen), chosen.symbol


def join(number: str, symbol: str) -> str:
    """Put a number and its unit side by side, the degree sign close up."""
    return f"{number}{symbol}" if symbol == "°" else f"{number} {symbol}".rstrip()


def degrees_and_minutes(value: float) -> str:
    """Text of an angle [rad] as it is set by hand: no finer than a minute.

    >>> degrees_and_minutes(0.1)
    "5° 44'"
    """
    minutes = round(math.degrees(abs(value)) * 60.0)
    sign = "-" if value < 0.0 and minutes else ""
    degrees, rest = divmod(minutes, 60)
    parts = [f"{degrees}°" if degrees else "", f"{rest}'" if rest or not degrees else ""]
    return sign + " ".join(filter(None, parts))


def echo(value: float, kind: Kind) -> str:
    """Text of a value [SI] in both measuring systems, for a person to check what was understood.

    >>> from benchproof.quantities import LENGTH
    >>> echo(30e-3, LENGTH)
    '30 mm (1.1811 in)'
    """
    metric = show(value, kind)
    if kind is TAPER and value and math.isfinite(value):
        return f"{metric} on diameter ({show(value, kind, unit='°')} included)"
    inch = show(value, kind, system="inch")
    if kind is TEMPERATURE_DIFFERENCE:
        metric = f"{metric} difference"
    return metric if inch == metric else f"{metric} ({inch})"


def write(value: float, kind: Kind, unit: str) -> str:
    """Text that reads back as the same finite value [SI] to within the last digits of a float."""
    chosen = kind.named(unit)
    return join(repr(chosen.from_si(value)), chosen.symbol)


def _rounded(number: float, unit: Unit) -> str:
    """Round to the unit's decimals; a value too small for them keeps two figures."""
    decimals = unit.decimals
    if unit.symbol == "thou" and abs(number) < 1.0:
        decimals = 2
    if number and abs(number) < 10.0 ** (1 - decimals):
        return _significant(number, 2)
    if abs(number) >= 1e8:
        return _significant(number, 4)
    return _plain(f"{number:.{decimals}f}")


def _significant(number: float, figures: int) -> str:
    if number == 0.0:
        return "0"
    magnitude = int(f"{number:.{figures - 1}e}".split("e")[1])
    if not -7 <= magnitude < 9:
        return f"{number:.{figures - 1}e}"
    return _plain(f"{number:.{max(0, figures - 1 - magnitude)}f}")


def _plain(text: str) -> str:
    """Drop zeros that say nothing."""
    return _unsigned_zero(text.rstrip("0").rstrip(".") if "." in text else text)


def _unsigned_zero(text: str) -> str:
    return text.removeprefix("-") if not text.strip("-0.") else text


def _duration(value: float) -> str:
    sign = "-" if value < 0.0 else ""
    seconds = abs(value)
    if seconds < 59.95:
        return f"{sign}{_rounded(seconds, DURATION.named('s'))} s"
    if seconds < 3599.95:
        tenths = round(10.0 * seconds)
        minutes, rest = divmod(tenths, 600)
        return f"{sign}{minutes} min" + (f" {_plain(f'{rest / 10:.1f}')} s" if rest else "")
    if seconds < 36_000:
        minutes, whole = divmod(round(seconds), 60)
        hours, minutes = divmod(minutes, 60)
        middle = f" {minutes} min" if minutes or whole else ""
        return f"{sign}{hours} h{middle}" + (f" {whole} s" if whole else "")
    if seconds < 100 * 3600 - 30:
        hours, minutes = divmod(round(seconds / 60.0), 60)
        return f"{sign}{hours} h" + (f" {minutes} min" if minutes else "")
    return f"{sign}{_rounded(round(seconds / 3600.0), DURATION.named('h'))} h"


def _taper(value: float) -> str:
    if abs(value) < 1e-6:
        return _significant(value, 2)
    sign = "-" if value < 0.0 else ""
    return f"{sign}1 in {_significant(1.0 / abs(value), 5)}"
