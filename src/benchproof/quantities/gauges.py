"""Sizes that go by a number or a letter: wire gauge, number drills, letter drills.

Wire and sheet: the Imperial standard wire gauge of 1884, as in BS 3737:1964 (withdrawn). Drills:
the numbers and letters of ASME B94.11M-1993. A size of another system with the same number is
another size, so nothing is read that does not say its system.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from benchproof.quantities.numerals import NumeralError
from benchproof.quantities.scales import INCH

_WIRE: Final = (
    *("0.5", "0.464", "0.432", "0.4", "0.372", "0.348", "0.324", "0.3", "0.276", "0.252", "0.232"),
    *("0.212", "0.192", "0.176", "0.16", "0.144", "0.128", "0.116", "0.104", "0.092", "0.08"),
    *("0.072", "0.064", "0.056", "0.048", "0.04", "0.036", "0.032", "0.028", "0.024", "0.022"),
    *("0.02", "0.018", "0.0164", "0.0148", "0.0136", "0.0124", "0.0116", "0.0108", "0.01"),
    *("0.0092", "0.0084", "0.0076", "0.0068", "0.006", "0.0052", "0.0048", "0.0044", "0.004"),
    *("0.0036", "0.0032", "0.0028", "0.0024", "0.002", "0.0016", "0.0012", "0.001"),
)
_NUMBERS: Final = (
    *("0.228", "0.221", "0.213", "0.209", "0.2055", "0.204", "0.201", "0.199", "0.196", "0.1935"),
    *("0.191", "0.189", "0.185", "0.182", "0.18", "0.177", "0.173", "0.1695", "0.166", "0.161"),
    *("0.159", "0.157", "0.154", "0.152", "0.1495", "0.147", "0.144", "0.1405", "0.136", "0.1285"),
    *("0.12", "0.116", "0.113", "0.111", "0.11", "0.1065", "0.104", "0.1015", "0.0995", "0.098"),
    *("0.096", "0.0935", "0.089", "0.086", "0.082", "0.081", "0.0785", "0.076", "0.073", "0.07"),
    *("0.067", "0.0635", "0.0595", "0.055", "0.052", "0.0465", "0.043", "0.042", "0.041", "0.04"),
    *("0.039", "0.038", "0.037", "0.036", "0.035", "0.033", "0.032", "0.031", "0.0292", "0.028"),
    *("0.026", "0.025", "0.024", "0.0225", "0.021", "0.02", "0.018", "0.016", "0.0145", "0.0135"),
)
_LETTERS: Final = (
    *("0.234", "0.238", "0.242", "0.246", "0.25", "0.257", "0.261", "0.266", "0.272", "0.277"),
    *("0.281", "0.29", "0.295", "0.302", "0.316", "0.323", "0.332", "0.339", "0.348", "0.358"),
    *("0.368", "0.377", "0.386", "0.397", "0.404", "0.413"),
)
_THICKEST: Final = ("7/0", "6/0", "5/0", "4/0", "3/0", "2/0", "0")


def _metres(inches: tuple[str, ...]) -> list[Fraction]:
    return [Fraction(each) * INCH for each in inches]


WIRE_GAUGE: Final[Mapping[str, Fraction]] = MappingProxyType(
    dict(zip((*_THICKEST, *map(str, range(1, 51))), _metres(_WIRE), strict=True))
)
"""Diameter [m] by number of the Imperial standard wire gauge, 7/0 to 50."""

NUMBER_DRILLS: Final[Mapping[str, Fraction]] = MappingProxyType(
    dict(zip(map(str, range(1, 81)), _metres(_NUMBERS), strict=True))
)
"""Diameter [m] of number drills, 1 to 80."""

LETTER_DRILLS: Final[Mapping[str, Fraction]] = MappingProxyType(
    dict(zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ", _metres(_LETTERS), strict=True))
)
"""Diameter [m] of letter drills, A to Z."""

EXAMPLES: Final = ("20 swg", "No. 43 drill", "letter F drill")
"""How such sizes are written."""

_NUMBER_OF: Final = r"(?:no|nr|number|num)\b\.? ?|# ?|"
_SWG: Final = re.compile(
    rf"(?:{_NUMBER_OF})(?P<after>[0-9]/0|0+|[0-9]{{1,3}}) ?(?:swg|s\.w\.g\.?)"
    r"|(?:swg|s\.w\.g\.?) ?(?P<before>[0-9]/0|0+|[0-9]{1,3})",
    re.IGNORECASE,
)
_DRILL: Final = re.compile(
    rf"(?:{_NUMBER_OF})(?P<number>[0-9]{{1,3}}) drill(?: bit)?"
    rf"|drill (?:{_NUMBER_OF})(?P<number_after>[0-9]{{1,3}})"
    r"|(?:letter )?(?P<letter>[a-z]) drill(?: bit)?|drill (?:letter )?(?P<letter_after>[a-z])",
    re.IGNORECASE,
)
_EITHER: Final = re.compile(
    r"(?:# ?|(?:no|nr|number)\b\.? ?)(?P<alone>[0-9]{1,2})|(?P<gauge>[0-9]{1,2}) ?(?:gauge|ga)",
    re.IGNORECASE,
)


def gauge_size(text: str) -> float | None:
    """Size [m] of what goes by a number or letter; None for other text.

    Raises NumeralError for a number that its system lacks, and for one without a system.
    """
    if wire := _SWG.fullmatch(text):
        name = _wire_name(wire["after"] or wire["before"])
        if name not in WIRE_GAUGE:
            raise NumeralError("is no size of the standard wire gauge, which runs from 7/0 to 50")
        return float(WIRE_GAUGE[name])
    if drill := _DRILL.fullmatch(text):
        letter = drill["letter"] or drill["letter_after"]
        if letter:
            return float(LETTER_DRILLS[letter.upper()])
        name = str(int(drill["number"] or drill["number_after"]))
        if name not in NUMBER_DRILLS:
            raise NumeralError("is no number drill, which run from No. 1 to No. 80")
        return float(NUMBER_DRILLS[name])
    if either := _EITHER.fullmatch(text):
        name = either["alone"] or either["gauge"]
        raise NumeralError(
            f"may be a wire gauge or a number drill: write {name} swg or No. {name} drill"
        )
    return None


def _wire_name(written: str) -> str:
    """Number of a wire gauge as the table has it: noughts may be counted out or written out."""
    if set(written) == {"0"}:
        written = f"{len(written)}/0"
    if "/" in written:
        return "0" if written == "1/0" else written
    return str(int(written))
