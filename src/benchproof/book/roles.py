"""What a piece's features mean: the duty that speaks of one, its process, the machine it is cut on.

A size may be entered before any duty speaks of its feature; what it means is found when asked for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from benchproof.book.state import Binding, State, Thing
from benchproof.duties import load_duty
from benchproof.features import Feature
from benchproof.specs import Understood


@dataclass(frozen=True)
class Role:
    """A feature as a duty speaks of it; without a process when several errors move it."""

    feature: Feature
    process: str | None
    scale: float
    machine: str | None


def leading_values(engine: Thing) -> dict[str, object]:
    """An engine's leading values as text, for specs to inherit."""
    stated = engine.record.body["stated"]
    return {name: text for name, text in stated.items() if name not in {"name", "note"}}


def understood(state: State, binding: Binding) -> Understood[Any]:
    """A binding's spec now: what is stated, then the engine's leading values, then defaults."""
    kept = state.understood.get(binding.id)
    if kept is not None and kept[0] is binding:
        read: Understood[Any] = kept[1]
        return read
    found: Understood[Any] = load_duty(binding.duty).spec_type.from_text(
        binding.stated, inherited=leading_values(state.things[binding.engine])
    )
    state.understood[binding.id] = (binding, found)
    return found


def first_machine(state: State) -> str | None:
    """The machine that work is done on where nothing else is said: the first one entered."""
    machines = state.of("machine")
    return machines[0].id if machines else None


def machine_of(state: State, binding: Binding) -> str | None:
    """The machine of a duty's route: the one it was given, else the first."""
    given = binding.machine
    return given if given in state.things else first_machine(state)


def roles_of(state: State, piece: str) -> dict[str, Role]:
    """Every feature of a piece that a duty speaks of, by name."""
    found = {}
    for binding in state.bindings.values():
        for name, bound in binding.roles.items():
            if bound != piece:
                continue
            duty, spec = load_duty(binding.duty), understood(state, binding).spec
            feature = next(f for f in duty.features(spec) if f.name == name)
            errors = {error.name: error for error in duty.errors(spec)}
            alone = [errors[e] for e, gain in feature.gains.items() if gain == 1.0]
            simple = len(feature.gains) == 1 and bool(alone)
            found[name] = Role(
                feature,
                alone[0].process if simple else None,
                alone[0].size if simple else feature.aim,
                machine_of(state, binding),
            )
    return found
