"""Cautions put where the work is done: beside the step that speaks of the same thing.

A duty tells its order of work and its cautions apart. A caution that names in its first words
what a step names in its own goes to that step, and where there are several, to the one that
shares most with it. Any other stands at the head, before the work begins: none is left out and
none is said twice.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

_NAMED_FIRST: Final = 4  # words in which a step or a caution says what it is about
_ENOUGH: Final = 1.5
_IDLE: Final = frozenset(
    re.findall(
        "[a-z]+",
        "about above after again against all and any are away before being below beside both but "
        "can cannot clear does down each even every for from goes hand has have here how into its "
        "keep know let more must never nor not nothing off on once one only other out over own "
        "part push put same see set so some step such take than that the them then there these "
        "they this those through too turn until when where which while who will with without you "
        "your steam water pressure live code force under",
    )
)


@dataclass(frozen=True)
class Step:
    """One step of the work, and what to mind while doing it."""

    words: str
    cautions: tuple[str, ...] = ()


def beside_steps(
    steps: Sequence[str], cautions: Sequence[str]
) -> tuple[tuple[str, ...], tuple[Step, ...]]:
    """Cautions that stand at the head, and the steps with those that belong to them."""
    spoken = [_stems(step) for step in steps]
    used = Counter(stem for stems in spoken for stem in set(stems))
    at_step: dict[int, list[str]] = {}
    head = []
    for caution in cautions:
        scores = [_shared(_stems(caution), stems, used) for stems in spoken]
        best = max(range(len(scores)), key=scores.__getitem__, default=None)
        if best is None or scores[best] < _ENOUGH:
            head.append(caution)
        else:
            at_step.setdefault(best, []).append(caution)
    placed = (Step(words, tuple(at_step.get(n, ()))) for n, words in enumerate(steps))
    return tuple(head), tuple(placed)


def _shared(caution: Sequence[str], step: Sequence[str], used: Counter[str]) -> float:
    early, named = set(caution[:_NAMED_FIRST]), set(step[:_NAMED_FIRST])
    if not early & named:
        return 0.0
    return sum(
        (2.0 if stem in named else 1.0) * (2.0 if stem in early else 1.0) / used[stem]
        for stem in set(caution) & set(step)
    )


def _stems(text: str) -> list[str]:
    """Words that say something, without the endings that change with the sentence."""
    words = re.findall(r"[a-z]{3,}", text.casefold())
    return [_stem(word) for word in words if word not in _IDLE]


def _stem(word: str) -> str:
    for ending in ("ing", "ed", "es", "s", "e"):
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            word = word.removesuffix(ending)
            break
    doubled = len(word) > 3 and word[-1] == word[-2] and word[-1] not in "ls"
    return word[:-1] if doubled else word
