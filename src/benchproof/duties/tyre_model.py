"""Forward model of a shrunk tyre: true sizes in, stresses, grip, and heat to drop it on out."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from benchproof.duties.contract import Array, Merit, Outcome, Samples
from benchproof.duties.tyre_circumstances import (
    Circumstances,
    CircumstancesOf,
    Wheel,
    rim_pull,
)
from benchproof.duties.tyre_spec import SOLID, SPOKED, TyreSpec
from benchproof.duties.tyre_wheel import wheel_rim
from benchproof.physics.cooling import time_constant, time_in_air, time_on_seat
from benchproof.physics.rims import spoke_bending
from benchproof.physics.thick_rings import (
    contact_pressure,
    growth_of_outside,
    slip_torque,
    tyre_hoop,
    tyre_von_mises,
)
from benchproof.quantities import (
    DURATION,
    LENGTH,
    NUMBER,
    STRESS,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    TORQUE,
)

SEAT, BORE = "seat", "tyre bore"
MERITS = (
    Merit("hoop_stress", "hoop stress in the tyre", STRESS),
    Merit("yield_share", "stress in the tyre over its yield (von Mises)", NUMBER),
    Merit("rim_stress", "stress in the rim, squeezed", STRESS),
    Merit("cold_grip", "grip over what rail and flange ask for, tyre as warm as wheel", NUMBER),
    Merit("hot_grip", "grip over what rail and flange ask for, tyre hot from braking", NUMBER),
    Merit("drop_temperature", "temperature to drop it on", TEMPERATURE),
    Merit(
        "grip_lost_at", "tyre hotter than wheel at which all grip is lost", TEMPERATURE_DIFFERENCE
    ),
    Merit("pressure", "pressure on the seat", STRESS),
    Merit("slip_torque", "torque that turns the tyre, cold", TORQUE),
    Merit("time_in_air", "time it stays droppable in the air", DURATION),
    Merit("time_on_seat", "time from touching the wheel to gripping it", DURATION),
    Merit("growth", "growth of the tread when it is on, diameter", LENGTH),
)


class TyreModel:
    """Thick rings of one spec; the arithmetic that is the same for every sample is done here."""

    def __init__(self, spec: TyreSpec) -> None:
        self.spec = spec
        ring = {"seat": spec.seat, "outside": spec.outside}
        self.hoop = float(tyre_hoop(pressure=1.0, **ring))
        self.strain = float(growth_of_outside(pressure=1.0, modulus=1.0, **ring) / spec.outside)
        self.torque = float(
            slip_torque(pressure=1.0, friction=1.0, seat=spec.seat, width=spec.width)
        )
        # Rail and flange pull on the seat: round it adhesion times load times tread over seat,
        # along the axle thrust times load. Both together over load times tread over seat:
        self.wheel = Wheel(
            rim=wheel_rim(spec),
            roughness=spec.seat_finish + spec.bore_finish,
            give=self.hoop + spec.tyre.poisson_ratio.value,
            hoop=self.hoop,
            mises=float(tyre_von_mises(pressure=1.0, **ring)),
            bending=_bending(spec),
            area=float(np.pi * spec.seat * spec.width),
            load=spec.wheel_load * spec.tread / spec.seat,
            push=spec.side_thrust * spec.seat / spec.tread,
        )
        self.circumstances = CircumstancesOf(spec, self.wheel)
        self.tyre_heat, self.wheel_heat, self.surface = _heats(spec)

    def interference(self, samples: Samples) -> Array:
        """Interference on diameter at 20 °C as gauged [m]."""
        return np.asarray(samples[SEAT] - samples[BORE])

    def left(self, samples: Samples) -> Array:
        """Interference on diameter at 20 °C when the roughness is pressed flat [m]."""
        return np.asarray(self.interference(samples) - self.circumstances(samples).roughness)

    def capacity(self, samples: Samples, left: Array) -> Array:
        """Torque that turns the tyre on its seat [N m], at an interference left [m]."""
        pressure = np.maximum(left, 0.0) * self.circumstances(samples).taken_up
        return np.asarray(self.torque * pressure * samples["friction"])

    def lead_taken(self, samples: Samples, lead: Array) -> Array:
        """Interference that a tyre so much hotter than its wheel has lost [m]."""
        return np.asarray(samples[self.circumstances.outer] * lead * self.spec.seat)

    def grown(self, samples: Samples, outside: float) -> Array:
        """Growth of a tread of ``outside`` before it went on, flange as in the spec, both [m]."""
        spec = self.spec
        ring = outside + (spec.outside - spec.tread)
        squared = (ring / spec.seat) ** 2
        give = (squared + 1.0) / (squared - 1.0) + spec.tyre.poisson_ratio.value
        rim = self.wheel.rim.give(self.circumstances.share(samples))
        pressure = contact_pressure(
            interference=self.left(samples),
            seat=spec.seat,
            outer_give=give / samples["tyre_modulus"],
            inner_give=rim / samples["wheel_modulus"],
        )
        return np.asarray(pressure / samples["tyre_modulus"] * (2.0 / (squared - 1.0)) * outside)

    def perform(self, samples: Samples, *, only: Collection[str] | None = None) -> Outcome:
        """Merits of every sample; see the duty's ``merits``."""
        wanted = set(only) if only is not None else {merit.name for merit in MERITS}
        spec, now = self.spec, self.circumstances(samples)
        gauged = self.interference(samples)
        merits: dict[str, Array] = {}
        if wanted & {"hoop_stress", "yield_share", "rim_stress"}:
            tight = _left_of(gauged, now.tightened)
            merits["hoop_stress"] = now.hooped * tight
            merits["yield_share"] = now.strained * tight
            tight *= now.squeezed
            merits["rim_stress"] = tight
        for name, taken in (("cold_grip", now.loosened), ("hot_grip", now.heated)):
            if name in wanted:
                grip = _left_of(gauged, taken)
                grip *= now.grips
                merits[name] = grip
        if "drop_temperature" in wanted:
            opening = gauged + spec.clearance_to_drop
            opening *= now.opens
            opening += spec.room_temperature
            merits["drop_temperature"] = opening
        if not wanted <= merits.keys():
            merits |= self._at_rest(samples, now, gauged)
        if only is not None:
            return Outcome(merits)
        back = self.wheel.rim.pushed_back(self.circumstances.share(samples))
        pulled = np.broadcast_to(rim_pull(self.wheel, back) > 0.0, gauged.shape)
        return Outcome(
            merits,
            {
                "loose": gauged <= now.roughness,
                "loose_when_braked": merits["hot_grip"] <= 0.0,
                "yields": merits["yield_share"] >= 1.0,
                "grips_at_once": merits["time_in_air"] < spec.handling_time,
                "rim_pulled": pulled & (self.wheel.bending > 0.0),
            },
        )

    def _at_rest(self, samples: Samples, now: Circumstances, gauged: Array) -> dict[str, Array]:
        """Merits that no need asks for by default."""
        spec = self.spec
        pressure = np.maximum(gauged - now.roughness, 0.0) * now.taken_up
        # No metal shrinks when warmed, however far readings bend what is believed of it.
        outer, inner = (
            np.maximum(samples[name], 1e-9)
            for name in (self.circumstances.outer, self.circumstances.inner)
        )
        constant = time_constant(
            heat_capacity=self.tyre_heat, conductance=self.surface * samples["air_cooling"]
        )
        return {
            "pressure": pressure,
            "slip_torque": self.torque * pressure * samples["friction"],
            "grip_lost_at": np.maximum(gauged - now.loosened, 0.0) * now.opens,
            "growth": pressure / samples["tyre_modulus"] * (self.strain * spec.tread),
            "time_in_air": time_in_air(
                constant=constant, clearance=spec.clearance_to_drop, interference=gauged
            ),
            "time_on_seat": time_on_seat(
                clearance=spec.clearance_to_drop,
                interference=gauged,
                outer_growth=outer * spec.seat,
                inner_growth=inner * spec.seat,
                outer_heat=self.tyre_heat,
                inner_heat=self.wheel_heat,
                conductance=self.wheel.area * samples["seat_contact"],
            ),
        }


