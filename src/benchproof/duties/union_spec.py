"""A stated pipe union: what cannot go together is refused, and what follows from it."""

from __future__ import annotations

import math

from pydantic import field_validator, model_validator

from benchproof.duties.union_fields import COPPER, UnionFields
from benchproof.physics import steam
from benchproof.physics.pipes import BLASIUS_ENDS, HOTTEST
from benchproof.physics.steam_viscosity import viscosity_of_water
from benchproof.quantities import LENGTH, TEMPERATURE, show
from benchproof.specs import FieldError
from benchproof.tables.materials import Value, material
from benchproof.tables.threads import (
    DrillBelowCore,
    Thread,
    UnknownThread,
    engagement,
    tapping_drill,
    thread,
)

AIR = 101325.0
HALF_HARD_STRESS = 60e6  # UK Copper Board, condition R250, at 65 °C
HALF_HARD_HOTTEST = 65.0 + 273.15
WATER_VELOCITY, STEAM_VELOCITY = 3.0, 30.0  # common practice
DROP_SHARE = 0.1  # of the working pressure, beyond which density is no longer constant
_FITTING_HEADS = 1.5  # velocity heads lost at entry and exit of the pipe, judgement
_BEND_HEADS = 0.4  # at each bend, judgement
_SOFTENED = 0.55  # of its yield that a brazed copper alloy keeps, judgement


