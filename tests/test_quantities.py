"""What people write, read to SI: every form the user guide promises, and what is refused."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.quantities import (
    ABSOLUTE_PRESSURE,
    ANGLE,
    AREA,
    COUNT,
    DURATION,
    FORCE,
    FRACTION,
    GAUGE_PRESSURE,
    KINDS,
    LENGTH,
    MASS,
    MASS_FLOW,
    NUMBER,
    SPEED_OF_ROTATION,
    STRESS,
    TAPER,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    VOLUME,
    Kind,
    QuantityError,
    parse,
    write,
)
from benchproof.quantities.numerals import NumeralError, numeral
from sources import source

INCH = 25.4e-3
POUND = 0.45359237

READ_AS = [
    ("12", LENGTH, "mm", 12e-3),
    ("12", LENGTH, "in", 12 * INCH),
    ("12mm", LENGTH, "in", 12e-3),
    (" 12  mm ", LENGTH, "in", 12e-3),
    ("+12 mm", LENGTH, "mm", 12e-3),
    ("12. mm", LENGTH, "mm", 12e-3),
    (".5 in", LENGTH, "mm", 0.5 * INCH),
    ("0.4375in", LENGTH, "mm", 0.4375 * INCH),
    ('7/16"', LENGTH, "mm", 0.4375 * INCH),
    ("7/16”", LENGTH, "mm", 0.4375 * INCH),
    ("1 7/16 in", LENGTH, "mm", 1.4375 * INCH),
    ('1-7/16"', LENGTH, "mm", 1.4375 * INCH),
    ("1 7/16", LENGTH, "in", 1.4375 * INCH),
    ("1½ in.", LENGTH, "mm", 1.5 * INCH),
    ("1 ½ in", LENGTH, "mm", 1.5 * INCH),
    ("¼ inch", LENGTH, "mm", 0.25 * INCH),
    ("⅛ in", LENGTH, "mm", 0.125 * INCH),
    ("1⁄8 in", LENGTH, "mm", 0.125 * INCH),
    ("2 ft 3 1/2 in", LENGTH, "mm", 27.5 * INCH),
    ("2' 3\"", LENGTH, "mm", 27 * INCH),
    ("2 thou", LENGTH, "mm", 0.002 * INCH),
    ("20 µm", LENGTH, "mm", 20e-6),
    ("20 μm", LENGTH, "mm", 20e-6),
    ("20 um", LENGTH, "mm", 20e-6),
    ("20 micron", LENGTH, "mm", 20e-6),
    ("25,4 mm", LENGTH, "mm", 25.4e-3),
    ("0,125 in", LENGTH, "mm", 0.125 * INCH),
    ("1234,567 mm", LENGTH, "mm", 1.234567),
    ("1e-3", LENGTH, "m", 1e-3),
    ("1e-3", LENGTH, "mm", 1e-6),
    ("12 MM", LENGTH, "mm", 12e-3),
    ("12 Inches", LENGTH, "mm", 12 * INCH),
    ("80 psi", GAUGE_PRESSURE, "bar", 551580.5834534689),
    ("80 psig", GAUGE_PRESSURE, "bar", 551580.5834534689),
    ("80 lbf/in²", GAUGE_PRESSURE, "bar", 551580.5834534689),
    ("5.5 bar", GAUGE_PRESSURE, "psi", 5.5e5),
    ("5.5 barg", GAUGE_PRESSURE, "psi", 5.5e5),
    ("5.5 bar g", GAUGE_PRESSURE, "psi", 5.5e5),
    ("0.55 MPa", GAUGE_PRESSURE, "bar", 5.5e5),
    ("0.55 mpa", GAUGE_PRESSURE, "bar", 5.5e5),
    ("550 kPa", GAUGE_PRESSURE, "bar", 5.5e5),
    ("10 bar", ABSOLUTE_PRESSURE, "bar", 10e5),
    ("10 bar abs", ABSOLUTE_PRESSURE, "bar", 10e5),
    ("10 bara", ABSOLUTE_PRESSURE, "bar", 10e5),
    ("1013.25 mbar", ABSOLUTE_PRESSURE, "bar", 101325.0),
    ("14.5 psia", ABSOLUTE_PRESSURE, "bar", 99973.98075094125),
    ("250 N/mm²", STRESS, "MPa", 250e6),
    ("22 °C", TEMPERATURE, "°F", 295.15),
    ("22 ℃", TEMPERATURE, "°F", 295.15),
    ("22", TEMPERATURE, "°C", 295.15),
    ("-5 C", TEMPERATURE, "°C", 268.15),
    ("−5 °C", TEMPERATURE, "°C", 268.15),
    ("72 F", TEMPERATURE, "°C", 295.3722222222222),
    ("295.15 K", TEMPERATURE, "°C", 295.15),
    ("10 K", TEMPERATURE_DIFFERENCE, "K", 10.0),
    ("10 C", TEMPERATURE_DIFFERENCE, "K", 10.0),
    ("18 °F", TEMPERATURE_DIFFERENCE, "K", 10.0),
    ("-10 K", TEMPERATURE_DIFFERENCE, "K", -10.0),
    ("3.2 kg", MASS, "g", 3.2),
    ("8 oz", MASS, "g", POUND / 2),
    ("2 lb 3 oz", MASS, "g", POUND * (2 + 3 / 16)),
    ("101.8 g", MASS, "kg", 0.1018),
    ("4:12", DURATION, "s", 252.0),
    ("4:12.5", DURATION, "s", 252.5),
    ("1:02:03", DURATION, "s", 3723.0),
    ("1h20", DURATION, "s", 4800.0),
    ("1 h 20 min", DURATION, "s", 4800.0),
    ("2 min 30 s", DURATION, "s", 150.0),
    ("1m20s", DURATION, "s", 80.0),
    ("1½ h", DURATION, "s", 5400.0),
    ("300 rpm", SPEED_OF_ROTATION, "rpm", 5.0),
    ("300 rev/min", SPEED_OF_ROTATION, "rps", 5.0),
    ("5 rps", SPEED_OF_ROTATION, "rpm", 5.0),
    ("75 %", FRACTION, "%", 0.75),
    ("75", FRACTION, "%", 0.75),
    ("0.75", FRACTION, "", 0.75),
    ("93 in 100", FRACTION, "%", 0.93),
    ("1 in 10", TAPER, "", 0.1),
    ("1:10", TAPER, "°", 0.1),
    ("1/10", TAPER, "°", 0.1),
    ("2.86 deg", TAPER, "", 2 * math.tan(math.radians(1.43))),
    ("2° 51′ 36″", TAPER, "", 2 * math.tan(math.radians(1.43))),
    ("3/4 in/ft", TAPER, "", 1 / 16),
    ("20 arcmin", ANGLE, "°", math.radians(1 / 3)),
    ("20'", ANGLE, "°", math.radians(1 / 3)),
    ('20"', ANGLE, "°", math.radians(20 / 3600)),
    ("2°30'", ANGLE, "°", math.radians(2.5)),
    ("15 mrad", ANGLE, "°", 0.015),
    ("1.05 g/s", MASS_FLOW, "kg/h", 1.05e-3),
    ("3.8 kg/h", MASS_FLOW, "g/s", 3.8 / 3600),
    ("8 lb/h", MASS_FLOW, "g/s", 8 * POUND / 3600),
    ("50 N", FORCE, "lbf", 50.0),
    ("11 lbf", FORCE, "N", 11 * POUND * 9.80665),
    ("250 mL", VOLUME, "L", 250e-6),
    ("250 cm³", VOLUME, "L", 250e-6),
    ("250 cc", VOLUME, "L", 250e-6),
    ("15 cu in", VOLUME, "L", 15 * INCH**3),
    ("2 sq in", AREA, "mm²", 2 * INCH**2),
    ("1.3", NUMBER, "", 1.3),
    ("12", COUNT, "", 12.0),
    ("12 off", COUNT, "", 12.0),
    (12, LENGTH, "mm", 12e-3),
    (0.1, LENGTH, "mm", 0.1e-3),
]


@pytest.mark.parametrize(("text", "kind", "unit", "value"), READ_AS)
def test_what_people_write_is_read(text: str | float, kind: Kind, unit: str, value: float) -> None:
    assert parse(text, kind, default_unit=unit) == pytest.approx(value, rel=1e-14, abs=0.0)


REFUSED = [
    ("", LENGTH, "is empty"),
    ("   ", LENGTH, "is empty"),
    ("25,400 mm", LENGTH, "write 25.4 or 25400"),
    ("1,234", LENGTH, "write 1.234 or 1234"),
    ("1,234.5", LENGTH, "two ways"),
    ("1.234,5", LENGTH, "two ways"),
    ("1,234,567", LENGTH, "two ways"),
    ("12 kg", LENGTH, "is a mass, not a length"),
    ("12 mm", MASS, "is a length, not a mass"),
    ("5 lb", FORCE, "is a mass, not a force"),
    ("12 furlong", LENGTH, "“furlong” that is not known here"),
    ("5 Mm", LENGTH, "“Mm” that is not known here"),
    ("5 mPa", GAUGE_PRESSURE, "“mPa” that is not known here"),
    ("nan", LENGTH, "not a finite number"),
    ("inf", LENGTH, "not a finite number"),
    ("∞", LENGTH, "not a finite number"),
    (math.nan, LENGTH, "not a finite number"),
    (math.inf, LENGTH, "not a finite number"),
    ("1e400", LENGTH, "beyond belief"),
    ("1e99999", LENGTH, "not one number with one unit"),
    (10**400, LENGTH, "beyond belief"),
    ("5 km", LENGTH, "not known here"),
    ("5e9 mm", LENGTH, "beyond belief"),
    ("-5 mm", LENGTH, "less than a length can be"),
    ("-300 °C", TEMPERATURE, "less than a temperature can be"),
    ("twelve", LENGTH, "does not begin with a number"),
    ("１２ mm", LENGTH, "does not begin with a number"),
    ("1 234 mm", LENGTH, "not one number with one unit"),
    ("1/0 in", LENGTH, "divides by zero"),
    ("1 17/16 in", LENGTH, "fraction of one or more"),
    ("1 - 7/16 in", LENGTH, "where one value is asked for"),
    ("1.5 7/16 in", LENGTH, "not one number with one unit"),
    ("2 in 3 ft", LENGTH, "not one number with one unit"),
    ("12\x00mm", LENGTH, "control character"),
    ("12\u200bmm", LENGTH, "control character"),
    ("1" * 101, LENGTH, "longer than 100"),
    (True, LENGTH, "neither text nor a number"),
    (None, LENGTH, "neither text nor a number"),
    (b"12", LENGTH, "neither text nor a number"),
    ([12], LENGTH, "neither text nor a number"),
    ("2 to 4 µm", LENGTH, "where one value is asked for"),
    ("20 ± 3 µm", LENGTH, "where one value is asked for"),
    ("1h80", DURATION, "more min than make one h"),
    ("1.5 h 20 min", DURATION, "broken number of h"),
    ("4:2", DURATION, "not one number with one unit"),
    ("4:75", DURATION, "60 or more"),
    ("1:75:00", DURATION, "60 or more"),
    ("22°", TEMPERATURE, "is an angle, not a temperature"),
    ("1/2", FRACTION, "write 50 %, or so many in so many"),
    ("1:8", FRACTION, "write 1 in 8"),
    ("120 %", FRACTION, "beyond belief"),
    ("1 in 0", TAPER, "divides by zero"),
    ("2.5", COUNT, "not a whole number"),
]
UNITS = {"length": "mm", "mass": "g", "force": "N", "gauge pressure": "bar", "fraction": "%"}


@pytest.mark.parametrize(("text", "kind", "reason"), REFUSED)
def test_what_is_no_quantity_or_may_be_read_in_two_ways_is_refused(
    text: str | float, kind: Kind, reason: str
) -> None:
    unit = UNITS.get(kind.name, kind.units[0].symbol)
    with pytest.raises(QuantityError) as refusal:
        parse(text, kind, default_unit=unit)
    assert reason in str(refusal.value)
    assert refusal.value.allowed.startswith(kind.phrase)
    parse(refusal.value.example, kind, default_unit=unit)


def test_a_refusal_says_what_was_given_what_is_allowed_and_what_to_try() -> None:
    with pytest.raises(QuantityError) as refusal:
        parse("200 mm", LENGTH, default_unit="mm", minimum=5e-3, maximum=150e-3)
    assert refusal.value.given == "200 mm"
    assert refusal.value.allowed == "a length from 5 mm to 150 mm"
    assert refusal.value.example == "12 mm"
    assert (
        str(refusal.value)
        == "“200 mm” is too much; give a length from 5 mm to 150 mm, such as 12 mm"
    )


def test_bounds_are_allowed_themselves_unless_exclusive() -> None:
    assert parse("5 mm", LENGTH, default_unit="mm", minimum=5e-3) == 5e-3
    with pytest.raises(QuantityError, match="give a length above 5 mm"):
        parse("5 mm", LENGTH, default_unit="mm", minimum=5e-3, exclusive=True)


def test_a_field_may_allow_negative_values_but_nothing_below_what_can_be() -> None:
    assert parse("-0.2 mm", LENGTH, default_unit="mm", minimum=-1e-3) == -0.2e-3
    assert parse("-0.5 bar", GAUGE_PRESSURE, default_unit="bar", minimum=-1e5) == -0.5e5
    with pytest.raises(QuantityError):
        parse("-1.1 bar", GAUGE_PRESSURE, default_unit="bar", minimum=-2e5)


@source("10th General Conference on Weights and Measures, 1954: 101 325 Pa", kind="from memory")
@pytest.mark.parametrize(
    ("text", "kind", "suggestion"),
    [
        ("9 bar abs", GAUGE_PRESSURE, "try 7.99 bar gauge"),
        ("100 psia", GAUGE_PRESSURE, "try 85.3 psi gauge"),
        ("8 bar g", ABSOLUTE_PRESSURE, "try 9.01 bar abs"),
        ("80 psig", ABSOLUTE_PRESSURE, "try 94.7 psi abs"),
    ],
)
def test_gauge_and_absolute_pressure_are_told_apart(text: str, kind: Kind, suggestion: str) -> None:
    with pytest.raises(QuantityError, match=suggestion):
        parse(text, kind, default_unit="bar")


def test_a_clock_time_in_a_field_of_hours_may_be_read_in_two_ways() -> None:
    with pytest.raises(QuantityError, match="write 1 h 20 min"):
        parse("4:12", DURATION, default_unit="h")
    assert parse("1:02:03", DURATION, default_unit="h") == 3723.0


def test_only_what_matches_the_pattern_of_a_number_is_a_numeral() -> None:
    with pytest.raises(NumeralError, match="not a number"):
        numeral("twelve")


def test_a_misspelt_default_unit_is_the_programmers_mistake() -> None:
    with pytest.raises(LookupError, match="furlong"):
        parse("12", LENGTH, default_unit="furlong")


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_no_spelling_means_two_units(kind: Kind) -> None:
    for unit in kind.units:
        for spelling in (unit.symbol, *unit.spellings):
            assert kind.find(spelling) == unit
            if spelling.upper() not in ("MPA", "MG", "ML"):
                assert kind.find(spelling.upper()) == unit


SAME_IN_PINT = {
    "µm": "um", "mm": "mm", "cm": "cm", "m": "m", "thou": "thou", "in": "inch", "ft": "foot",
    "mm²": "mm**2", "in²": "inch**2", "ft²": "foot**2", "mg": "mg", "g": "g", "kg": "kg",
    "oz": "oz", "lb": "lb", "ms": "ms", "s": "s", "min": "min", "h": "hour", "d": "day",
    "MPa": "MPa", "psi": "psi", "ksi": "ksi", "rad": "rad", "°": "degree", "arcmin": "arcmin",
    "arcsec": "arcsec", "g/s": "g/s", "kg/h": "kg/hour", "oz/min": "oz/min", "lb/h": "lb/hour",
    "N": "N", "kgf": "kgf", "ozf": "ozf", "lbf": "lbf", "mL": "mL", "L": "L", "in³": "inch**3",
    "ft³": "foot**3", "bar gauge": "bar", "psi gauge": "psi", "mbar gauge": "mbar",
    "kgf/cm² gauge": "kgf/cm**2", "mmH₂O gauge": "kgf/m**2",
    "N·mm": "N*mm", "lbf·in": "lbf*inch", "lbf·ft": "lbf*foot", "mL/min": "mL/min",
    "L/h": "L/hour", "in³/min": "inch**3/min", "m/min": "m/min", "km/h": "km/hour",
    "ft/min": "foot/min", "mile/h": "mile/hour", "mPa·s": "mPa*s",
    "µreyn": "microreyn",
}  # fmt: skip


@pytest.fixture(scope="module")
def oracle() -> pint.UnitRegistry:  # type: ignore[type-arg] # generic only for type checkers
    return pint.UnitRegistry()


@source("pint unit definitions, as an independent witness", kind="own calculation")
def test_scales_agree_with_an_independent_library(
    oracle: pint.UnitRegistry,  # type: ignore[type-arg]
) -> None:
    checked = set()
    for kind in KINDS:
        if kind is TAPER:
            continue
        for unit in kind.units:
            if (name := SAME_IN_PINT.get(unit.symbol)) is not None:
                expected = oracle.Quantity(1.0, name).to_base_units()
                expected = expected.to(
                    oracle.Unit(kind.unit.replace("m2", "m**2").replace("m3", "m**3"))
                )
                value = float(unit.scale + unit.offset)
                assert value == pytest.approx(float(expected.magnitude), rel=1e-12), unit.symbol
                checked.add(unit.symbol)
    assert checked == set(SAME_IN_PINT)


@source("pint unit definitions, as an independent witness", kind="own calculation")
@pytest.mark.parametrize("number", [-40.0, 0.0, 32.0, 71.6, 212.0, 460.0])
def test_temperatures_agree_with_an_independent_library(
    oracle: pint.UnitRegistry,  # type: ignore[type-arg]
    number: float,
) -> None:
    expected = oracle.Quantity(number, "degF").to("K").magnitude
    value = parse(f"{number!r} F", TEMPERATURE, default_unit="°C")
    assert value == pytest.approx(expected, rel=1e-12)


@st.composite
def written(draw: st.DrawFn) -> tuple[float, Kind, str]:
    kind = draw(st.sampled_from(KINDS))
    unit = draw(st.sampled_from([u for u in kind.units if u.reference == kind.reference]))
    least = 1.0 if kind is TEMPERATURE else kind.lowest
    value = draw(st.floats(least, kind.highest, allow_subnormal=False))
    return (float(round(value)) if kind.whole else value), kind, unit.symbol


@given(example=written())
def test_what_is_written_reads_back_as_the_same_value(example: tuple[float, Kind, str]) -> None:
    value, kind, unit = example
    text = write(value, kind, unit)
    again = parse(text, kind, default_unit=unit, maximum=2.0 * kind.highest)
    assert again == pytest.approx(value, rel=1e-12, abs=1e-300)
