"""Sizes of an injector for a spec: by the rule in print, by the model, or as the builder has them.

The rule in print gives both throats. The model then looks for the least ratio of their areas with
which the whole range has its margin, and sets the ring. Where the builder states throats, what is
not stated follows from them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

import numpy as np

from benchproof.physics.injector_coefficients import DEFAULTS, recovery
from benchproof.physics.injector_first_draft import first_throats
from benchproof.physics.injector_limits import draft_bore_for_spill
from benchproof.physics.injector_running import Cause, Running
from benchproof.physics.injector_sizing import (
    Proportions,
    Service,
    mouth_area_ratio,
    solve_area_ratio,
)
from benchproof.physics.injector_tube import (
    NOSE_DEPTH,
    largest_feed,
    tube_needed,
    widest_draft_bore,
)
from benchproof.quantities import LENGTH, VOLUME_FLOW, show
from benchproof.specs import FieldError
from benchproof.spread import Fixed, LogUniform, Normal, Spread, Uniform

if TYPE_CHECKING:
    from benchproof.duties.injector_spec import InjectorSpec

APART: Final = 0.2  # flow by which rule and model may differ unsaid
SMALLEST_THROAT, LARGEST_THROAT = 0.3e-3, 1.2e-3
"""Range of the delivery throat [m] the coefficients are asked to stand for."""
ENTRY_DISCHARGE: Final[Mapping[str, Spread]] = {
    "rounded": Normal(1.0, 0.02),
    "as drilled": Normal(0.93, 0.03),
    "not known": Uniform(0.86, 1.04),
}
"""Steam that the throat passes over the critical flow [-], by its entry: as drilled, 0.90 to 0.95
perhaps (common practice, no source)."""
ENTRY_LOSS: Final[Mapping[str, Spread]] = {
    "rounded": LogUniform(2e-4, 0.12),
    "as drilled": Fixed(0.0),
    "not known": Fixed(0.0),
}
"""Share of that steam lost at an edge that was not rounded after all [-]: nobody sees the entry of
a throat under a millimetre. Judgement: in seven of ten the loss is below a fiftieth, in one of
seven it is that of a drilled edge. Elsewhere the discharge itself holds it."""
TANK_DENSITY: Final = 999.0  # of water at 15 °C [kg/m³]
_STEP: Final = 5e-6
_RING_STEP: Final = 1e-6
_DEPTH_STEP: Final = 0.05e-3
_FINER: Final = 1e-9
_PROPORTIONS: Final = Proportions(exit_over_delivery=2.4)
"""A delivery cone of 5 degrees over 16 throats, the longest in print, opens to 2.4 of it."""


@dataclass(frozen=True)
class Plan:
    """An injector as planned.

    sizes: by name of the physics [m]. nose_depth: of the nose plane behind the wide end of the
    draft cone [m]. draft: throats by the rule in print, (steam, delivery) [m]. rule_over_model:
    flow by the rule over that by the model, for one delivery throat [-]. area_ratio: steam throat
    over delivery throat [-]. ring_set: whether the spill could be set. covers: whether the whole
    range has its margin, by the middle coefficients. running: at boiler pressure.
    """

    sizes: Mapping[str, float]
    nose_depth: float
    draft: tuple[float, float]
    rule_over_model: float
    area_ratio: float
    ring_set: bool
    covers: bool
    running: Running


def service_of(spec: InjectorSpec) -> Service:
    """What the injector is set out for, reserve included."""
    air = spec.air_pressure
    return Service(
        feed=spec.wanted * (1.0 + spec.reserve) * TANK_DENSITY,
        lowest_pressure=spec.lowest + air,
        working_pressure=spec.boiler_pressure + air,
        blowing_off=spec.blows + air,
        coldest_feed=spec.coldest_feed,
        feed_temperature=spec.feed_temperature,
        warmest_feed=spec.warmest_feed,
        spill=spec.spill,
        head=spec.head,
        air_pressure=air,
        delivery_loss=spec.delivery_loss,
    )


def middles(spec: InjectorSpec) -> dict[str, float]:
    """Coefficients as they are most likely [-]: the builder's own, else the published ones."""
    found = dict(DEFAULTS)
    found["steam_discharge"] = ENTRY_DISCHARGE[spec.steam_entry].median
    for name in ("steam_discharge", "momentum", "water_discharge", "mixing"):
        own = getattr(spec, name)
        if own is not None:
            found[name] = own.median
    if spec.momentum_product is not None or spec.momentum is not None:
        product = DEFAULTS["recovery"] * DEFAULTS["momentum"] ** 2
        if spec.momentum_product is not None:
            product = spec.momentum_product.median
        found["recovery"] = float(recovery(product=product, momentum=found["momentum"]))
    return found


