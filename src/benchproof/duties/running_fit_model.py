"""The forward model of a journal in its bearing: true sizes in, play, film and wear margin out."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from benchproof.duties.contract import Array, Merit, Outcome, Samples
from benchproof.duties.kept import Kept
from benchproof.duties.matter import COLD, expansion_name
from benchproof.duties.running_fit_spec import STATED, RunningSpec
from benchproof.physics.bush_closing import SMOOTHED, PressedBush, pressed_bush
from benchproof.physics.film_table import film_table
from benchproof.physics.oil import oil_viscosity
from benchproof.quantities import (
    FRACTION,
    LENGTH,
    NUMBER,
    TEMPERATURE_DIFFERENCE,
    TORQUE,
    VOLUME_FLOW,
)
from benchproof.tables.bearing_limits import BearingLimits, bearing_limits
from benchproof.tables.materials import material
from benchproof.tables.oils import oil

Truth: TypeAlias = NDArray[np.bool_]

TURN: Final = 2.0 * np.pi
USUAL_DENSITY: Final = 885.0  # kg/m3 at 15 C, of an oil stated by its two viscosities alone
COOLED: Final = 60.0  # surface of a housing over length by diameter, where not stated
ROOT_MEAN_SQUARE: Final = 1.25  # over the mean roughness Ra, of a surface of random heights
RUBBING_BELOW: Final = 1.0  # film over roughness under which the surfaces carry everything
OIL_RANGE: Final = (253.15, 523.15)
_DEGREE: Final = 3
_NO_GAP: Final = 1e-9
_STEEP: Final = 1e-6

MERITS: Final = (
    Merit("carries", "film, or pressure × speed: the better margin", NUMBER),
    Merit("clearance", "diametral clearance cold", LENGTH),
    Merit("running_clearance", "diametral clearance running", LENGTH),
    Merit("play", "play on diameter, cold or running, whichever is more", LENGTH),
    Merit("running_play", "room left running, form error off", LENGTH),
    Merit("cold_play", "room left cold, form error off", LENGTH),
    Merit("bush_grip", "interference of a pressed bush left running (none: 0)", LENGTH),
    Merit("least_film", "least oil film, bearing full of oil", LENGTH),
    Merit("film_ratio", "film over roughness", NUMBER),
    Merit("pressure_speed", "pressure × speed, share of what the metal bears", FRACTION),
    Merit("friction", "friction torque", TORQUE),
    Merit("warming", "how far its own friction warms the housing", TEMPERATURE_DIFFERENCE),
    Merit("oil_out", "oil that leaves the ends of a full bearing", VOLUME_FLOW),
)
_ALL: Final = frozenset(merit.name for merit in MERITS)
_TOLD_ONLY: Final = frozenset(
    ("least_film", "film_ratio", "pressure_speed", "friction", "warming", "oil_out")
)


def bush_of(spec: RunningSpec) -> PressedBush | None:
    """What pressing does to the bush of a spec for each metre of interference, if it has one."""
    if not spec.pressed or spec.housing_material is None:
        return None
    bush, housing = material(spec.bearing_material), material(spec.housing_material)
    return pressed_bush(
        bore=spec.diameter,
        seat=spec.seat,
        housing_outside=spec.housing_round,
        bush_modulus=bush.youngs_modulus.value,
        bush_poisson=bush.poisson_ratio.value,
        housing_modulus=housing.youngs_modulus.value,
        housing_poisson=housing.poisson_ratio.value,
    )


def limits_of(spec: RunningSpec) -> BearingLimits:
    """What the bearing's material stands; a spec without one is refused before."""
    limits = bearing_limits(spec.bearing_material)
    assert limits is not None
    return limits


def viscosity_of(spec: RunningSpec, temperature: Array) -> Array:
    """Dynamic viscosity of the oil of a spec [Pa s] at film temperatures [K]."""
    if spec.oil == STATED:
        assert spec.oil_at_40 is not None
        assert spec.oil_at_100 is not None
        warm, hot, density = 1e-6 * spec.oil_at_40, 1e-6 * spec.oil_at_100, USUAL_DENSITY
    else:
        named = oil(spec.oil)
        warm, hot, density = named.at_40, named.at_100, named.density_15
    return oil_viscosity(
        viscosity_warm=warm,
        viscosity_hot=hot,
        density_cool=density,
        temperature=np.clip(temperature, *OIL_RANGE),
    )


