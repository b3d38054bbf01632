"""What each duty's kernel is handed: draws, tables and numbers, in the order it names them.

The kernels know the branches of their duty that the demo's spec takes, and no others.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final, TypeAlias

import numpy as np

from benchmarks.compiled import Given
from benchproof.duties import injector_corner as at_a_corner
from benchproof.duties import steam_past_piston as tabulated
from benchproof.duties import union_model
from benchproof.duties.cock_leak import DROP, water_at
from benchproof.duties.injector_model import DEPTH, DRAFT
from benchproof.duties.matter import COLD, expansion_name
from benchproof.physics import film_table, taper_ports
from benchproof.physics.bush_closing import SMOOTHED
from benchproof.physics.cone_seat import CONSTRAINT
from benchproof.physics.injector_coefficients import STEAM_SPEED_KEPT
from benchproof.physics.steam_cone import steam_cone
from benchproof.physics.taper_seat import port_overlap

Samples: TypeAlias = Mapping[str, Any]
Limits: TypeAlias = Mapping[str, float]

STEPS_OF_OVERLAP = 512
NO_GAP = 1e-9


def piston_fit(model: Any, samples: Samples, limits: Limits) -> Given:
    """A piston of its bore's own metal; the play when warming up is that when running."""
    spec, steam = model.spec, model.steam
    names = ["bore", "piston", "piston_lead", "film", "service_posture"]
    return Given(
        [samples[name] for name in (*names, expansion_name(spec.piston_material))],
        list(steam._cells.T),
        [
            1.0 / steam._step,
            1.0 / steam._posture_step,
            tabulated.LEAST_POSTURE,
            tabulated._LAST_ROW,
            tabulated._LAST_COLUMN,
            tabulated.POSTURES - 1,
            spec.form,
            model.roughness,
            spec.bore,
            *(
                limits[need]
                for need in ("steam_share", "running_play", "warm_up_play", "cold_play")
            ),
        ],
    )


def pipe_union(model: Any, samples: Samples, limits: Limits) -> Given:
    """A union tightened by hand on a spanner, both threads of one metal or two."""
    spec = model.spec
    names = ["fitting thread", "nut thread", "lead_error", "drill_oversize", "screw_major"]
    names += [model.pull, "thread_friction", "collar_friction", "nipple cone", "seat cone"]
    names += ["softer_yield", "seal_ratio"]
    names += [
        union_model.tensile_name(metal) for metal in (spec.fitting_material, spec.nut_material)
    ]
    needs = ["turning_play", "pitch_clearance", "engagement", "strip_margin", "seal_margin"]
    needs += ["mismatch", "pipe_margin", "velocity", "pressure_drop"]
    return Given(
        [samples[name] for name in (*names, "pipe_wall")],
        [np.array(model.margin_at), np.array(model.heads_at)],
        [
            spec.drill,
            model.height,
            model.half_angle,
            model.pitch,
            model.basic,
            spec.engagement_length,
            model.arm,
            model.collar_radius,
            union_model.LEAST_FRICTION,
            model.slope,
            spec.seat_diameter,
            spec.seat_width,
            model.least_band,
            model.modulus,
            CONSTRAINT,
            spec.test_pressure * model.pushed_on,
            model.thinnest,
            model.thickest,
            spec.pipe_diameter,
            model.at_unit_bore,
            union_model.SHEAR_SHARE,
            *(limits[need] for need in needs),
        ],
    )


def taper_cock(model: Any, samples: Samples, limits: Limits) -> Given:
    """A cock for water whose angles share one setting, touch-lapped after its port is drilled."""
    spec = model.spec
    water = water_at(spec, spec.pressure)
    places = np.arange(STEPS_OF_OVERLAP + 2, dtype=float)
    share = port_overlap(offset=places / STEPS_OF_OVERLAP, port_diameter=1.0)
    falls = np.diff(share)
    names = ["plug angle", "body angle", "floor", "take-up", "peaks", "pull", "friction"]
    return Given(
        [samples[name] for name in (*names, "pressed share")],
        [np.array(model.leak.cube.total_terms), share[:-1] - falls * places[:-1], falls],
        [
            spec.length,
            spec.taper,
            water.laminar,
            water.orifice,
            60.0 / DROP,
            STEPS_OF_OVERLAP,
            STEPS_OF_OVERLAP / spec.port,
            model._arm,
            model._lift,
            *(limits[need] for need in ("drops", "overlap", "sink", "torque", "hold")),
        ],
    )


def running_fit(model: Any, samples: Samples, limits: Limits) -> Given:
    """An oiled journal in a pressed bush, journal, bush and housing of three metals."""
    spec = model.spec
    names = ["bore", "journal", "journal_lead", "load", "limit", "oil_factor", "bush outside"]
    names += ["housing bore", "closing"]
    metals = (spec.journal_material, spec.bearing_material, spec.housing_material)
    return Given(
        [samples[name] for name in (*names, *(expansion_name(metal) for metal in metals))],
        [*model.table._film, np.array(model._oiliness)],
        [
            spec.diameter,
            model.rise,
            spec.seat,
            SMOOTHED * spec.seat_finish,
            model.bush.closing,
            spec.form,
            *model._leads,
            model._reach,
            film_table.POINTS - 1.000001,
            1.0 / (model.roughness * spec.full_film),
            1.0 / model.share_per_load,
            NO_GAP,
            *(
                limits[need]
                for need in ("carries", "running_play", "cold_play", "play", "bush_grip")
            ),
        ],
    )


