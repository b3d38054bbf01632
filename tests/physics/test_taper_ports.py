"""Flow between two cones: limits that are known, conservation, and a second derivation."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics.errors import OutOfRange
from benchproof.physics.taper_ports import leak_shapes, solve_leak
from sources import source


def image_sum(slenderness: float, radius: float, images: int = 400) -> tuple[float, float]:
    """Total and outlet share of a parallel gap by images of thin line sources.

    On the unrolled sheet each port is a row of sources a circumference apart; between walls held
    at nothing such a row is a sum over sines. Round, thin ports: what is left out goes with
    the square of a port over its distance from the next.
    """
    around = np.pi

    def green(away: float) -> float:
        # Potential at mid length of a unit source at mid length, `away` round the plug.
        total = 0.0
        for order in range(1, images, 2):
            k = order * np.pi / slenderness
            decay = np.exp(-k * away) + np.exp(-k * (around - away))
            total += decay / (1.0 - np.exp(-k * around)) / (slenderness * k)
        return total

    self_term = green(radius)  # mean round the port equals that at its edge, to this order
    row = [self_term, green(0.25 * np.pi), green(0.5 * np.pi)]
    matrix = np.array(
        [
            [row[0], row[1], row[2], row[1]],
            [row[1], row[0], row[1], row[2]],
            [row[2], row[1], row[0], row[1]],
            [row[1], row[2], row[1], row[0]],
        ]
    )
    # Inlet at one, outlet at nothing; the plug's two mouths float, and pass nothing in all.
    flows = np.linalg.solve(matrix, np.array([1.0, 0.0, 0.0, 0.0]))
    floating = np.linalg.solve(matrix, np.array([0.0, 1.0, 0.0, 1.0]))
    lift = -(flows[1] + flows[3]) / (floating[1] + floating[3])
    flows = flows + lift * floating
    return float(flows[0]), float(-flows[2])


@source("images of line sources on the unrolled sheet", kind="own calculation")
@pytest.mark.parametrize(("slenderness", "port"), [(2.0, 0.1), (2.5, 0.1), (4.0, 0.1)])
def test_small_round_ports_leak_as_line_sources_do(slenderness: float, port: float) -> None:
    solved = solve_leak(
        openness=0.0,
        slenderness=slenderness,
        port_ratio=port,
        exponent=3,
        drilled=False,
        cells=112,
    )
    total, outlet = image_sum(slenderness, 0.5 * port)
    assert sum(solved) == pytest.approx(total, rel=0.004)
    assert solved[0] == pytest.approx(outlet, rel=0.02)


@source("an independent solution of the same flow, round ports", kind="own calculation")
@pytest.mark.parametrize(
    ("slenderness", "openness", "total"),
    [
        (2.0, 0.0, 3.666),
        (2.0, 0.5, 3.666 + 1.19 * 0.25 + 0.03 / 16.0),
        (2.0, 1.0, 3.666 + 1.19 + 0.03),
        (2.5, 0.0, 3.352),
        (2.5, 0.5, 3.352 + 0.84 * 0.25 + 0.03 / 16.0),
    ],
)
def test_a_wedge_leaks_as_a_second_solution_says(
    slenderness: float, openness: float, total: float
) -> None:
    solved = solve_leak(
        openness=openness, slenderness=slenderness, port_ratio=0.4, exponent=3, drilled=False
    )
    assert sum(solved) == pytest.approx(total, rel=0.01)


@source("the same independent solution", kind="own calculation")
def test_where_a_parallel_and_an_open_gap_leak() -> None:
    parallel = solve_leak(openness=0.0, slenderness=2.0, port_ratio=0.4, exponent=3, drilled=False)
    assert parallel[0] == pytest.approx(0.821, rel=0.01)
    assert parallel[1] == pytest.approx(1.422, rel=0.01)
    assert parallel[2] == pytest.approx(parallel[1], rel=1e-9)
    wedge = solve_leak(openness=0.5, slenderness=2.0, port_ratio=0.4, exponent=3, drilled=False)
    assert wedge[1] == pytest.approx(1.422 + 2.56 * 0.5 + 0.29 * 0.25, rel=0.01)
    assert wedge[0] == pytest.approx(0.821 * (1.0 - 0.255 * 0.25), rel=0.01)


def test_a_drilled_port_is_wider_round_the_plug_and_leaks_a_little_more() -> None:
    def total(*, drilled: bool, port: float) -> float:
        return sum(
            solve_leak(openness=0.0, slenderness=2.0, port_ratio=port, exponent=3, drilled=drilled)
        )

    small = total(drilled=True, port=0.15) / total(drilled=False, port=0.15)
    large = total(drilled=True, port=0.6) / total(drilled=False, port=0.6)
    assert 1.0 <= small < 1.003
    assert 1.05 < large < 1.1


def test_halving_the_cells_changes_nothing_that_matters() -> None:
    given = {"openness": 0.6, "slenderness": 2.0, "port_ratio": 0.4, "exponent": 3}
    coarse, fine = solve_leak(**given), solve_leak(**given, cells=112)  # type: ignore[arg-type]
    assert coarse == pytest.approx(fine, rel=2e-3)


@pytest.mark.parametrize("exponent", [2, 3])
def test_what_leaves_is_what_entered(exponent: int) -> None:
    shapes = leak_shapes(slenderness=2.2, port_ratio=0.35, exponent=exponent)
    openness = np.linspace(0.0, 1.0, 41)
    away = shapes.outlet(openness) + shapes.open_end(openness) + shapes.contact_end(openness)
    np.testing.assert_allclose(away, shapes.total(openness), rtol=1e-12)
    assert np.all(shapes.contact_end(openness) > -1e-3)


@pytest.mark.parametrize("exponent", [2, 3])
def test_shapes_are_read_off_as_they_were_solved(exponent: int) -> None:
    shapes = leak_shapes(slenderness=1.5, port_ratio=0.45, exponent=exponent)
    for openness in (0.13, 0.42, 0.77):
        outlet, open_end, contact = solve_leak(
            openness=openness, slenderness=1.5, port_ratio=0.45, exponent=exponent
        )
        assert float(shapes.outlet(openness)) == pytest.approx(outlet, rel=3e-4)
        assert float(shapes.open_end(openness)) == pytest.approx(open_end, rel=3e-4)
        assert float(shapes.contact_end(openness)) == pytest.approx(contact, abs=1e-3)


def test_a_wider_wedge_sends_more_out_at_its_open_end_and_less_to_the_outlet() -> None:
    shapes = leak_shapes(slenderness=2.0, port_ratio=0.4, exponent=3)
    openness = np.linspace(0.0, 1.0, 21)
    assert np.all(np.diff(shapes.open_end(openness)) > 0.0)
    assert np.all(np.diff(shapes.outlet(openness)) < 0.0)
    assert np.all(np.diff(shapes.total(openness)) > 0.0)


def test_longer_seats_and_smaller_ports_leak_less() -> None:
    def total(slenderness: float, port: float) -> float:
        shapes = leak_shapes(slenderness=slenderness, port_ratio=port, exponent=3)
        return float(shapes.total(0.3))

    assert total(3.0, 0.4) < total(2.0, 0.4) < total(2.0, 0.6)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"openness": 1.2}, "openness"),
        ({"port_ratio": 0.75}, "port over diameter"),
        ({"slenderness": 0.5}, "seat length"),
        ({"exponent": 4}, "exponent"),
    ],
)
def test_what_no_cock_can_be_is_refused(wrong: dict[str, float], told: str) -> None:
    given = {"openness": 0.0, "slenderness": 2.0, "port_ratio": 0.4, "exponent": 3} | wrong
    with pytest.raises(OutOfRange, match=told):
        solve_leak(**given)  # type: ignore[arg-type]
