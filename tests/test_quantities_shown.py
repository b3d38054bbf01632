"""SI values shown as a machinist would write them, and spreads both ways."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.quantities import (
    ABSOLUTE_PRESSURE,
    ANGLE,
    COUNT,
    DURATION,
    FRACTION,
    GAUGE_PRESSURE,
    KINDS,
    LENGTH,
    MASS,
    MASS_FLOW,
    NUMBER,
    SPEED_OF_ROTATION,
    TAPER,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    VOLUME,
    Kind,
    QuantityError,
    System,
    echo,
    echo_spread,
    parse,
    parse_spread,
    show,
    show_spread,
    write_spread,
)
from benchproof.spread import Below, Fixed, LogNormal, LogUniform, Normal, Spread, Uniform

SHOWN: list[tuple[float, Kind, System, str]] = [
    (29.9861e-3, LENGTH, "metric", "29.986 mm"),
    (29.98649e-3, LENGTH, "metric", "29.986 mm"),
    (30e-3, LENGTH, "metric", "30 mm"),
    (30e-3, LENGTH, "inch", "1.1811 in"),
    (12.345e-6, LENGTH, "metric", "12.3 µm"),
    (0.199e-3, LENGTH, "metric", "199 µm"),
    (0.21e-3, LENGTH, "metric", "0.21 mm"),
    (0.0123e-6, LENGTH, "metric", "0.012 µm"),
    (0.0, LENGTH, "metric", "0 µm"),
    (-12.345e-6, LENGTH, "metric", "-12.3 µm"),
    (50e-6, LENGTH, "inch", "2 thou"),
    (12.7e-6, LENGTH, "inch", "0.5 thou"),
    (15.0, LENGTH, "metric", "15 m"),
    (0.1018, MASS, "metric", "101.8 g"),
    (3.2, MASS, "metric", "3.2 kg"),
    (3.2, MASS, "inch", "7.05 lb"),
    (5.5e5, GAUGE_PRESSURE, "metric", "5.5 bar gauge"),
    (5.5e5, GAUGE_PRESSURE, "inch", "79.8 psi gauge"),
    (101325.0, ABSOLUTE_PRESSURE, "metric", "1.01 bar abs"),
    (295.15, TEMPERATURE, "metric", "22 °C"),
    (295.15, TEMPERATURE, "inch", "71.6 °F"),
    (10.0, TEMPERATURE_DIFFERENCE, "inch", "18 °F"),
    (45.26, DURATION, "metric", "45.3 s"),
    (59.97, DURATION, "metric", "1 min"),
    (252.4, DURATION, "metric", "4 min 12.4 s"),
    (3599.96, DURATION, "metric", "1 h"),
    (3723.0, DURATION, "metric", "1 h 2 min 3 s"),
    (80_000.0, DURATION, "metric", "22 h 13 min"),
    (5000 * 3600.0, DURATION, "metric", "5000 h"),
    (5.0, SPEED_OF_ROTATION, "inch", "300 rpm"),
    (0.75, FRACTION, "metric", "75 %"),
    (math.radians(8.0), ANGLE, "metric", "8°"),
    (math.radians(0.2), ANGLE, "metric", "12 arcmin"),
    (0.1, TAPER, "metric", "1 in 10"),
    (-0.05, TAPER, "metric", "-1 in 20"),
    (0.0, TAPER, "metric", "0"),
    (1.05e-3, MASS_FLOW, "metric", "1.05 g/s"),
    (1.05e-3, MASS_FLOW, "inch", "8.33 lb/h"),
    (250e-6, VOLUME, "metric", "250 mL"),
    (12345.678, NUMBER, "metric", "12346"),
    (0.012345678, NUMBER, "metric", "0.01235"),
    (1.2346e-12, NUMBER, "metric", "1.235e-12"),
    (3.0, COUNT, "metric", "3"),
    (math.nan, LENGTH, "metric", "not a number"),
    (math.inf, LENGTH, "metric", "unlimited"),
]


@pytest.mark.parametrize(("value", "kind", "system", "text"), SHOWN)
def test_values_are_rounded_as_a_machinist_would(
    value: float, kind: Kind, system: System, text: str
) -> None:
    assert show(value, kind, system=system) == text


def test_unit_and_decimals_can_be_chosen() -> None:
    assert show(29.98e-3, LENGTH, unit="mm", digits=3) == "29.980 mm"
    assert show(-1e-9, LENGTH, unit="mm", digits=3) == "0.000 mm"
    assert show(0.1, TAPER, unit="deg") == "5.725°"
    assert show(252.0, DURATION, unit="min") == "4.2 min"


def test_what_is_too_large_for_its_unit_is_unlimited() -> None:
    assert show(1e308, LENGTH, unit="µm") == "unlimited"
    assert show(-1e308, LENGTH, unit="µm") == "-unlimited"


@pytest.mark.parametrize(
    ("value", "kind", "text"),
    [
        (30e-3, LENGTH, "30 mm (1.1811 in)"),
        (5.5e5, GAUGE_PRESSURE, "5.5 bar gauge (79.8 psi gauge)"),
        (10.0, TEMPERATURE_DIFFERENCE, "10 K difference (18 °F)"),
        (0.1, TAPER, "1 in 10 on diameter (5.725° included)"),
        (150.0, DURATION, "2 min 30 s"),
        (0.75, FRACTION, "75 %"),
    ],
)
def test_the_echo_gives_both_systems(value: float, kind: Kind, text: str) -> None:
    assert echo(value, kind) == text


@given(
    kind=st.sampled_from(KINDS),
    share=st.just(0.0) | st.floats(1e-9, 1.0),
    power=st.floats(-9.0, 0.0),
)
def test_what_is_shown_reads_back_within_its_rounding(
    kind: Kind, share: float, power: float
) -> None:
    value = share * kind.highest * 10.0**power + (1.0 if kind is TEMPERATURE else 0.0)
    value = float(round(value)) if kind.whole else value
    for system in ("metric", "inch"):
        text = show(value, kind, system=system)
        again = parse(text, kind, default_unit=kind.units[0].symbol, maximum=2.0 * kind.highest)
        absolute = {"temperature": 0.06, "duration": 0.06}.get(kind.name, 0.0)
        assert again == pytest.approx(value, rel=0.06, abs=absolute), text
        assert sum(letter.isdigit() for letter in text) < 12


@given(
    kind=st.sampled_from(KINDS),
    value=st.floats(),
    system=st.sampled_from(["metric", "inch"]),
    number=st.integers(0, 20),
)
def test_any_value_at_all_can_be_shown_and_never_at_length(
    kind: Kind, value: float, system: System, number: int
) -> None:
    unit = kind.units[number % len(kind.units)].symbol
    for text in (show(value, kind, system=system), show(value, kind, unit=unit)):
        assert text.isprintable()
        assert len(text) < 40
    assert len(echo(value, kind)) < 80


SPREADS: list[tuple[str | float, Kind, str, Spread]] = [
    ("10 ± 3 K", TEMPERATURE_DIFFERENCE, "K", Normal(10.0, 3.0)),
    ("10 +- 3 K", TEMPERATURE_DIFFERENCE, "K", Normal(10.0, 3.0)),
    ("10 +/- 3 K", TEMPERATURE_DIFFERENCE, "K", Normal(10.0, 3.0)),
    ("10K ± 3K", TEMPERATURE_DIFFERENCE, "K", Normal(10.0, 3.0)),
    ("10 K ± 3", TEMPERATURE_DIFFERENCE, "°F", Normal(10.0, 3.0)),
    ("10 ± 3", TEMPERATURE_DIFFERENCE, "K", Normal(10.0, 3.0)),
    ("22 ± 2 °C", TEMPERATURE, "°C", Normal(295.15, 2.0)),
    ("22 ± 2", TEMPERATURE, "°C", Normal(295.15, 2.0)),
    ("22 °C ± 3.6 °F", TEMPERATURE, "°C", Normal(295.15, 2.0)),
    ("20.1 mm ± 2 µm", LENGTH, "mm", Normal(20.1e-3, 2e-6)),
    ("5.5 bar g ± 0.1", GAUGE_PRESSURE, "psi", Normal(5.5e5, 1e4)),
    ("1 in 10 ± 0.001", TAPER, "", Normal(0.1, 0.001)),
    ("2 to 4 µm", LENGTH, "mm", Uniform(2e-6, 4e-6)),
    ("2 µm to 4 µm", LENGTH, "mm", Uniform(2e-6, 4e-6)),
    ("50 µm to 0.2 mm", LENGTH, "mm", Uniform(50e-6, 0.2e-3)),
    ("2..4 µm", LENGTH, "mm", Uniform(2e-6, 4e-6)),
    ("2 – 4 µm", LENGTH, "mm", Uniform(2e-6, 4e-6)),
    ("2–4 µm", LENGTH, "mm", Uniform(2e-6, 4e-6)),
    ("2-4 µm", LENGTH, "mm", Uniform(2e-6, 4e-6)),
    ("2 - 4 µm", LENGTH, "mm", Uniform(2e-6, 4e-6)),
    ("-5 to 5 K", TEMPERATURE_DIFFERENCE, "K", Uniform(-5.0, 5.0)),
    ("−5 – 5 K", TEMPERATURE_DIFFERENCE, "K", Uniform(-5.0, 5.0)),
    ("4:10 to 4:20", DURATION, "s", Uniform(250.0, 260.0)),
    ("2 to 8 µm by factor", LENGTH, "mm", LogUniform(2e-6, 8e-6)),
    ("2 µm ×/÷ 1.5", LENGTH, "mm", LogNormal(2e-6, 1.5)),
    ('1-7/16"', LENGTH, "mm", Fixed(36.5125e-3)),
    ("20 µm", LENGTH, "mm", Fixed(20e-6)),
    (20, LENGTH, "µm", Fixed(20e-6)),
    ("1e-3 mm", LENGTH, "mm", Fixed(1e-6)),
]


@pytest.mark.parametrize(("text", "kind", "unit", "spread"), SPREADS)
def test_spreads_are_read(text: str | float, kind: Kind, unit: str, spread: Spread) -> None:
    read = parse_spread(text, kind, default_unit=unit)
    assert type(read) is type(spread)
    for name, value in vars(spread).items():
        assert getattr(read, name) == pytest.approx(value, rel=1e-14)


def test_less_than_zero_by_a_gap_is_read_where_negative_values_are_allowed() -> None:
    text = "below zero by 2 to 8 µm by factor"
    read = parse_spread(text, LENGTH, default_unit="mm", minimum=-1e-3)
    assert read == Below(LogUniform(2e-6, 8e-6))
    assert show_spread(read, LENGTH) == text
    with pytest.raises(QuantityError, match="less than a length can be"):
        parse_spread(text, LENGTH, default_unit="mm")


def test_an_uncertainty_of_an_included_angle_follows_the_slope_of_the_taper() -> None:
    read = parse_spread("20 ± 0.1 deg", TAPER, default_unit="")
    step = 2 * math.tan(math.radians(10.0025)) - 2 * math.tan(math.radians(9.9975))
    assert isinstance(read, Normal)
    assert read.sd == pytest.approx(10 * step, rel=1e-5)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("4 to 2 µm", "upside down"),
        ("2–7/8 in", "upside down"),
        ("10 ± -3 µm", "uncertainty that cannot be used"),
        ("10 ± 3 kg", "is a mass"),
        ("10 ± 3 ± 1 µm", "more than two parts"),
        ("1 to 2 to 3 µm", "more than two parts"),
        ("1 - 7/16 in", "asked for"),
        ("±3 µm", "number"),
        ("10 ±", "empty"),
        ("10 ×/÷ 0.5", "factor that cannot be used"),
        ("0 ×/÷ 1.5", "above zero"),
        ("0 to 4 µm by factor", "above zero"),
        ("2 to 400 µm", "too much"),
        ("400 ± 1 µm", "too much"),
        ("below zero by 3 µm", "no range"),
    ],
)
def test_spreads_that_make_no_sense_are_refused(text: str, reason: str) -> None:
    with pytest.raises(QuantityError, match=reason):
        parse_spread(text, LENGTH, default_unit="mm", maximum=300e-6)


@pytest.mark.parametrize(
    ("spread", "kind", "text"),
    [
        (Normal(10.0, 3.0), TEMPERATURE_DIFFERENCE, "10 ± 3 K difference (18 ± 5.4 °F)"),
        (Normal(295.15, 2.0), TEMPERATURE, "22 °C ± 2 K (71.6 ± 3.6 °F)"),
        (Normal(20.1e-3, 2e-6), LENGTH, "20.1 mm ± 2 µm (0.7913 in ± 0.079 thou)"),
        (Uniform(2e-6, 4e-6), LENGTH, "2 to 4 µm (0.079 to 0.16 thou)"),
        (Fixed(30e-3), LENGTH, "30 mm (1.1811 in)"),
        (LogNormal(0.6, 1.3), NUMBER, "0.6 ×/÷ 1.3"),
    ],
)
def test_spreads_are_shown_in_both_systems(spread: Spread, kind: Kind, text: str) -> None:
    assert echo_spread(spread, kind) == text


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
@pytest.mark.parametrize(
    "spread",
    [
        Fixed(0.3),
        Normal(0.3, 0.012345),
        Uniform(0.3, 0.7),
        LogUniform(0.3, 0.7),
        LogNormal(0.3, 1.37),
        Below(Uniform(0.3, 0.7)),
    ],
    ids=lambda spread: type(spread).__name__,
)
def test_a_spread_that_is_written_reads_back(spread: Spread, kind: Kind) -> None:
    if kind.whole or (isinstance(spread, Below) and kind.floor == 0.0):
        return  # no whole numbers here, and nothing below what cannot be negative
    unit = kind.units[-1].symbol
    if kind.reference:
        unit = f"bar {'gauge' if kind.reference == 'gauge' else 'abs'}"
    text = write_spread(spread, kind, unit)
    again = parse_spread(text, kind, default_unit=unit, minimum=-1e3)
    ours = spread.gap if isinstance(spread, Below) else spread
    theirs = again.gap if isinstance(again, Below) else again
    assert type(theirs) is type(ours)
    for name, value in vars(ours).items():
        assert getattr(theirs, name) == pytest.approx(value, rel=1e-9), name
