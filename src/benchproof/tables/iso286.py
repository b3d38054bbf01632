"""ISO 286: standard tolerances, fundamental deviations, limits and fits of diameters.

Two things live here and are kept apart. The *table* is what a drawing means: its steps and
rounded values are the standard, and the standard's own formulas do not reproduce them below
18 mm. The *tolerance unit* is continuous in the diameter and is only a yardstick by which the
work of a lathe on small and large parts can be compared.

A diameter belongs to the step "over ... up to and including". Deviations are measured from the
basic size, positive outward.

Sources: ISO 286-1:2010 and ISO 286-2:2010 table values as printed in K. L. Narayana,
P. Kannaiah and K. Venkata Reddy, Machine Drawing, chapter 15 (IS 919-1:1993 is the same);
rows said to be from memory are marked so where they stand.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from benchproof.physics.errors import Array, require_within
from benchproof.tables.reading import rows

MICROMETRE = 1e-6
MILLIMETRE = 1e-3
LARGEST_DIAMETER = 0.5
GRADES = ("IT5", "IT6", "IT7", "IT8", "IT9", "IT10", "IT11")

_FINEST, _UP_TO_IT7, _UP_TO_IT8 = 5, 7, 8
_FIRST_STEP = 3 * MILLIMETRE
_JUST_OVER_ZERO = 1e-9
_ZONE = re.compile(r"([A-Za-z]{1,2})(\d{1,2})")


class UnknownTolerance(ValueError):
    """A grade, a deviation letter or a fit that the tables do not hold.

    ``given`` is what was asked for and ``allowed`` says what is held.
    """

    def __init__(self, given: str, allowed: str) -> None:
        super().__init__(given, allowed)
        self.given = given
        self.allowed = allowed

    def __str__(self) -> str:
        return f"{self.given!r} is not in the ISO 286 tables held here; {self.allowed}"


@dataclass(frozen=True)
class Limits:
    """Lower and upper deviation from the basic size [m]."""

    lower: float
    upper: float

    @property
    def width(self) -> float:
        """Upper less lower deviation [m]: the standard tolerance."""
        return self.upper - self.lower


@dataclass(frozen=True)
class Fit:
    """A hole and a shaft of one basic size, and the diametral clearances they allow [m].

    A negative clearance is an interference.
    """

    hole: Limits
    shaft: Limits

    @property
    def least_clearance(self) -> float:
        """Smallest hole on largest shaft: diametral clearance [m]."""
        return self.hole.lower - self.shaft.upper

    @property
    def greatest_clearance(self) -> float:
        """Largest hole on smallest shaft: diametral clearance [m]."""
        return self.hole.upper - self.shaft.lower


@dataclass(frozen=True)
class _Steps:
    """One column of a table: the upper ends of its diameter steps [mm] and the values [um]."""

    ends: tuple[float, ...]
    values: tuple[float | None, ...]

    def at(self, diameter: float, name: str) -> float:
        _require_diameter(diameter, high=self.ends[-1] * MILLIMETRE)
        # A step includes its upper end, which must survive the conversion from metres.
        value = self.values[bisect_left(self.ends, round(diameter / MILLIMETRE, 9))]
        if value is None:
            raise UnknownTolerance(
                name, f"this letter does not exist at {diameter / MILLIMETRE:g} mm"
            )
        return value * MICROMETRE


def _columns(file_name: str, end_column: str) -> dict[str, _Steps]:
    table = rows(file_name)
    ends = tuple(float(row[end_column]) for row in table)
    names = [name for name in table[0] if name not in {end_column, "over"}]
    return {
        name: _Steps(ends, tuple(float(row[name]) if row[name] else None for row in table))
        for name in names
    }


@lru_cache(maxsize=1)
def _grades() -> Mapping[str, _Steps]:
    return MappingProxyType(_columns("iso286_it_um.csv", "up_to_mm"))


@lru_cache(maxsize=1)
def _upper_deviations() -> Mapping[str, _Steps]:
    """Upper deviations of the shafts that stay below the basic size; d and e from memory."""
    near = _columns("iso286_shaft_d_e_k_um.csv", "upto")
    read = _columns("iso286_shaft_es_c_f_g_um.csv", "upto")
    return MappingProxyType(read | {"d": near["d"], "e": near["e"]})


@lru_cache(maxsize=1)
def _lower_deviations() -> Mapping[str, _Steps]:
    """Lower deviations of the shafts that rise above the basic size; k from memory."""
    near = _columns("iso286_shaft_d_e_k_um.csv", "upto")
    read = _columns("iso286_shaft_ei_m_to_zc_um.csv", "upto")
    return MappingProxyType({"k": near["k"]} | read)


def _grade_number(grade: str) -> int:
    if grade not in GRADES:
        raise UnknownTolerance(grade, f"grades held: {', '.join(GRADES)}")
    return int(grade.removeprefix("IT"))


def standard_tolerance(diameter: float, grade: str) -> float:
    """Width of the tolerance zone of a grade at a basic size [m].

    ``diameter`` in [m], over 0 to 0.5; ``grade`` "IT5" to "IT11". Raises OutOfRange or
    UnknownTolerance. Source: ISO 286-1:2010, table 1.
    """
    _grade_number(grade)
    return _grades()[grade].at(diameter, grade)


def shaft_deviation(letter: str, diameter: float, grade: str = "IT7") -> float:
    """Fundamental deviation of a shaft [m]: the limit nearer the basic size.

    It is the upper deviation of c to h and the lower one of k to zc. ``diameter`` in [m], over
    0 to 0.5 (c to h, k) or to 0.18 (m to zc); ``grade`` matters for k alone, which is 0 above
    IT7. "js" lies evenly about the basic size and has none: ask ``limits``. Raises OutOfRange
    or UnknownTolerance. Source: ISO 286-1:2010, tables 4 and 5; d, e and k from memory.
    """
    number = _grade_number(grade)
    if letter == "h" or (letter == "k" and number > _UP_TO_IT7):
        standard_tolerance(diameter, grade)
        return 0.0
    for column in (_upper_deviations(), _lower_deviations()):
        if letter in column:
            return column[letter].at(diameter, letter)
    held = " ".join([*sorted({*_upper_deviations(), "h"}), *_lower_deviations()])
    raise UnknownTolerance(letter, f"letters held: {held}, and js by its limits")


def hole_deviation(letter: str, diameter: float, grade: str) -> float:
    """Fundamental deviation of a hole [m]: the limit nearer the basic size.

    It is the lower deviation of C to H and the upper one of K to ZC; holes mirror the shafts.
    Over 3 mm K, M and N up to IT8 and P to ZC up to IT7 gain the difference of the grade and
    the next finer one, so that H7/p6 and P7/h6 are one fit; N above IT8 is 0 there and K is
    not defined. ``diameter`` in [m], ranges as in ``shaft_deviation``; ``grade`` "IT5" to
    "IT11". Raises OutOfRange or UnknownTolerance.
    Source: ISO 286-1:2010, 4.3.2.5 and tables 2 and 3, from memory.
    """
    number = _grade_number(grade)
    shaft = letter.lower()
    if shaft == letter:
        raise UnknownTolerance(letter, "holes are written in capitals")
    if shaft == "h" or shaft in _upper_deviations():
        return 0.0 - shaft_deviation(shaft, diameter, grade)
    # The K of every grade mirrors the k of the fine grades.
    mirrored = 0.0 - shaft_deviation(shaft, diameter, "IT7")
    if diameter <= _FIRST_STEP:
        return mirrored
    if number > _UP_TO_IT8 and letter in "KN":
        if letter == "K":
            raise UnknownTolerance(f"K{number}", "over 3 mm K exists up to grade 8")
        return 0.0
    if number > (_UP_TO_IT8 if letter in "KMN" else _UP_TO_IT7):
        return mirrored
    if number == _FINEST:
        raise UnknownTolerance(f"{letter}{number}", "over 3 mm it needs grade 4, not held here")
    finer = standard_tolerance(diameter, f"IT{number - 1}")
    return mirrored + standard_tolerance(diameter, grade) - finer


def limits(zone: str, diameter: float) -> Limits:
    """Deviations of a hole ("H7") or shaft ("g6") from its basic size [m].

    ``zone`` is a letter or two and the number of the grade, capitals for holes; ``diameter``
    in [m], ranges as in ``shaft_deviation``. Raises OutOfRange or UnknownTolerance.
    Source: ISO 286-1:2010, 4.2 and 4.3.
    """
    match = _ZONE.fullmatch(zone.strip())
    if match is None:
        raise UnknownTolerance(zone, "write a hole as H7 and a shaft as g6")
    letter, grade = match[1], f"IT{match[2]}"
    width = standard_tolerance(diameter, grade)
    if letter in {"js", "JS"}:
        return Limits(lower=-0.5 * width, upper=0.5 * width)
    if letter.islower():
        near = shaft_deviation(letter, diameter, grade)
        below = letter == "h" or letter in _upper_deviations()
    else:
        near = hole_deviation(letter, diameter, grade)
        below = not (letter == "H" or letter.lower() in _upper_deviations())
    return Limits(near - width, near) if below else Limits(near, near + width)


def fit(designation: str, diameter: float) -> Fit:
    """Limits and diametral clearances [m] of a fit such as "H7/g6".

    The hole stands first; ``diameter`` in [m], ranges as in ``shaft_deviation``. Raises
    OutOfRange or UnknownTolerance. Source: ISO 286-1:2010, 4.4.
    """
    hole, slash, shaft = (part.strip() for part in designation.partition("/"))
    if not (slash and hole[:1].isupper() and shaft[:1].islower()):
        raise UnknownTolerance(designation, "write a fit as H7/g6, the hole first")
    return Fit(hole=limits(hole, diameter), shaft=limits(shaft, diameter))


def tolerance_unit(diameter: ArrayLike) -> Array:
    """Tolerance unit i = 0.45 D^(1/3) + 0.001 D (i in um, D in mm) at the diameter itself [m].

    ``diameter`` in [m], any shape, over 0 to 0.5. A yardstick to compare the work on small and
    large parts, not a tolerance: the standard takes the mean of a step, and rounds. Raises
    OutOfRange. Source: ISO 286-1:2010, annex A; Narayana, Kannaiah and Venkata Reddy, ch. 15.
    """
    millimetres = _require_diameter(diameter) / MILLIMETRE
    unit: Array = MICROMETRE * (0.45 * np.cbrt(millimetres) + 0.001 * millimetres)
    return unit


def grade_of_spread(width: ArrayLike, diameter: ArrayLike) -> Array:
    """Continuous tolerance grade of a spread: 6 + 5 log10(W / 10 i).

    ``width`` W [m], over 0, and ``diameter`` [m], over 0 to 0.5, broadcast; i is taken at the
    diameter itself. A whole number means the grade of that name; it may leave the range of
    the table. Raises OutOfRange.
    Source: ISO 286-1:2010, annex A: IT6 is 10 i and five grades are a factor of ten.
    """
    spread = require_within(
        "width of a spread", width, low=_JUST_OVER_ZERO, high=LARGEST_DIAMETER, unit="m"
    )
    grade: Array = 6.0 + 5.0 * np.log10(spread / (10.0 * tolerance_unit(diameter)))
    return grade


def _require_diameter(diameter: ArrayLike, *, high: float = LARGEST_DIAMETER) -> Array:
    return require_within(
        "diameter",
        diameter,
        low=_JUST_OVER_ZERO,
        high=high,
        unit="m",
        hint="the table ends there",
    )
