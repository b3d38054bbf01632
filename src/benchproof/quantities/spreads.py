"""Quantities with their spread, as people write them: 10 ± 3 K, 2 to 4 µm, 0.6 ×/÷ 1.3."""

from __future__ import annotations

import re
from typing import Final

from benchproof.quantities.errors import QuantityError
from benchproof.quantities.kinds import Kind, System
from benchproof.quantities.numerals import NUMBER, UNSIGNED
from benchproof.quantities.parsing import Refusal, as_text, check, parse, read
from benchproof.quantities.ratios import NUMBER as PLAIN_NUMBER
from benchproof.quantities.showing import join, show, shown_parts, write
from benchproof.quantities.temperatures import TEMPERATURE_DIFFERENCE
from benchproof.spread import Below, Fixed, LogNormal, LogUniform, Normal, Spread, Uniform

_PLUS_OR_MINUS: Final = re.compile(r" ?(?:±|\+ ?/? ?-) ?")
_TIMES_OR_OVER: Final = re.compile(r" ?(?:×|x|\*) ?/ ?÷? ?")
_TO: Final = re.compile(r" to |(?<=[^ ]) ?– ?|(?<=[^.]) ?\.\.(?!\.) ?")
# An ASCII hyphen is a range only between two numbers: in 1-7/16 it belongs to the number.
_HYPHEN: Final = re.compile(rf"(?P<lower>{NUMBER})(?P<dash> - |-)(?P<upper>{UNSIGNED}.*)")
_BARE: Final = re.compile(NUMBER)
_FACTORS: Final = " by factor"
_BELOW: Final = "below zero by "


def parse_spread(
    text: str | int | float,
    kind: Kind,
    *,
    default_unit: str,
    minimum: float | None = None,
    maximum: float | None = None,
    exclusive: bool = False,
) -> Spread:
    """Spread [SI] of what a person wrote.

    ``10 ± 3 K`` is a value and its standard uncertainty (Normal; the uncertainty of a
    temperature is a difference), ``2 to 4 µm`` a range (Uniform), ``2 to 4 µm by factor``
    LogUniform, ``0.6 ×/÷ 1.3`` a median known within a factor (LogNormal), ``below zero by``
    one of the last three is Below, anything else an exact value. Bounds hold for the mean or
    median, and for both ends of a range. Raises as ``parse`` does, and for a range upside down
    or an uncertainty below zero.

    >>> from benchproof.quantities import LENGTH
    >>> parse_spread("2 to 4 µm", LENGTH, default_unit="mm")
    Uniform(lower=2e-06, upper=4e-06)
    """
    refusal = Refusal(text, kind, default_unit, minimum, maximum, exclusive)
    spread = _spread(as_text(text, refusal), refusal)
    for value in bounded_values(spread):
        check(value, refusal)
    return spread


def _spread(tidy: str, refusal: Refusal) -> Spread:
    if tidy.startswith(_BELOW):
        return _below(tidy.removeprefix(_BELOW), refusal)
    for separator, reader in (
        (_PLUS_OR_MINUS, _normal),
        (_TIMES_OR_OVER, _log_normal),
        (_TO, _range),
    ):
        parts = separator.split(tidy)
        if len(parts) == 2:
            return reader(parts[0], parts[1], refusal)
        if len(parts) > 2:
            raise refusal("has more than two parts")
    hyphen = _HYPHEN.fullmatch(tidy)
    if hyphen and not re.match("[0-9]+/", hyphen["upper"]):
        return _range(hyphen["lower"], hyphen["upper"], refusal)
    return Fixed(read(tidy, refusal.kind, refusal.unit, refusal))


def bounded_values(spread: Spread) -> tuple[float, ...]:
    """Values [SI] of a spread that must lie within a field's bounds: both ends, or the middle."""
    match spread:
        case Uniform(lower, upper) | LogUniform(lower, upper):
            return lower, upper
        case Below(gap):
            return tuple(-value for value in bounded_values(gap))
    return (spread.median,)


def _normal(middle: str, deviation: str, refusal: Refusal) -> Normal:
    kind = refusal.kind
    middle, deviation = _share_unit(middle, deviation, kind)
    mean = read(middle, kind, refusal.unit, refusal)
    unit = _difference_unit(refusal)
    try:
        sd = parse(deviation, kind.deviation, default_unit=unit, minimum=0.0)
    except QuantityError as error:
        raise refusal(f"has an uncertainty that cannot be used: {error.reason}") from None
    found = kind.find(deviation.lstrip("0123456789.,/+-eE "))
    if found is not None and found.included_angle:
        sd *= 1.0 + (0.5 * mean) ** 2  # slope of 2 tan(angle / 2) at the mean
    return Normal(mean, sd)


def _difference_unit(refusal: Refusal) -> str:
    """Unit of an uncertainty that has none of its own, from the field's unit."""
    symbol = refusal.unit.symbol.removesuffix(" gauge").removesuffix(" abs")
    return refusal.kind.deviation.named(symbol).symbol


