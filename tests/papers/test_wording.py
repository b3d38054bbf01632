"""What a dimension says: rounding inwards, fractions and thou, the same in every paper."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.drawing import (
    Angular,
    Chamfer,
    Finish,
    Linear,
    Sized,
    TaperOf,
    Thread,
    Tolerance,
)
from benchproof.papers.wording import common_fraction, finish_text, spoken, wordings
from papers.reading_back import signed


def linear(size: float | Sized, **more: object) -> Linear:
    sized = size if isinstance(size, Sized) else Sized(size)
    return Linear(start=(0.0, 0.0), end=(sized.aim, 0.0), size=sized, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("millimetres", "metric", "inch"),
    [
        (20.0, "20", "0.787"),
        (12.5, "12.5", "0.492"),
        (9.525, "9.525", "3/8"),
        (30.1625, "30.16", "1 3/16"),
        (50.8, "50.8", "2"),
        (20.0 / 3.0, "6.67", "0.262"),
    ],
)
def test_plain_sizes_are_short_and_inches_born_as_fractions_stay_so(
    millimetres: float, metric: str, inch: str
) -> None:
    size = linear(1e-3 * millimetres)
    assert wordings(size, "metric")[0].plain == metric
    assert wordings(size, "inch")[0].plain == inch


def test_a_feature_without_limits_keeps_its_zeros() -> None:
    assert wordings(linear(30e-3, feature="bore"), "metric")[0].plain == "30.000"
    assert wordings(linear(30e-3, feature="bore"), "inch")[0].plain == "1.1811"


@pytest.mark.parametrize(
    ("aim", "upper", "lower", "metric"),
    [
        (29.986e-3, 3e-6, -4e-6, "29.986 +0.003/−0.004"),
        (30e-3, 21e-6, 0.0, "30.000 +0.021/0"),
        (30e-3, 5e-6, -5e-6, "30.000 ±0.005"),
        (30e-3, -20e-6, -41e-6, "30.000 −0.020/−0.041"),
        # The aim rounds up by 0.4 µm, so the upper limit comes down with it.
        (29.9856e-3, 3.0e-6, -4.0e-6, "29.986 +0.002/−0.004"),
    ],
)
def test_limits_as_the_trade_writes_them(
    aim: float, upper: float, lower: float, metric: str
) -> None:
    assert wordings(linear(Sized(aim, upper, lower)), "metric")[0].plain == metric


@given(
    st.floats(1e-3, 0.1),
    st.floats(-30e-6, 30e-6),
    st.floats(4e-6, 60e-6),
    st.sampled_from(["metric", "inch"]),
)
def test_limits_written_lie_within_the_limits_meant(
    aim: float, middle: float, width: float, unit: str
) -> None:
    size = Sized(aim, middle + 0.5 * width, middle - 0.5 * width)
    (wording,) = wordings(linear(size), unit)  # type: ignore[arg-type]
    scale = 1000.0 if unit == "metric" else 1000.0 / 25.4
    nominal = float(wording.figure)
    if wording.lower:
        upper, lower = signed(wording.upper), signed(wording.lower)
    else:
        upper = float(wording.upper.removeprefix("±"))
        lower = -upper
    last = 10.0**-wording.decimals
    assert abs(nominal - aim * scale) <= 0.5 * last * (1 + 1e-6)
    assert nominal + upper <= (aim + middle + 0.5 * width) * scale + 1e-3 * last
    assert nominal + lower >= (aim + middle - 0.5 * width) * scale - 1e-3 * last
    assert upper >= lower


@given(st.integers(1, 640))
def test_every_sixty_fourth_is_read_back_from_its_fraction(sixty_fourths: int) -> None:
    text = common_fraction(sixty_fourths / 64)
    whole, _, rest = text.rpartition(" ")
    top, _, bottom = rest.partition("/")
    value = int(whole or 0) + int(top) / int(bottom or 1)
    assert value == sixty_fourths / 64
    assert int(bottom or 1) in {1, 2, 4, 8, 16, 32, 64}


def test_signs_counts_brackets_and_words() -> None:
    across = linear(8e-3, sign="Ø", count=4)
    assert wordings(across, "metric")[0].plain == "4 × Ø8"
    assert wordings(linear(8e-3, reference=True), "metric")[0].plain == "(8)"
    assert wordings(linear(8e-3, suffix="deep"), "metric")[0].plain == "8 deep"
    bevel = Chamfer(at=(0.0, 0.0), width=0.5e-3)
    assert wordings(bevel, "metric")[0].plain == "0.5 × 45°"
    fit = linear(30e-3, tolerance=Tolerance(21e-6, 0.0, "H7"))
    assert wordings(fit, "metric")[0].plain == "30.000 H7 +0.021/0"


def test_angles_and_tapers_are_the_same_in_both_systems() -> None:
    angle = Angular(vertex=(0, 0), start_angle=0.0, end_angle=math.radians(29.5), radius=1e-2)
    assert [each.plain for each in wordings(angle, "both")] == ["29.5°"]
    cone = TaperOf(at=(0, 0), large=12e-3, small=10e-3, length=20e-3)
    assert [each.plain for each in wordings(cone, "both")] == ["taper 1 in 10"]
    held = TaperOf(at=(0, 0), large=12e-3, small=10e-3, length=20e-3, size=Sized(0.1, 3e-4, -2e-4))
    assert wordings(held, "inch")[0].plain == "taper 1 in 10 = 0.1000 +0.0003/−0.0002"
    thread = Thread(at=(0, 0), major=6e-3, designation="M6 × 0.75")
    assert [each.plain for each in wordings(thread, "both")] == ["M6 × 0.75"]


def test_roughness_is_in_micrometres_or_microinches() -> None:
    finish = Finish(at=(0, 0), roughness=0.8e-6, process="lapped")
    assert finish_text(finish, "metric") == "Ra 0.8 lapped"
    assert finish_text(finish, "inch") == "Ra 31 lapped"


def test_what_is_read_aloud_names_feature_unit_and_doubt() -> None:
    told = spoken(linear(Sized(25.4e-3, 5e-6, -5e-6, True), feature="journal"), "both")
    assert told == (
        "journal: 25.400 ±0.005 mm = 1.0000 ±0.0001 in; the odds of holding it are poor"
    )
