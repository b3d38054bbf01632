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
from benchproof.duties.contract import Unknown
from benchproof.reckon.learning import Learned, learn
from benchproof.reckon.plan import Job

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
    duty, spec = job.duty, job.spec
    unmeasured = {
        name: spread for name, spread in duty.unmeasured(spec).items() if name not in job.made
    }
    more = [unknown for test, record in tests for unknown in test.unknowns(spec, record)]
    joint = job.joint(unmeasured=unmeasured, more_unknowns=more, pieces=True)
    foresights = [test.prepare(spec, record) for test, record in tests]

    def fit(normals: Array) -> Array:
        samples = joint.samples(normals)
        together: Array = np.sum([each.log_likelihood(samples) for each in foresights], axis=0)
        return together

    learned = learn(fit, columns=len(joint.columns), draws=draws, seed=seed)
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
