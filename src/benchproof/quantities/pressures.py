"""Gauge and absolute pressure, their difference, and stress."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from benchproof.quantities.kinds import Kind, Reference, Unit
from benchproof.quantities.scales import ATMOSPHERE, FREE_FALL, INCH, MERCURY, PSI, unit

_PRESSURES: Final = (
    ("Pa", Fraction(1), 0, ("pascal", "pascals", "N/m2")),
    ("mmH₂O", FREE_FALL, 1, ("mmH2O", "mm H2O", "mm wg")),
    ("mbar", Fraction(100), 1, ("millibar", "millibars", "hPa")),
    ("mmHg", MERCURY / 1000, 1, ("mm Hg", "mm of mercury")),
    ("inHg", MERCURY * INCH, 2, ("in Hg", "inches of mercury", "inches Hg")),
    ("inH₂O", FREE_FALL * Fraction("25.4"), 2, ("inH2O", "in H2O", "in wg", "inwg")),
    ("kPa", Fraction(1000), 1, ("kilopascal", "kilopascals")),
    ("psi", PSI, 1, ("lb/in2", "lbf/in2", "lb/sq in", "lbf/sq in", "lb per sq in")),
    ("bar", Fraction(100_000), 2, ("bars",)),
    ("kgf/cm²", FREE_FALL * 10_000, 2, ("kg/cm2",)),
    ("MPa", Fraction(1_000_000), 3, ("megapascal", "megapascals", "N/mm2")),
)
_ENDINGS: Final = {
    "gauge": (" gauge", " gage", " g", "g", "(g)", " (g)"),
    "absolute": (" abs", " abs.", " absolute", " a", "a", "abs", "(a)", " (a)", "(abs)", " (abs)"),
}


def _pressure_units(plain: Reference) -> tuple[Unit, ...]:
    """Pressure units of both references; a unit without an ending is of the ``plain`` one."""
    units = []
    for symbol, scale, decimals, others in _PRESSURES:
        references: tuple[Reference, ...] = ("gauge", "absolute")
        for reference in references:
            endings = (*_ENDINGS[reference], "") if reference == plain else _ENDINGS[reference]
            spellings = tuple(stem + ending for stem in (symbol, *others) for ending in endings)
            name = f"{symbol} {'gauge' if reference == 'gauge' else 'abs'}"
            units.append(Unit(name, scale, decimals, spellings, reference=reference))
    return tuple(units)


PRESSURE_DIFFERENCE: Final = Kind(
    "pressure difference",
    "a difference of pressure",
    "Pa",
    tuple(
        Unit(
            symbol,
            scale,
            decimals,
            tuple(
                stem + ending
                for stem in (symbol, *others)
                for ending in ("", *_ENDINGS["gauge"], *_ENDINGS["absolute"])
            ),
        )
        for symbol, scale, decimals, others in _PRESSURES
    ),
    metric=((0.0, "Pa"), (100.0, "mbar"), (1e4, "bar")),
    inch=((0.0, "psi"),),
    lowest=-1e9,
    highest=1e9,
    floor=-1e9,
    example=1e4,
)

GAUGE_PRESSURE: Final = Kind(
    "gauge pressure",
    "a gauge pressure",
    "Pa",
    _pressure_units("gauge"),
    metric=((0.0, "mbar gauge"), (1e4, "bar gauge")),
    inch=((0.0, "psi gauge"),),
    lowest=0.0,
    highest=1e9,
    floor=-ATMOSPHERE,
    example=5.5e5,
    difference=PRESSURE_DIFFERENCE,
    reference="gauge",
)

ABSOLUTE_PRESSURE: Final = Kind(
    "absolute pressure",
    "an absolute pressure",
    "Pa",
    _pressure_units("absolute"),
    metric=((0.0, "mbar abs"), (1e4, "bar abs")),
    inch=((0.0, "psi abs"),),
    lowest=0.0,
    highest=1e9,
    floor=0.0,
    example=6.5e5,
    difference=PRESSURE_DIFFERENCE,
    reference="absolute",
)


STRESS: Final = Kind(
    "stress",
    "a stress",
    "Pa",
    (
        unit("MPa", 1_000_000, 1, "N/mm2|megapascal|megapascals"),
        unit("GPa", 1_000_000_000, 2, "kN/mm2|gigapascal|gigapascals"),
        unit("kPa", 1000, 1),
        unit("Pa", 1, 0, "N/m2"),
        unit("psi", PSI, 0, "lb/in2|lbf/in2|lb/sq in|lbf/sq in"),
        unit("ksi", 1000 * PSI, 2),
        unit("tonf/in²", 2240 * PSI, 2, "ton/in2|tons/in2|ton/sq in|tons/sq in|tsi"),
    ),
    metric=((0.0, "MPa"), (1e10, "GPa")),
    inch=((0.0, "psi"), (float(1e5 * PSI), "ksi")),
    lowest=0.0,
    highest=1e13,
    floor=-1e13,
    example=100e6,
)
