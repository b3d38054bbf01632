"""Sizes for a drawing: what an answer says of every feature, with its limits as gauged."""

from __future__ import annotations

from typing import Any, Final

from benchproof.drawing import Sized
from benchproof.reckon.answer import Answer
from benchproof.reckon.plan import Job

POOR: Final = 0.9
"""Odds of coming right below which a size is marked as doubtful."""


def sized(job: Job[Any], answer: Answer) -> dict[str, Sized]:
    """Size of every feature [SI]: as made, else as aimed for, by name.

    The feature whose aim the answer chose carries the answer's own limits as gauged, and is
    ``doubtful`` where the odds of coming right first time are poor. A feature that is made, and
    one that its mate is cut to suit, has none: whatever it came out as is what counts.
    """
    found = {
        feature.name: Sized(
            job.made[feature.name].size if feature.name in job.made else feature.aim
        )
        for feature in job.duty.features(job.spec)
    }
    best = answer.best
    if best.feature in job.made:
        return found
    upper = lower = None
    if answer.size_limits is not None and not answer.already_cut:
        low, high = answer.size_limits
        lower, upper = low - best.size, high - best.size
    found[best.feature] = Sized(best.size, upper, lower, best.odds.right < POOR)
    return found
