"""Bubble test: air behind the closed cock, and what comes through counted under water.

Air of one bar passes some thirteen times the volume that water of eight does, and a bubble is
seen sooner than a drop: a minute's watching finds a gap of half a micron. The leak is led to the
water by a tube, for a reason: water creeps into a gap of a micron of its own accord and shuts it
against air of a bar, so a cock held under water looks tighter than it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, ClassVar

import numpy as np
from pydantic import model_validator

from benchproof.bench_tests.contract import Array, BenchTest, Flag
from benchproof.bench_tests.leak_counts import (
    Caught,
    LeakForesight,
    check_readings,
    screen_counts,
)
from benchproof.duties.cock_leak import WATER_DENSITY, Wedge, air_at
from benchproof.duties.cock_spec import CockSpec
from benchproof.duties.contract import Samples, Unknown
from benchproof.physics import air
from benchproof.physics.drops_and_bubbles import blocked_gap, surface_tension, tate_volume
from benchproof.quantities import LENGTH, echo
from benchproof.specs import Choice, Length, Pressure, Spec, SpreadField, Temperature, Volume
from benchproof.specs import Flag as YesNo
from benchproof.spread import LogNormal, Normal, Spread, Uniform

MOST_PRESSURE = 2e5
BY_TUBE, UNDER_WATER = "by a tube, the seat dry", "the cock under water"
USUAL_BUBBLE = LogNormal(0.04e-6, 1.8)  # standards for valves reckon 0.01 to 0.15 mL


class BubbleRecord(Spec):
    """One set-up of the bubble test, and what was seen."""

    version: ClassVar[int] = 1
    pressure: Annotated[
        float,
        Pressure(
            "air pressure behind the cock",
            help="gauge; 1 bar is enough",
            unit="bar",
            minimum=0.05e5,
            maximum=MOST_PRESSURE,
        ),
    ] = 1e5
    air_temperature: Annotated[
        float, Temperature("air temperature", minimum=275.15, maximum=313.15)
    ]
    air_pressure: Annotated[
        float,
        Pressure("air pressure outside", unit="mbar", minimum=0.6e5, maximum=1.1e5, absolute=True),
    ] = 101325.0
    led: Annotated[
        str,
        Choice(
            "the leak is led to the water",
            options=(BY_TUBE, UNDER_WATER),
            help="under water a wetted gap of a micron passes no air at all",
        ),
    ] = BY_TUBE
    mouth: Annotated[
        float | None,
        Length(
            "mouth the bubbles grow from",
            help="inside diameter of the tube; sizes the bubbles",
            minimum=0.3e-3,
            maximum=8e-3,
        ),
    ] = None
    bubble_volume: Annotated[
        SpreadField | None,
        Volume(
            "volume of a bubble",
            help="when you caught some; else by the mouth, else 0.04 mL within a factor 1.8",
            unit="mL",
            minimum=1e-10,
            maximum=2e-6,
        ),
    ] = None
    clean: Annotated[bool, YesNo("washed free of oil, grease and compound, and dry")] = True
    reading: tuple[Caught, ...]

    @model_validator(mode="after")
    def _has_readings(self) -> BubbleRecord:
        check_readings(self.reading)
        return self

    @property
    def bubble(self) -> Spread:
        """Volume of one bubble [m³]."""
        if self.bubble_volume is not None:
            return self.bubble_volume
        if self.mouth is None:
            return USUAL_BUBBLE
        held = tate_volume(
            diameter=self.mouth,
            tension=surface_tension(temperature=self.air_temperature),
            density=WATER_DENSITY,
        )
        return LogNormal(float(held), 1.25)

    @property
    def blocked(self) -> float:
        """Widest gap that wholly wetting water keeps shut at this pressure [m]."""
        tension = surface_tension(temperature=self.air_temperature)
        return float(blocked_gap(tension=tension, pressure_difference=self.pressure))


class BubbleForesight(LeakForesight):
    """Air that would come through, in every sample."""

    size_name = "bubble volume"
    size_label = "volume of a bubble"
    scale_name = "bubble scale"

    def __init__(self, spec: CockSpec, record: BubbleRecord) -> None:
        super().__init__(spec, record.reading)
        self._air = air_at(spec, record.pressure, record.air_pressure, record.air_temperature)
        self._density = float(
            air.density(pressure=record.air_pressure, temperature=record.air_temperature)
        )
        self._blocked = record.blocked if record.led == UNDER_WATER else None

    def rate(self, samples: Samples, wedge: Wedge) -> Array:
        """Air that leaks in all, at the pressure of the air outside [m³/s]."""
        rate = self.leak.gas(wedge, self._air) / self._density
        if self._blocked is None:
            return rate
        return np.where(wedge.gap > self._blocked * samples["wetting"], rate, 0.0)


class BubbleTest(BenchTest[BubbleRecord]):
    """Air behind the closed cock, counted in bubbles."""

    key = "bubble-test"
    title = "Bubble test"
    summary = "Bubbles of air at low pressure measure the gap at the port of a closed cock."
    serves = ("taper-cock",)
    record_type = BubbleRecord
    theory = (
        "Laminar flow with slip between two cones; a count follows a Poisson law whose rate "
        "varies by a tenth. The volume of a bubble is known only within a factor unless the mouth "
        "is stated or some were caught; the gap goes with its cube root. Under water a wetted gap "
        "under 2 sigma/p passes nothing, so bubbles there bound the gap only from that width up."
    )
    sources = (
        "Flow between two cones: Reynolds' equation, own solution on a grid",
        "Air: US Standard Atmosphere 1976, Sutherland's form (from memory)",
        "Volume of a bubble: Tate's law; surface tension: IAPWS R1-76(2014)",
        "Scatter of readings and of bubbles, wetting: judgement",
    )

    def procedure(self, spec: CockSpec) -> Sequence[str]:
        """Steps at the bench."""
        return (
            "Wash plug and body free of compound and oil, and dry them: a film shuts a gap of a "
            "few microns and hangs there. Seat the plug with the pull it will have at work.",
            "Compressed air stores energy: 1 bar (15 psi) is enough and 2 (30 psi) the most, from "
            "a small volume, through a valve that sets it; eye protection; the plug held so that "
            "it cannot fly out, nobody in line with it. Never an air test of a boiler.",
            "Close the cock. Lead what comes out of the outlet by a tube to just under water in a "
            "glass, the cock itself dry. Measure the tube's mouth inside.",
            "Do not hold the cock under water: water creeps into a gap under 1.4 µm (0.06 thou) "
            "and shuts it against air of 1 bar (15 psi). If you must, say so in the record.",
            "Cap the small end, and then the large end, with a piece of tube over plug and body, "
            "and lead each to the water in its turn: most of a leak leaves at the end that stands "
            "open, and which one it is tells which taper is the steeper.",
            "Wait until the air in the tube has come to rest, then count bubbles over a stated "
            "time; over one a second, catch the air in an upturned measuring tube instead. Write "
            "down 0 where none was seen, with the time.",
            "Turn the plug through open to closed, and count again: three times at each place.",
            "Let the air out before anything is taken apart.",
        )

    def unknowns(self, spec: CockSpec, record: BubbleRecord) -> Sequence[Unknown]:
        """How large a bubble is, what the flow law leaves open, how water wets."""
        found = [
            Unknown("bubble volume", record.bubble, "volume of a bubble", "bench test"),
            Unknown(
                "bubble scale",
                Normal(0.0, 0.1),
                "flow of air at a known gap (law, sizes, pressure)",
                "bench test",
            ),
        ]
        if record.led == UNDER_WATER:
            found.append(
                Unknown("wetting", Uniform(0.4, 1.0), "how well water wets the gap", "bench test")
            )
        return found

    def prepare(self, spec: CockSpec, record: BubbleRecord) -> BubbleForesight:
        """Shape factors, and air as it was."""
        return BubbleForesight(spec, record)

    def screen(self, spec: CockSpec, record: BubbleRecord) -> Sequence[Flag]:
        """What the readings alone give away."""
        found = screen_counts(record.reading, thing="bubble", clean=record.clean)
        if record.led == UNDER_WATER:
            found.append(
                Flag(
                    "under water",
                    "The cock was under water: at this pressure a wetted gap up to "
                    f"{echo(record.blocked, LENGTH)} passes no air, however long you watch. Lead "
                    "the leak by a tube instead.",
                )
            )
        return found