def plan_of(spec: InjectorSpec) -> Plan:
    """Sizes, worked out once for each service."""
    stated = tuple(
        (name, getattr(spec, name))
        for name in (
            "steam_throat",
            "mouth",
            "nose",
            "draft_bore",
            "combining_throat",
            "delivery_throat",
            "delivery_exit",
        )
        if getattr(spec, name) is not None
    )
    return _plan(service_of(spec), tuple(middles(spec).items()), stated)


def require_sound(spec: InjectorSpec) -> None:
    """Raise FieldError where the service cannot be met in this tube at all."""
    plan = plan_of(spec)
    _require_condensed(spec, plan)
    stated = spec.steam_throat is not None
    throat = plan.sizes["delivery_throat"]
    if not stated and throat < SMALLEST_THROAT:
        raise FieldError(
            _feed_field(spec),
            f"{spec.wanted_shown} asks for a delivery throat of {_mm(throat)}: below "
            f"{_mm(SMALLEST_THROAT)} nothing is known at all. Ask for more, and shut it off early",
        )
    _require_tools(spec, plan)
    widest = float(_widest(spec, plan))
    needed = float(tube_needed(widest_bore=widest, wall=spec.least_wall))
    if needed > spec.tube_bore:
        _refuse_tube(spec, widest, needed)
    if not stated and throat > LARGEST_THROAT:
        raise FieldError(
            _feed_field(spec),
            f"{spec.wanted_shown} asks for a delivery throat of {_mm(throat)}, above "
            f"{_mm(LARGEST_THROAT)}: ask for less, or feed with two",
        )


def widest_bore(spec: InjectorSpec, draft_bore: float) -> float:
    """Bore of the draft cone at its wide end [m], of its bore in the plane of the nose [m]."""
    return float(
        widest_draft_bore(
            draft_bore=draft_bore, half_angle=spec.draft_half_angle, nose_depth=NOSE_DEPTH
        )
    )


def _widest(spec: InjectorSpec, plan: Plan) -> float:
    return widest_bore(spec, plan.sizes["draft_bore"])


def _require_tools(spec: InjectorSpec, plan: Plan) -> None:
    """Refuse a throat that no drill or no reamer to hand goes into."""
    name = min(("delivery_throat", "combining_throat", "steam_throat"), key=plan.sizes.__getitem__)
    throat, words = plan.sizes[name], name.replace("_", " ")
    if spec.smallest_reamer > throat + _FINER:
        least = spec.wanted * (spec.smallest_reamer / throat) ** 2
        mend = (
            "take larger throats"
            if spec.steam_throat is not None
            else f"ask for {show(least, VOLUME_FLOW, unit='L/min')} "
            f"({show(least, VOLUME_FLOW, unit='in³/min')}) or more and shut it off early"
        )
        raise FieldError(
            "smallest_reamer",
            f"does not go into the {words} of {_mm(throat)}: make a finer D-bit, or {mend}",
        )
    if spec.smallest_drill >= throat:
        raise FieldError(
            "smallest_drill",
            f"would spoil the {words} of {_mm(throat)}, and leaves nothing to ream: get a finer "
            "one, or a spade drill of your own",
        )


def _refuse_tube(spec: InjectorSpec, widest: float, needed: float) -> None:
    if spec.steam_throat is not None:
        raise FieldError(
            "tube_bore",
            f"the draft cone is {_mm(widest)} wide and needs a tube of {_mm(needed)} with this "
            "wall: take a wider tube or smaller cones",
        )
    most = spec.wanted * float(
        largest_feed(feed=1.0, widest_bore=widest, tube_bore=spec.tube_bore, wall=spec.least_wall)
    )
    raise FieldError(
        _feed_field(spec),
        f"{spec.wanted_shown} needs a tube of {_mm(needed)}: the largest that goes into "
        f"{_mm(spec.tube_bore)} with walls of {_mm(spec.least_wall)} feeds "
        f"{show(most, VOLUME_FLOW, unit='L/min')} ({show(most, VOLUME_FLOW, unit='in³/min')}). "
        "Take a wider tube, or two injectors",
    )


