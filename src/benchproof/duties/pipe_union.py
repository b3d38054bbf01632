"""A pipe union: nut, nipple or ferrule, cone seat. Tight, remade often, and any nut on any fitting.

Fittings are made fifty to a hundred at a time, so nothing is cut to suit its mate: a nut must turn
freely on every fitting and yet hold enough thread to be pulled up hard. What seals is the pressure
where the cones touch; threads, friction and spanner decide how much of it there is, the angles on
how narrow a band it stands.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from benchproof.drawing import Drawing, Sized
from benchproof.duties.contract import Duty, Need, Unknown
from benchproof.duties.union_drawing import union_drawing
from benchproof.duties.union_model import MERITS, UnionModel, tensile_name
from benchproof.duties.union_spec import UnionSpec
from benchproof.duties.union_steps import union_cautions, union_steps
from benchproof.features import Error, Feature
from benchproof.physics.cone_seat import sealing_ratio
from benchproof.quantities import ANGLE, SPEED, System, show
from benchproof.spread import Fixed, LogNormal, Normal, Uniform
from benchproof.tables.materials import material

__all__ = ["PipeUnion", "UnionSpec"]

LEAST_ENGAGED = 0.5
LEAD_SHARE = 1e-3  # standard deviation of the error of lead, over the length engaged
WALL_SHARE = 0.04  # of the wall, after EN 1057 (from memory)
DRILL_OVERSIZE = Uniform(0.0, 0.08e-3)
_SETTING = {
    "at one setting": "clocked angle",
    "clocked": "clocked angle",
    "by graduations": "graduated angle",
}


class PipeUnion(Duty[UnionSpec]):
    """Nut, nipple and cone seat of a small pipe."""

    key = "pipe-union"
    title = "Pipe union with a cone seat"
    summary = "Tight at the cone, strong in the thread, and any nut fits any fitting."
    spec_type = UnionSpec
    merits = MERITS
    flag_words = MappingProxyType(
        {
            "will_not_screw": "the nut will not go on this fitting",
            "lifts": "test pressure lifts the nipple off its seat",
            "crushed": "the softer face yields over its whole width: it will not be remade often",
        }
    )
    theory = (
        "Shear areas of the engaged threads from true pitch diameters; force from torque and "
        "friction; a band of contact from the mismatch of the cones, elastic or yielding; sealed "
        "when about 0.42 of a rough face is in true contact. Pull of the pipe, bending, heat "
        "cycles, dirt and scratches are not reckoned with. What seals at this size nobody has "
        "published: a pressure-hold test teaches it."
    )
    sources = (
        "Threads: ISO 68-1 and ISO 965-1; BS 93; BS 84; ISO 228-1",
        "Shear areas: FED-STD-H28/2B, in Machinery's Handbook, 24th ed.",
        "Force from torque: Shigley's Mechanical Engineering Design, 8th ed., eq. 8-26 (from "
        "memory)",
        "Sealing: Persson and Yang, J. Phys.: Condens. Matter 20, 2008; SAE paper 650312, 1965",
        "Copper pipe: UK Copper Board; Copper Tube Handbook, table 3; the lower counts",
        "Friction, drill oversize, error of lead, softening by brazing: judgement",
    )
    window_of = ("nut thread", "fitting thread")
    value_label = "pitch clearance"
    no_window_advice = "change what is told to fail: torque, seat, threads or pipe"

    def features(self, spec: UnionSpec) -> Sequence[Feature]:
        """Nut tapped, cones turned; the fitting's screw is cut last, with an adjustable die."""
        size = spec.size
        low, high = size.limits.screw_pitch
        tapped = size.limits.nut_pitch[1] - size.pitch_diameter
        shared = spec.cones_are == "at one setting"
        nipple = "cone setting" if shared else "nipple cone setting"
        seat = "cone setting" if shared else "seat cone setting"
        return (
            Feature(
                "nut thread",
                # Taps for a class are ground about a third of the way into it.
                size.pitch_diameter + tapped / 3.0,
                "pitch diameter of the nut",
                gains={"tapping": 1.0},
                correction="larger",
            ),
            Feature(
                "seat cone",
                spec.seat_cone,
                "cone of the seat",
                ANGLE,
                gains={seat: 2.0, "seat cone rest": 1.0},
                gauge="protractor",
            ),
            Feature(
                "nipple cone",
                spec.nipple_cone,
                "cone of the nipple",
                ANGLE,
                gains={nipple: 2.0, "nipple cone rest": 1.0},
                gauge="protractor",
            ),
            Feature(
                "fitting thread",
                0.5 * (low + high),
                "pitch diameter of the fitting",
                gains={"die": 1.0},
                mate="nut thread",
                gauge="micrometer",
                correction="smaller",
                cut_last=True,
            ),
        )

    def errors(self, spec: UnionSpec) -> Sequence[Error]:
        """A tap, a die, and one setting of the top slide or two."""
        size, process = spec.size.major, _SETTING[spec.cones_are]
        names = (
            ("cone setting",)
            if spec.cones_are == "at one setting"
            else ("nipple cone setting", "seat cone setting")
        )
        return (
            Error("tapping", "tap thread", size, "tapping the nut"),
            Error("die", "die thread", size, "cutting the screw with the die"),
            *(
                Error(name, process, spec.seat_diameter, f"setting the {name[:-8]}")
                for name in names
            ),
            Error("nipple cone rest", "one setting", spec.seat_diameter, "turning the nipple"),
            Error("seat cone rest", "one setting", spec.seat_diameter, "turning the seat"),
        )

    def unknowns(self, spec: UnionSpec) -> Sequence[Unknown]:
        """Pull on the spanner, friction, what seals, metals, drill, lead, wall of the pipe."""
        pull = (
            Unknown("torque", spec.torque, "tightening torque")
            if spec.torque is not None
            else Unknown("hand_force", spec.hand_force or Fixed(0.0), "force of the hand")
        )
        name, strength, left = spec.softer
        finish = 0.5 if spec.faces_are == "lapped together" else 1.0
        wall = spec.pipe_wall
        return [
            pull,
            Unknown("thread_friction", spec.friction, "friction of thread and cone"),
            Unknown("collar_friction", spec.friction, "friction of nut on collar"),
            Unknown(
                "seal_ratio",
                LogNormal(float(sealing_ratio(finish=finish)), 1.4),
                "seat pressure over yield at which it seals",
                "part",
                "Persson and Yang 2008 for random marks; spread by judgement",
            ),
            Unknown(
                "softer_yield",
                LogNormal(left * strength.value, 1.0 + strength.u / strength.value),
                f"yield of {name}" + (", softened by brazing" if left < 1.0 else ""),
                "part",
                strength.source,
            ),
            *_strengths(spec.nut_material, spec.fitting_material),
            Unknown("drill_oversize", DRILL_OVERSIZE, "how much over its size the drill cuts"),
            Unknown(
                "screw_major",
                Uniform(*spec.size.limits.screw_major),
                "outside diameter of the screw, within its limits",
            ),
            Unknown(
                "lead_error",
                Normal(0.0, LEAD_SHARE * spec.engagement_length),
                "error of lead between nut and screw",
            ),
            Unknown("pipe_wall", Normal(wall, WALL_SHARE * wall), "wall of the pipe"),
        ]

    def prepare(self, spec: UnionSpec) -> UnionModel:
        """Work out all that the draws do not touch."""
        return UnionModel(spec)

    def needs(self, spec: UnionSpec) -> Sequence[Need]:
        """Free but not loose, strong, sealed, and a pipe that holds and carries."""
        return [
            Need(
                "turning_play",
                spec.turning_play,
                "at least",
                "they would not turn freely, any nut on any fitting",
            ),
            Need(
                "pitch_clearance",
                spec.size.limits.loosest,
                "at most",
                "they are looser than the class allows: the nut cocks the nipple",
            ),
            Need("engagement", LEAST_ENGAGED, "at least", "they wear out when remade"),
            Need(
                "strip_margin",
                spec.stripping_factor,
                "at least",
                "they may strip when pulled up or tested",
            ),
            Need("seal_margin", 1.0, "at least", "it weeps at test pressure"),
            Need(
                "mismatch",
                spec.mismatch_limit,
                "at most",
                "it bites a ring and will not seal when remade",
            ),
            Need(
                "pipe_margin",
                1.0,
                "at least",
                "it is too weak: hot at working pressure, or cold at the hydraulic test",
            ),
            Need(
                "velocity",
                spec.fastest,
                "at most",
                f"it runs over {show(spec.fastest, SPEED)} and wears or hammers",
            ),
            Need(
                "pressure_drop",
                spec.largest_drop,
                "at most",
                "it loses too much pressure on the way",
            ),
        ]

    def cautions(self, spec: UnionSpec) -> Sequence[str]:
        """What to mind when it is made, tightened and first put under pressure."""
        return union_cautions(spec)

    def aims_to_try(self, spec: UnionSpec) -> tuple[float, float]:
        """From threads far looser than their class to a screw that will not enter."""
        reach = spec.size.limits.loosest
        return (-1.5 * reach, 0.8 * reach)

    def steps(
        self, spec: UnionSpec, sizes: Mapping[str, float], system: System = "metric"
    ) -> Sequence[str]:
        """Order of work, with tapping drill and its percentage on the scale that is named."""
        return union_steps(spec, {**self._planned(spec), **sizes}, system)

    def drawing(self, spec: UnionSpec, sizes: Mapping[str, Sized]) -> Drawing:
        """Fitting, nipple and nut in section, with threads, cones and pitch diameters."""
        return union_drawing(spec, sizes, self._planned(spec))

    def _planned(self, spec: UnionSpec) -> dict[str, float]:
        """Planned size of every feature [SI]."""
        return {feature.name: feature.aim for feature in self.features(spec)}


def _strengths(*keys: str) -> list[Unknown]:
    """One draw of tensile strength for each different metal among these."""
    found = []
    for key in dict.fromkeys(material(each).key for each in keys):
        strength = material(key).tensile_strength
        assert strength is not None
        spread = LogNormal(strength.value, 1.0 + strength.u / strength.value)
        found.append(
            Unknown(tensile_name(key), spread, f"strength of {key}", "part", strength.source)
        )
    return found
