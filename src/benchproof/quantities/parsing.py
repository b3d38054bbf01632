"""What people write, to SI: one quantity with its unit.

Whatever can be read in two ways is refused, with what to write instead: a misread size scraps
a part.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from itertools import pairwise
from typing import Final

from benchproof.quantities.catalogue import KINDS
from benchproof.quantities.errors import QuantityError, shortened
from benchproof.quantities.gauges import gauge_size
from benchproof.quantities.kinds import Kind, Unit
from benchproof.quantities.numerals import NUMBER, UNSIGNED, NumeralError, numeral, tidy
from benchproof.quantities.rates import DURATION, MASS_FLOW, VOLUME_FLOW
from benchproof.quantities.ratios import FRACTION, TAPER
from benchproof.quantities.scales import ATMOSPHERE
from benchproof.quantities.showing import show
from benchproof.quantities.temperatures import TEMPERATURE_DIFFERENCE

_SIMPLE: Final = re.compile(rf"(?P<number>{NUMBER}) ?(?P<unit>.*)")
_RATIO: Final = re.compile(rf"(?P<top>{NUMBER}) ?(?P<sign>in|:) ?(?P<bottom>{UNSIGNED})")
_CLOCK: Final = re.compile(
    r"(?:(?P<h>[0-9]{1,5}):(?=[0-9]{2}:))?(?P<min>[0-9]{1,5}):(?P<s>[0-9]{2}(?:[.,][0-9]{1,6})?)"
)
_COMPOUND: Final = re.compile(rf" ?(?P<number>{UNSIGNED}) ?(?P<unit>[^0-9.,+ ]*)")


def parse(
    text: str | int | float,
    kind: Kind,
    *,
    default_unit: str,
    minimum: float | None = None,
    maximum: float | None = None,
    exclusive: bool = False,
) -> float:
    """SI value of what a person wrote.

    A bare number is in ``default_unit``. ``minimum`` and ``maximum`` [SI] take the place of the
    kind's own limits of belief; they are allowed themselves unless ``exclusive``. Raises
    QuantityError for text that is no such quantity, may be read in two ways, or is out of
    bounds; LookupError when ``default_unit`` is none of the kind's.

    >>> from benchproof.quantities import LENGTH
    >>> parse("1 7/16 in", LENGTH, default_unit="mm")
    0.0365125
    """
    refusal = Refusal(text, kind, default_unit, minimum, maximum, exclusive)
    value = read(as_text(text, refusal), kind, kind.named(default_unit), refusal)
    check(value, refusal)
    return value


class Refusal:
    """Makes the errors about one given text: knows what was given and what is allowed."""

    def __init__(
        self,
        given: object,
        kind: Kind,
        default_unit: str,
        minimum: float | None,
        maximum: float | None,
        exclusive: bool,
    ) -> None:
        self.given = shortened(given)
        self.kind = kind
        self.unit = kind.named(default_unit)
        self.lower = kind.lowest if minimum is None else max(minimum, kind.floor)
        self.upper = kind.highest if maximum is None else maximum
        self.stated = (minimum is not None, maximum is not None)
        self.exclusive = exclusive

    def __call__(self, reason: str) -> QuantityError:
        """Return the error to raise; ``reason`` continues the sentence after what was given."""
        return QuantityError(
            f"“{self.given}” {reason}", given=self.given, allowed=self.allowed, example=self.example
        )

    @property
    def allowed(self) -> str:
        """What may be given, in words."""
        bounds = bounds_text(
            self.kind,
            self.lower if self.stated[0] else None,
            self.upper if self.stated[1] else None,
            unit=self.unit.symbol,
            exclusive=self.exclusive,
        )
        return f"{self.kind.phrase} {bounds}".rstrip()

    @property
    def example(self) -> str:
        """Text that would be accepted."""
        value = self.kind.example
        if not 0.1 < self.unit.from_si(value) < 1e4:
            value = self.unit.to_si(Fraction(3))  # readable in an unusual unit
        if not self.lower < value < self.upper:
            value = 0.5 * (self.lower + self.upper)
            value = math.ceil(value) if self.kind.whole else value
        return show(value, self.kind, unit=self.unit.symbol)


def bounds_text(
    kind: Kind, lower: float | None, upper: float | None, *, unit: str, exclusive: bool = False
) -> str:
    """Say in words between which values [SI] a quantity may lie; empty without bounds."""

    def said(bound: float) -> str:
        return show(bound, kind, unit=unit)

    if lower is not None and upper is not None:
        if exclusive:
            return f"between {said(lower)} and {said(upper)}"
        return f"from {said(lower)} to {said(upper)}"
    if lower is not None:
        return f"{'above' if exclusive else 'of at least'} {said(lower)}"
    if upper is not None:
        return f"{'below' if exclusive else 'of at most'} {said(upper)}"
    return ""


def as_text(given: object, refusal: Refusal) -> str:
    """Return tidy text of what was given; a bare number becomes its digits."""
    if isinstance(given, bool) or not isinstance(given, (str, int, float)):
        raise refusal("is neither text nor a number")
    if isinstance(given, float):
        if not math.isfinite(given):
            raise refusal("is not a finite number")
        return float.__repr__(given)
    if isinstance(given, int):
        if given.bit_length() > 256:
            raise refusal("is beyond belief")
        return str(int(given))
    try:
        text = tidy(given)
    except NumeralError as error:
        raise refusal(str(error)) from None
    if not text:
        raise refusal("is empty")
    # A dash put in by a word processor for a minus; between numbers it would be a range.
    return f"-{text[1:]}" if text[0] == "–" else text


def read(text: str, kind: Kind, default: Unit, refusal: Refusal) -> float:
    """SI value of tidy text, without a check of its bounds."""
    try:
        value = _special(text, kind, default)
        if value is None:
            value = _simple(text, kind, default, refusal)
    except NumeralError as error:
        raise refusal(str(error)) from None
    except OverflowError:
        raise refusal("is beyond belief") from None
    return value


def check(value: float, refusal: Refusal) -> None:
    """Raise QuantityError unless an SI value lies where the refusal says it may."""
    kind = refusal.kind
    if kind.whole and not value.is_integer():
        raise refusal("is not a whole number")
    if refusal.exclusive and (
        (refusal.stated[0] and value == refusal.lower)
        or (refusal.stated[1] and value == refusal.upper)
    ):
        raise refusal("is just out of bounds")
    if value < refusal.lower:
        stated = refusal.stated[0] and value >= kind.floor
        raise refusal("is too little" if stated else f"is less than {kind.phrase} can be")
    if not value <= refusal.upper:
        raise refusal("is too much" if refusal.stated[1] else "is beyond belief")


def _special(text: str, kind: Kind, default: Unit) -> float | None:
    """Ratios, clock times and sizes by number, which carry no unit of their own."""
    if kind.by_name:
        return gauge_size(text)
    if kind.ratio and (ratio := _RATIO.fullmatch(text)):
        return _ratio(ratio, kind)
    if kind is DURATION and (clock := _CLOCK.fullmatch(text)):
        minutes, seconds = int(clock["min"]), numeral(clock["s"]).value
        if clock["h"] is None and default.symbol in ("h", "d"):
            raise NumeralError("may be hours and minutes or minutes and seconds: write 1 h 20 min")
        if seconds >= 60 or (clock["h"] is not None and minutes >= 60):
            raise NumeralError("has 60 or more minutes or seconds after a colon")
        return float(3600 * int(clock["h"] or 0) + 60 * minutes + seconds)
    return None


def _ratio(ratio: re.Match[str], kind: Kind) -> float:
    if kind is FRACTION and ratio["sign"] == ":":
        raise NumeralError("may be a share of the whole or of the rest: write 1 in 8")
    bottom = numeral(ratio["bottom"]).value
    if bottom == 0:
        raise NumeralError("divides by zero")
    return float(numeral(ratio["top"]).value / bottom)


def _simple(text: str, kind: Kind, default: Unit, refusal: Refusal) -> float:
    match = _SIMPLE.fullmatch(text)
    if match is None:
        raise refusal(_why_no_number(text))
    if not match["unit"]:
        number = numeral(match["number"])
        if number.vulgar and kind is FRACTION and default.symbol == "%":
            percent = f"{float(100 * number.value):g}"
            raise NumeralError(
                f"may be a share or a number of per cent: write {percent} %, or so many in so many"
            )
        if kind is FRACTION and default.symbol == "%" and 0 < abs(number.value) <= 1:
            percent = f"{float(100 * number.value):g}"
            raise NumeralError(f"may be a share or a per cent: write {percent} %, or the sign %")
        if number.vulgar and kind is TAPER:
            return float(number.value)
        return default.to_si(number.value)
    unit = kind.find(match["unit"])
    if unit is None:
        compound = _compound(text, kind)
        if compound is not None:
            return compound
        raise refusal(_why_no_unit(match["number"], match["unit"], kind))
    number = numeral(match["number"])
    value = unit.to_si(number.value)
    if unit.reference != kind.reference:
        raise refusal(_other_reference(value, unit, kind))
    return value


def _compound(text: str, kind: Kind) -> float | None:
    """SI value of ``2 min 30 s``, ``1h20``, ``2 lb 3 oz``, or None when it is no such thing."""
    if not kind.compounds:
        return None
    sign = -1 if text[0] == "-" else 1
    rest = text.lstrip("+-").lstrip()
    family = [kind.named(symbol) for symbol in kind.compounds]
    parts: list[tuple[Fraction, Unit]] = []
    position = 0
    while position < len(rest):
        part = _COMPOUND.match(rest, position)
        if part is None:
            return None
        position = part.end()
        unit = kind.find(part["unit"]) if part["unit"] else None
        if not part["unit"] and kind is DURATION and parts and position == len(rest):
            unit = next((each for each in family if each.scale < parts[-1][1].scale), None)
        if unit not in family or (parts and unit.scale >= parts[-1][1].scale):
            return None
        parts.append((numeral(part["number"]).value, unit))
    for (number, larger), (following, smaller) in pairwise(parts):
        if number.denominator != 1:
            raise NumeralError(f"has a broken number of {larger.symbol} before {smaller.symbol}")
        if following * smaller.scale >= larger.scale:
            raise NumeralError(f"has more {smaller.symbol} than make one {larger.symbol}")
    total = sign * sum((number * unit.scale for number, unit in parts), Fraction(0))
    whole = Unit("", Fraction(1), 0, included_angle=family[0].included_angle)
    return whole.to_si(total)


def _why_no_number(text: str) -> str:
    if re.search(r"[0-9],[0-9]*[.,]|[0-9]\.[0-9]*,", text):
        return "has more than one comma or dot, so it can be read in two ways"
    if re.fullmatch(r"[+-]? ?(?:(?:nan|inf|infinity)\b|∞).*", text, re.IGNORECASE):
        return "is not a finite number"
    return (
        "does not begin with a number"
        if not re.match(r"[+-]? ?[0-9.,]", text)
        else ("is not a number with a unit")
    )


def _why_no_unit(number: str, unit: str, kind: Kind) -> str:
    if kind is MASS_FLOW and (volume := VOLUME_FLOW.find(unit)):
        of_water = show(1000.0 * volume.to_si(numeral(number).value), kind, unit="g/min")
        return f"is a flow of volume, not a mass flow: try {of_water} if it is of cold water"
    if re.match(r"(?:gal|gallons?|pints?|pt|quarts?|qt|gph|gpm)\b", unit, re.IGNORECASE):
        return "may be of imperial or of US gallons: write litres or cubic inches"
    for other in KINDS:
        if other is not kind and unit not in ("", "1") and other.find(unit):
            return f"is {other.phrase}, not {kind.phrase}"
    known = ", ".join(
        each.symbol.removesuffix(" gauge").removesuffix(" abs")
        for each in kind.units
        if each.symbol and each.reference == kind.reference
    )
    if re.search(r"±|\+ ?/? ?-|[0-9] ?(?:–|-|\.\.|to )", f"0{unit}") and re.search("[0-9]", unit):
        return "is a spread or a range where one value is asked for"
    if len(unit) > 12 or any(letter in "0123456789" for letter in unit):
        return "is not one number with one unit"
    names = f", and sizes such as {', '.join(kind.by_name)}" if kind.by_name else ""
    if kind is TEMPERATURE_DIFFERENCE:
        known = f"{known}, °C"
    told = f" ({known} {'are' if ', ' in known else 'is'}{names})" if known else ""
    return f"has a unit “{unit}” that is not known here{told}"


def _other_reference(value: float, unit: Unit, kind: Kind) -> str:
    sought = kind.reference
    shift = -ATMOSPHERE if sought == "gauge" else ATMOSPHERE
    stem = unit.symbol.rsplit(" ", 1)[0]
    figure = show(value + shift, kind, unit=f"{stem} {'gauge' if sought == 'gauge' else 'abs'}")
    return f"is {unit.reference} pressure where {sought} pressure is asked for: try {figure}"
