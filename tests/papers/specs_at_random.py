"""Valid specs of any duty, drawn by scaling the figures of its example: most nobody would build."""

from __future__ import annotations

import random
from typing import Any

from pydantic import ValidationError

from benchproof.drawing import Sized
from benchproof.duties import load_duty
from benchproof.specs import Spec, SpecError
from examples import SPECS

_FACTORS = (0.5, 0.7, 0.9, 1.0, 1.0, 1.0, 1.037, 1.25, 1.9, 3.0)
_TRIES = 60


def spec_at_random(key: str, choice: random.Random) -> Spec:
    """A valid spec of a duty: figures of its example scaled, all by one factor or each by its own.

    Its drawing's sizes are those a builder may well state, from half to three times the example.
    """
    example = SPECS[key]
    plain = example.model_dump()
    for _ in range(_TRIES):
        whole = choice.choice(_FACTORS)
        scaled = {name: _scaled(value, whole, choice) for name, value in plain.items()}
        try:
            spec = type(example).model_validate(scaled)
            load_duty(key).features(spec)
        except (ValidationError, SpecError, ValueError):
            continue
        return spec
    return example


def sizes_at_random(key: str, spec: Spec, choice: random.Random) -> dict[str, Sized]:
    """A size for every feature, near its planned one, some with limits, some in doubt."""
    found = {}
    for feature in load_duty(key).features(spec):
        micro = 1e-6 if feature.kind.name == "length" else 1e-4
        aim = feature.aim + micro * choice.randint(-9, 9)
        if choice.random() < 0.6:
            low = micro * choice.randint(-30, 10)
            limits = (low + micro * choice.randint(2, 40), low)
            found[feature.name] = Sized(aim, *limits, doubtful=choice.random() < 0.5)
        else:
            found[feature.name] = Sized(aim)
    return found


def _scaled(value: Any, whole: float, choice: random.Random) -> Any:
    if isinstance(value, float) and choice.random() < 0.7:
        return value * (whole if choice.random() < 0.7 else choice.choice(_FACTORS))
    return value