def _log_normal(middle: str, factor: str, refusal: Refusal) -> LogNormal:
    median = read(middle, refusal.kind, refusal.unit, refusal)
    if not median > 0.0:
        raise refusal("needs a middle value above zero")
    try:
        return LogNormal(median, parse(factor, PLAIN_NUMBER, default_unit="", minimum=1.0))
    except QuantityError as error:
        raise refusal(f"has a factor that cannot be used: {error.reason}") from None


def _range(lower: str, upper: str, refusal: Refusal) -> Uniform | LogUniform:
    by_factor = upper.endswith(_FACTORS)
    lower, upper = _share_unit(lower, upper.removesuffix(_FACTORS), refusal.kind)
    lowest = read(lower, refusal.kind, refusal.unit, refusal)
    highest = read(upper, refusal.kind, refusal.unit, refusal)
    if lowest > highest:
        raise refusal("is a range upside down")
    if by_factor and not lowest > 0.0:
        raise refusal("needs a range above zero")
    return LogUniform(lowest, highest) if by_factor else Uniform(lowest, highest)


def _below(gap: str, refusal: Refusal) -> Below:
    kind, unit = refusal.kind.deviation, _difference_unit(refusal)
    try:
        spread = parse_spread(gap, kind, default_unit=unit, minimum=0.0)
    except QuantityError as error:
        raise refusal(f"has a gap that cannot be used: {error.reason}") from None
    if isinstance(spread, (Uniform, LogUniform, LogNormal)):
        return Below(spread)
    raise refusal("has a gap that is no range and no value within a factor")


def _share_unit(first: str, second: str, kind: Kind) -> tuple[str, str]:
    """Give the number without a unit that of the other."""
    first, second = first.strip(), second.strip()
    here, there = _BARE.match(first), _BARE.match(second)
    if here and there:
        unit, other = first[here.end() :], second[there.end() :]
        if not unit and kind.find(other):
            return first + other, second
        if not other and kind.find(unit):
            return first, second + unit
    return first, second


def show_spread(spread: Spread, kind: Kind, *, system: System = "metric") -> str:
    """Text of a spread [SI] in one measuring system: ``10 ± 3 K``, ``2 to 4 µm``."""
    match spread:
        case Fixed(value):
            return show(value, kind, system=system)
        case Normal(mean, sd):
            return _pair(
                shown_parts(mean, kind, system=system),
                " ± ",
                shown_parts(sd, kind.deviation, system=system),
            )
        case LogNormal(middle, factor):
            return f"{show(middle, kind, system=system)} ×/÷ {show(factor, PLAIN_NUMBER)}"
        case Below(gap):
            return _BELOW + show_spread(gap, kind.deviation, system=system)
    text = _pair(
        shown_parts(spread.lower, kind, system=system),
        " to ",
        shown_parts(spread.upper, kind, system=system),
    )
    return text + _FACTORS if isinstance(spread, LogUniform) else text


def echo_spread(spread: Spread, kind: Kind) -> str:
    """Text of a spread [SI] in both measuring systems."""
    metric, inch = (show_spread(spread, kind, system=system) for system in ("metric", "inch"))
    if kind is TEMPERATURE_DIFFERENCE:
        metric = f"{metric} difference"
    return metric if inch == metric else f"{metric} ({inch})"


def write_spread(spread: Spread, kind: Kind, unit: str) -> str:
    """Text that reads back as the same finite spread [SI]."""
    match spread:
        case Fixed(value):
            return write(value, kind, unit)
        case Normal(mean, sd):
            return f"{write(mean, kind, unit)} ± {_write_deviation(sd, kind, unit)}"
        case LogNormal(middle, factor):
            return f"{write(middle, kind, unit)} ×/÷ {factor!r}"
        case Below(gap):
            return _BELOW + _write_gap(gap, kind, unit)
    text = f"{write(spread.lower, kind, unit)} to {write(spread.upper, kind, unit)}"
    return text + _FACTORS if isinstance(spread, LogUniform) else text


def _write_gap(gap: Spread, kind: Kind, unit: str) -> str:
    deviation, own = kind.deviation, kind.named(unit)
    if deviation is kind:
        return write_spread(gap, kind, unit)
    return write_spread(gap, deviation, own.symbol.removesuffix(" gauge").removesuffix(" abs"))


def _write_deviation(value: float, kind: Kind, unit: str) -> str:
    """Text of an uncertainty in the unit of its value where that is a matter of scale alone."""
    deviation, own = kind.deviation, kind.named(unit)
    if deviation is kind and not own.included_angle:
        return write(value, kind, unit)
    other = next(each for each in deviation.units if each.symbol and not each.included_angle)
    return write(value, deviation, other.symbol)


def _pair(first: tuple[str, str], word: str, second: tuple[str, str]) -> str:
    if first[1] == second[1]:
        return join(f"{first[0]}{word}{second[0]}", first[1])
    return f"{join(*first)}{word}{join(*second)}"
