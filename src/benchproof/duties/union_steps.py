"""Order of work of a pipe union, in a builder's words, and what to mind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from benchproof.duties.contract import Caution, Making
from benchproof.duties.union_spec import UnionSpec
from benchproof.quantities import ANGLE, LENGTH, TORQUE, System, show
from benchproof.tables.threads import engagement

SETTING_WORDS = {
    "at one setting": "Turn the nipple's cone and the D-bit or boring tool's seat at one setting "
    "of the top slide, tool at centre height and the slide not touched between",
    "clocked": "Set the top slide by clock for each cone",
    "by graduations": "Set the top slide by its graduations for each cone: a tenth of a degree is "
    "all they are good for",
}


def union_steps(spec: UnionSpec, sizes: Mapping[str, float], system: System) -> Sequence[str]:
    """Nuts first, then nipples and seats, the screws last; ``sizes`` [SI] holds every feature."""
    say = partial(show, system=system)
    size, drill = spec.size, spec.drill
    share = engagement(size, drill=drill)
    low, high = (say(limit, LENGTH) for limit in size.limits.screw_major)
    screw = say(sizes["fitting thread"], LENGTH)
    steps = [
        Making(
            f"Drill the nuts {say(drill, LENGTH)} for {size.key}: {share * 100:.0f} % of thread, "
            f"where {size.form.scale}. The core is {say(size.nut_core, LENGTH)}; no drill may be "
            "below it.",
            "nut thread",
        ),
        Making(
            f"Tap the nuts with one tap, pitch diameter {say(sizes['nut thread'], LENGTH)}. Bore "
            f"them to clear the pipe, {say(spec.pipe_diameter, LENGTH)}, and leave a flat "
            "shoulder.",
            "nut thread",
        ),
        Making(
            f"{SETTING_WORDS[spec.cones_are]}: nipple {say(sizes['nipple cone'], ANGLE)} "
            f"included, seat {say(sizes['seat cone'], ANGLE)}.",
            "nipple cone",
            "seat cone",
        ),
        Making(
            f"Turn the screws of the fittings {low} to {high}. Open the die and cut one; close it "
            f"until the pitch diameter is {screw}, by three wires or against a screw known good; "
            "then cut the rest without touching it.",
            "fitting thread",
        ),
        "Try the tightest nut on every fitting and every nut on the fullest fitting: fingers only.",
    ]
    if spec.nipple_is == "silver-brazed":
        steps.append(
            "Slip the nut on the pipe the right way round, braze the nipple, pickle, and touch up "
            "the cone: scale on it holds the seat off."
        )
    else:
        steps.append(
            "Slip nut and ferrule on the pipe, square its end, and pull up once to set it."
        )
    if spec.faces_are == "lapped together":
        steps.append("Lap nipple and seat together with the finest paste, and wash all of it out.")
    steps.append(_tighten(spec, system))
    return tuple(steps)


def _tighten(spec: UnionSpec, system: System) -> str:
    say = partial(show, system=system)
    if spec.torque is not None:
        return f"Oil thread and collar and tighten to {say(spec.torque.median, TORQUE)}."
    assert spec.spanner_length is not None
    assert spec.hand_force is not None
    torque = spec.spanner_length * spec.hand_force.median
    return (
        f"Oil thread and collar and tighten with a spanner of {say(spec.spanner_length, LENGTH)}, "
        f"about {say(torque, TORQUE)}; hold the fitting with a second spanner."
    )


def union_cautions(spec: UnionSpec) -> Sequence[str]:
    """What to mind at the step where it matters."""
    found: list[str] = [
        "Test with cold water, never with air or steam. Boiler, fittings and the pressure to test "
        "at are for your inspector and the code in force where you live.",
        Caution(
            "Never tighten a union that is under pressure, nor face one that is being pumped up.",
            at="Oil thread and collar",
        ),
    ]
    if spec.nipple_is == "silver-brazed":
        found.append(
            Caution(
                "Brazing softens pipe and nipple whatever temper they had: only annealed strength "
                "is counted. Soft solder has no place in a steam or feed pipe.",
                at="Slip the nut on the pipe",
            )
        )
    brass = [
        name
        for name in (spec.nut_material, spec.nipple_material, spec.fitting_material)
        if "brass" in name
    ]
    if brass:
        found.append(
            f"{brass[0].capitalize()} loses its zinc in hot water: bronze or gunmetal where it is "
            "always wet, and look at it at every boiler test."
        )
    if spec.metal_temperature > 373.15:
        found.append("Under steam it scalds: warm through, and try it again cold afterwards.")
    return tuple(found)
