"""Where the cones stand in their tube: lengths, angles, gaps, and the bores of the pipes.

Lengths and angles are within what is printed for full-size injectors; where nothing is printed
they are choices, and said to be.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from benchproof.duties.injector_model import COMBINING, DELIVERY, DEPTH, DRAFT, MOUTH, NOSE, STEAM
from benchproof.duties.injector_sizes import plan_of, widest_bore
from benchproof.physics.injector_tube import (
    DELIVERY_ANGLE,
    cone_length,
    included_angle,
    starting_room,
)
from benchproof.physics.steam import saturated_vapour_density, saturated_vapour_viscosity

if TYPE_CHECKING:
    from benchproof.duties.injector_spec import InjectorSpec

STEAM_ANGLE: Final = float(np.radians(6.0))
"""Included angle behind the steam throat [rad]: eddies begin above (Hughes, 1912, page 12)."""
OVERALL: Final = 18.0
"""From steam mouth to delivery throat, over the delivery throat [-]."""
_FIRST_GAP, _OVERFLOW_GAP = 1.0, 1.5
_LEAST_COMBINING: Final = 5.0  # delivery throats: the shortest combining cone drawn
_PIPE_LENGTH: Final = 0.3
_PIPE_LOSS: Final = 0.02  # of the boiler pressure: well within the 5 % that is worth a flag
_BORES: Final = (1e-3, 1.5e-3, 2e-3, 2.5e-3, 3e-3, 4e-3, 5e-3, 6e-3, 8e-3, 10e-3, 12e-3)
_BACK: Final = 0.6  # of the steam cone behind its throat, for the entry, over the taper's length
_WATER_ROOM: Final = 4.0  # of the ring's area: way in past the nose, so that the water comes slowly
_PORT: Final = 0.6  # of the tube's bore: widest hole in its wall for the water
_WATER_SPEED, _FEED_SPEED = 0.5, 1.5  # m/s in the suction and in the feed pipe: common practice


@dataclass(frozen=True)
class Layout:
    """Lengths along the tube and bores of pipes [m], angles included [rad].

    steam_cone: from throat to mouth, steam_back: behind the throat. nose_length: over which the
    nose is turned down. water_port: hole in the tube through which the water comes. draft: length
    of the draft cone, of which nose_depth lies before the nose. widest, draft_exit: its bores at
    the ends. first_gap, overflow_gap. combining, combining_angle, combining_entry: of the combining
    cone. delivery, delivery_angle: of the delivery cone. starting: way out for the first steam over
    the mouth [-]. steam_pipe, water_pipe, feed_pipe, overflow_pipe: bores.
    """

    steam_cone: float
    steam_back: float
    nose_length: float
    water_port: float
    draft: float
    nose_depth: float
    widest: float
    draft_exit: float
    first_gap: float
    combining: float
    combining_angle: float
    combining_entry: float
    overflow_gap: float
    delivery: float
    delivery_angle: float
    delivery_exit: float
    starting: float
    steam_pipe: float
    water_pipe: float
    feed_pipe: float
    overflow_pipe: float


def size_by_feature(spec: InjectorSpec, sizes: Mapping[str, float]) -> dict[str, float]:
    """Size [m] of every feature: as given, else as planned."""
    plan = plan_of(spec)
    planned = {
        STEAM: plan.sizes["steam_throat"],
        MOUTH: plan.sizes["mouth"],
        NOSE: plan.sizes["nose"],
        DRAFT: plan.sizes["draft_bore"],
        COMBINING: plan.sizes["combining_throat"],
        DELIVERY: plan.sizes["delivery_throat"],
        DEPTH: plan.nose_depth,
    }
    return planned | {name: sizes[name] for name in planned if name in sizes}


def layout_of(spec: InjectorSpec, sizes: Mapping[str, float]) -> Layout:
    """Lay the cones out, by size of each feature [m]; those that are missing as planned."""
    size = size_by_feature(spec, sizes)
    throat = size[DELIVERY]
    widest = widest_bore(spec, size[DRAFT])
    # No narrower than the mouth: all the first steam must get out here.
    draft_exit = min(max(size[MOUTH], 1.3 * size[COMBINING]), 0.9 * size[DRAFT])
    behind = float(
        cone_length(narrow=draft_exit, wide=size[DRAFT], included_angle=2.0 * spec.draft_half_angle)
    )
    behind = _even(behind)
    draft_exit = size[DRAFT] - 2.0 * behind * float(np.tan(spec.draft_half_angle))
    first_gap, overflow_gap = _even(_FIRST_GAP * throat), _even(_OVERFLOW_GAP * throat)
    rest = OVERALL * throat - behind - first_gap - overflow_gap
    combining = _even(max(rest, _LEAST_COMBINING * throat))
    exit_bore = plan_of(spec).sizes["delivery_exit"]
    delivery = _even(
        float(cone_length(narrow=throat, wide=exit_bore, included_angle=DELIVERY_ANGLE))
    )
    running = plan_of(spec).running
    depth = round(size[DEPTH] / 1e-5) * 1e-5  # no depth gauge tells it finer
    steam_cone = _even(
        float(cone_length(narrow=size[STEAM], wide=size[MOUTH], included_angle=STEAM_ANGLE))
    )
    water_pipe = _bore_for(float(running.water_flow) / 999.0, _WATER_SPEED)
    water_port = _even(min(water_pipe, _PORT * spec.tube_bore))
    ring_area = 0.25 * np.pi * (size[DRAFT] ** 2 - size[NOSE] ** 2)
    way_in = _even(max(depth, _WATER_ROOM * ring_area / water_port))
    return Layout(
        steam_cone=steam_cone,
        steam_back=_even(max(_BACK * steam_cone, depth + way_in - 0.5 * steam_cone)),
        nose_length=depth + way_in,
        water_port=water_port,
        draft=behind + depth,
        nose_depth=depth,
        widest=widest,
        draft_exit=draft_exit,
        first_gap=first_gap,
        combining=combining,
        combining_angle=float(
            included_angle(narrow=size[COMBINING], wide=draft_exit, length=combining)
        ),
        combining_entry=draft_exit,
        overflow_gap=overflow_gap,
        delivery=delivery,
        delivery_angle=DELIVERY_ANGLE,
        delivery_exit=exit_bore,
        starting=float(
            starting_room(
                mouth=size[MOUTH], draft_exit=draft_exit, gap_area=np.pi * draft_exit * first_gap
            )
        ),
        steam_pipe=_steam_pipe(spec, float(running.steam_flow)),
        water_pipe=water_pipe,
        feed_pipe=_bore_for(float(running.delivered) / 985.0, _FEED_SPEED),
        overflow_pipe=_bore_for(float(running.total_flow) / 985.0, _WATER_SPEED),
    )


def _even(length: float) -> float:
    """A length [m] as a builder sets it, to a twentieth of a millimetre."""
    return round(max(length, 0.1e-3) / 0.05e-3) * 0.05e-3


def _steam_pipe(spec: InjectorSpec, flow: float) -> float:
    """Least bore that loses no more than a fiftieth of the pressure over 0.3 m and two bends."""
    pressure = spec.boiler_pressure + spec.air_pressure
    density = float(saturated_vapour_density(pressure=pressure))
    viscosity = float(saturated_vapour_viscosity(pressure=pressure))
    for bore in _BORES:
        velocity = flow / (density * 0.25 * np.pi * bore**2)
        reynolds = density * velocity * bore / viscosity
        head = 0.5 * density * velocity**2
        loss = head * (0.316 / reynolds**0.25 * _PIPE_LENGTH / bore + 2.0)
        if loss <= _PIPE_LOSS * spec.boiler_pressure:
            return bore
    return _BORES[-1]


def _bore_for(flow: float, speed: float) -> float:
    """Least bore in the list that passes a flow [m³/s] no faster than a speed [m/s]."""
    wanted = float(np.sqrt(flow / (0.25 * np.pi * speed)))
    return next((bore for bore in _BORES if bore >= wanted), _BORES[-1])
