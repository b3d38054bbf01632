"""Bubbles and drops: what they foresee, what none seen proves, and whether intervals are honest."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from scipy.stats import binom, nbinom, poisson

from benchproof.bench_tests.bubble_test import (
    UNDER_WATER,
    BubbleForesight,
    BubbleRecord,
    BubbleTest,
)
from benchproof.bench_tests.contract import BenchTest
from benchproof.bench_tests.drip_test import DripRecord, DripTest
from benchproof.bench_tests.leak_counts import Caught, count_log_likelihood
from benchproof.duties.cock_leak import Wedge
from benchproof.duties.cock_spec import CockSpec
from benchproof.duties.taper_cock import TaperCock
from benchproof.physics.drops_and_bubbles import blocked_gap
from benchproof.reckon.learning import learn
from benchproof.reckon.plan import Job
from benchproof.reckon.result import Result, bench_result
from benchproof.specs import SpecError
from benchproof.spread import Fixed
from benchproof.workshop.lathe import assumed_lathe
from sources import source

MICRON = 1e-6
COCKS = 200
PLACES = ("outlet", "small end", "large end")


@cache
def cock(angles: str = "clocked") -> CockSpec:
    return CockSpec(
        mean_diameter=3e-3,
        length=6e-3,
        port=1.2e-3,
        pressure=8e5,
        fluid="steam",
        angles=angles,
    )


def record(*readings: Caught, **more: Any) -> BubbleRecord:
    stated = {"air_temperature": 293.15, "mouth": 2e-3}
    return BubbleRecord(**(stated | more), reading=readings)


def counted(counts: dict[str, int], minutes: float = 5.0) -> list[Caught]:
    return [Caught(where=where, time=60.0 * minutes, count=n) for where, n in counts.items()]


def result(test: BenchTest[Any], taken: Any, angles: str = "clocked") -> Result:
    job = Job(TaperCock(), cock(angles), assumed_lathe(), {})
    return bench_result(job, test, taken, draws=2048, brief=True)


def measured(found: Result, name: str) -> tuple[float, float, float]:
    figure = next(figure for figure in found.measured if figure.name == name)
    return figure.p5, figure.median, figure.p95


def plain(gap: float, **more: float) -> dict[str, np.ndarray]:
    """A cock with a parallel gap and nothing in doubt."""
    values = {
        "plug angle": 0.1,
        "body angle": 0.1,
        "floor": gap,
        "take-up": 0.0,
        "plug tool height": 0.0,
        "body tool height": 0.0,
        "bubble scale": 0.0,
        "bubble volume": 0.03e-6,
        "drip scale": 0.0,
        "drop volume": 0.05e-6,
        "wetting": 1.0,
    } | more
    return {name: np.array([value]) for name, value in values.items()}


@source("an independent calculation of the same leak", kind="own calculation")
def test_a_micron_passes_six_or_seven_bubbles_a_minute_at_one_bar() -> None:
    foresight = BubbleTest().prepare(cock(), record(Caught(time=60.0, count=0)))
    bubbles = foresight.foresee(plain(MICRON))[0, 0] / 0.03e-6
    assert 6.0 < bubbles < 7.2
    assert foresight.foresee(plain(0.5 * MICRON))[0, 0] * 1e6 == pytest.approx(0.03, abs=0.005)


@source("an independent calculation of the same leak", kind="own calculation")
def test_air_of_one_bar_has_thirteen_times_the_volume_of_water_of_eight() -> None:
    reading = Caught(time=60.0, count=0)
    air = BubbleTest().prepare(cock(), record(reading)).foresee(plain(MICRON))
    water = DripTest().prepare(cock(), DripRecord(pressure=8e5, reading=(reading,)))
    assert air[0, 0] / water.foresee(plain(MICRON))[0, 0] == pytest.approx(13.4, rel=0.04)


@source("scipy.stats: Poisson and negative binomial laws")
def test_a_count_follows_a_poisson_law_whose_rate_varies_by_a_tenth() -> None:
    expected = np.array([0.01, 0.7, 3.0, 40.0])
    for count in (0, 1, 5, 60):
        ours = count_log_likelihood(count=count, expected=expected)
        law = nbinom.logpmf(count, 100.0, 100.0 / (100.0 + expected))
        np.testing.assert_allclose(ours, law, rtol=1e-9)
        few = poisson.logpmf(count, expected[:2])
        if count <= 1:
            np.testing.assert_allclose(ours[:2], few, atol=0.02)


def test_none_seen_is_as_likely_as_nothing_in_that_time() -> None:
    ours = count_log_likelihood(count=0, expected=np.array([0.0, 0.5, 2.0]))
    np.testing.assert_allclose(np.exp(ours), np.exp([0.0, -0.5, -2.0]), rtol=0.03)
    assert count_log_likelihood(count=3, expected=np.array([0.0]))[0] == -np.inf


def test_watching_longer_and_seeing_none_lowers_the_bound() -> None:
    bounds = [
        measured(result(BubbleTest(), record(Caught(time=60.0 * minutes, count=0))), "gap")[2]
        for minutes in (1.0, 5.0, 30.0)
    ]
    before = result(BubbleTest(), record(Caught(time=1.0, count=0)))
    assert before.before[0].p95 > bounds[0] > bounds[1] > bounds[2]


def test_the_ends_read_apart_sharpen_the_mismatch() -> None:
    together = result(BubbleTest(), record(*counted({"all": 120})))
    apart = result(BubbleTest(), record(*counted({"outlet": 19, "small end": 94, "large end": 7})))
    wide, narrow = measured(together, "mismatch"), measured(apart, "mismatch")
    assert narrow[2] - narrow[0] < 0.75 * (wide[2] - wide[0])
    assert 1.0 < np.degrees(narrow[1]) * 60.0 < 3.0


def test_a_volume_caught_does_without_the_size_of_a_bubble() -> None:
    caught = Caught(time=60.0, volume=1e-6, volume_uncertainty=0.02e-6)
    by_volume = measured(result(BubbleTest(), record(caught, mouth=None)), "gap")
    by_count = measured(
        result(BubbleTest(), record(Caught(time=60.0, count=25), mouth=None)), "gap"
    )
    assert by_volume[2] / by_volume[0] < by_count[2] / by_count[0]
    known = record(Caught(time=60.0, count=25), bubble_volume=Fixed(0.04e-6))
    assert measured(result(BubbleTest(), known), "gap")[2] < by_count[2]


@source("2 sigma/p, Young and Laplace", kind="own calculation")
def test_under_water_a_gap_of_a_micron_passes_nothing_and_none_seen_proves_little() -> None:
    widest = float(blocked_gap(tension=0.07274, pressure_difference=1e5))
    immersed = record(Caught(time=60.0, count=0), led=UNDER_WATER)
    foresight = BubbleTest().prepare(cock(), immersed)
    assert foresight.foresee(plain(0.99 * widest))[0, 0] == 0.0
    assert foresight.foresee(plain(1.01 * widest))[0, 0] > 0.0
    dry = measured(result(BubbleTest(), record(Caught(time=1800.0, count=0))), "gap")
    wet = measured(
        result(BubbleTest(), record(Caught(time=1800.0, count=0), led=UNDER_WATER)), "gap"
    )
    assert wet[2] > 2.0 * dry[2]
    assert [f.name for f in BubbleTest().screen(cock(), immersed)] == ["none seen", "under water"]


def hidden(rng: np.random.Generator, taken: BubbleRecord) -> dict[str, np.ndarray]:
    """A cock and its test drawn from what is believed of both beforehand."""
    duty, test = TaperCock(), BubbleTest()
    joint = Job(duty, cock(), assumed_lathe(), {}).joint(
        unmeasured=duty.unmeasured(cock()), more_unknowns=test.unknowns(cock(), taken), pieces=True
    )
    return joint.samples(rng.standard_normal((len(joint.columns), 1)))


def seen(rng: np.random.Generator, truth: dict[str, np.ndarray], taken: BubbleRecord) -> list[int]:
    expected = BubbleTest().prepare(cock(), taken).foresee(truth)[0] / truth["bubble volume"]
    return [int(rng.poisson(each * rng.gamma(100.0, 0.01))) for each in expected]


def inferred(taken: BubbleRecord, seed: int) -> Wedge:
    duty, test = TaperCock(), BubbleTest()
    joint = Job(duty, cock(), assumed_lathe(), {}).joint(
        unmeasured=duty.unmeasured(cock()), more_unknowns=test.unknowns(cock(), taken), pieces=True
    )
    foresight = test.prepare(cock(), taken)
    learned = learn(
        lambda normals: foresight.log_likelihood(joint.samples(normals)),
        columns=len(joint.columns),
        draws=512,
        seed=seed,
    )
    return foresight.leak.wedge(joint.samples(learned.normals))


def covered(taken_of: Any, seed: int, cocks: int) -> int:
    """How many of so many invented cocks lie in their 90 % interval of the gap at the port."""
    rng = np.random.default_rng(seed)
    held = 0
    for number in range(cocks):
        blank = taken_of([0] * len(PLACES))
        truth = hidden(rng, blank)
        taken = taken_of(seen(rng, truth, blank))
        gap = BubbleForesight(cock(), taken).leak.wedge(truth).gap[0]
        low, high = np.quantile(inferred(taken, number).gap, (0.05, 0.95))
        held += bool(low <= gap <= high)
    return held


@pytest.mark.parametrize(
    ("wider", "other", "plug_larger"),
    [
        ("small end", "large end", True),
        ("large end", "small end", False),
    ],
)
def test_the_end_that_bubbles_most_tells_which_taper_is_the_steeper(
    wider: str, other: str, plug_larger: bool
) -> None:
    wedge = inferred(record(*counted({"outlet": 19, wider: 94, other: 7})), 1)
    assert np.mean((wedge.mismatch > 0.0) == plug_larger) > 0.99
    either = inferred(record(*counted({"all": 120})), 1)
    assert 0.3 < np.mean(either.mismatch > 0.0) < 0.7


def test_the_interval_of_the_gap_holds_nine_cocks_in_ten() -> None:
    def each_place(counts: list[int]) -> BubbleRecord:
        return record(
            *(
                Caught(where=where, time=180.0, count=count)
                for where, count in zip(PLACES, counts, strict=True)
            )
        )

    low, high = binom.ppf((0.005, 0.995), COCKS, 0.9)
    assert low <= covered(each_place, 2024, COCKS) <= high


def test_a_bubble_of_the_wrong_size_is_noticed_when_a_volume_was_caught_too() -> None:
    """A stated bubble three times too small cannot agree with what was caught beside it."""
    taken = record(
        Caught(time=60.0, count=20),
        Caught(time=60.0, volume=1.2e-6, volume_uncertainty=0.02e-6),
        bubble_volume=Fixed(0.02e-6),
    )
    assert result(BubbleTest(), taken).contradicted


def test_a_cock_lapped_all_over_that_bubbles_fast_bends_belief() -> None:
    full = CockSpec(
        mean_diameter=3e-3,
        length=6e-3,
        port=1.2e-3,
        pressure=8e5,
        fluid="steam",
        angles="clocked",
        lapping="full",
    )
    job = Job(TaperCock(), full, assumed_lathe(), {})
    taken = record(Caught(time=60.0, volume=20e-6))
    found = bench_result(job, BubbleTest(), taken, draws=2048, brief=True)
    assert found.contradicted
    assert "mismatch" not in {figure.name for figure in found.measured}


def test_air_and_water_agree_on_one_cock() -> None:
    gap = 1.3 * MICRON
    air = record(Caught(time=600.0, count=0), bubble_volume=Fixed(0.03e-6))
    expected = BubbleTest().prepare(cock(), air).foresee(plain(gap))[0, 0] / 0.03e-6
    taken = record(Caught(time=600.0, count=round(expected)), bubble_volume=Fixed(0.03e-6))
    low, _, high = measured(result(BubbleTest(), taken), "gap")
    assert low < gap < high
    water = DripRecord(
        pressure=8e5, drop_volume=Fixed(0.05e-6), reading=(Caught(time=3600.0, count=0),)
    )
    drops = DripTest().prepare(cock(), water).foresee(plain(gap))[0, 0] / 0.05e-6
    taken_too = DripRecord(
        pressure=8e5,
        drop_volume=Fixed(0.05e-6),
        reading=(Caught(time=3600.0, count=round(drops)),),
    )
    low, _, high = measured(result(DripTest(), taken_too), "gap")
    assert low < gap < high


def test_the_rim_sizes_the_drop_and_the_mouth_the_bubble() -> None:
    reading = Caught(time=60.0, count=1)
    four = DripRecord(pressure=8e5, rim=4e-3, reading=(reading,))
    assert four.drop.median == pytest.approx(0.066e-6, rel=0.03)
    assert DripRecord(pressure=8e5, reading=(reading,)).drop.median == pytest.approx(0.05e-6)
    assert record(reading).bubble.median == pytest.approx(0.0467e-6, rel=0.01)
    assert record(reading, mouth=None).bubble.median == pytest.approx(0.04e-6)


def test_repeats_at_one_place_sharpen_and_never_count_twice() -> None:
    once = measured(result(BubbleTest(), record(*counted({"all": 40}))), "gap")
    often = record(*(Caught(time=300.0, count=40) for _ in range(60)))
    many = measured(result(BubbleTest(), often), "gap")
    # What sixty share, the size of a bubble and the law, is left in doubt.
    assert 0.5 < (many[2] - many[0]) / (once[2] - once[0]) < 1.0


def names(test: BenchTest[Any], taken: Any) -> list[str]:
    return [flag.name for flag in test.screen(cock(), taken)]


def test_readings_give_themselves_away() -> None:
    assert names(BubbleTest(), record(*counted({"all": 20}))) == []
    apart = record(*(Caught(time=60.0, count=n) for n in (10, 40)))
    assert names(BubbleTest(), apart) == ["repeats differ"]
    volumes = record(*(Caught(time=60.0, volume=v) for v in (1e-6, 4e-6)))
    assert names(BubbleTest(), volumes) == ["repeats differ"]
    assert names(BubbleTest(), record(Caught(time=60.0, count=400))) == ["too quick"]
    assert names(BubbleTest(), record(*counted({"outlet": 20}))) == ["outlet only"]
    greasy = BubbleTest().screen(cock(), record(*counted({"all": 20}), clean=False))
    assert [(flag.name, flag.weight) for flag in greasy] == [("not clean", "spoilt")]
    slow = DripRecord(pressure=8e5, reading=(Caught(time=3600.0, count=2),))
    assert names(DripTest(), slow) == ["dries away"]
    quick = DripRecord(pressure=8e5, reading=(Caught(time=60.0, count=9),))
    assert names(DripTest(), quick) == []


@pytest.mark.parametrize(
    ("reading", "told"),
    [
        ({"time": "5 min"}, "either a count"),
        ({"time": "5 min", "count": 3, "volume": "1 mL"}, "either a count"),
        ({"time": "5 min", "count": -1}, "0"),
        ({"time": "5 min", "count": 3, "where": "the lid"}, "outlet"),
    ],
)
def test_a_reading_is_one_thing_at_one_place(reading: dict[str, Any], told: str) -> None:
    with pytest.raises(SpecError, match=told):
        BubbleRecord.from_text({"air_temperature": "20 °C", "reading": [reading]})


def test_a_record_needs_readings_and_a_low_pressure() -> None:
    with pytest.raises(SpecError, match="one to sixty"):
        BubbleRecord.from_text({"air_temperature": "20 °C", "reading": []})
    with pytest.raises(SpecError, match="2 bar"):
        BubbleRecord.from_text(
            {
                "air_temperature": "20 °C",
                "pressure": "6 bar",
                "reading": [{"time": "1 min", "count": 0}],
            }
        )


def test_cautions_stand_at_their_step() -> None:
    air, water = (" ".join(test.procedure(cock())) for test in (BubbleTest(), DripTest()))
    assert "eye protection" in air
    assert "Never an air test of a boiler" in air
    assert "eye protection" in water
    assert "Never hot water" in water