def _require_condensed(spec: InjectorSpec, plan: Plan) -> None:
    """Refuse a tank so warm that the steam would not condense, by the middle coefficients."""
    samples = dict(plan.sizes) | middles(spec)
    service = service_of(spec)
    hottest = service.at(service.blowing_off, service.warmest_feed).perform(samples)
    if plan.ring_set and hottest.cause not in (Cause.NOT_CONDENSED, Cause.THROAT_CHOKED):
        return
    if spec.draft_bore is not None and hottest.cause == Cause.NOT_CONDENSED:
        raise FieldError(
            "draft_bore",
            "lets in too little water: at blowing-off pressure with the warmest tank the steam is "
            "not condensed. Make it larger, or the tank colder",
        )
    if spec.draft_bore is None:
        raise FieldError(
            "warmest_feed",
            "at blowing-off pressure with a tank this warm the steam is not condensed: a colder "
            "tank, a lower pressure, or a smaller steam throat",
        )


def _feed_field(spec: InjectorSpec) -> str:
    return "evaporation" if spec.feed is None else "feed"


@lru_cache(maxsize=64)
def _plan(
    service: Service,
    coefficients: tuple[tuple[str, float], ...],
    stated: tuple[tuple[str, float], ...],
) -> Plan:
    known = dict(coefficients)
    sizes = dict(stated)
    steam, delivery = (
        float(size)
        for size in first_throats(
            feed=service.feed,
            gauge_pressure=service.working_pressure - service.air_pressure,
            air_pressure=service.air_pressure,
        )
    )
    if "steam_throat" not in sizes:
        solved = solve_area_ratio(service=service, proportions=_PROPORTIONS, coefficients=known)
        sizes = {name: _rounded(float(size), _STEP) for name, size in solved.sizes.items()}
        del sizes["draft_bore"]
    else:
        sizes = _completed(service, sizes)
    ring_set = True
    if "draft_bore" not in sizes:
        setting = service.at(service.blowing_off, service.warmest_feed)
        bore, found = draft_bore_for_spill(
            injector=setting, samples=sizes | known, spill=service.spill
        )
        sizes["draft_bore"] = _rounded(float(bore), _RING_STEP)
        ring_set = bool(found)
    running = service.at(service.working_pressure, service.feed_temperature).perform(sizes | known)
    by_rule = service.feed * (sizes["delivery_throat"] / delivery) ** 2
    fresh = float(running.fresh)
    margins = [
        float(service.at(pressure, warmth).perform(sizes | known).margin)
        for pressure in (service.lowest_pressure, service.blowing_off)
        for warmth in (service.coldest_feed, service.warmest_feed)
    ]
    return Plan(
        MappingProxyType(sizes),
        max(_rounded(NOSE_DEPTH * sizes["draft_bore"], _DEPTH_STEP), _DEPTH_STEP),
        (steam, delivery),
        by_rule / fresh if fresh > 0.0 else float("inf"),
        (sizes["steam_throat"] / sizes["delivery_throat"]) ** 2,
        ring_set,
        ring_set and min(margins) >= service.margin - 0.02,
        running,
    )


def _completed(service: Service, sizes: dict[str, float]) -> dict[str, float]:
    """Stated sizes, and those that follow from them by the usual proportions."""
    found = dict(sizes)
    widening = mouth_area_ratio(
        boiler_pressure=service.working_pressure,
        mouth_pressure=_PROPORTIONS.mouth_pressure,
        dryness=service.dryness,
    )
    throat, delivery = found["steam_throat"], found["delivery_throat"]
    mouth = found.setdefault("mouth", _rounded(throat * float(np.sqrt(widening)), _STEP))
    found.setdefault("nose", _rounded(mouth * _PROPORTIONS.nose_over_mouth, _STEP))
    found.setdefault(
        "combining_throat", _rounded(delivery * _PROPORTIONS.combining_over_delivery, _STEP)
    )
    found.setdefault("delivery_exit", _rounded(delivery * _PROPORTIONS.exit_over_delivery, _STEP))
    return found


def _rounded(size: float, step: float) -> float:
    return round(round(size / step) * step, 9)


def _mm(length: float) -> str:
    return show(length, LENGTH, unit="mm")
