"""A hundred invented injectors: how honest the intervals are, and how well the next one is known.

Each has coefficients drawn from what is believed of any injector, sizes measured, and the readings
a bench would give. ``PYTHONPATH=tests python -m benchmarks.injectors`` takes some minutes; it
measures truth and not time.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from functools import partial
from multiprocessing import Pool
from typing import NamedTuple

import numpy as np

from bench_tests.invented_injectors import SPEC, invented
from benchproof.duties.injector import InjectorDuty
from benchproof.duties.injector_model import DRAFT
from benchproof.injector_commands import map_of
from benchproof.physics.errors import Array
from benchproof.reckon.joint import Made
from benchproof.reckon.plan import Job
from benchproof.reckon.together import for_the_next, learned_together
from benchproof.workshop.lathe import assumed_lathe

COMMON = InjectorDuty.for_the_next
LEVELS = (0.05, 0.95)
MAPPED = 256


class Told(NamedTuple):
    """Of one injector: which intervals hold the truth, and shares of the map that stay open.

    Shares before the tests and after, of a next injector as the lathe will cut it, and of one cut
    and measured.
    """

    held: Sequence[bool]
    open: Sequence[tuple[float, float]]
    worth: float


def told(seed: int, *, draws: int, mapped: bool) -> Told | None:
    """What its tests tell of one injector; nothing if it would not run on the bench."""
    one = invented(seed)
    if one is None:
        return None
    after, learned = learned_together(one.job, one.tests, draws=draws, seed=seed)
    held = [
        bool(np.quantile(after[name], LEVELS[0]) <= one.truth[name])
        and bool(one.truth[name] <= np.quantile(after[name], LEVELS[1]))
        for name in COMMON
    ]
    some = {
        name: values[:: max(1, draws // MAPPED)][:MAPPED]
        for name, values in for_the_next(one.job, after, seed=seed).items()
    }
    shares = []
    for made in ({}, as_measured()) if mapped else ():
        joint = Job(InjectorDuty(), SPEC, assumed_lathe(), made).joint()
        next_one = joint.samples(joint.normals(MAPPED, seed + 1))
        shares.append((still_open(next_one), still_open(next_one | some)))
    return Told(held, shares, learned.effective)


def as_measured() -> dict[str, Made]:
    """Every size at its aim, as the first one's sizes were measured."""
    features = InjectorDuty().features(SPEC)
    return {f.name: Made(f.aim, 15e-6 if f.name == DRAFT else 3e-6) for f in features}


def still_open(samples: dict[str, Array]) -> float:
    """Share of the map, 2 to 12 bar and 5 to 45 °C, with odds between 5 and 95 in a hundred."""
    shares = map_of(SPEC, samples).share_running
    assert shares is not None
    return float(np.mean((shares > LEVELS[0]) & (shares < LEVELS[1])))


def main() -> None:
    """Print how many of the intervals hold, and quartiles of the share of the map."""
    asked = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    asked.add_argument("--injectors", type=int, default=100)
    asked.add_argument("--draws", type=int, default=1500)
    asked.add_argument("--first-seed", type=int, default=300_000)
    asked.add_argument("--no-map", action="store_true")
    given = asked.parse_args()
    found: list[Told] = []
    tried = 0
    work = partial(told, draws=given.draws, mapped=not given.no_map)
    with Pool(2) as pool:
        # In order, so that a slow one is not left out for being slow.
        for one in pool.imap(work, range(given.first_seed, given.first_seed + 3 * given.injectors)):
            tried += 1
            found += [one] if one is not None else []
            if len(found) == given.injectors:
                break
        pool.terminate()
    print(f"{len(found)} of {tried} invented injectors run on the bench; {given.draws} draws, "
          f"worth {np.median([one.worth for one in found]):.0f} as stated; "
          f"load {os.getloadavg()[0]:.1f}")  # fmt: skip
    for name, held in zip(COMMON, np.sum([one.held for one in found], axis=0), strict=True):
        print(f"  {name:20} {held:4d} of {len(found)} intervals of 90 in 100 hold it")
    for kind, which in () if given.no_map else (("as it will be cut", 0), ("measured", 1)):
        shares = np.array([one.open[which] for one in found])
        ratio = shares[:, 1] / shares[:, 0]
        for words, each in (("before", shares[:, 0]), ("after", shares[:, 1]), ("ratio", ratio)):
            low, middle, high = np.percentile(each, (25, 50, 75))
            print(f"  map open, next one {kind}, {words}: {middle:.3f}, half between {low:.3f} "
                  f"and {high:.3f}")  # fmt: skip


if __name__ == "__main__":
    main()
