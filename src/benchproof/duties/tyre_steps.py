"""Order of work for a shrunk tyre, in a builder's words, and what to mind at each step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from benchproof.duties.contract import Caution, Making
from benchproof.duties.tyre_model import BORE, SEAT
from benchproof.duties.tyre_spec import PLANNED_SHARE, TyreSpec
from benchproof.quantities import LENGTH, TEMPERATURE, System, show

_ROUND_TO = 5.0  # kelvins: no shop heats closer
_OVER = 20.0  # K: what a tyre loses between the heat and the wheel
_HEAT = "Heat the tyre"  # how the step begins, whatever it is heated by


def drop_temperature(spec: TyreSpec, interference: float) -> float:
    """Temperature [K] at which a tyre opens by its interference [m] and the clearance to drop."""
    opening = max(interference, 0.0) + spec.clearance_to_drop
    return spec.room_temperature + opening / (spec.tyre.expansion.value * spec.seat)


def tyre_steps(spec: TyreSpec, sizes: Mapping[str, float], system: System) -> Sequence[str]:
    """The order of work; a size [m] that is missing is told as planned."""
    say = partial(show, system=system)
    seat = sizes.get(SEAT, spec.seat)
    bore = sizes.get(BORE, seat - PLANNED_SHARE * spec.seat)
    interference = seat - bore
    wanted = drop_temperature(spec, interference)
    hot = say(_rounded(wanted), TEMPERATURE)
    heat = say(_rounded(min(wanted + _OVER, spec.highest_heat)), TEMPERATURE)
    gauge_size = bore + interference + spec.clearance_to_drop
    rough = spec.tread + spec.tread_left
    blank = (
        f" with {say(spec.tread_left, LENGTH)} left on the tread, so {say(rough, LENGTH)}"
        if spec.tread_left
        else ""
    )
    return (
        Making(
            f"Turn the wheel seat to {say(seat, LENGTH)}, parallel and fine; leave a small "
            "shoulder or a stop at the back. Let it cool and measure it in three directions.",
            SEAT,
        ),
        Making(
            f"Rough the tyre{blank}; ease it in the chuck before the last cuts, so that the bore "
            "stays round when it is let go.",
            BORE,
        ),
        Making(
            f"Bore the tyre to {say(bore, LENGTH)}, {say(interference, LENGTH)} under the seat as "
            "measured. Chamfer the edge that goes on first.",
            BORE,
        ),
        "Measure the tyre's outside, cold, and mark where.",
        "Clean both seats with solvent and keep fingers off: a trace of oil halves the friction.",
        "Set the wheel level on firebrick, cold, seat up. Try the drop with gloves on and the "
        "tyre cold: everything within reach, and no second thoughts.",
        f"{_heat_it(spec)} to about {heat}. It goes on at {hot}: a plug or a rod of "
        f"{say(gauge_size, LENGTH)} must then pass its bore."
        if wanted <= spec.highest_heat
        else f"Do not heat it yet: it would go on only at {hot}, and you make it no hotter than "
        f"{heat}. Bore it larger, or find more heat.",
        "Drop it on level and press it home against the shoulder in one move. If it hangs, knock "
        "it off at once, while it is still open; never hammer it down.",
        "Let it cool in still air, no water, no oil, no draught. Hold it down until it grips.",
        "When it is cold: measure the outside where you measured it before. What it has grown "
        "tells the real interference (benchproof procedure growth).",
        f"Finish the tread and flange now, with the tyre on, true to the axle, "
        f"to {say(spec.tread, LENGTH)}: shrinking has made it grow.",
        "Mark a line across tyre and rim, to see after the first runs whether it has moved.",
    )


def _heat_it(spec: TyreSpec) -> str:
    return {
        "oven": "Heat the tyre in the oven, half an hour to soak through, a thermometer beside it,",
        "hotplate": "Heat the tyre on a steel plate on the hotplate, turned over once and covered, "
        "a thermometer on it,",
        "torch": "Heat the tyre with a soft flame kept moving round it, never still, a thermometer "
        "or temperature crayon on it,",
    }[spec.heated_by]


def _rounded(temperature: float) -> float:
    return 273.15 + _ROUND_TO * round((temperature - 273.15) / _ROUND_TO)


def tyre_cautions(spec: TyreSpec) -> Sequence[str]:
    """What to mind at the step where it matters."""
    found: list[str] = [
        Caution(
            "When heating and dropping: metal at these temperatures looks cold and burns at a "
            "touch. Dry welding gloves, long sleeves, tongs that grip, nothing that burns nearby; "
            'put "hot" beside it while it cools.',
            at=_HEAT,
        ),
        Caution(
            "Before heating: no plating, paint or solder on the tyre. Zinc and cadmium give "
            "poisonous fumes, solvents left in a corner catch fire; degrease, dry, and air the "
            "room.",
            at="Clean both seats",
        ),
        Caution(
            "When cooling: never quench. Water cracks the rim, hardens nothing that helps, and "
            "throws scalding steam; a tyre that cools on one side grips crooked.",
            at="Let it cool in still air",
        ),
    ]
    if spec.heated_by == "torch":
        found.append(
            Caution(
                "With a torch: no straw or blue colours. Steel that has turned blue is over 290 °C "
                "(555 °F) there, and one side that hot is oval.",
                at=_HEAT,
            )
        )
    if spec.heated_by == "oven":
        found.append(
            Caution(
                "An oven used for tyres is not used for food again until it is clean of oil.",
                at=_HEAT,
            )
        )
    if spec.wheel.family == "iron" and spec.wheel.yield_strength is None:
        found.append(
            Caution(
                "On an iron wheel: grey iron breaks without bending. Look for cracks and "
                "blowholes at the roots of the spokes before, and ring it again after; never "
                "knock an iron wheel, and stand clear of its rim while the tyre cools.",
                at="Set the wheel level",
            )
        )
    return tuple(found)
