"""Two lots of which any piece must fit any other."""

import numpy as np
import pytest

from benchproof.reckon.lot_given import Gauge, LotProcess
from benchproof.reckon.lot_mates import accepted_sizes, any_with_any
from benchproof.reckon.lots import plan_lot
from benchproof.workshop.standing import Prior, Summary, learn

PROCESS = LotProcess(learn(Prior(), summary=Summary(40, bias=0.0, spread=2.5)), 0.9e-6)
HOLES = plan_lot(
    lower=8.000e-3, upper=8.014e-3, wanted=30, process=PROCESS, gauge=Gauge(1e-6), lots=512
)
PINS = plan_lot(
    lower=7.976e-3,
    upper=7.990e-3,
    wanted=30,
    process=PROCESS,
    gauge=Gauge(1e-6),
    correction="smaller",
    lots=512,
)


def test_accepted_pieces_lie_in_limits_but_for_what_escapes() -> None:
    sizes = accepted_sizes(PINS, lots=512)
    assert sizes.shape[1] == 30
    assert 490 <= sizes.shape[0] <= 512
    out = (sizes < 7.976e-3) | (sizes > 7.990e-3)
    assert out.mean() == pytest.approx(PINS.escapes / 30, abs=0.002)
    # Pieces of one lot are nearer to one another than to those of another lot.
    assert sizes.std(axis=1).mean() < 0.95 * sizes.std()


def test_limits_that_add_up_let_any_go_with_any() -> None:
    """Tightest 10 µm, loosest 38 µm by the limits alone."""
    by_limits = any_with_any(HOLES, PINS, least=10e-6, most=38e-6, lots=512)
    assert by_limits.every > 0.98
    tighter = any_with_any(HOLES, PINS, least=14e-6, most=34e-6, lots=512)
    assert tighter.every < tighter.one < 1.0
    assert tighter.every < by_limits.every
    assert by_limits.tightest[1] < 24e-6 < by_limits.loosest[1]


def test_the_two_lots_are_drawn_apart() -> None:
    again = any_with_any(HOLES, HOLES, least=-1.0, most=1.0, lots=512)
    assert again.every == 1.0
    assert again.tightest[1] == pytest.approx(-again.loosest[1], abs=0.5e-6)
    sizes = accepted_sizes(HOLES, lots=512), accepted_sizes(HOLES, lots=512, seed=8)
    rows = min(len(each) for each in sizes)
    means = [each[:rows].mean(axis=1) for each in sizes]
    assert abs(np.corrcoef(means)[0, 1]) < 0.15
