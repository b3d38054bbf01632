"""One drop test learned from, against a plain loop over samples of the same likelihood."""

from __future__ import annotations

from collections.abc import Sequence
from time import perf_counter
from typing import Any

import numpy as np

from benchmarks.demo_job import drop_test, job
from benchmarks.plain_likelihood import PlainLikelihood
from benchmarks.timing import Figure, took
from benchproof.reckon.learning import learn
from benchproof.reckon.plan import plan
from benchproof.reckon.result import LEARNING_DRAWS, bench_result

LOOPED = 200


def figures() -> Sequence[Figure]:
    """Times of ``learn``, of a whole result, and of a whole plan."""
    finished = job("made.toml")
    test, record = drop_test()
    joint = finished.joint(more_unknowns=test.unknowns(finished.spec, record))
    foresight = test.prepare(finished.spec, record)
    asked = 0

    def fit(normals: Any) -> Any:
        nonlocal asked
        asked += normals.shape[1]
        return foresight.log_likelihood(joint.samples(normals))

    def learned() -> None:
        learn(fit, columns=len(joint.columns), draws=LEARNING_DRAWS, seed=1)

    learned()
    in_all = asked
    drawn = joint.samples(joint.normals(LOOPED, 1))
    looped = _plain_loop(finished.spec, record, drawn, foresight.log_likelihood(drawn))
    return [
        Figure(
            f"learn one drop test, {LEARNING_DRAWS} draws",
            took(learned),
            f"plain loop, {in_all} samples, undrawn",
            looped * in_all,
            "seconds",
            0.2,
        ),
        Figure(
            "bench_result: the same with forecasts and aims",
            took(lambda: bench_result(finished, test, record)),
        ),
        Figure("plan: aims, odds, limits, causes", took(lambda: plan(job()))),
    ]


def _plain_loop(spec: Any, record: Any, drawn: dict[str, Any], expected: Any) -> float:
    """Time a sample takes [s]; stops unless both ways find the same likelihoods."""
    samples = [{name: float(values[i]) for name, values in drawn.items()} for i in range(LOOPED)]
    likelihood = PlainLikelihood(spec, record)
    start = perf_counter()
    found = [likelihood(sample) for sample in samples]
    each = (perf_counter() - start) / LOOPED
    if not np.allclose(found, expected, rtol=1e-9, atol=1e-9):
        raise SystemExit("the plain loop finds other likelihoods")
    return each