class UnionSpec(UnionFields):
    """One union as stated, once it is known to go together."""

    @field_validator("thread", mode="after")
    @classmethod
    def _thread_has_one_name(cls, given: str) -> str:
        try:
            return thread(given).key
        except UnknownThread as error:
            raise FieldError("thread", str(error), example="1/4x40") from error

    @model_validator(mode="after")
    def _pipe_fits(self) -> UnionSpec:
        core = self.size.nut_core
        if 2.0 * self.pipe_wall > 0.8 * self.pipe_diameter:
            raise FieldError("pipe_wall", "leaves no bore: must be below 0.4 of the pipe's outside")
        if self.pipe_diameter > core - 0.3e-3:
            raise FieldError(
                "pipe_diameter",
                f"leaves the nut no shoulder: the core of {self.thread} is "
                f"{show(core, LENGTH)}. Take a larger thread or a smaller pipe",
            )
        if not self.pipe_diameter + 0.2e-3 <= self.collar <= core:
            raise FieldError(
                "collar_diameter",
                f"must lie between the pipe, {show(self.pipe_diameter, LENGTH)}, with 0.1 mm a "
                f"side to push on, and the core of the nut, {show(core, LENGTH)}",
            )
        half = self.seat_width * math.sin(0.5 * self.seat_cone)
        if self.seat_diameter + half > self.size.screw_core:
            raise FieldError(
                "seat_diameter",
                "with its width reaches beyond the core of the screw, "
                f"{show(self.size.screw_core, LENGTH)}",
            )
        if self.seat_diameter - half < 0.5 * self.pipe_bore:
            raise FieldError(
                "seat_width",
                "reaches in beyond half the bore of the pipe: take a narrower seat",
            )
        if self.cones_are == "at one setting" and self.nipple_cone != self.seat_cone:
            raise FieldError(
                "cones_are",
                "one setting of the top slide makes one angle, and the two cones are to differ: "
                "write clocked or by graduations",
                example="clocked",
            )
        return self

    @model_validator(mode="after")
    def _is_tightened(self) -> UnionSpec:
        by_spanner = self.spanner_length is not None and self.hand_force is not None
        if self.torque is None and not by_spanner:
            raise FieldError(
                "torque",
                "state the torque, or else both the length of the spanner and the hand's force",
                example="2.5 ± 0.5 N·m",
            )
        if self.torque is not None and by_spanner:
            raise FieldError(
                "torque",
                "state the torque, or else both the length of the spanner and the hand's force: "
                "not all three",
            )
        try:
            engagement(self.size, drill=self.drill)
        except DrillBelowCore as error:
            raise FieldError("tapping_drill", str(error)) from error
        if self.drill > self.size.pitch_diameter:
            raise FieldError("tapping_drill", "leaves less than half a thread; take a smaller one")
        return self

    @model_validator(mode="after")
    def _metals_will_do(self) -> UnionSpec:
        if self.pipe_material != COPPER and self.allowed_stress is None:
            raise FieldError(
                "allowed_stress",
                f"must be stated for {self.pipe_material}: only annealed copper is tabulated here",
            )
        return self

    @model_validator(mode="after")
    def _fluid_is_one(self) -> UnionSpec:
        boiling = float(steam.saturation_temperature(pressure=self.working_pressure + AIR))
        told = show(boiling, TEMPERATURE)
        if boiling > HOTTEST and self.temperature is None:
            raise FieldError("working_pressure", f"boils at {told}, where copper is not rated")
        if self.temperature is not None and self.temperature > boiling + 0.5:
            raise FieldError(
                "temperature",
                f"is above {told}, where it boils at working pressure; superheated steam wants "
                "a steel pipe, reckoned elsewhere",
            )
        if self.fluid == "steam" and self.temperature is not None:
            raise FieldError(
                "temperature", f"is that of saturated steam here, {told}: leave it out"
            )
        if self.reynolds > 0.7 * BLASIUS_ENDS:
            raise FieldError("flow", "is too much for this pipe: take a larger bore")
        return self

    @property
    def size(self) -> Thread:
        """The thread."""
        return thread(self.thread)

    @property
    def drill(self) -> float:
        """Tapping drill [m], the usual one where none is stated."""
        return tapping_drill(self.size) if self.tapping_drill is None else self.tapping_drill

    @property
    def collar(self) -> float:
        """Diameter of the collar the nut pushes [m]."""
        if self.collar_diameter is not None:
            return self.collar_diameter
        return self.size.nut_core - 0.1e-3

    @property
    def pipe_bore(self) -> float:
        """Planned bore of the pipe [m]."""
        return self.pipe_diameter - 2.0 * self.pipe_wall

    @property
    def test_pressure(self) -> float:
        """Gauge pressure of the hydraulic test [Pa]."""
        return self.test_factor * self.working_pressure

    @property
    def metal_temperature(self) -> float:
        """Temperature of pipe and fluid [K]."""
        if self.temperature is not None:
            return self.temperature
        return float(steam.saturation_temperature(pressure=self.working_pressure + AIR))

    @property
    def density(self) -> float:
        """Density of the fluid [kg/m³]: of dry steam at working pressure, or of water."""
        if self.fluid == "steam":
            return float(steam.saturated_vapour_density(pressure=self.working_pressure + AIR))
        return float(
            steam.saturated_liquid_density(
                pressure=float(steam.saturation_pressure(temperature=self.metal_temperature))
            )
        )

    @property
    def viscosity(self) -> float:
        """Viscosity of the fluid [Pa s]."""
        if self.fluid == "steam":
            return float(steam.saturated_vapour_viscosity(pressure=self.working_pressure + AIR))
        return float(viscosity_of_water(temperature=self.metal_temperature, density=self.density))

    @property
    def reynolds(self) -> float:
        """Reynolds number in the planned bore [-]."""
        return 4.0 * self.flow / (math.pi * self.pipe_bore * self.viscosity)

    @property
    def losses(self) -> float:
        """Velocity heads lost at ends and bends [-]."""
        return _FITTING_HEADS + _BEND_HEADS * self.bends

    @property
    def fastest(self) -> float:
        """Velocity allowed [m/s]."""
        if self.velocity_limit is not None:
            return self.velocity_limit
        return STEAM_VELOCITY if self.fluid == "steam" else WATER_VELOCITY

    @property
    def largest_drop(self) -> float:
        """Pressure drop allowed [Pa]."""
        return DROP_SHARE * self.working_pressure if self.drop_limit is None else self.drop_limit

    @property
    def softer(self) -> tuple[str, Value, float]:
        """Softer of nipple and fitting: its name, its yield, and what brazing leaves of it."""
        choices = []
        for name, heated in (
            (self.nipple_material, self.nipple_is == "silver-brazed"),
            (self.fitting_material, False),
        ):
            metal = material(name)
            left = _SOFTENED if heated and metal.family == "copper alloy" else 1.0
            assert metal.yield_strength is not None
            choices.append((metal.key, metal.yield_strength, left))
        return min(choices, key=lambda choice: choice[1].value * choice[2])
