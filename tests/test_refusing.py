"""Refusals in words: the field as its file has it, what was meant, and what to try."""

from __future__ import annotations

import pytest

from benchproof.bench_tests import BENCH_TESTS
from benchproof.duties import DUTIES
from benchproof.refusing import likest, misused, refusal, unknown
from benchproof.specs import Problem, SpecError


def told(field: str, label: str, *, given: str = "", example: str = "") -> str:
    problem = Problem(field, label, given, "is wrong", example)
    return " ".join(refusal(SpecError([problem])).split())


@pytest.mark.parametrize(
    ("field", "label", "named"),
    [
        ("bore", "bore", "- bore: is wrong"),
        ("cutoff", "cut-off", "- cut-off [cutoff]: is wrong"),
        ("reading.2.time", "reading 3: time", "- reading 3: time: is wrong"),
        (
            "reading.2.end_pressure",
            "gauge at the end",
            "- reading 3: gauge at the end [end_pressure]: is wrong",
        ),
        ("reading.0", "reading 1", "- reading 1: is wrong"),
        ("bores.1.part.0.size", "size", "- bores 1 part 1: size: is wrong"),
    ],
)
def test_a_field_is_named_as_its_file_has_it(field: str, label: str, named: str) -> None:
    assert named in told(field, label)


def test_what_was_given_is_told_once_and_only_what_has_words() -> None:
    assert "(given: 3 kg)" in told("bore", "bore", given="3 kg")
    assert "given" not in told("bore", "bore", given="a list")
    assert "given" not in told("bore", "bore", given="wrong")  # the message holds it already
    assert told("bore", "bore", example="30 mm").endswith("try: 30 mm")


@pytest.mark.parametrize(
    ("key", "meant"),
    [
        ("tyre-fitt", "tyre-fit"),
        ("tyre", "tyre-fit"),
        ("Cock", "taper-cock"),
        ("union", "pipe-union"),
        ("injecter", "injector"),
        ("piston fit", "piston-fit"),
        ("boiler", ""),
    ],
)
def test_what_was_meant(key: str, meant: str) -> None:
    assert likest(key, DUTIES) == meant


def test_the_line_to_try_holds_what_was_meant() -> None:
    line = "benchproof size piston-fit tyre.toml"
    assert unknown("tyre-fitt", DUTIES, "duty", line).endswith(
        "Try: benchproof size tyre-fit tyre.toml"
    )
    assert unknown("boiler", DUTIES, "duty", line).endswith("Try: benchproof duties")
    swapped = unknown("tyre.toml", DUTIES, "duty", line)
    assert "The duty comes before the files." in swapped
    assert "growth" in unknown("grow", BENCH_TESTS, "bench test", "benchproof procedure drop-test")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["pair", "a.csv", "b.csv"], "LEAST is missing"),
        (["pair", "a.csv", "b.csv", "--least"], "--least lacks its value\n"),
        (["pair", "a.csv", "b.csv", "--least", "--most"], "--least lacks its value\n"),
        (["pair", "--least", "-5um"], "needs a =: --least=-5um"),
    ],
)
def test_an_option_without_its_value(typed: list[str], said: str) -> None:
    words = misused('Command "pair" parameter --least requires an argument', "pair", typed)
    assert said in words
    assert "Such as: benchproof pair holes.csv" in words


def test_what_is_no_number_is_told_in_words() -> None:
    words = misused('Invalid value for --every: unable to convert "x" into int.', "lot")
    assert "“x” is no whole number" in words
