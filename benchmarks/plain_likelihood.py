"""The drop test's likelihood for one sample in plain Python: the loop one would write first."""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, inf, log, log1p, pi, sin, sqrt
from typing import Any

from benchproof.bench_tests.drop_test import RUN_SCATTER, WATCH
from benchproof.duties.matter import COLD, expansion_name
from benchproof.physics.air import GAS_CONSTANT_AIR, viscosity
from benchproof.physics.clearance_flow import SLIP
from benchproof.physics.falling_piston import STANDARD_GRAVITY
from benchproof.physics.posture import STEEPEST_TAPER, blend

Sample = Mapping[str, float]


class PlainLikelihood:
    """Numbers in, a number out; invariants worked out beforehand, each kind of run once."""

    def __init__(self, spec: Any, record: Any) -> None:
        self.spec, self.record = spec, record
        self.viscosity = float(viscosity(temperature=record.air_temperature))
        self.blend = float(blend(spec.land_length / spec.bore))
        warmth = GAS_CONSTANT_AIR * record.air_temperature
        self.slipping = 6.0 * SLIP * self.viscosity * sqrt(2.0 * warmth)
        self.runs = [
            ((run.posture, run.tilt or 0.0, run.added_mass), log(run.time), run.time)
            for run in record.reading
        ]
        self.kinds = list(dict.fromkeys(kind for kind, _, _ in self.runs))

    def __call__(self, sample: Sample) -> float:
        """Log-likelihood of the readings as taken."""
        spec, record = self.spec, self.record
        wall = record.bore_temperature or record.air_temperature
        outer = sample[expansion_name(spec.bore_material)] * (wall - COLD)
        piston = wall + sample["drop_temperature_difference"] - COLD
        inner = sample[expansion_name(spec.piston_material)] * piston
        clearance = sample["bore"] - sample["piston"] + spec.bore * (outer - inner)
        if clearance <= 0.0:
            return -inf
        foreseen = {kind: self._log_time(kind, 0.5 * clearance, sample) for kind in self.kinds}
        wander, scale = sample["drop_scatter"] ** 2, sample["drop_scale"]
        total = 0.0
        for kind, log_time, time in self.runs:
            variance = RUN_SCATTER**2 + (WATCH / time) ** 2
            if kind[0] != "tilted":
                variance += wander
            total += (log_time - foreseen[kind] - scale) ** 2 / variance + log(variance)
        return -0.5 * total

    def _log_time(self, kind: tuple[str, float, float], gap: float, sample: Sample) -> float:
        posture, tilt, added = kind
        gap, friction = max(gap, 1e-8), 0.0
        if posture == "tilted":
            factor = self._tilted_factor(gap, sample)
            friction = max(sample["sliding_friction"], 0.0)
        else:
            factor = sample["drop_posture" if posture == "upright" else "drop_posture_inverted"]
        spec, record = self.spec, self.record
        middle = spec.bore + gap
        weight = (record.piston_mass + added) * STANDARD_GRAVITY
        force = weight * (cos(tilt) - friction * sin(tilt))
        if force <= 0.0:
            return inf
        face = 0.25 * pi * middle * middle
        drop = force / face
        mean_pressure = record.air_pressure + 0.5 * drop
        slip_factor = 1.0 + (factor - 1.0) / 3.0
        through = gap * gap * (gap * factor * mean_pressure + self.slipping * slip_factor)
        conductance = pi * middle / spec.land_length * through
        flow = drop * conductance / (12.0 * self.viscosity * (record.air_pressure + drop))
        return log(record.travel * face / flow)

    def _tilted_factor(self, gap: float, sample: Sample) -> float:
        steepest = 0.99 * STEEPEST_TAPER
        k = min(max(sample["drop_taper"] / gap, -steepest), steepest)
        e = min(max(1.0 - abs(k) - sample["stand_off"] / gap, 0.0), 1.0 - abs(k))
        e2, k2 = e * e, k * k
        short = 1.0 + 1.5 * e2 - 2.0 * k2 + k2 * k2 / sqrt(max(1.0 - e2, 1e-300))
        start = 1.0 / ((1.0 - k) ** 2 * ((1.0 + k) ** 2 + 1.5 * e2))
        y = 6.0 * k * e2 * start
        long = (1.0 + 0.5 * y if abs(y) < 1e-9 else y / log1p(y)) / start
        return short + self.blend * (long - short)