def tyre_fit(model: Any, samples: Samples, limits: Limits) -> Given:
    """A tyre on a spoked wheel of another metal."""
    spec, wheel = model.spec, model.wheel
    names = ["tyre bore", "seat", "smoothing", "friction", "adhesion", "tyre_lead", "tyre_yield"]
    names += ["tyre_modulus", "wheel_modulus"]
    names += [expansion_name(metal) for metal in (spec.tyre_material, spec.wheel_material)]
    needs = ["hoop_stress", "yield_share", "rim_stress", "cold_grip", "hot_grip"]
    return Given(
        [samples[name] for name in (*names, "spoke_bearing")],
        [],
        [
            spec.seat,
            wheel.roughness,
            spec.coldest - COLD,
            spec.warmest - COLD,
            wheel.give,
            wheel.rim.held,
            wheel.rim.free,
            wheel.rim.stiffness,
            wheel.rim.most_back,
            wheel.rim.squeeze,
            wheel.rim.relief,
            wheel.bending,
            wheel.area,
            wheel.load,
            wheel.push,
            wheel.mises,
            model.hoop,
            spec.clearance_to_drop,
            spec.room_temperature,
            *(limits[need] for need in (*needs, "drop_temperature")),
        ],
    )


def injector(model: Any, samples: Samples, limits: Limits) -> Given:
    """An injector that must stay flooded, whose range binds at two corners.

    The loop is spared putting sizes and coefficients together, which the sweep does once.
    """
    cones, water = model.cones, model.corners["work"]._injector.water
    if model.binding != ("lowest, warm", "blowing off, warm"):
        raise SystemExit(f"the injector's kernel knows two corners and not {model.binding}")
    settled, _ = cones._settled(samples)
    names = ["steam_throat", "mouth", "nose", "combining_throat", "delivery_throat"]
    kept = ["steam_discharge", "momentum", "water_discharge", "mixing", "recovery"]
    corners = [model.corners[name] for name in (*model.binding, "work")]
    tables = [np.append(column.value, np.nan) for column in (water._temperature, water._boiling)]
    return Given(
        [settled[name] for name in names]
        + [samples[DEPTH], samples[DRAFT]]
        + [settled[name] for name in kept],
        [*tables, *(table for corner in corners for table in _tables_at(corner))],
        [
            cones._exit,
            cones._depth,
            cones._slope,
            at_a_corner._PLACES,
            corners[0]._per_place,
            at_a_corner._PLACES - 1.000001,
            at_a_corner._LEAST_MIXING,
            corners[0]._per_mixing,
            at_a_corner._MIXINGS - 1.000001,
            1.0 / steam_cone(1.0)._widening[1],
            steam_cone(1.0)._widening.size - 1.000001,
            STEAM_SPEED_KEPT,
            at_a_corner._ROUNDS,
            water._temperature.start,
            water._temperature.per_place,
            len(water._temperature.rise) - 1e-6,
            water._boiling.start,
            water._boiling.per_place,
            *(limits[need] for need in ("margin", "fresh", "fullness")),
            *(number for corner in corners for number in _numbers_at(corner)),
        ],
    )


def _tables_at(corner: Any) -> Sequence[Any]:
    """Falls of pressure and folds, and what leaves the mouth over its widening."""
    cone, boiler = corner._injector.cone, corner._boiler
    pressure, velocity = cone.mouth(boiler, 1.0 + np.square(cone._widening))
    return corner._falls, corner._folds, np.log(pressure), velocity


def _numbers_at(corner: Any) -> Sequence[float]:
    """Steam and feed at one pressure and temperature."""
    at = corner._injector
    middle, per_half = corner._density_scale
    return [
        corner._flux,
        corner._steam,
        corner._feed,
        corner.warmth,
        corner.feed_density,
        corner._suction,
        corner._hottest,
        corner._root,
        corner._brings,
        corner.needed,
        at.overflow_pressure - at.air_pressure,
        at.overflow_pressure,
        middle,
        per_half,
        *corner._density_terms,
    ]


ADAPTERS: Final[dict[str, Callable[[Any, Samples, Limits], Given]]] = {
    "piston-fit": piston_fit,
    "pipe-union": pipe_union,
    "taper-cock": taper_cock,
    "running-fit": running_fit,
    "tyre-fit": tyre_fit,
    "injector": injector,
}
APART: Final = {"injector": 8}
"""Samples that a kernel may tell otherwise because it does not know all that can happen: steam that
leaves the wall of its cone early, in one injector of ten thousand."""

# Tables that ``prepare`` keeps for the next spec like it; forgotten before it is timed.
TABLES: Final[Sequence[Any]] = (
    tabulated.steam_past_piston,
    taper_ports.leak_shapes,
    film_table.film_table,
)
