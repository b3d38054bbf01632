"""What spoils it: the odds again with one cause held twice as well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.duties.contract import ForwardModel, Need
from benchproof.reckon.joint import Joint
from benchproof.reckon.odds import needs_met

Array: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True)
class Cause:
    """One cut, gauge or unknown, and how far the odds move when it is held twice as well."""

    key: str
    label: str
    gain: float
    sampling_error: float


def causes(
    joint: Joint,
    model: ForwardModel,
    needs: Sequence[Need],
    normals: Array,
    offset: float,
) -> list[Cause]:
    """Causes in order of what halving them would gain, the largest first.

    The same normals serve every run, so the sampling error is that of the samples that change.
    """
    wanted = tuple(dict.fromkeys(need.merit for need in needs))

    def right(halved: str | None) -> NDArray[np.bool_]:
        samples = joint.samples(normals, halved=halved)
        samples[joint.swept.name] = samples[joint.swept.name] + offset
        return needs_met(needs, model.perform(samples, only=wanted))

    before = right(None).astype(float)
    found = []
    for key, label in joint.causes().items():
        change = right(key).astype(float) - before
        error = float(change.std() / np.sqrt(change.size))
        found.append(Cause(key, label, float(change.mean()), error))
    return sorted(found, key=lambda cause: -cause.gain)
