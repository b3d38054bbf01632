"""What a lathe has shown, replayed from the evidence in a book: each piece of it once.

Only a first size taken against an aim tells of a process; what was cut again, or until it
fitted, tells only that it was, and is counted beside. A machine event starts a new chapter: parts
before it count in part. A bench test of a piece as it was first cut sharpens the size of the
feature cut last. Of a lot the first piece of each setting counts: the others share its offset.
Nothing depends on the order of entry.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from types import MappingProxyType
from typing import Any, Final

from benchproof.book.kinds import default_u
from benchproof.book.roles import first_machine, machine_of, roles_of
from benchproof.book.state import Size, State, Thing
from benchproof.duties import load_duty
from benchproof.features import PROCESSES
from benchproof.instruments import INSTRUMENTS, Instrument
from benchproof.quantities import LENGTH
from benchproof.reckon.lot_entries import lot_readings
from benchproof.reckon.lot_evidence import shown_by_lot
from benchproof.workshop.lathe import Lathe, prior_of
from benchproof.workshop.standing import Shown, Standing, learn
from benchproof.workshop.usual_gauges import usual_gauge

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
    machine: str | None = None
    lot: str | None = None


@dataclass(frozen=True)
class Counted:
    """What stands behind a process, and what could not; ``in_lots`` pieces were read in lots."""

    witnesses: int
    cut_again: int
    fitted: int
    scrapped: int
    in_lots: int = 0


def witnesses(state: State) -> list[Witness]:
    """Every first size against an aim in the book, each once."""
    found = []
    for thing in state.of("past part"):
        past = thing.spec
        gauge = past.instrument or usual_gauge(past.process)
        u = past.u if past.u is not None else instrument_u(state, gauge)
        off = past.came_out - past.aim
        machine = thing.subject or first_machine(state)
        found.append(Witness(thing.id, past.process, off, u, past.aim, past.when, machine))
    tested = _sizes_by_tests(state)
    for size, aim, process in _first_sizes(state):
        value, u = size.value, size.u
        if (size.piece, size.feature) in tested:
            value, u = _weighed((value, u), tested[size.piece, size.feature])
        when = size.order[0]
        machine = size.machine or first_machine(state)
        found.append(Witness(size.id, process, value - aim, u, size.scale, when, machine))
    found += _of_lots(state)
    return sorted(found, key=lambda w: (w.process, w.when, w.id))


def _of_lots(state: State) -> list[Witness]:
    """The first piece read of each setting of every lot, by :func:`shown_by_lot`."""
    found = []
    for lot in state.of("lot"):
        process, scale = lot.spec.process, lot.spec.middle
        machine = machine_of_lot(state, lot)
        for each in state.first_of_settings(lot.id):
            (shown,) = shown_by_lot(lot_readings([each.piece]), unit=1.0, u=each.u)
            off, u = shown.deviation, shown.u
            found.append(Witness(each.id, process, off, u, scale, each.day, machine, lot.id))
    return found


def machine_of_lot(state: State, lot: Thing) -> str | None:
    """The machine a lot is cut on: the one it was entered with, else the first."""
    given: str = lot.spec.machine
    return given if given in state.things else first_machine(state)


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


def _first_sizes(state: State) -> Iterable[tuple[Size, float, str]]:
    """One size for each cut, with its aim and process: the earliest as it came off the tool."""
    seen: set[tuple[str, str, int]] = set()
    lost = {str(thing.subject): state.lost(str(thing.subject)) for thing in state.of("scrapped")}
    for size in sorted(_understood(state), key=lambda s: s.order):
        lives = sum(size.order > gone for gone in lost.get(size.piece, ()))
        place = (size.piece, size.feature, lives)
        if size.cut != "first" or place in seen:
            continue
        seen.add(place)
        if size.aim is not None and size.process is not None:
            yield size, size.aim, size.process


def _understood(state: State) -> list[Size]:
    """Every size, with the process and machine that a duty given since then says it was cut by."""
    routes = {
        (piece, role): machine_of(state, binding)
        for binding in state.bindings.values()
        for role, piece in binding.roles.items()
    }
    found = []
    for size in state.sizes:
        place = (size.piece, size.feature)
        changed: dict[str, Any] = {}
        if size.machine is None and routes.get(place) is not None:
            changed["machine"] = routes[place]
        if size.process is None and place in routes:
            role = roles_of(state, size.piece)[size.feature]
            if role.feature.kind is LENGTH:  # that is what it was read as
                changed |= {"process": role.process, "scale": role.scale}
        found.append(replace(size, **changed) if changed else size)
    return found


def counted(state: State, machine: str | None = None) -> dict[str, Counted]:
    """For each process of a machine, how many parts speak of it and how many cannot.

    Without a machine, of the first one.
    """
    there = machine or first_machine(state)
    scrapped = {thing.subject for thing in state.of("scrapped")}
    told = Counter(w.process for w in witnesses(state) if w.machine == there)
    sizes: dict[str, list[Size]] = {process: [] for process in PROCESSES}
    for size in _understood(state):
        if size.process is not None and (size.machine or first_machine(state)) == there:
            sizes[size.process].append(size)
    in_lots: Counter[str] = Counter()
    for lot in state.of("lot"):
        if machine_of_lot(state, lot) == there:
            in_lots[lot.spec.process] += len(state.lot_readings(lot.id))
    return {
        process: Counted(
            told[process],
            len({(s.piece, s.feature) for s in taken if s.cut == "again"}),
            len({(s.piece, s.feature) for s in taken if s.cut == "fitted"}),
            len({s.piece for s in taken if s.piece in scrapped}),
            in_lots[process],
        )
        for process, taken in sizes.items()
    }


def weights(state: State, found: Sequence[Witness], machine: str | None = None) -> list[float]:
    """How far each witness of one process of a machine still counts.

    Every later event on machine and process trusts the parts before it in part: each counts that
    share, and all of them together no more than ``MOST_FOR_FULL * trust / (1 - trust)`` parts, so
    that a long past cannot outvote a new beginning.
    """
    there = machine or first_machine(state)
    shares = [1.0] * len(found)
    # Sorted, so that the order of entry cannot even change the last digit.
    events = sorted(
        (
            thing.spec
            for thing in state.of("event")
            if (thing.subject or first_machine(state)) == there
        ),
        key=lambda e: (e.when, e.trust),
    )
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


def standings(
    state: State, machine: str | None = None, *, without: str | None = None
) -> Mapping[str, Standing]:
    """The standing of every process of a machine, from all the evidence in the book.

    Without a machine, of the first one. The lot ``without`` which it is asked for is left out: a
    lot is judged by its own readings besides, and no reading counts twice.
    """
    there = machine or first_machine(state)
    told: dict[str, list[Witness]] = {key: [] for key in PROCESSES}
    for witness in witnesses(state):
        if witness.machine == there and (without is None or witness.lot != without):
            told[witness.process].append(witness)
    found = {}
    for key, kind in PROCESSES.items():
        units = {scale: kind.unit_at(scale) for scale in {w.scale for w in told[key]}}
        shown = [
            Shown(w.deviation / units[w.scale], w.u / units[w.scale], share)
            for w, share in zip(told[key], weights(state, told[key], there), strict=True)
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


def lathe_of(state: State, machine: str | None = None) -> Lathe:
    """A machine of the workshop as the book knows it; without one named, the first."""
    there, workshops = machine or first_machine(state), state.of("workshop")
    name = state.things[there].name if there is not None else "lathe of this book"
    return Lathe(
        name=name,
        standings=standings(state, there),
        instruments=instruments(state),
        invented=any(w.spec.invented == "yes" for w in workshops),
    )
