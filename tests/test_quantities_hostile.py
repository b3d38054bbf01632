"""Whatever is typed, the answer is a finite number or a refusal, and it comes at once."""

import math
import random
import time

import pytest

from benchproof.quantities import KINDS, QuantityError, parse, parse_spread
from benchproof.quantities.spreads import bounded_values

SCRAPS = [
    *"0123456789" * 2, ".", ",", "/", "-", "+", " ", "  ", "e", "E", "e-3", "e99", "e999",
    "½", "¼", "⅞", "⁄", "−", "–", "—", "±", "+-", "+/-", "×/÷", "..", "...", ":", " to ", " in ",
    "in", '"', "'", "″", "mm", "µm", "thou", "ft", "kg", "lb", "oz", "bar", "bar abs", "psig", "°C",
    "F", "K", "h", "min", "s", "rpm", "%", "°", "arcmin", "g/s", "nan", "inf", "∞", "by factor",
    "below zero by ", "１", "٣", "²", "³", "\x00", "\n", "\t", "\u200b", "\u202e", "\ud800", "𝟙",
    "Ⅷ", "(", ")", "[", "*", "^", "_", "1_000", "0x1F", "1e5", "1 7/16", "1-7/16", "25,400", "mPa",
]  # fmt: skip


def hostile_texts(count: int, seed: int) -> list[str]:
    choice = random.Random(seed)
    return ["".join(choice.choices(SCRAPS, k=choice.randint(0, 12))) for _ in range(count)]


def test_ten_thousand_hostile_texts_give_a_finite_number_or_a_refusal() -> None:
    understood = 0
    for number, text in enumerate(hostile_texts(10_000, seed=20)):
        kind = KINDS[number % len(KINDS)]
        unit = kind.units[number % len(kind.units)].symbol
        values: list[float] = []
        refusals: list[QuantityError] = []
        try:
            values.append(parse(text, kind, default_unit=unit))
        except QuantityError as refusal:
            refusals.append(refusal)
        try:
            values.extend(bounded_values(parse_spread(text, kind, default_unit=unit)))
        except QuantityError as refusal:
            refusals.append(refusal)
        assert all(math.isfinite(value) for value in values)
        assert all(str(refusal).isprintable() for refusal in refusals)
        understood += bool(values)
    assert understood > 200  # the texts are near enough to sense to test what matters


@pytest.mark.parametrize(
    "piece",
    ["1", "1 ", "1/", "1-", "1.", "1,", "1e", "1:", "1 in ", "1h", "±", "+", " ", "..", "½"],
)
def test_no_repetition_takes_long(piece: str) -> None:
    text = (piece * 100)[:99] + "x"
    started = time.perf_counter()
    for kind in KINDS:
        unit = kind.units[0].symbol
        with pytest.raises(QuantityError):
            parse(text, kind, default_unit=unit)
        with pytest.raises(QuantityError):
            parse_spread(text, kind, default_unit=unit)
    assert time.perf_counter() - started < 1.0


@pytest.mark.parametrize("length", [10_000_000])
def test_a_very_long_text_is_refused_unread(length: int) -> None:
    started = time.perf_counter()
    with pytest.raises(QuantityError, match="longer than 100 characters"):
        parse("9" * length, KINDS[0], default_unit="mm")
    assert time.perf_counter() - started < 0.1