class RunningModel:
    """Forward model of one journal in its bearing."""

    def __init__(self, spec: RunningSpec) -> None:
        self.spec = spec
        self.bush = bush_of(spec)
        self.limits = limits_of(spec)
        self.rise = spec.housing_temperature - COLD
        self.roughness = ROOT_MEAN_SQUARE * float(np.hypot(spec.journal_finish, spec.bore_finish))
        self.area = spec.diameter * spec.length
        pressure, product = self.limits.pressure, self.limits.pressure_speed
        # Share of the limits taken by one newton: slow bearings are held by pressure alone.
        self.share_per_load = max(1.0 / pressure, spec.slides_at / product) / self.area
        self.surface = COOLED * self.area if spec.cooling_area is None else spec.cooling_area
        self._journal = expansion_name(spec.journal_material)
        self._bearing = expansion_name(spec.bearing_material)
        self._housing = expansion_name(spec.housing_material or spec.bearing_material)
        names = ["journal_lead", self._journal, self._bearing]
        if self.bush is not None:
            names += ["bush outside", "housing bore", "closing", self._housing]
        self._circumstances = Kept(names, self._work_out)
        if spec.has_film:
            assert spec.speed is not None
            self.table = film_table(spec.length / spec.diameter)
            self._reach = 0.5 * spec.diameter * float(np.sqrt(spec.speed * self.area))
            self._leads, self._oiliness = self._root_of_viscosity()

    def perform(self, samples: Samples, *, only: Collection[str] | None = None) -> Outcome:
        """Merits of every sample; see the duty's ``merits``."""
        wanted = _ALL if only is None else set(only)
        spec = self.spec
        cold: Array = samples["bore"] - samples["journal"]
        grip, change = self._circumstances(samples)
        running = cold + change
        merits: dict[str, Array] = {}
        if "clearance" in wanted:
            merits["clearance"] = cold.copy()
        if "running_clearance" in wanted:
            merits["running_clearance"] = running.copy()
        if "bush_grip" in wanted:
            merits["bush_grip"] = np.zeros_like(cold) if grip is None else grip.copy()
        if "play" in wanted:
            merits["play"] = np.maximum(cold, running)
        flags = {}
        if "carries" in wanted or wanted & _TOLD_ONLY:
            merits |= self._carried(samples, running, told=bool(wanted & _TOLD_ONLY))
        if only is None:
            flags = self._flags(running, merits["film_ratio"], grip)
        # Last, so that no further array is wanted: sweeps live on that.
        running -= spec.form
        merits["running_play"] = running
        cold -= spec.form
        merits["cold_play"] = cold
        return Outcome({name: merits[name] for name in wanted}, flags)

    def _carried(self, samples: Samples, running: Array, *, told: bool) -> dict[str, Array]:
        """Margin of film or metal; with ``told`` also what is told beside it."""
        spec = self.spec
        reach = self._film_reach(samples)
        gap = np.maximum(running, _NO_GAP)
        gap *= 0.5
        film = np.zeros_like(gap) if reach is None else self.table.film(gap, reach)
        borne = samples["limit"] / samples["load"]
        borne *= 1.0 / self.share_per_load
        found: dict[str, Array] = {}
        if told:
            ratio = film / self.roughness
            found = {"least_film": film.copy(), "film_ratio": ratio, "pressure_speed": 1.0 / borne}
            found |= self._friction(samples, gap, reach, ratio)
        film *= 1.0 / (self.roughness * spec.full_film)
        np.maximum(film, borne, out=film)
        return found | {"carries": film}

    def _flags(self, running: Array, ratio: Array, grip: Array | None) -> dict[str, Truth]:
        nowhere = np.zeros(running.shape, dtype=bool)
        strength = material(self.spec.bearing_material).yield_strength
        squeezed = nowhere
        if self.bush is not None and grip is not None and strength is not None:
            squeezed = self.bush.bore_stress * grip > strength.value
        return {
            "seized": running <= 0.0,
            "rubs": ratio < self.spec.full_film,
            "bush_loose": nowhere if grip is None else grip <= 0.0,
            "bush_yields": squeezed,
        }

    def _work_out(self, samples: Samples) -> tuple[Array | None, Array]:
        """Interference of the bush running, and change of clearance from cold to running [m]."""
        grip, tighter = self._grip(samples)
        return grip, self._change(samples, grip, tighter)

    def _grip(self, samples: Samples) -> tuple[Array | None, Array | None]:
        """Interference of bush and housing running [m], and how much of it warming brought."""
        if self.bush is None:
            return None, None
        spec = self.spec
        grip: Array = samples["bush outside"] - samples["housing bore"]
        grip -= SMOOTHED * spec.seat_finish
        if self._bearing == self._housing:
            return grip, None
        tighter: Array = samples[self._bearing] - samples[self._housing]
        tighter *= self.rise * spec.seat
        grip += tighter
        return grip, tighter

    def _change(self, samples: Samples, grip: Array | None, tighter: Array | None) -> Array:
        """Change of diametral clearance from cold to running [m]; ``tighter`` is used up."""
        inner = samples[self._journal]
        change: Array = samples["journal_lead"] * inner
        if self._journal != self._bearing:
            apart = samples[self._bearing] - inner
            apart *= self.rise
            change -= apart
        change *= -self.spec.diameter
        if self.bush is not None and grip is not None and tighter is not None:
            # Hot, the bush is squeezed more; or less, until it is loose.
            np.subtract(grip, tighter, out=tighter)
            np.maximum(tighter, 0.0, out=tighter)
            more = np.maximum(grip, 0.0)
            more -= tighter
            more *= samples["closing"]
            more *= self.bush.closing
            change -= more
        return change

    def _root_of_viscosity(self) -> tuple[tuple[float, float], list[float]]:
        """Square root of the oil's viscosity as a polynomial in the journal's lead."""
        ends = self.spec.journal_lead.at(np.array([-5.0, 5.0]))
        low, high = float(ends[0]), float(max(ends[1], ends[0] + 0.1))
        leads = np.linspace(low, high, 41)
        film = self.spec.housing_temperature + 0.5 * leads
        root = np.sqrt(viscosity_of(self.spec, film))
        fitted = np.polynomial.Polynomial.fit(leads, root, _DEGREE).convert()
        coefficients: list[float] = [float(each) for each in fitted.coef]
        return (low, high), coefficients + [0.0] * (_DEGREE + 1 - len(coefficients))

    def viscosity(self, samples: Samples) -> Array:
        """Viscosity of the film [Pa s], midway between journal and housing in temperature."""
        return np.square(self._root(samples)) * samples["oil_factor"]

    def _root(self, samples: Samples) -> Array:
        low, high = self._leads
        lead = np.maximum(samples["journal_lead"], low)
        np.minimum(lead, high, out=lead)
        root = lead * self._oiliness[-1]
        for coefficient in self._oiliness[-2:0:-1]:
            root += coefficient
            root *= lead
        root += self._oiliness[0]
        return root

    def _film_reach(self, samples: Samples) -> Array | None:
        """R sqrt(µ n / p) [m], by which gap and film are measured; None where no film can be."""
        if not self.spec.has_film:
            return None
        reach: Array = samples["oil_factor"] / samples["load"]
        np.sqrt(reach, out=reach)
        reach *= self._root(samples)
        reach *= self._reach
        return reach

    def _friction(
        self, samples: Samples, gap: Array, reach: Array | None, ratio: Array
    ) -> dict[str, Array]:
        """Friction torque, the warming it causes, and the oil a full bearing lets go."""
        spec = self.spec
        radius = 0.5 * spec.diameter
        torque = samples["rubbing"] * samples["load"] * radius
        out = np.zeros_like(gap)
        if reach is not None:
            assert spec.speed is not None
            floating = TURN**2 * self.viscosity(samples) * spec.speed * spec.length * radius**3
            floating *= self.table.drag(gap, reach) / gap
            # Below a film of the roughness the metal carries all; above the wanted one, none.
            between = max(spec.full_film - RUBBING_BELOW, _STEEP)
            bare = np.clip((spec.full_film - ratio) / between, 0.0, 1.0)
            torque = bare * torque + (1.0 - bare) * floating
            out = self.table.side_flow(gap, reach) * TURN * spec.speed * radius * spec.length * gap
        heat = torque / radius * spec.slides_at
        return {
            "friction": torque,
            "warming": heat / (samples["cooling"] * self.surface),
            "oil_out": out,
        }
