"""Drip test: water under pressure behind the closed cock, and the drops counted.

Cold water at working pressure is the plainest test of a cock: it is what the need is stated in,
and cold water stores hardly any energy. It is blunter than air under water: a gap of half a
micron takes half an hour for a drop.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, ClassVar

from pydantic import model_validator

from benchproof.bench_tests.contract import Array, BenchTest, Flag
from benchproof.bench_tests.leak_counts import (
    Caught,
    LeakForesight,
    check_readings,
    screen_counts,
)
from benchproof.duties.cock_leak import WATER_DENSITY, Wedge, water_at
from benchproof.duties.cock_spec import CockSpec
from benchproof.duties.contract import Samples, Unknown
from benchproof.physics.drops_and_bubbles import DROP_SHARE, surface_tension, tate_volume
from benchproof.physics.steam import saturated_liquid_viscosity, saturation_pressure
from benchproof.specs import Flag as YesNo
from benchproof.specs import Length, Pressure, Spec, SpreadField, Temperature, Volume
from benchproof.spread import LogNormal, Normal, Spread

USUAL_DROP = LogNormal(0.05e-6, 1.3)
_DRIES_AWAY = 600.0  # s a drop; slower ones dry on the rim in a warm room


class DripRecord(Spec):
    """One set-up of the drip test, and what was seen."""

    version: ClassVar[int] = 1
    pressure: Annotated[
        float,
        Pressure(
            "water pressure behind the cock", help="gauge", unit="bar", minimum=0.1e5, maximum=25e5
        ),
    ]
    water_temperature: Annotated[
        float, Temperature("water temperature", minimum=276.15, maximum=313.15)
    ] = 293.15
    rim: Annotated[
        float | None,
        Length(
            "rim the drops fall from",
            help="outside diameter of the spout; sizes the drops",
            minimum=0.5e-3,
            maximum=8e-3,
        ),
    ] = None
    drop_volume: Annotated[
        SpreadField | None,
        Volume(
            "volume of a drop",
            help="when you weighed some; else by the rim, else 0.05 mL within a factor 1.3",
            unit="mL",
            minimum=1e-9,
            maximum=1e-6,
        ),
    ] = None
    clean: Annotated[bool, YesNo("washed free of oil, grease and compound")] = True
    reading: tuple[Caught, ...]

    @model_validator(mode="after")
    def _has_readings(self) -> DripRecord:
        check_readings(self.reading)
        return self

    @property
    def drop(self) -> Spread:
        """Volume of one drop [m³]."""
        if self.drop_volume is not None:
            return self.drop_volume
        if self.rim is None:
            return USUAL_DROP
        held = tate_volume(
            diameter=self.rim,
            tension=surface_tension(temperature=self.water_temperature),
            density=WATER_DENSITY,
        )
        return LogNormal(DROP_SHARE * float(held), 1.2)


class DripForesight(LeakForesight):
    """Water that would come through, in every sample."""

    size_name = "drop volume"
    size_label = "volume of a drop"
    scale_name = "drip scale"

    def __init__(self, spec: CockSpec, record: DripRecord) -> None:
        super().__init__(spec, record.reading)
        boiling = saturation_pressure(temperature=record.water_temperature)
        viscosity = float(saturated_liquid_viscosity(pressure=boiling))
        self._test_water = water_at(spec, record.pressure, viscosity)

    def rate(self, samples: Samples, wedge: Wedge) -> Array:
        """Water that leaks in all [m³/s]."""
        return self.leak.liquid(wedge, self._test_water)


class DripTest(BenchTest[DripRecord]):
    """Water under pressure behind the closed cock, counted in drops."""

    key = "drip-test"
    title = "Drip test"
    summary = "Drops of cold water under pressure measure the gap at the port of a closed cock."
    serves = ("taper-cock",)
    record_type = DripRecord
    theory = (
        "Laminar flow between two cones; a count follows a Poisson law whose rate varies by a "
        "tenth. A drop is 0.05 mL within a factor 1.3, nearer when the rim is stated or some were "
        "weighed; the gap goes with its cube root."
    )
    sources = (
        "Flow between two cones: Reynolds' equation, own solution on a grid",
        "Viscosity of water: IAPWS R12-08; surface tension: IAPWS R1-76(2014)",
        "Weight of drops: F. Eschbaum, Bulletin of Pharmacy 9, no. 10, 1895, p. 461; Tate's law",
        "Scatter of readings and of drops: judgement",
    )

    def procedure(self, spec: CockSpec) -> Sequence[str]:
        """Steps at the bench."""
        return (
            "Wash plug and body free of compound and oil. Seat the plug with the pull it will "
            "have at work.",
            "Fill pump, pipe and cock with cold water and let all air out through the open cock, "
            "then close it: water stores hardly any energy, the air left in it does.",
            "Pump up slowly to the working pressure and no higher than the weakest part of the rig "
            "allows; eye protection; nobody in line with the plug. Never hot water: a leak of it "
            "scalds and turns to steam.",
            "Dry the outlet and both ends of the seat, and hang a spout of known rim, or a twist "
            "of thread, where the drops shall fall.",
            "Count the drops over a stated time, at the outlet and at each end apart; over one a "
            "second, catch and weigh them instead. Write down 0 where none fell, with the time.",
            "Turn the plug through open to closed, and count again: three times at each place.",
            "A drop that takes over ten minutes dries away in a warm room before it falls: use "
            "air under water for so fine a seat (bubble-test).",
            "Let the pressure off before anything is taken apart.",
        )

    def unknowns(self, spec: CockSpec, record: DripRecord) -> Sequence[Unknown]:
        """How large a drop is, and what the flow law leaves open."""
        return [
            Unknown("drop volume", record.drop, "volume of a drop", "bench test"),
            Unknown(
                "drip scale",
                Normal(0.0, 0.1),
                "flow of water at a known gap (law, sizes, pressure)",
                "bench test",
            ),
        ]

    def prepare(self, spec: CockSpec, record: DripRecord) -> DripForesight:
        """Shape factors, and water as it was."""
        return DripForesight(spec, record)

    def screen(self, spec: CockSpec, record: DripRecord) -> Sequence[Flag]:
        """What the readings alone give away."""
        found = screen_counts(record.reading, thing="drop", clean=record.clean)
        slow = [
            each
            for each in record.reading
            if each.count is not None and each.time > _DRIES_AWAY * max(each.count, 1)
        ]
        if slow:
            found.append(
                Flag(
                    "dries away",
                    "Less than a drop in ten minutes: such a drop dries on the rim before it "
                    "falls, and the leak reads low. Test with air under water instead.",
                )
            )
        return found
