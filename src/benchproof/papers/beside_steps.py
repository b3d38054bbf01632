"""Cautions put where the work is done: beside the step that they name.

A duty tells its order of work and its cautions apart, since both are also told alone. A
:class:`benchproof.duties.contract.Caution` names the step it belongs to by the step's first words;
any other, and one whose step is not there, stands at the head, before the work begins: none is
left out and none is said twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from benchproof.duties.contract import Caution


@dataclass(frozen=True)
class Step:
    """One step of the work, and what to mind while doing it."""

    words: str
    cautions: tuple[str, ...] = ()


def beside_steps(
    steps: Sequence[str], cautions: Sequence[str]
) -> tuple[tuple[str, ...], tuple[Step, ...]]:
    """Cautions that stand at the head, and the steps with those that belong to them."""
    head: list[str] = []
    at_step: list[list[str]] = [[] for _ in steps]
    for caution in cautions:
        place = step_of(caution, steps)
        (head if place is None else at_step[place]).append(caution)
    placed = (Step(words, tuple(own)) for words, own in zip(steps, at_step, strict=True))
    return tuple(head), tuple(placed)


def step_of(caution: str, steps: Sequence[str]) -> int | None:
    """Place of the first step that a caution belongs to, None where there is none."""
    if not isinstance(caution, Caution):
        return None
    return next((n for n, step in enumerate(steps) if step.startswith(caution.at)), None)
