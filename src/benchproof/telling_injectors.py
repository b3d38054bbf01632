"""Words and rows for how much an injector is to spill: one line for each choice, and what it means.

The figures are reckoned in :mod:`benchproof.duties.injector_overflow`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

from benchproof.columns import wrapped
from benchproof.duties.injector_spec import LOWEST
from benchproof.quantities import GAUGE_PRESSURE, LENGTH, MASS_FLOW, show

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchproof.duties.injector_overflow import Overflow, Spilling, WayOut

Units = Literal["metric", "inch"]

_HEAD: Final = (
    "  spills   ring  draws air in 100   runs down to {pressure:<4}     feed  wasted  oxygen",
    "          {length:>5}  untried    set   middle (90 of 100)  {flow:>6}  {flow:>6}  mg/l <",
)


def overflow_told(found: Overflow, units: Units, *, flooded: bool) -> list[str]:
    """Choices of spill one to a line, what is enough, other ways out, and what air does."""
    pressure, length, flow = ("psi", "thou", "lb/h") if units == "inch" else ("bar", "µm", "g/min")
    lines = [
        "HOW MUCH TO SPILL, BLOWING OFF WITH THE WARMEST TANK",
        *(line.format(pressure=pressure, length=length, flow=flow) for line in _HEAD),
        *(_row(each, pressure, length, flow) for each in found.choices),
        "",
    ]
    for words in (
        _columns_told(),
        _enough_told(found, flooded=flooded),
        _ways_told(found.ways_out, flow),
        _oxygen_told(found),
    ):
        lines += [*wrapped(words), ""]
    return lines[:-1]


def _row(each: Spilling, pressure: str, length: str, flow: str) -> str:
    low, middle, high = (_down_to(value, pressure) for value in each.lowest)
    more = "" if each.reached else " *"
    return (
        f"  {100.0 * each.spill:>4.0f} %  {_number(0.5 * each.ring, length):>5}"
        f"  {100.0 * each.draws_air:>7.0f}  {100.0 * each.draws_air_set:>5.0f}"
        f"   {middle:>6} ({low} to {high})".ljust(54)
        + f"{_flow(each.fresh, flow):>6}  {_flow(each.spilled, flow):>6}"
        + f"  {1e3 * each.oxygen:>6.0f}{more}"
    )


def _number(metres: float, unit: str) -> str:
    digits = 1 if unit == "thou" else 0
    return show(metres, LENGTH, unit=unit, digits=digits).split(" ", maxsplit=1)[0]


def _flow(kilograms: float, unit: str) -> str:
    digits = 1 if unit == "lb/h" else 0
    return show(kilograms, MASS_FLOW, unit=unit, digits=digits).split(" ", maxsplit=1)[0]


def _down_to(pressure: float, unit: str) -> str:
    """A lower limit, told no finer than it is known, and never below what is reckoned with."""
    digits = 0 if unit == "psi" else 1
    if pressure < LOWEST:
        bound = show(LOWEST, GAUGE_PRESSURE, unit=unit, digits=0).split(" ", maxsplit=1)[0]
        return f"<{bound}"
    return show(pressure, GAUGE_PRESSURE, unit=unit, digits=digits).split(" ", maxsplit=1)[0]


def _columns_told() -> str:
    return (
        "Ring: its width, by the middle of all that is believed. Untried: cut to that ring and no "
        "more. Set: each one tried, and its ring moved until so much is caught, the bucket to one "
        "in a hundred, the valves to a tenth of a bar, the tank to 2 °C. Feed and wasted: at "
        "boiler pressure. One that never runs counts as running down to boiler pressure; under "
        "2 bar (29 psi) nothing is claimed."
    )


def _enough_told(found: Overflow, *, flooded: bool) -> str:
    untried = (
        "Untried, no spill that the combining throat lets through keeps air out of 95 in 100"
        if found.enough is None
        else f"Untried it takes {100.0 * found.enough:.0f} % to keep air out of 95 in 100"
    )
    told = f"{untried}; set on the bench, {100.0 * found.enough_set:.0f} % is enough."
    if any(not each.reached for each in found.choices):
        told += " *: the combining throat runs solid first, and no wider ring spills more."
    if not flooded:
        told += " The overflow was stated to be free: it may draw."
    return told


def _ways_told(ways: Sequence[WayOut], flow: str) -> str:
    plain, more_steam, cock, valve = (
        f"{each.margin:.2f} and {_flow(each.fresh, flow)} {flow}" for each in ways
    )
    return (
        "Other ways to keep air out, with the delivery pressure over that needed at the lowest "
        f"pressure, and the feed; a plain ring has {plain}, set as above. Delivery and combining "
        f"throats a tenth smaller in area, so that there is more steam for the water: {more_steam}."
        f" The water cock closed a little as pressure falls: {cock}. A non-return valve on the "
        f"overflow and a ring for no spill at all: {valve}, no air and no waste, but nobody knows "
        "the pressure behind such a valve."
    )


def _oxygen_told(found: Overflow) -> str:
    starved, wettest = found.choices[0], found.choices[-1]
    return (
        "Oxygen: dissolved, and as if all of an empty throat were air, at most in 95 of 100 "
        "untried. Were all of it used up, an hour's feed would turn at most "
        f"{3.6e6 * starved.iron:.1f} g of a steel boiler to rust with the first ring and "
        f"{3.6e6 * wettest.iron:.1f} g with the last. Nearly all of it leaves with the steam "
        "instead; what harm there is comes as pits at the feed's inlet, and where the boiler "
        "stands cold and full."
    )
