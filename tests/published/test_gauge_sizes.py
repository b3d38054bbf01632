"""Wire gauge, number drills, letter drills and columns of mercury against printed tables."""

from __future__ import annotations

import pytest

from benchproof.quantities import (
    GAUGE_PRESSURE,
    LENGTH,
    PRESSURE_DIFFERENCE,
    QuantityError,
    echo,
    parse,
)
from sources import source

INCH = 25.4e-3
HALF_A_MICRON = 0.5001e-6  # tables in mm are printed to 0.001 mm
HALF_A_FIFTY_THOUSANDTH = 1e-9  # tables in inches are exact

WIRE = (
    "Imperial standard wire gauge, table in mm after BS 3737:1964, The Engineering ToolBox, "
    "SWG - Standard Wire Gauge"
)
NUMBERED = (
    "ASME B94.11M-1993, twist drills, number sizes, as transcribed alike in three public tables"
)
LETTERED = (
    "ASME B94.11M-1993, twist drills, letter sizes, as transcribed in one public table; A and Z "
    "alike in two more"
)

WIRE_IN_MM = {
    "7/0": 12.700, "6/0": 11.786, "5/0": 10.973, "4/0": 10.160, "3/0": 9.449, "2/0": 8.839,
    "1": 7.620, "2": 7.010, "3": 6.401, "4": 5.893, "5": 5.385, "6": 4.877, "7": 4.470,
    "8": 4.064, "9": 3.658, "10": 3.251, "11": 2.946, "12": 2.642, "13": 2.337, "14": 2.032,
    "15": 1.829, "16": 1.626, "17": 1.422, "18": 1.219, "19": 1.016, "20": 0.914, "21": 0.813,
    "22": 0.711, "23": 0.610, "24": 0.559, "25": 0.508, "26": 0.457, "27": 0.417, "28": 0.376,
    "29": 0.345, "30": 0.315, "31": 0.295, "32": 0.274, "33": 0.254, "34": 0.234, "35": 0.213,
    "36": 0.193, "37": 0.173, "38": 0.152, "39": 0.132, "40": 0.122, "41": 0.112, "42": 0.102,
    "43": 0.091, "44": 0.081, "45": 0.071, "46": 0.061, "47": 0.051, "48": 0.041, "49": 0.030,
    "50": 0.025,
}  # fmt: skip
NUMBERS_FROM_80 = (
    0.0135, 0.0145, 0.016, 0.018, 0.020, 0.021, 0.0225, 0.024, 0.025, 0.026, 0.028, 0.0292,
    0.031, 0.032, 0.033, 0.035, 0.036, 0.037, 0.038, 0.039, 0.040, 0.041, 0.042, 0.043, 0.0465,
    0.052, 0.055, 0.0595, 0.0635, 0.067, 0.070, 0.073, 0.076, 0.0785, 0.081, 0.082, 0.086, 0.089,
    0.0935, 0.096, 0.098, 0.0995, 0.1015, 0.104, 0.1065, 0.110, 0.111, 0.113, 0.116, 0.120,
    0.1285, 0.136, 0.1405, 0.144, 0.147, 0.1495, 0.152, 0.154, 0.157, 0.159, 0.161, 0.166, 0.1695,
    0.173, 0.177, 0.180, 0.182, 0.185, 0.189, 0.191, 0.1935, 0.196, 0.199, 0.201, 0.204, 0.2055,
    0.209, 0.213, 0.221, 0.228,
)  # fmt: skip
LETTERS = (
    0.234, 0.238, 0.242, 0.246, 0.25, 0.257, 0.261, 0.266, 0.272, 0.277, 0.281, 0.29, 0.295,
    0.302, 0.316, 0.323, 0.332, 0.339, 0.348, 0.358, 0.368, 0.377, 0.386, 0.397, 0.404, 0.413,
)  # fmt: skip


def read(text: str) -> float:
    return parse(text, LENGTH, default_unit="mm")


@source(WIRE)
@pytest.mark.parametrize(("gauge", "millimetres"), WIRE_IN_MM.items())
def test_the_standard_wire_gauge(gauge: str, millimetres: float) -> None:
    expected = pytest.approx(millimetres * 1e-3, rel=0.0, abs=HALF_A_MICRON)
    assert read(f"{gauge} swg") == expected
    assert read(f"SWG {gauge}") == expected


@source(WIRE)
def test_noughts_are_written_out_or_counted() -> None:
    # The table prints 8.236 mm beside its own 0.324 in, which is 8.2296 mm.
    for text in ("0 swg", "1/0 swg"):
        assert read(text) == pytest.approx(0.324 * INCH, rel=0.0, abs=HALF_A_FIFTY_THOUSANDTH)
    assert read("000 swg") == read("3/0 s.w.g.") == read("swg 3/0")


@source(NUMBERED)
def test_number_drills() -> None:
    for number, inches in zip(range(80, 0, -1), NUMBERS_FROM_80, strict=True):
        expected = pytest.approx(inches * INCH, rel=0.0, abs=HALF_A_FIFTY_THOUSANDTH)
        assert read(f"No. {number} drill") == expected
        assert read(f"#{number} drill") == read(f"drill no {number}") == expected


@source(LETTERED)
def test_letter_drills() -> None:
    for letter, inches in zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ", LETTERS, strict=True):
        expected = pytest.approx(inches * INCH, rel=0.0, abs=HALF_A_FIFTY_THOUSANDTH)
        assert read(f"letter {letter} drill") == expected
        assert read(f"drill {letter.lower()}") == expected


@source("A. Thompson and B. N. Taylor, NIST SP 811, 2008, appendix B.8", kind="from memory")
def test_an_inch_and_a_millimetre_of_mercury() -> None:
    seven_figures = 2e-7
    for text, pascals in (("1 inHg", 3386.389), ("1 mmHg", 133.3224), ("1 in Hg gauge", 3386.389)):
        for kind in (PRESSURE_DIFFERENCE, GAUGE_PRESSURE):
            value = parse(text, kind, default_unit=kind.named("bar").symbol)
            assert value == pytest.approx(pascals, rel=seven_figures, abs=0.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("51 swg", "which runs from 7/0 to 50"),
        ("8/0 swg", "which runs from 7/0 to 50"),
        ("No. 81 drill", "which run from No. 1 to No. 80"),
        ("0 drill", "which run from No. 1 to No. 80"),
        ("#43", "write 43 swg or No. 43 drill"),
        ("20 gauge", "write 20 swg or No. 20 drill"),
        ("12 furlong", "sizes such as 20 swg, No. 43 drill, letter F drill"),
    ],
)
def test_what_is_no_such_size_is_refused_with_what_to_write(text: str, words: str) -> None:
    with pytest.raises(QuantityError, match=words.replace(".", r"\.")):
        read(text)


def test_microinches_are_read_and_shown_with_the_rest() -> None:
    assert echo(read("32 µin"), LENGTH) == "0.81 µm (0.032 thou)"
    assert read("32 uin") == read("32 microinches") == read("0.032 thou")
