"""How a journal and its bearing are made: the order of work, and what pressing takes off a bore."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from benchproof.duties.running_fit_model import bush_of
from benchproof.duties.running_fit_spec import BORED_BEFORE, SPINDLE, RunningSpec
from benchproof.physics.bush_closing import SMOOTHED
from benchproof.quantities import LENGTH, System, show

_FOR_THE_REAMER: Final = 0.1e-3  # common practice on small bores


def order_of_work(spec: RunningSpec, sizes: Mapping[str, float], system: System) -> list[str]:
    """Steps in a builder's words, by size [m] of each feature; what lacks one is as planned."""

    def say(size: float) -> str:
        return show(size, LENGTH, system=system)

    bore, journal = (sizes.get(name, spec.diameter) for name in ("bore", "journal"))
    turn = f"Turn the {'spindle' if spec.place == SPINDLE else 'journal'} to {say(journal)}."
    cut = "Ream" if spec.bore_is == "reamed" else "Bore"
    if not spec.pressed:
        order = [turn, f"{cut} the bore to {say(bore)}."]
        return order if spec.cut_last == "bore" else order[::-1]
    housing = sizes.get("housing bore", spec.seat)
    outside = sizes.get("bush outside", housing + spec.planned_interference)
    closing = closing_of(spec, outside - housing)
    order = [
        f"Bore the housing to {say(housing)} and gauge it.",
        f"Turn the bush outside to {say(outside)}, {say(outside - housing)} over "
        "the housing as gauged.",
    ]
    told = say(closing)
    if spec.bearing_is == BORED_BEFORE:
        order.append(
            f"{cut} the bush to {say(bore + closing)} before it is pressed in: pressing "
            f"closes it by about {told}, to {say(bore)}."
        )
        order.append("Press it in and gauge the bore again; if it is tight, ream it now.")
    else:
        order.append(
            f"Bore the bush to {say(bore + closing - _FOR_THE_REAMER)} before it is pressed "
            f"in: pressing closes it by about {told}, and that leaves "
            f"{say(_FOR_THE_REAMER)} to {cut.lower()} out."
        )
        order.append(f"Press it in, then {cut.lower()} to {say(bore)}.")
    return [*order, turn] if spec.cut_last == "journal" else [turn, *order]


def closing_of(spec: RunningSpec, interference: float) -> float:
    """How far the bore of a bush closes on pressing [m], at a measured interference [m]."""
    bush = bush_of(spec)
    left = max(interference - SMOOTHED * spec.seat_finish, 0.0)
    return 0.0 if bush is None else bush.closing * left
