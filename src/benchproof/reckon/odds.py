"""Odds: the chance, with what is known now, that all needs are met.

A sweep runs the forward model over many aims with the same draws, so that neighbouring aims
differ only by the aim. A sample that fails at one aim can still be corrected when taking off more
metal would bring it right; with common draws that is read off the same sweep.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.duties.contract import ForwardModel, Need, Outcome
from benchproof.features import Feature

Array: TypeAlias = NDArray[np.float64]
Truth: TypeAlias = NDArray[np.bool_]

# Large enough that numpy's work, which runs beside other threads, outweighs the calls to it: with
# a quarter of it, sweeps take a fifth to a half more of the processor, whatever the caches gain.
BLOCK = 32_768
THREADS = 2
FEW = 512  # samples by which it is seen what an aim bears on


@dataclass(frozen=True)
class Odds:
    """Chances of right first time, still correctable, and lost; they add up to one."""

    right: float
    correctable: float
    lost: float
    samples: int

    @property
    def sampling_error(self) -> float:
        """Standard error of ``right`` from the number of draws."""
        return float(np.sqrt(self.right * (1.0 - self.right) / self.samples))


@dataclass(frozen=True)
class Sweep:
    """Which samples come right at which offset of the swept feature: shape (offsets, samples)."""

    offsets: Array
    right: Truth
    correctable: Truth

    @property
    def chances(self) -> Array:
        """Share of the samples that come right at every offset."""
        return _shares(self.right)

    def odds(self) -> list[Odds]:
        """Odds at every offset."""
        count = self.right.shape[1]
        right, correctable = self.chances, _shares(self.correctable)
        return [
            Odds(float(r), float(c), max(0.0, float(1.0 - r - c)), count)
            for r, c in zip(right, correctable, strict=True)
        ]


def needs_met(needs: Sequence[Need], outcome: Outcome) -> Truth:
    """Whether each sample meets every need; at least one need."""
    met = needs[0].met(outcome.merits[needs[0].merit])
    for need in needs[1:]:
        met &= need.met(outcome.merits[need.merit])
    return met


def sweep(
    model: ForwardModel,
    needs: Sequence[Need],
    samples: Mapping[str, Array],
    feature: Feature,
    offsets: Array,
) -> Sweep:
    """Run the model at every offset [SI] of ``feature`` from its aim, offsets ascending.

    Samples are true values at the feature's own aim, shape (n,); the same draws serve every
    offset.
    """
    if offsets.ndim != 1 or np.any(np.diff(offsets) <= 0.0):
        raise ValueError("offsets must be one ascending row")
    count = samples[feature.name].shape[0]
    right = np.empty((offsets.size, count), dtype=bool)
    correctable = np.empty_like(right)
    moving, still = _moved_by(model, needs, samples, feature, offsets)
    wanted = _merits(moving)

    def run(start: int) -> None:
        block = slice(start, start + BLOCK)
        part = {name: values[block] for name, values in samples.items()}
        base = part[feature.name]
        ever = needs_met(still, model.perform(part, only=_merits(still))) if still else True
        for row, offset in enumerate(offsets):
            part[feature.name] = base + offset
            met = needs_met(moving, model.perform(part, only=wanted))
            np.logical_and(met, ever, out=right[row, block])
        _mark_correctable(right[:, block], correctable[:, block], feature)

    starts = range(0, count, BLOCK)
    if len(starts) == 1:
        run(0)
    else:
        with ThreadPoolExecutor(THREADS) as pool:
            list(pool.map(run, starts))
    return Sweep(offsets, right, correctable)


def _moved_by(
    model: ForwardModel,
    needs: Sequence[Need],
    samples: Mapping[str, Array],
    feature: Feature,
    offsets: Array,
) -> tuple[list[Need], list[Need]]:
    """Needs that the swept feature bears on, and those it leaves as they are.

    What comes out the same to the last bit for hundreds of samples at both ends and in the middle
    is worked out once and not at every offset. At least one need is taken to move.
    """
    few = {name: values[:FEW] for name, values in samples.items()}
    seen = []
    for offset in (offsets[0], offsets[offsets.size // 2], offsets[-1]):
        few[feature.name] = samples[feature.name][:FEW] + offset
        seen.append(model.perform(few, only=_merits(needs)).merits)
    first = seen[0]
    still = [
        need
        for need in needs
        if all(np.array_equal(first[need.merit], other[need.merit]) for other in seen[1:])
    ]
    if len(still) == len(needs):
        still = still[1:]
    return [need for need in needs if need not in still], still


def _merits(needs: Sequence[Need]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(need.merit for need in needs))


def _mark_correctable(right: Truth, correctable: Truth, feature: Feature) -> None:
    """Mark samples not right at an offset that come right at some other by taking off metal."""
    rows = range(right.shape[0])
    further = np.zeros(right.shape[1], dtype=bool)
    for row in reversed(rows) if feature.correction == "larger" else rows:
        np.greater(further, right[row], out=correctable[row])
        if feature.correction is not None:
            np.logical_or(further, right[row], out=further)


def _shares(found: Truth) -> Array:
    """Share of the samples in each row; counted, which is ten times as fast as a mean of truths."""
    counts = np.array([np.count_nonzero(row) for row in found], dtype=float)
    counts /= found.shape[1]
    return counts
