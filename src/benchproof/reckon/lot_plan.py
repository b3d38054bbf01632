"""What the plan of a lot says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.reckon.lot_given import Gauge, Limits, LotProcess
from benchproof.reckon.lot_process import Run
from benchproof.workshop.run_chart import NeedLimits

Array: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True)
class FirstOff:
    """The check of a fresh setting.

    The first ``pieces`` should read ``expected`` [m] in the mean. Of what they are off, ``move``
    [0 to 1] is moved back and not all: some of it is scatter of pieces and gauge. A move of less
    than ``least`` [m] is not made. ``usual`` [m] is how far off their mean is, one standard
    deviation.
    """

    pieces: int
    expected: float
    move: float
    least: float
    usual: float


@dataclass(frozen=True, eq=False)
class LotPlan:
    """What to make, and how; sizes in metres.

    ``blanks`` gives ``wanted`` good ones with chance ``reached`` (at least ``chance``);
    ``binomial`` is what ``share_good`` [0 to 1] per piece would promise were pieces independent.
    ``aim`` is the true size wanted of a first piece, ``set_for`` the size to set the stop for,
    the lathe's known bias allowed for. ``accept`` are the readings to accept. ``interval`` is
    the number of pieces between re-sets, ``wear`` what each is larger by [m]. Expected in the
    lot: ``recuts``, ``scrap``, and ``escapes``, accepted though out of limits.
    ``chance_by_blanks`` [0 to 1] has shape (n + 1,), for 0 to n blanks. ``assumed`` says what
    nobody has measured, ``steps`` the order of work.
    """

    limits: Limits
    process: LotProcess
    gauge: Gauge
    wanted: int
    chance: float
    blanks: int
    reached: float
    binomial: int
    share_good: float
    aim: float
    set_for: float
    accept: tuple[float, float]
    interval: int
    wear: float
    first_off: FirstOff | None
    measure_every: int
    chart: NeedLimits
    recuts: float
    scrap: float
    escapes: float
    chance_by_blanks: Array
    run: Run
    seed: int
    lots: int
    assumed: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()

    @property
    def share_failing(self) -> float:
        """Share of lots that end with too few good ones [0 to 1]."""
        return 1.0 - self.reached

    def chance_with(self, blanks: int) -> float:
        """Chance of enough good ones from so many blanks; held at the most that were drawn."""
        return float(self.chance_by_blanks[min(max(blanks, 0), len(self.chance_by_blanks) - 1)])
