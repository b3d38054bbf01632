"""What a unit and a physical kind are, and how a unit's many spellings are found.

Scales are exact fractions, so that ``20 µm`` is the same number as ``20e-6`` and a limit of
5 mm is met by ``5 mm`` typed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Literal

Reference = Literal["", "gauge", "absolute"]
System = Literal["metric", "inch"]
DisplayUnits = tuple[tuple[float, str], ...]

# Read in capitals or small letters alike, these would be wrong by a factor of a million or more.
_OTHER_PREFIX = frozenset({"mPa", "Mm", "Mg", "Ml"})
_SUPERSCRIPTS = str.maketrans({"²": "2", "³": "3", "^": ""})


@dataclass(frozen=True)
class Unit:
    """A unit as the trade writes it: SI value = scale times number plus offset.

    ``decimals`` is the rounding a machinist would use in this unit. ``reference`` tells gauge
    from absolute pressure. A number with ``included_angle`` is an angle [rad, after scaling]
    that stands for the taper 2 tan(angle / 2).
    """

    symbol: str
    scale: Fraction
    decimals: int
    spellings: tuple[str, ...] = ()
    offset: Fraction = Fraction(0)
    reference: Reference = ""
    included_angle: bool = False

    def to_si(self, number: Fraction) -> float:
        """SI value of a number in this unit; raises OverflowError beyond what a float holds."""
        if self.included_angle:
            return 2.0 * math.tan(0.5 * float(number * self.scale))
        return float(number * self.scale + self.offset)

    def from_si(self, value: float) -> float:
        """Return the number in this unit of a finite SI value."""
        if self.included_angle:
            value = 2.0 * math.atan(0.5 * value)
        # The digits people see, not the binary number behind them: 295.15 K is 22 °C.
        return float((Fraction(float.__repr__(float(value))) - self.offset) / self.scale)


@dataclass(frozen=True, repr=False)
class Kind:
    """A physical dimension as a field uses it.

    ``phrase`` is its name with an article; ``unit`` the SI unit values are stored in.
    ``lowest`` and ``highest`` bound what is believable where a field states no limits of its
    own; a field may allow less than ``lowest`` but never less than ``floor``. ``metric`` and
    ``inch`` list (from this magnitude [SI], unit symbol) in rising order. ``compounds`` are
    families that are written together, largest first (``2 min 30 s``). ``difference`` is the
    kind of an uncertainty of this kind, where that is not the kind itself. ``by_name`` shows how
    sizes that go by a number or letter are written.
    """

    name: str
    phrase: str
    unit: str
    units: tuple[Unit, ...]
    metric: DisplayUnits
    inch: DisplayUnits
    lowest: float
    highest: float
    floor: float
    example: float
    compounds: tuple[str, ...] = ()
    difference: Kind | None = None
    reference: Reference = ""
    ratio: bool = False
    whole: bool = False
    by_name: tuple[str, ...] = ()

    def __repr__(self) -> str:
        return f"<Kind: {self.name}>"

    @cached_property
    def _exact(self) -> dict[str, Unit]:
        return {
            _tidy(spelling): unit
            for unit in self.units
            for spelling in (unit.symbol, *unit.spellings)
        }

    @cached_property
    def _relaxed(self) -> dict[str, Unit]:
        return {spelling.casefold(): unit for spelling, unit in self._exact.items()}

    @property
    def deviation(self) -> Kind:
        """The kind in which an uncertainty of this kind is written."""
        return self.difference or self

    def find(self, spelling: str) -> Unit | None:
        """Return the unit with this spelling, or None: exact first, then in any letter case."""
        tidy = _tidy(spelling)
        found = self._exact.get(tidy)
        if found is None and tidy not in _OTHER_PREFIX:
            found = self._relaxed.get(tidy.casefold())
        if found is None and " per " in tidy:
            found = self.find(tidy.replace(" per ", "/"))
        return found

    def named(self, spelling: str) -> Unit:
        """Return the unit with this spelling; raises LookupError for a programmer's misspelling."""
        found = self.find(spelling)
        if found is None:
            raise LookupError(f"{spelling!r} is no unit of {self.phrase}")
        return found

    def display(self, value: float, system: System) -> Unit:
        """Return the unit a value [SI] of this size is shown in."""
        table = self.metric if system == "metric" else self.inch
        chosen = table[0][1]
        for threshold, symbol in table:
            if abs(value) >= threshold:
                chosen = symbol
        return self.named(chosen)


def _tidy(spelling: str) -> str:
    return " ".join(spelling.translate(_SUPERSCRIPTS).split()).rstrip(".")
