"""What a lathe has shown, replayed from the evidence in a book: each piece of it once.

Only a first size taken against an aim tells of a process; what was cut again, or until it
fitted, tells only that it was, and is counted beside. A machine event starts a new chapter: parts
before it count in part. A bench test of a piece as it was first cut sharpens the size of the
feature cut last. Nothing depends on the order of entry.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from benchproof.book.kinds import default_u
from benchproof.book.state import Size, State
from benchproof.duties import load_duty
from benchproof.features import PROCESSES
from benchproof.instruments import INSTRUMENTS, Instrument
from benchproof.workshop.lathe import Lathe, prior_of
from benchproof.workshop.standing import Shown, Standing, learn

# At the usual trust of a quarter, parts before an event count as five parts at the most: judgement,
# chosen so that intervals for the next part still hold after a hundred parts and a thorough change.
MOST_FOR_FULL: Final = 15.0


@dataclass(frozen=True)
class Witness:
    """One part's first size less its aim: deviation and doubt in SI, at a scaling size."""

    id: str
    process: str
    deviation: float
    u: float
    scale: float
    when: str


@dataclass(frozen=True)
class Counted:
    """What stands behind a process, and what could not."""

    witnesses: int
    cut_again: int
    fitted: int
    scrapped: int


def witnesses(state: State) -> list[Witness]:
    """Every first size against an aim in the book, each once."""
    found = []
    for thing in state.of("past part"):
        past = thing.spec
        u = past.u if past.u is not None else instrument_u(state, past.instrument)
        found.append(
            Witness(thing.id, past.process, past.came_out - past.aim, u, past.aim, past.when)
        )
    tested = _sizes_by_tests(state)
    for size in _first_sizes(state):
        assert size.aim is not None
        assert size.process is not None
        value, u = size.value, size.u
        if (size.piece, size.feature) in tested:
            value, u = _weighed((value, u), tested[size.piece, size.feature])
        found.append(Witness(size.id, size.process, value - size.aim, u, size.scale, size.order[0]))
    return sorted(found, key=lambda w: (w.process, w.when, w.id))


def _sizes_by_tests(state: State) -> dict[tuple[str, str], tuple[float, float]]:
    """Size [SI] and doubt, by bench test, of features tested as they were first cut to an aim.

    The test tells the fit; with the mate's gauged size that is the size of the feature cut last.
    Only that one takes it, so that each test counts once; of several tests the last one tells.
    """
    found = {}
    for test in sorted(state.tests, key=lambda t: t.order):
        binding = state.bindings.get(test.binding)
        fit, sizes = test.resolved.get("fit"), test.resolved["sizes"]
        if binding is None or fit is None:
            continue
        duty = load_duty(test.resolved["duty"])
        features = duty.features(duty.spec_type.model_validate(test.resolved["spec"]))
        last = next(f.name for f in features if f.cut_last)
        outer, inner = duty.window_of or ("", "")
        mate = inner if last == outer else outer
        if mate not in sizes or last not in sizes or sizes[last][2] is None:
            continue
        middle = sizes[mate][0] + (fit[0] if last == outer else -fit[0])
        found[binding.roles[last], last] = (middle, math.hypot(sizes[mate][1], fit[1]))
    return found


def _weighed(one: tuple[float, float], two: tuple[float, float]) -> tuple[float, float]:
    """Two readings of one size, weighed by their doubts; an exact one stands alone."""
    if one[1] == 0.0:
        return one
    first, second = one[1] ** -2, two[1] ** -2
    value = (first * one[0] + second * two[0]) / (first + second)
    return value, (first + second) ** -0.5


def _first_sizes(state: State) -> Iterable[Size]:
    """One size for each cut: the earliest taken as it came off the tool, against an aim."""
    seen: set[tuple[str, str]] = set()
    for size in sorted(state.sizes, key=lambda s: s.order):
        place = (size.piece, size.feature)
        if size.cut != "first" or place in seen:
            continue
        seen.add(place)
        if size.aim is not None and size.process is not None:
            yield size


def counted(state: State) -> dict[str, Counted]:
    """For each process, how many parts speak of it and how many cannot."""
    scrapped = {thing.subject for thing in state.of("scrapped")}
    told = Counter(witness.process for witness in witnesses(state))
    sizes: dict[str, list[Size]] = {process: [] for process in PROCESSES}
    for size in state.sizes:
        if size.process is not None:
            sizes[size.process].append(size)
    return {
        process: Counted(
            told[process],
            len({(s.piece, s.feature) for s in taken if s.cut == "again"}),
            len({(s.piece, s.feature) for s in taken if s.cut == "fitted"}),
            len({s.piece for s in taken if s.piece in scrapped}),
        )
        for process, taken in sizes.items()
    }


def weights(state: State, found: Sequence[Witness]) -> list[float]:
    """How far each witness of one process still counts.

    Every later event on the process trusts the parts before it in part: each counts that share,
    and all of them together no more than ``MOST_FOR_FULL * trust / (1 - trust)`` parts, so that
    a long past cannot outvote a new beginning.
    """
    shares = [1.0] * len(found)
    # Sorted, so that the order of entry cannot even change the last digit.
    events = sorted((thing.spec for thing in state.of("event")), key=lambda e: (e.when, e.trust))
    for event in events:
        before = [
            place
            for place, witness in enumerate(found)
            if event.process in {"all", witness.process} and witness.when < event.when
        ]
        total = event.trust * math.fsum(shares[place] for place in before)
        share = event.trust
        if event.trust < 1.0 and total > 0.0:
            share *= min(1.0, MOST_FOR_FULL * event.trust / (1.0 - event.trust) / total)
        for place in before:
            shares[place] *= share
    return shares


def standings(state: State) -> Mapping[str, Standing]:
    """The standing of every process, from all the evidence in the book."""
    told: dict[str, list[Witness]] = {key: [] for key in PROCESSES}
    for witness in witnesses(state):
        told[witness.process].append(witness)
    found = {}
    for key, kind in PROCESSES.items():
        shown = [
            Shown(w.deviation / kind.unit_at(w.scale), w.u / kind.unit_at(w.scale), share)
            for w, share in zip(told[key], weights(state, told[key]), strict=True)
        ]
        found[key] = _learned(key, tuple(shown))
    return MappingProxyType(found)


@lru_cache(maxsize=64)
def _learned(process: str, shown: tuple[Shown, ...]) -> Standing:
    """What a process has shown; a book asks again after every record, and mostly the same."""
    return learn(prior_of(PROCESSES[process]), shown)


def instruments(state: State) -> Mapping[str, Instrument]:
    """The instruments of the trade, the workshop's own in place of them where it has any."""
    own = {
        thing.name: Instrument(
            thing.name,
            thing.name,
            "length",
            max(thing.spec.u, 1e-9),
            f"the book, checked {thing.spec.checked}" if thing.spec.checked else "the book",
        )
        for thing in state.of("instrument")
    }
    return MappingProxyType({**INSTRUMENTS, **own})


def instrument_u(state: State, name: str) -> float:
    """Standard uncertainty of an instrument [m]: the workshop's own, the trade's, else zero."""
    for thing in state.of("instrument"):
        if thing.name.casefold() == name.casefold():
            return float(thing.spec.u)
    return default_u(name) or 0.0


def lathe_of(state: State) -> Lathe:
    """The workshop's lathe as the book knows it."""
    machines, workshops = state.of("machine"), state.of("workshop")
    name = machines[0].name if machines else "lathe of this book"
    return Lathe(
        name=name,
        standings=standings(state),
        instruments=instruments(state),
        invented=any(w.spec.invented == "yes" for w in workshops),
    )
