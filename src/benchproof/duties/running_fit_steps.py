"""How a journal and its bearing are made: the order of work, and what pressing takes off a bore."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

from benchproof.duties.contract import Making
from benchproof.duties.running_fit_model import bush_of
from benchproof.duties.running_fit_spec import BORED_BEFORE, SPINDLE, RunningSpec
from benchproof.physics.bush_closing import SMOOTHED
from benchproof.quantities import LENGTH, System, show
from benchproof.tables.reamers import SAME, nearest_reamer

_FOR_THE_REAMER: Final = 0.1e-3  # common practice on small bores


def order_of_work(spec: RunningSpec, sizes: Mapping[str, float], system: System) -> Sequence[str]:
    """Steps in a builder's words, by size [m] of each feature; what lacks one is as planned."""

    def say(size: float) -> str:
        return show(size, LENGTH, system=system)

    bore, journal = (sizes.get(name, spec.diameter) for name in ("bore", "journal"))
    shaft = "spindle" if spec.place == SPINDLE else "journal"
    turn = Making(f"Turn the {shaft} to {say(journal)}.", "journal")
    cut = "Ream" if spec.bore_is == "reamed" else "Bore"
    reamer = [Making(each, "bore") for each in _which_reamer(spec, bore, journal, say)]
    if not spec.pressed:
        cut_bore = Making(f"{cut} the bore to {say(bore)}.", "bore")
        order = [turn, *reamer, cut_bore]
        return order if spec.cut_last == "bore" else [*reamer, cut_bore, turn]
    housing = sizes.get("housing bore", spec.seat)
    outside = sizes.get("bush outside", housing + spec.planned_interference)
    closing = closing_of(spec, outside - housing)
    order = [
        Making(f"Bore the housing to {say(housing)} and gauge it.", "housing bore"),
        Making(
            f"Turn the bush outside to {say(outside)}, {say(outside - housing)} over "
            "the housing as gauged.",
            "bush outside",
        ),
        *reamer,
    ]
    told = say(closing)
    if spec.bearing_is == BORED_BEFORE:
        steps = (
            f"{cut} the bush to {say(bore + closing)} before it is pressed in: pressing "
            f"closes it by about {told}, to {say(bore)}.",
            "Press it in and gauge the bore again; if it is tight, ream it now.",
        )
    else:
        steps = (
            f"Bore the bush to {say(bore + closing - _FOR_THE_REAMER)} before it is pressed "
            f"in: pressing closes it by about {told}, and that leaves "
            f"{say(_FOR_THE_REAMER)} to {cut.lower()} out.",
            f"Press it in, then {cut.lower()} to {say(bore)}.",
        )
    order += [Making(each, "bore") for each in steps]
    return [*order, turn] if spec.cut_last == "journal" else [turn, *order]


def _which_reamer(
    spec: RunningSpec, bore: float, journal: float, say: Callable[[float], str]
) -> list[str]:
    """What to do where no reamer to be had cuts the bore that is wanted."""
    if spec.bore_is != "reamed":
        return []
    found = nearest_reamer(bore)
    if abs(found.size - bore) <= SAME:
        return []
    clearance = bore - journal
    instead = (
        f"No fixed reamer cuts {say(bore)}: set an adjustable one to it, on a ring or by trial in "
        f"scrap, or bore it. With the nearest fixed one, {found.stamp}, the "
        f"{'spindle' if spec.place == SPINDLE else 'journal'} must be {say(found.size - clearance)}"
    )
    if spec.cut_last == "journal":
        return [f'{instead}: state diameter = "{found.stamp}" and ask again.']
    return [
        f"{instead}, where it can still be turned to that: state cut_last = "
        f'"journal" and diameter = "{found.stamp}", and ask again.'
    ]


def closing_of(spec: RunningSpec, interference: float) -> float:
    """How far the bore of a bush closes on pressing [m], at a measured interference [m]."""
    bush = bush_of(spec)
    left = max(interference - SMOOTHED * spec.seat_finish, 0.0)
    return 0.0 if bush is None else bush.closing * left
