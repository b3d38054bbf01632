"""Where an injector stops: over boiler pressure, feed temperature, the ring and the feed.

Each limit is looked for on a coarse grid first, since what works need not work everywhere
between, and then halved down to. All samples are followed at once.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from benchproof.physics.errors import Array
from benchproof.physics.injector import Injector, Samples
from benchproof.physics.injector_running import Running
from benchproof.physics.ranges import Numbers, require

Test = Callable[[Running], NDArray[np.bool_]]

LOWEST_GAUGE, HIGHEST_GAUGE = 0.5e5, 15e5
"""Range over which boiler pressures are tried, gauge [Pa]."""

HOTTEST_FEED, COLDEST_FEED = 369.15, 276.15
"""Range over which feed temperatures are tried [K]."""

_PRESSURE_STEP: Final = 0.25e5
_TEMPERATURE_STEP: Final = 2.5
_HALVINGS: Final = 12
_BORES: Final = 40
_WIDEST_RING: Final = 1.8
_CLOSEST_RING: Final = 1.002
_THROTTLES: Final = np.linspace(0.02, 1.0, 60)


class Stretch(NamedTuple):
    """From where to where, in the unit of what was varied, and whether anywhere at all."""

    low: Array
    high: Array
    found: NDArray[np.bool_]


def working_range(*, injector: Injector, samples: Samples, step: float = _PRESSURE_STEP) -> Stretch:
    """Longest stretch of boiler pressures over which samples run: Returns (low, high [Pa], found).

    injector, samples: as in ``prepare`` and ``perform``; sizes of one shape. step: of the search
    [Pa]. Absolute pressures; the search ends at 0.5 and 15 bar gauge, and a range that reaches
    an end may go on beyond it. A limit that runs, not one that starts: starting is another matter
    and has no published theory.
    """
    gauge = np.arange(LOWEST_GAUGE, HIGHEST_GAUGE + 0.5 * step, step)
    tried = gauge + injector.air_pressure
    return _longest(injector, samples, "boiler_pressure", tried, _runs)


def feed_limit(
    *, injector: Injector, samples: Samples, step: float = _TEMPERATURE_STEP
) -> tuple[Array, NDArray[np.bool_]]:
    """Warmest feed with which samples run: Returns (temperature [K], whether there is any).

    injector, samples: as in ``prepare`` and ``perform``. step: of the search [K], downwards from
    96 °C; where none runs the temperature is the coldest tried.
    """
    tried = np.arange(HOTTEST_FEED, COLDEST_FEED, -step)
    return _first(injector, samples, "feed_temperature", tried, _runs)


def dry_point(
    *, injector: Injector, samples: Samples, step: float = _PRESSURE_STEP
) -> tuple[Array, NDArray[np.bool_]]:
    """Boiler pressure at which the overflow just runs dry: Returns (pressure [Pa], found).

    injector, samples: as in ``prepare`` and ``perform``. step: of the search [Pa], downwards from
    15 bar gauge. Absolute. Below it the injector spills, above it an open overflow draws air.
    """
    tried = np.arange(HIGHEST_GAUGE, LOWEST_GAUGE, -step) + injector.air_pressure
    return _first(injector, samples, "boiler_pressure", tried, _spills)


def draft_bore_for_spill(
    *, injector: Injector, samples: Samples, spill: Numbers
) -> tuple[Array, NDArray[np.bool_]]:
    """Draft bore in the nose plane that lets a share spill: Returns (bore [m], found).

    injector, samples: as in ``prepare`` and ``perform``; the draft bore in the samples is not
    looked at. spill: share of the whole flow [-], 0 or more. Not found where the combining throat
    runs solid first (it then spills 1 - A_d/A_c whatever the ring), or where there is no jet. The
    bore then is the widest tried, 1.8 of the nose. Raises OutOfRange.
    """
    share = np.asarray(spill, dtype=float)
    require((share >= 0.0) & (share < 1.0), quantity="spill", given=share, low=0.0, high=1.0)
    wanted = 1.0 / (1.0 - share)

    def enough(running: Running) -> NDArray[np.bool_]:
        return running.fullness >= wanted[..., np.newaxis]

    nose = np.asarray(samples["nose"])
    tried = np.linspace(_CLOSEST_RING, _WIDEST_RING, _BORES)
    return _first(injector, samples, "draft_bore", nose[..., np.newaxis] * tried, enough)


def least_capacity(*, injector: Injector, samples: Samples) -> Array:
    """Least over greatest delivery when the feed is throttled until it breaks [-].

    injector, samples: as in ``prepare`` and ``perform``, with ``water_discharge``. Throttling acts
    as a smaller ring; the greatest is over all settings of the cock, from shut to the ring as it
    is. 0 where nothing runs.
    """
    opening = np.asarray(samples["water_discharge"])[..., np.newaxis] * _THROTTLES
    running = injector.perform(_stretched(samples) | {"water_discharge": opening})
    most = np.where(running.runs, running.delivered, 0.0).max(axis=-1)
    last, found = _first(injector, samples, "water_discharge", opening, _runs)
    least = injector.perform(dict(samples) | {"water_discharge": last}).delivered
    capacity: Array = np.where(found, least, 0.0) / np.where(found, most, 1.0)
    return capacity[()]


def _runs(running: Running) -> NDArray[np.bool_]:
    return running.runs


def _spills(running: Running) -> NDArray[np.bool_]:
    return running.fullness > 1.0


def _stretched(samples: Samples) -> dict[str, Numbers]:
    """Samples with an axis behind, along which one of them will be varied."""
    return {name: np.asarray(each)[..., np.newaxis] for name, each in samples.items()}


def _first(
    injector: Injector, samples: Samples, name: str, tried: Array, test: Test
) -> tuple[Array, NDArray[np.bool_]]:
    """The first of those tried that passes, halved towards the one before it."""
    passes = test(injector.perform(_stretched(samples) | {name: tried}))
    found: NDArray[np.bool_] = np.asarray(passes.any(axis=-1))
    places = np.broadcast_to(tried, passes.shape)
    at = np.argmax(passes, axis=-1)[..., np.newaxis]
    inside = np.take_along_axis(places, at, axis=-1)
    outside = np.take_along_axis(places, np.maximum(at - 1, 0), axis=-1)
    limit = _halved(injector, samples, name, inside, outside, test)[..., 0]
    return np.where(found, limit, places[..., -1])[()], found


def _longest(injector: Injector, samples: Samples, name: str, tried: Array, test: Test) -> Stretch:
    """The longest unbroken stretch of those tried that passes, its ends halved outwards."""
    passes = test(injector.perform(_stretched(samples) | {name: tried}))
    run = np.zeros(passes.shape, dtype=np.intp)
    for column in range(passes.shape[-1]):
        before = run[..., column - 1] if column else 0
        run[..., column] = np.where(passes[..., column], before + 1, 0)
    end = np.argmax(run, axis=-1)[..., np.newaxis]
    length = np.take_along_axis(run, end, axis=-1)
    found = length[..., 0] > 0
    start = end - np.maximum(length, 1) + 1
    last = len(tried) - 1
    low, high = (
        _halved(injector, samples, name, tried[inside], tried[np.clip(outside, 0, last)], test)
        for inside, outside in ((start, start - 1), (end, end + 1))
    )
    return Stretch(low[..., 0], high[..., 0], found[()])


def _halved(
    injector: Injector, samples: Samples, name: str, inside: Array, outside: Array, test: Test
) -> Array:
    """Halve between what passes and what does not, and keep the side that passes."""
    stretched = _stretched(samples)
    for _ in range(_HALVINGS):
        middle = 0.5 * (inside + outside)
        passes = test(injector.perform(stretched | {name: middle}))
        inside, outside = np.where(passes, middle, inside), np.where(passes, outside, middle)
    return inside
