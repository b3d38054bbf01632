import math

import numpy as np
import pytest
from scipy import stats

from benchproof.tables.control_charts import range_constants
from benchproof.workshop.gauge_study import GaugeStudy, analysis_of_variance, average_and_range


def study_of(
    *, reading: float, person: float, part: float, crossed: float = 0.0, seed: int = 3
) -> np.ndarray:
    """Twenty-five parts read three times by each of ten people, deviations in micrometres."""
    rng = np.random.default_rng(seed)
    return np.asarray(
        part * rng.standard_normal((25, 1, 1))
        + person * rng.standard_normal((1, 10, 1))
        + crossed * rng.standard_normal((25, 10, 1))
        + reading * rng.standard_normal((25, 10, 3))
    )


def test_both_ways_find_what_was_put_in() -> None:
    """Over many studies, so that the few people do not decide it."""
    seeds = range(60)
    for way in (average_and_range, lambda taken: analysis_of_variance(taken).study):
        studies = [way(study_of(reading=2.0, person=1.0, part=6.0, seed=seed)) for seed in seeds]
        found = [
            math.sqrt(np.mean([getattr(s, name) ** 2 for s in studies]))
            for name in ("repeatability", "reproducibility", "parts")
        ]
        np.testing.assert_allclose(found, [2.0, 1.0, 6.0], rtol=0.1)


def test_interaction_that_shows_is_not_pooled() -> None:
    found = analysis_of_variance(study_of(reading=1.0, person=0.0, part=5.0, crossed=2.0))
    assert not found.pooled
    assert found.interaction_chance < 1e-6
    assert found.study.repeatability == pytest.approx(1.0, rel=0.1)
    assert found.study.reproducibility == pytest.approx(2.0, rel=0.15)


def test_the_chance_of_the_interaction_is_fishers() -> None:
    taken = study_of(reading=2.0, person=1.0, part=6.0)
    found = analysis_of_variance(taken)
    ratio = (found.squares_interaction / (24 * 9)) / (found.squares_error / (250 * 2))
    assert found.interaction_chance == pytest.approx(stats.f.sf(ratio, 24 * 9, 500), rel=1e-9)


def test_squares_add_up_to_the_whole() -> None:
    taken = study_of(reading=2.0, person=1.0, part=6.0, crossed=1.0)
    found = analysis_of_variance(taken)
    parts = (
        found.squares_parts,
        found.squares_people,
        found.squares_interaction,
        found.squares_error,
    )
    assert sum(parts) == pytest.approx(float(np.square(taken - taken.mean()).sum()), rel=1e-12)


def test_people_who_agree_leave_nothing_to_reproduce() -> None:
    """Averages closer than readings would let them be are clamped, not made imaginary."""
    taken = np.array([[[1.0, 3.0], [3.0, 1.0]], [[5.0, 7.0], [7.0, 5.0]]])
    assert average_and_range(taken).reproducibility == 0.0
    assert analysis_of_variance(taken).study.reproducibility == 0.0


def test_a_gauge_without_doubt() -> None:
    exact = np.broadcast_to(np.array([1.0, 2.0, 4.0])[:, None, None], (3, 2, 2))
    for study in (average_and_range(exact), analysis_of_variance(exact).study):
        assert study.gauge == 0.0
        assert study.share == 0.0
        assert study.categories is None
    assert average_and_range(np.ones((2, 2, 2))).share == 0.0
    crossed = np.array([[[1.0, 1.0], [2.0, 2.0]], [[2.0, 2.0], [1.0, 1.0]]])
    assert analysis_of_variance(crossed).interaction_chance == 0.0


def test_categories_the_gauge_tells_apart() -> None:
    study = GaugeStudy(repeatability=3.0, reproducibility=4.0, parts=20.0)
    assert study.gauge == pytest.approx(5.0, rel=1e-12)
    assert study.total == pytest.approx(math.hypot(5.0, 20.0), rel=1e-12)
    assert study.categories == 5  # 5.64, and a part of a class is none


@pytest.mark.parametrize("shape", [(3, 3), (1, 3, 3), (3, 1, 3), (3, 3, 1), (26, 2, 2)])
def test_studies_of_another_shape_are_refused(shape: tuple[int, ...]) -> None:
    for way in (average_and_range, analysis_of_variance):
        with pytest.raises(ValueError, match="2 to 25 parts, people and trials"):
            way(np.ones(shape))


def test_readings_that_are_no_numbers_are_refused() -> None:
    taken = np.ones((2, 2, 2))
    taken[0, 1, 0] = math.nan
    with pytest.raises(ValueError, match="finite"):
        average_and_range(taken)


@pytest.mark.parametrize("count", [0, 1, 26])
def test_ranges_outside_the_table_are_refused(count: int) -> None:
    with pytest.raises(ValueError, match=f"from 2 to 25 readings, not {count}"):
        range_constants(count)
