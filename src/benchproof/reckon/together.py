"""Several bench tests of one part, learned from together, and what they say of the next part.

Each test alone leaves open what two of them close. What all parts of this builder share goes on to
the next one; what is this part's own does not, and is drawn afresh.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.bench_tests.contract import BenchTest
from benchproof.bench_tests.together import Records, Together
from benchproof.duties.contract import Unknown
from benchproof.reckon.learning import Learned
from benchproof.reckon.plan import Job
from benchproof.reckon.result import inferred

Array: TypeAlias = NDArray[np.float64]


def learned_together(
    job: Job[Any],
    tests: Sequence[tuple[BenchTest[Any], Any]],
    *,
    draws: int = 2048,
    seed: int = 1,
) -> tuple[dict[str, Array], Learned]:
    """Sizes, coefficients and errors of the day as all tests leave them, by name, shape (draws,).

    ``tests`` are bench tests with their records, one of each kind at the most. Second, how the
    draws were got. Raises ImpossibleReadings.
    """
    kinds, records = zip(*tests, strict=True)
    joint, _, learned = inferred(job, Together(kinds), Records(records), draws, seed)
    return joint.samples(learned.normals), learned


def for_the_next(job: Job[Any], samples: Mapping[str, Array], *, seed: int = 1) -> dict[str, Array]:
    """Unknowns of this builder's next part: what is common kept, its own drawn afresh.

    samples: as ``learned_together`` gives them, by name. Unknowns known only together are left
    out, for they have no spread of their own.
    """
    rng = np.random.default_rng(seed)
    return {
        unknown.name: samples[unknown.name]
        if unknown.belongs == "builder"
        else unknown.spread.at(rng.standard_normal(samples[unknown.name].shape))
        for unknown in job.unknowns
        if isinstance(unknown, Unknown)
    }
