"""Forward model of one pipe union: true threads, cones and circumstances in, merits out."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from benchproof.duties.contract import Array, Merit, Outcome, Samples
from benchproof.duties.kept import Kept
from benchproof.duties.union_fields import COPPER
from benchproof.duties.union_spec import HALF_HARD_HOTTEST, HALF_HARD_STRESS, UnionSpec
from benchproof.physics.cone_seat import (
    CONSTRAINT,
    contact_pressure,
    line_force,
    plane_strain_modulus,
    seat_leak,
)
from benchproof.physics.pipes import (
    LAMINAR_ENDS,
    copper_stress_uk,
    copper_stress_us,
    flow_velocity,
    pressure_drop,
    pressure_uk,
    pressure_us,
)
from benchproof.physics.threads import lead_error_play, nut_shear_area, preload, screw_shear_area
from benchproof.quantities import (
    ANGLE,
    FORCE,
    FRACTION,
    LENGTH,
    NUMBER,
    PRESSURE_DIFFERENCE,
    SPEED,
    VOLUME_FLOW,
)
from benchproof.tables.materials import material

SHEAR_SHARE = 1.0 / math.sqrt(3.0)  # shear over tensile strength, distortion energy
LEAST_BAND = 0.05e-3  # a band narrower than the marks of the tool seals nothing, judgement
OPEN_GAP = 5e-6  # between turned faces that only just touch, judgement
DROP = 0.05e-6  # one drop of water [m³], common practice
SEALED = DROP / 3600.0  # called sealed: a drop an hour
COLD_WATER = 1.0016e-3  # viscosity at 20 °C [Pa s], IAPWS R12-08
PROOF_AT_TEST = 0.9 * 33e6  # nine tenths of the lowest proof of soft copper [Pa]
LEAST_FRICTION = 0.02
THINNEST, THICKEST = 0.75, 1.25  # walls reckoned with, over the planned one

MERITS = (
    Merit("turning_play", "freedom of the nut, errors of lead taken off", LENGTH),
    Merit("pitch_clearance", "pitch clearance, nut less fitting", LENGTH),
    Merit("engagement", "height of thread engaged, of the full height", FRACTION),
    Merit("strip_margin", "stripping load over load when tight and tested", NUMBER),
    Merit("seating_force", "force on the seat, test pressure taken off", FORCE),
    Merit("seal_margin", "pressure on the seat over that which seals", NUMBER),
    Merit("mismatch", "difference of the cones' included angles", ANGLE),
    Merit("weep", "cold water past the seat at test pressure", VOLUME_FLOW),
    Merit("pipe_margin", "pressure the pipe may hold over that it must", NUMBER),
    Merit("velocity", "velocity in the pipe", SPEED),
    Merit("pressure_drop", "pressure lost in the pipe", PRESSURE_DIFFERENCE),
)


def tensile_name(key: str) -> str:
    """Name of the one draw of strength that all parts of a metal share."""
    return f"strength of {material(key).key}"


@dataclass(frozen=True)
class Circumstances:
    """What comes of the draws and of the nut, whatever screw goes into it.

    ``core`` [m]: bore of the nut. ``taken`` [m]: pitch clearance that errors of lead take up.
    ``tight`` [N]: axial force of the tightened nut. ``nut`` [-]: what strips its thread over the
    load when tight and tested; ``screw`` [1/m²]: the same for each unit of area that must shear.
    """

    core: Array
    taken: Array
    tight: Array
    nut: Array
    screw: Array


class UnionModel:
    """Forward model of one union; ``prepare`` has worked out all that does not vary."""

    def __init__(self, spec: UnionSpec) -> None:
        self.spec = spec
        size = spec.size
        self.pitch, self.half_angle = size.pitch, size.form.half_angle
        self.basic = size.pitch_diameter
        self.height = 2.0 * size.form.height * size.pitch
        self.slope = 0.5 * spec.seat_cone
        self.outer = spec.seat_diameter + spec.seat_width * math.sin(self.slope)
        self.pushed_on = 0.25 * math.pi * self.outer**2  # area the pressure lifts, at most
        self.collar_radius = 0.25 * (spec.collar + spec.pipe_diameter)
        self.arm = 1.0 if spec.spanner_length is None else spec.spanner_length
        self.pull = "torque" if spec.torque is not None else "hand_force"
        nipple, fitting = material(spec.nipple_material), material(spec.fitting_material)
        self.modulus = plane_strain_modulus(
            youngs_modulus=(nipple.youngs_modulus.value, fitting.youngs_modulus.value),
            poisson_ratio=(nipple.poisson_ratio.value, fitting.poisson_ratio.value),
        )
        self.least_band = min(LEAST_BAND, spec.seat_width)
        self._nut, self._screw = (
            tensile_name(spec.nut_material),
            tensile_name(spec.fitting_material),
        )
        self.thinnest, self.thickest = THINNEST * spec.pipe_wall, THICKEST * spec.pipe_wall
        self._tabulate_pipe()
        names = [self.pull, "thread_friction", "collar_friction", "drill_oversize", "lead_error"]
        names += ["screw_major", "nut thread", self._nut, self._screw]
        self._circumstances = Kept(names, self._work_out)

    def _tabulate_pipe(self) -> None:
        """Margin over wall and drop over velocity as polynomials: a power costs a sweep too much.

        A test bounds what that costs at one part in a thousand.
        """
        spec = self.spec
        wall = np.linspace(self.thinnest, self.thickest, 81)
        bore = spec.pipe_diameter - 2.0 * wall
        self.margin_at = tuple(np.polyfit(wall, self._pipe_margin(wall), 3))
        velocity = flow_velocity(mass_flow=spec.flow, density=spec.density, bore=bore)
        self.at_unit_bore = float(velocity[0] * bore[0] ** 2)
        reynolds = spec.reynolds * spec.pipe_bore / bore
        crosses = reynolds.min() <= LAMINAR_ENDS < reynolds.max()
        drop = pressure_drop(
            mass_flow=spec.flow,
            density=spec.density,
            viscosity=spec.viscosity,
            bore=bore,
            length=spec.pipe_length,
            losses=spec.losses,
            # Where some walls would bring laminar flow and some not, the dearer counts for all.
            laminar_ends=0.0 if crosses else LAMINAR_ENDS,
        )
        self.heads_at = tuple(np.polyfit(velocity, drop / np.square(velocity), 2))

    def _pipe_margin(self, wall: Array) -> Array:
        """Least of allowed over working pressure hot, and of proof over test pressure cold."""
        spec, size = self.spec, self.spec.pipe_diameter
        if spec.allowed_stress is not None:
            allowed = pressure_uk(stress=spec.allowed_stress, diameter=size, wall=wall)
            return np.asarray(allowed / spec.working_pressure)
        warmth = spec.metal_temperature
        uk = float(copper_stress_uk(temperature=warmth))
        us = float(copper_stress_us(temperature=warmth))
        proof = PROOF_AT_TEST
        if self.keeps_its_temper:
            uk = us = proof = HALF_HARD_STRESS
        hot = np.minimum(
            pressure_uk(stress=uk, diameter=size, wall=wall),
            pressure_us(stress=us, diameter=size, wall=wall),
        )
        cold = pressure_uk(stress=proof, diameter=size, wall=wall)
        margin: Array = np.minimum(hot / spec.working_pressure, cold / spec.test_pressure)
        return margin

    @property
    def keeps_its_temper(self) -> bool:
        """Whether half-hard copper may be counted as such: never brazed, never hot."""
        spec = self.spec
        return (
            spec.pipe_material == COPPER
            and spec.pipe_temper == "half hard"
            and spec.nipple_is == "a ferrule"
            and spec.metal_temperature <= HALF_HARD_HOTTEST
        )

    def preload(self, samples: Samples) -> Array:
        """Axial force of the tightened nut [N]."""
        return preload(
            torque=self.arm * np.maximum(samples[self.pull], 0.0),
            pitch=self.pitch,
            pitch_diameter=self.basic,
            half_angle=self.half_angle,
            # The tail of a stated spread may reach below what any friction can be.
            thread_friction=np.maximum(samples["thread_friction"], LEAST_FRICTION),
            collar_radius=self.collar_radius,
            collar_friction=np.maximum(samples["collar_friction"], LEAST_FRICTION),
        )

    def seat(self, samples: Samples, force: Array) -> tuple[Array, Array]:
        """Margin of the seat pressure over that which seals, and force on its line [N/m]."""
        pressed = line_force(
            axial_force=force,
            half_angle=self.slope,
            friction=np.maximum(samples["thread_friction"], LEAST_FRICTION),
            diameter=self.spec.seat_diameter,
        )
        pressure = contact_pressure(
            line_force=pressed,
            mismatch=0.5 * (samples["nipple cone"] - samples["seat cone"]),
            modulus=self.modulus,
            yield_strength=samples["softer_yield"],
            face_width=self.spec.seat_width,
            least_width=self.least_band,
        )
        return pressure / (samples["seal_ratio"] * samples["softer_yield"]), pressed

    def weep(self, margin: Array, pressure: float) -> Array:
        """Cold water past the seat [m³/s] at a gauge pressure [Pa]."""
        return seat_leak(
            seal_margin=margin,
            open_gap=OPEN_GAP,
            width=self.least_band,
            diameter=self.spec.seat_diameter,
            pressure=pressure,
            viscosity=COLD_WATER,
            sealed_flow=SEALED,
        )

    def leak_at(self, samples: Samples, pressure: float) -> Array:
        """Cold water past the seat of a tightened union [m³/s] at a gauge pressure [Pa]."""
        margin, _ = self.seat(samples, self.preload(samples) - pressure * self.pushed_on)
        return self.weep(margin, pressure)

    def perform(self, samples: Samples, *, only: Collection[str] | None = None) -> Outcome:
        """Merits of every sample; see the duty's ``merits``."""
        wanted = set(only) if only is not None else {m.name for m in MERITS}
        spec, now = self.spec, self._circumstances(samples)
        nut, screw = samples["nut thread"], samples["fitting thread"]
        merits: dict[str, Array] = {}
        flags = {}
        if wanted & {"turning_play", "pitch_clearance"}:
            merits["pitch_clearance"] = nut - screw
            merits["turning_play"] = merits["pitch_clearance"] - now.taken
        if "engagement" in wanted:
            merits["engagement"] = (samples["screw_major"] - now.core) * (1.0 / self.height)
        if "strip_margin" in wanted:
            merits["strip_margin"] = self._strip_margin(screw, now)
        pressed = margin = np.zeros(0)
        if wanted & {"seating_force", "seal_margin", "weep"}:
            left = now.tight - spec.test_pressure * self.pushed_on
            merits["seating_force"] = left
            margin, pressed = self.seat(samples, left)
            merits["seal_margin"] = margin
            if "weep" in wanted:
                merits["weep"] = self.weep(margin, spec.test_pressure)
        if "mismatch" in wanted:
            merits["mismatch"] = np.abs(samples["nipple cone"] - samples["seat cone"])
        if wanted & {"pipe_margin", "velocity", "pressure_drop"}:
            merits |= self._pipe(samples, wanted)
        if only is None:
            flags["will_not_screw"] = nut <= screw
            flags["lifts"] = merits["seating_force"] <= 0.0
            crushing = CONSTRAINT * spec.seat_width * samples["softer_yield"]
            flags["crushed"] = pressed > crushing
        return Outcome({name: merits[name] for name in wanted}, flags)

    def _work_out(self, samples: Samples) -> Circumstances:
        core = self.spec.drill + samples["drill_oversize"]
        tight = self.preload(samples)
        each = SHEAR_SHARE / (tight + self.spec.test_pressure * self.pushed_on)
        nut = nut_shear_area(
            screw_major=samples["screw_major"],
            nut_pitch_diameter=samples["nut thread"],
            pitch=self.pitch,
            half_angle=self.half_angle,
            length=self.spec.engagement_length,
        )
        return Circumstances(
            core=core,
            taken=lead_error_play(lead_error=samples["lead_error"], half_angle=self.half_angle),
            tight=tight,
            nut=nut * samples[self._nut] * each,
            screw=samples[self._screw] * each,
        )

    def _strip_margin(self, screw_pitch_diameter: Array, now: Circumstances) -> Array:
        """Axial load at which the weaker of the two threads strips, over the load [-]."""
        margin = screw_shear_area(
            nut_minor=now.core,
            screw_pitch_diameter=screw_pitch_diameter,
            pitch=self.pitch,
            half_angle=self.half_angle,
            length=self.spec.engagement_length,
        )
        margin *= now.screw
        return np.minimum(margin, now.nut, out=margin)

    def _pipe(self, samples: Samples, wanted: set[str]) -> dict[str, Array]:
        wall = np.clip(samples["pipe_wall"], self.thinnest, self.thickest)
        found: dict[str, Array] = {}
        if "pipe_margin" in wanted:
            cubic, square, linear, constant = self.margin_at
            found["pipe_margin"] = ((cubic * wall + square) * wall + linear) * wall + constant
        if wanted & {"velocity", "pressure_drop"}:
            bore = self.spec.pipe_diameter - 2.0 * wall
            found["velocity"] = velocity = self.at_unit_bore / (bore * bore)
            if "pressure_drop" in wanted:
                square, linear, constant = self.heads_at
                heads = (square * velocity + linear) * velocity + constant
                found["pressure_drop"] = heads * velocity * velocity
        return found
