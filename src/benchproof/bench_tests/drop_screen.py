"""What the times of a drop test give away before anything is inferred from them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from benchproof.bench_tests.contract import Flag
from benchproof.quantities import DURATION, MASS, TEMPERATURE_DIFFERENCE, echo, show

if TYPE_CHECKING:
    from benchproof.bench_tests.drop_test import Drop, DropRecord

LEAST_TILT = np.radians(10.0)
ORDINARY_FRICTION = 0.15
LEAST_RATIO, MOST_RATIO = 0.85, 4.7  # flow on one wall over flow as it lay upright


def screen_drops(record: DropRecord) -> Sequence[Flag]:
    """Flags from the set-up as stated and from the times, without any model of the gap."""
    return [*_set_up(record), *_repeats(record), *_tilt(record), *_mass(record), *_marks(record)]


def _set_up(record: DropRecord) -> Iterator[Flag]:
    if not record.degreased:
        yield Flag(
            "oil",
            "Not degreased: oil in the gap makes a fit look far tighter than it is (1 µm, 0.04 "
            "thou, on each face reads four times that small). Degrease, dry, repeat.",
            "spoilt",
        )
    if not record.sealed:
        yield Flag(
            "face leak",
            "End face not sealed: a gap of 5 µm (0.2 thou) at the glass reads about a sixth "
            "large. Ring it with petroleum jelly, repeat.",
            "spoilt",
        )
    if record.falls_free == "no":
        yield Flag(
            "hangs",
            "It does not fall free on an uneven surface: dirt, a burr or an oval bore grips it, "
            "and a slow drop on glass then proves nothing.",
            "spoilt",
        )
    if abs(record.warmer_piston) > 1.0:
        yield Flag(
            "temperature",
            f"Piston {echo(abs(record.warmer_piston), TEMPERATURE_DIFFERENCE)}, "
            f"{'warmer' if record.warmer_piston > 0.0 else 'cooler'} than the cylinder: corrected "
            "for, but leave both on one plate for half an hour instead.",
            "note",
        )
    times = [run.time for run in record.reading]
    if min(times) < 5.0:
        yield Flag(
            "too quick",
            "A run under 5 s: the hand on the watch is a large part of it. Take weight off or "
            "time a longer travel.",
            "note",
        )


def _of(record: DropRecord, posture: str, added: float = 0.0) -> list[Drop]:
    return [r for r in record.reading if r.posture == posture and r.added_mass == added]


def _mean(runs: Sequence[Drop]) -> float:
    return float(np.exp(np.mean(np.log([run.time for run in runs]))))


def _repeats(record: DropRecord) -> Iterator[Flag]:
    upright = _of(record, "upright")
    if len(upright) > 1:
        times = [run.time for run in upright]
        if max(times) > min(times) * 4.0 / 3.0:
            yield Flag(
                "wanders",
                f"Upright runs spread from {show(min(times), DURATION)} to "
                f"{show(max(times), DURATION)}: it lies differently each time. "
                "Take more runs, or trust the tilted ones.",
            )
    inverted = _of(record, "inverted")
    if upright and inverted:
        change = _mean(inverted) / _mean(upright) - 1.0
        if abs(change) > 0.15:
            yield Flag(
                "end for end",
                f"Turned end for end it takes {change:+.0%}: a tapered gap lies differently each "
                "way up. A diagnosis, not noise: look for taper in piston or bore.",
            )


def _tilt(record: DropRecord) -> Iterator[Flag]:
    tilted = [run for run in record.reading if run.posture == "tilted"]
    if not tilted:
        yield Flag(
            "no tilted run",
            "No tilted run: clearance and posture stay mixed up, by ten to fourteen parts in a "
            "hundred of the clearance. Two runs tilted 20 degrees part them.",
            "note",
        )
        return
    for run in tilted:
        if run.tilt is not None and run.tilt < LEAST_TILT:
            yield Flag(
                "tilt",
                f"A tilt of {np.degrees(run.tilt):.0f} degrees is too little: a slight taper can "
                "hold the piston off the wall. Tilt 20 degrees.",
            )
            return
    upright = _of(record, "upright")
    for run in tilted:
        if not upright or run.tilt is None or run.added_mass:
            continue
        drive = np.cos(run.tilt) - ORDINARY_FRICTION * np.sin(run.tilt)
        ratio = _mean(upright) / (run.time * drive)
        if not LEAST_RATIO <= ratio <= MOST_RATIO:
            yield Flag(
                "contradicts",
                f"Tilted, it flows {ratio:.2f} times what it does upright; between "
                f"{LEAST_RATIO} and {MOST_RATIO} is possible. Dirt, oil, friction or a leak at "
                "the glass: clean and repeat.",
            )
            return


def _mass(record: DropRecord) -> Iterator[Flag]:
    bare = _of(record, "upright")
    for added in sorted({r.added_mass for r in record.reading if r.posture == "upright"} - {0.0}):
        if not bare:
            return
        heavy = _of(record, "upright", added)
        ratio = _mean(bare) / _mean(heavy)
        expected = 1.0 + added / record.piston_mass
        if abs(ratio / expected - 1.0) > 0.05:
            yield Flag(
                "friction",
                f"With {echo(added, MASS)} more it sinks {ratio:.2f} times as fast, not "
                f"{expected:.2f}: "
                + ("something rubs" if ratio > expected else "the posture changed, or a leak"),
            )


def _marks(record: DropRecord) -> Iterator[Flag]:
    changes = []
    for run in record.reading:
        places = [0.0, *[mark.at for mark in run.marks], record.travel]
        times = [0.0, *[mark.time for mark in run.marks], run.time]
        if len(places) > 2:
            speeds = np.diff(places) / np.diff(times)
            changes.append(float(speeds[-1] / speeds[0] - 1.0))
    if changes and abs(np.mean(changes)) > 0.05:
        change = float(np.mean(changes))
        end = "bottom" if change > 0 else "top"
        yield Flag(
            "tapered bore",
            f"It sinks {change:+.0%} at the end against the start: the gap is wider at the {end} "
            f"by about {abs(change) / 3:.0%} of the clearance.",
        )
