"""What a lathe has shown, replayed from the evidence in a book: each piece of it once.

Only a first size taken against an aim tells of a process; what was cut again, or until it
fitted, tells only that it was, and is counted beside. A machine event starts a new chapter: parts
before it count in part. Nothing depends on the order of entry.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from benchproof.book.records import default_u
from benchproof.book.state import Size, State
from benchproof.features import PROCESSES
from benchproof.instruments import INSTRUMENTS, Instrument
from benchproof.workshop.lathe import Lathe, prior_of
from benchproof.workshop.standing import Shown, Standing, learn


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
    for size in _first_sizes(state):
        assert size.aim is not None
        assert size.process is not None
        found.append(
            Witness(size.id, size.process, size.value - size.aim, size.u, size.scale, size.when)
        )
    return sorted(found, key=lambda w: (w.process, w.when, w.id))


def _first_sizes(state: State) -> Iterable[Size]:
    """One size for each cut: the earliest taken as it came off the tool, against an aim."""
    seen: set[tuple[str, str]] = set()
    for size in sorted(state.sizes, key=lambda s: (s.when, s.id)):
        place = (size.piece, size.feature)
        if size.cut != "first" or place in seen:
            continue
        seen.add(place)
        if size.aim is not None and size.process is not None:
            yield size


def counted(state: State) -> dict[str, Counted]:
    """For each process, how many parts speak of it and how many cannot."""
    scrapped = {thing.subject for thing in state.of("scrapped")}
    found = {}
    for process in PROCESSES:
        sizes = [size for size in state.sizes if size.process == process]
        found[process] = Counted(
            sum(w.process == process for w in witnesses(state)),
            len({(s.piece, s.feature) for s in sizes if s.cut == "again"}),
            len({(s.piece, s.feature) for s in sizes if s.cut == "fitted"}),
            len({s.piece for s in sizes if s.piece in scrapped}),
        )
    return found


def weight(state: State, witness: Witness) -> float:
    """How far a witness still counts: every later event on its process trusts it in part."""
    share = 1.0
    for thing in state.of("event"):
        event = thing.spec
        if event.process in {"all", witness.process} and witness.when < event.when:
            share *= event.trust
    return share


def standings(state: State) -> Mapping[str, Standing]:
    """The standing of every process, from all the evidence in the book."""
    shown: dict[str, list[Shown]] = {key: [] for key in PROCESSES}
    for witness in witnesses(state):
        unit = PROCESSES[witness.process].unit_at(witness.scale)
        shown[witness.process].append(
            Shown(witness.deviation / unit, witness.u / unit, weight(state, witness))
        )
    return MappingProxyType(
        {key: learn(prior_of(kind), shown[key]) for key, kind in PROCESSES.items()}
    )


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
        if thing.name == name:
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
