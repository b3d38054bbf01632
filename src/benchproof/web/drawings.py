"""A duty's drawing, to the sizes of its answer: every sheet of it, as a picture."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from benchproof.drawing import Sized
from benchproof.duties.contract import Duty
from benchproof.quantities import System
from benchproof.reckon.answer import Answer
from benchproof.reckon.plan import Job

DOUBTFUL = 0.9  # odds below which a drawing says that they are poor


def has_drawing(duty: Duty[Any]) -> bool:
    """Whether a duty draws anything at all."""
    return type(duty).drawing is not Duty.drawing


def sizes_to_draw(job: Job[Any], answer: Answer | None) -> dict[str, Sized]:
    """Sizes of every feature: as made, else as the answer wants it, with its limits."""
    found = {name: Sized(made.size) for name, made in job.made.items()}
    if answer is None or answer.already_cut:
        return found
    best = answer.best
    upper = lower = None
    if answer.size_limits is not None:
        low, high = answer.size_limits
        lower, upper = low - best.size, high - best.size
    found[best.feature] = Sized(best.size, upper, lower, best.odds.right < DOUBTFUL)
    for feature in job.duty.features(job.spec):
        found.setdefault(feature.name, Sized(feature.aim))
    return found


def drawn(job: Job[Any], answer: Answer | None, system: System) -> Sequence[str]:
    """Every sheet as SVG; none where there is nothing to draw, or no sheet holds it."""
    from benchproof.papers.layout import lay_out
    from benchproof.papers.rows import NoRoom
    from benchproof.papers.svg import svg

    drawing = job.duty.drawing(job.spec, sizes_to_draw(job, answer))
    if drawing is None:
        return ()
    try:
        sheets = lay_out(drawing, paper="A5", units=system)
    except NoRoom:
        return ()
    return [svg(sheet) for sheet in sheets]
