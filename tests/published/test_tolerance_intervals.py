"""Tolerance and prediction factors as printed."""

import pytest

from benchproof.workshop.capability import index_to_show, k1, k2, k2_howe, prediction_factor
from sources import source

NIST = "NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3: 43 readings, 90 %, 99 %"
BERTHOUEX = (
    "P. M. Berthouex and L. C. Brown, Statistics for Environmental Engineers, table 21.1, 95 % "
    "confidence"
)


@source(NIST)
def test_howes_factor() -> None:
    assert k2_howe(parts=43, share=0.90, confidence=0.99) == pytest.approx(2.2173, abs=0.0001)


@source(f"{NIST}; there by an approximation, 1.8752")
def test_one_sided_factor_close_to_the_approximate_one() -> None:
    exact = k1(parts=43, share=0.90, confidence=0.99)
    assert exact == pytest.approx(1.8752, abs=0.002)
    assert exact == pytest.approx(1.8740, abs=0.0001)


@source(f"two-sided factor by quadrature, a second program, for {NIST}", kind="own calculation")
def test_exact_two_sided_factor() -> None:
    assert k2(parts=43, share=0.90, confidence=0.99) == pytest.approx(2.2228, abs=0.0002)


@source(BERTHOUEX)
@pytest.mark.parametrize(
    ("parts", "share", "factor"),
    [
        (4, 0.90, 5.37),
        (4, 0.95, 6.34),
        (4, 0.99, 8.22),
        (5, 0.90, 4.29),
        (5, 0.95, 5.08),
        (5, 0.99, 6.60),
        (10, 0.90, 2.86),
        (10, 0.95, 3.39),
        (10, 0.99, 4.44),
        (20, 0.90, 2.32),
        (20, 0.95, 2.76),
        (20, 0.99, 3.62),
        (60, 0.90, 1.96),
        (60, 0.95, 2.34),
        (60, 0.99, 3.07),
    ],
)
def test_two_sided_factors(parts: int, share: float, factor: float) -> None:
    assert k2(parts=parts, share=share) == pytest.approx(factor, abs=0.0056)


@source("ISO 16269-6:2014, one-sided factors, 95 % / 95 %", kind="from memory")
@pytest.mark.parametrize(("parts", "factor"), [(5, 4.203), (10, 2.911)])
def test_one_sided_factors(parts: int, factor: float) -> None:
    assert k1(parts=parts, share=0.95) == pytest.approx(factor, abs=0.001)


@source(
    "Student's t: G. J. Hahn and W. Q. Meeker, Statistical Intervals, 1991, ch. 4",
    kind="own calculation",
)
@pytest.mark.parametrize(
    ("parts", "probability", "factor", "atol"),
    [(5, 0.95, 3.041, 0.001), (20, 0.95, 2.145, 0.001), (10, 0.9973, 4.29, 0.01)],
)
def test_factors_for_the_next_part(
    parts: int, probability: float, factor: float, atol: float
) -> None:
    assert prediction_factor(parts=parts, probability=probability) == pytest.approx(
        factor, abs=atol
    )


@source("index to show so that 1, or 1.33, is proven: noncentral t", kind="own calculation")
@pytest.mark.parametrize(
    ("index", "parts", "shown"),
    [(1.0, 5, 2.43), (1.0, 10, 1.69), (1.0, 30, 1.30), (1.33, 5, 3.20), (1.33, 20, 1.85)],
)
def test_index_that_proves(index: float, parts: int, shown: float) -> None:
    assert index_to_show(parts=parts, index=index) == pytest.approx(shown, abs=0.006)
