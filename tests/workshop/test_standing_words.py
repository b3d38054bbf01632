import math

import pytest

from benchproof.features import PROCESSES
from benchproof.workshop.lathe import assumed_standings, prior_of
from benchproof.workshop.standing import Prior, Shown, Standing, Summary, learn
from benchproof.workshop.standing_words import words
from sources import source

BORE = PROCESSES["bore"]


def shown_by(parts: int, *, bias: float = 0.0, spread: float = 3.0) -> Standing:
    return learn(prior_of(BORE), summary=Summary(parts, bias, spread))


@source("a spread of 18 tolerance units is IT7.28", kind="own calculation")
def test_six_sigma_of_eighteen_units_is_named_by_its_grade() -> None:
    told = words(shown_by(5000), BORE, size=20e-3)
    assert told.startswith("holds IT7.3 on bores (all but 3 in 1000; likely IT7.2 to IT7.3)")


def test_the_grade_does_not_depend_on_the_size() -> None:
    small, large = (words(shown_by(9), BORE, size=size) for size in (6e-3, 80e-3))
    assert small.split(";")[0] == large.split(";")[0]
    assert "next 6 mm bore" in small
    assert "next 80 mm bore" in large


def test_the_next_part_is_told_as_the_interval_says() -> None:
    standing = learn(Prior(factor=1.01, bias_sd=0.0), [Shown(0.0)] * 3)
    upper = standing.predictive_interval(0.9)[1] * BORE.unit_at(40e-3) * 1e6
    told = words(standing, BORE, size=40e-3)
    assert f"next 40 mm bore within ±{upper:.1f} µm of its aim, 9 times in 10" in told


def test_a_leaning_lathe_is_told_with_both_ends() -> None:
    told = words(shown_by(40, bias=-8.0), BORE, size=40e-3)
    assert "next 40 mm bore from −" in told
    assert told.count("−") == 2


@pytest.mark.parametrize(("parts", "count"), [(0, "no parts yet"), (1, "1 part"), (2, "2 parts")])
def test_under_three_parts_a_careful_builder_is_assumed(parts: int, count: str) -> None:
    standing = learn(prior_of(BORE), [Shown(1.0)] * parts)
    told = words(standing, BORE, size=20e-3)
    assert told.startswith("assumed of a careful builder: IT")
    assert f"; {count}; " in told
    assert "holds" not in told


def test_three_parts_are_counted() -> None:
    told = words(learn(prior_of(BORE), [Shown(1.0)] * 3), BORE, size=20e-3)
    assert told.startswith("holds IT")
    assert "shown by 3 parts; " in told


def test_older_parts_are_told_apart() -> None:
    told = words(learn(prior_of(BORE), [Shown(1.0, 0.0, 0.25)] * 8), BORE, size=20e-3)
    assert "shown by 8 parts (some older, together worth 2.0)" in told


def test_angles_and_places_have_no_grade() -> None:
    for key in ("clocked angle", "place"):
        kind = PROCESSES[key]
        told = words(assumed_standings()[key], kind, size=25e-3)
        assert "IT" not in told
        assert ("µm" if kind.unit == "m" else "arcmin") in told


def test_inches_are_told_in_thousandths() -> None:
    told = words(shown_by(9), BORE, size=25.4e-3, system="inch")
    assert "next 1 in bore within ±" in told
    assert "thou" in told
    assert "µm" not in told


def test_nothing_is_ever_called_proven() -> None:
    for parts in (0, 2, 3, 100, 10_000):
        standing = shown_by(parts) if parts else learn(prior_of(BORE))
        assert "proven" not in words(standing, BORE, size=math.pi * 1e-2).lower()
