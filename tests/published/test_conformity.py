"""Decisions near a limit as published."""

import math
from typing import TypeAlias

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from benchproof.workshop.guard_band import (
    acceptance_limits,
    risks,
    risks_of,
    upper_acceptance_for_risk,
)
from sources import source

Array: TypeAlias = NDArray[np.float64]

JCGM = (
    "JCGM 106:2012, The role of measurement uncertainty in conformity assessment, 9.5.4: run-out "
    "of ball bearings, limit 2 µm, standard uncertainty 0.25 µm"
)
SUPPORT = (0.0, 12.0)


def runout(size: Array) -> Array:
    """Gamma density of shape 4 and scale 1/4 [µm], not normed."""
    return np.asarray(size**3 * np.exp(-4.0 * size))


@source(JCGM)
def test_bearings_out_of_limits_and_consumers_risk() -> None:
    found = risks_of(runout, support=SUPPORT, lower=-math.inf, upper=2.0, u=0.25)
    assert 100.0 * found.out == pytest.approx(4.238, abs=0.001)
    assert 100.0 * found.consumer == pytest.approx(0.802, abs=0.001)


@source(JCGM)
def test_reading_that_keeps_the_consumers_risk_at_one_in_a_thousand() -> None:
    limit = upper_acceptance_for_risk(runout, support=SUPPORT, upper=2.0, u=0.25, consumer=0.001)
    assert limit == pytest.approx(1.6718, abs=0.0005)


@source(
    "D. Deaver, Guardbanding with confidence, NCSL Workshop and Symposium, 1994: limits at two "
    "process standard deviations, uncertainty a quarter of one; consumer 0.8 %, producer 1.5 %",
    kind="from memory",
)
def test_risks_of_a_four_to_one_gauge() -> None:
    found = risks(mean=0.0, spread=1.0, lower=-2.0, upper=2.0, u=0.25)
    assert found.consumer == pytest.approx(0.0080, abs=0.00006)
    assert found.producer == pytest.approx(0.0149, abs=0.00006)


@source(
    "NCSLI RP-19, Measurement decision risk, in-tolerance chance 0.60 and 0.90, uncertainty a "
    "quarter of the process's spread: false acceptance 4.839 and 1.600 %",
    kind="from memory",
)
@pytest.mark.parametrize(("inside", "percent"), [(0.60, 4.839), (0.90, 1.600)])
def test_false_acceptance(inside: float, percent: float) -> None:
    half = float(ndtri(0.5 * (1.0 + inside)))
    found = risks(mean=0.0, spread=1.0, lower=-half, upper=half, u=0.25)
    assert 100.0 * found.consumer == pytest.approx(percent, abs=0.001)


@source(
    "ISO 14253-1, decision rules: guard band 2 u (2013) and, at 5 % for one limit, 1.65 u (2017)",
    kind="from memory",
)
def test_guard_bands_of_the_standard() -> None:
    assert acceptance_limits(lower=-10.0, upper=10.0, u=2.0) == pytest.approx((-6.7, 6.7), abs=0.02)
    assert acceptance_limits(lower=-10.0, upper=10.0, u=2.0, factor=2.0) == (-6.0, 6.0)
    at_limit = acceptance_limits(lower=-1e9, upper=10.0, u=2.0)[1]
    wrongly = float(ndtr((at_limit - 10.0) / 2.0))
    assert wrongly == pytest.approx(0.05, abs=0.0001)