def _left_of(gauged: Array, taken: Array) -> Array:
    """Interference left when so much is taken off it [m], none below zero."""
    left = gauged - taken
    return np.maximum(left, 0.0, out=left)


def _heats(spec: TyreSpec) -> tuple[float, float, float]:
    """Heat capacity of tyre and of the rim or disc [J/K], and the tyre's bare surface [m²]."""
    middle, depth = 0.5 * (spec.seat + spec.outside), 0.5 * (spec.outside - spec.seat)
    tyre = np.pi * middle * depth * spec.width
    hole = 0.0 if spec.wheel_is == SOLID else (spec.rim_inside or 0.0)
    rim = 0.25 * np.pi * (spec.seat**2 - hole**2) * spec.width
    surface = 2.0 * np.pi * middle * (depth + spec.width)
    return (
        float(tyre * spec.tyre.density.value * spec.tyre.specific_heat.value),
        float(rim * spec.wheel.density.value * spec.wheel.specific_heat.value),
        float(surface),
    )


def _bending(spec: TyreSpec) -> float:
    """Bending stress of the rim over a spoke, over the pressure its spokes push back with [-]."""
    if spec.wheel_is != SPOKED:
        return 0.0
    assert spec.spokes is not None
    assert spec.rim_inside is not None
    tyre = spec.tyre.youngs_modulus.value * (spec.outside - spec.seat) ** 3
    rim = spec.wheel.youngs_modulus.value * (spec.seat - spec.rim_inside) ** 3
    return spoke_bending(
        spokes=spec.spokes,
        seat=spec.seat,
        inside=spec.rim_inside,
        rim_share=rim / (rim + tyre),
    )
