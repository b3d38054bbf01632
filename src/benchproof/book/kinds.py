"""Kinds of record: what a builder enters, read from text, kept as text and in SI.

A record's body holds the text as stated, its reading in SI, and the version of its kind. Kinds
that state a duty's spec or a bench test's readings keep that text whole.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated, Any, ClassVar, Final

from benchproof.book.days import understood_with_days
from benchproof.features import PROCESSES
from benchproof.instruments import INSTRUMENTS
from benchproof.specs import (
    Choice,
    Count,
    Length,
    MassFlow,
    Number,
    Pressure,
    Spec,
    Temperature,
    Words,
)
from benchproof.workshop.lot_spec import LotSpec

GROUPS: Final = (
    "wheels and axles",
    "frames and springs",
    "cylinders and motion",
    "boiler",
    "feed and fittings",
    "platework",
    "tender and brakes",
    "other",
)
CUTS: Final = ("first", "again", "fitted")
OF_LENGTHS: Final = tuple(key for key, kind in PROCESSES.items() if kind.unit != "rad")
DATE: Final = "date, as 2026-03-01"


class Workshop(Spec):
    """The workshop a book is kept in."""

    version: ClassVar[int] = 1
    name: Annotated[str, Words("name", max_length=80)]
    units: Annotated[
        str,
        Choice(
            "units",
            options=("metric", "inch"),
            help="of answers: millimetres, bar, °C, or inches, psi, °F",
        ),
    ] = "metric"
    invented: Annotated[
        str, Choice("invented", options=("yes", "no"), help="made up, for demonstration")
    ] = "no"
    note: Annotated[str, Words("note", max_length=2000)] = ""


class Machine(Spec):
    """A machine of the workshop."""

    version: ClassVar[int] = 1
    name: Annotated[str, Words("name", max_length=80)]
    swing_over_bed: Annotated[float | None, Length("swing over bed", maximum=3.0)] = None
    swing_over_slide: Annotated[float | None, Length("swing over cross-slide", maximum=3.0)] = None
    between_centres: Annotated[float | None, Length("between centres", maximum=20.0)] = None
    note: Annotated[str, Words("note", max_length=2000)] = ""


class OwnInstrument(Spec):
    """A measuring instrument with its doubt and when it was last checked."""

    version: ClassVar[int] = 1
    name: Annotated[str, Words("name", help="as measurements call it", max_length=60)]
    u: Annotated[float, Length("standard uncertainty", unit="um", minimum=0.0, maximum=1e-3)]
    checked: Annotated[str, Words("last checked", help=DATE, max_length=40)] = ""
    note: Annotated[str, Words("note", max_length=2000)] = ""


class Engine(Spec):
    """An engine, with the leading values its specs inherit."""

    version: ClassVar[int] = 1
    name: Annotated[str, Words("name", max_length=80)]
    gauge: Annotated[float | None, Length("gauge of the track", maximum=0.5)] = None
    boiler_pressure: Annotated[
        float | None, Pressure("boiler pressure", unit="bar", minimum=0.5e5, maximum=20e5)
    ] = None
    evaporation: Annotated[
        float | None, MassFlow("evaporation", unit="kg/h", minimum=0.0, maximum=0.1)
    ] = None
    note: Annotated[str, Words("note", max_length=2000)] = ""


class Part(Spec):
    """A part: a drawing, so many off."""

    version: ClassVar[int] = 1
    name: Annotated[str, Words("name", max_length=80)]
    group: Annotated[str, Choice("group", options=GROUPS)] = "other"
    off: Annotated[int, Count("off", help="how many are wanted", minimum=1, maximum=10_000)] = 1
    made_from: Annotated[
        str,
        Choice(
            "made from",
            options=("bar", "casting", "either"),
            help="its shop card gives the blank: bar to saw off, or a casting and its pattern",
        ),
    ] = "either"
    note: Annotated[str, Words("note", max_length=2000)] = ""


class Piece(Spec):
    """One made thing, or one to be made."""

    version: ClassVar[int] = 1
    name: Annotated[str, Words("name", help="left, right, no. 17", max_length=80)]
    note: Annotated[str, Words("note", max_length=2000)] = ""


class PastPart(Spec):
    """A part made before the book was kept: what was aimed for, and what came out first."""

    version: ClassVar[int] = 1
    process: Annotated[str, Choice("process", options=OF_LENGTHS)]
    aim: Annotated[float, Length("aimed for", minimum=0.1e-3, maximum=1.0)]
    came_out: Annotated[float, Length("came out", minimum=0.1e-3, maximum=1.0)]
    u: Annotated[
        float | None, Length("standard uncertainty", unit="um", minimum=0.0, maximum=1e-3)
    ] = None
    instrument: Annotated[str, Words("instrument", max_length=60)] = ""
    when: Annotated[str, Words("when", help=DATE, max_length=40)] = ""


class Event(Spec):
    """Something that changed a machine: a new bearing, a chuck changed."""

    version: ClassVar[int] = 1
    what: Annotated[str, Words("what happened", max_length=200)]
    when: Annotated[str, Words("when", help=DATE, max_length=40)]
    trust: Annotated[
        float,
        Number(
            "trust in the past",
            help="how far parts before it still count",
            minimum=0.01,
            maximum=1.0,
        ),
    ] = 0.25
    process: Annotated[
        str,
        Choice("process", options=("all", *PROCESSES), help="what it changed"),
    ] = "all"


class Scrapped(Spec):
    """A piece that is lost."""

    version: ClassVar[int] = 1
    why: Annotated[str, Words("why", max_length=500)]
    when: Annotated[str, Words("when", help=DATE, max_length=40)] = ""


class Note(Spec):
    """A note about anything in the book."""

    version: ClassVar[int] = 1
    text: Annotated[str, Words("note", max_length=20_000)]
    when: Annotated[str, Words("when", help=DATE, max_length=40)] = ""


class SizeTaken(Spec):
    """How and when a size was taken; the size itself is read in the feature's own kind."""

    version: ClassVar[int] = 1
    instrument: Annotated[str, Words("instrument", max_length=60)] = ""
    machine: Annotated[str, Words("machine", help="where it was cut", max_length=80)] = ""
    cut: Annotated[
        str,
        Choice(
            "cut",
            options=CUTS,
            help="first: as it came off the tool; again: after another cut; fitted: cut until it "
            "fitted, to no aim",
        ),
    ] = "first"
    part_temperature: Annotated[
        float | None, Temperature("temperature of the part", minimum=253.15, maximum=373.15)
    ] = None
    room_temperature: Annotated[
        float | None, Temperature("temperature of the room", minimum=253.15, maximum=323.15)
    ] = None
    when: Annotated[str, Words("when", help=DATE, max_length=40)] = ""


class Lot(LotSpec):
    """Pieces of a part made together for one feature; their readings are records of their own."""

    version: ClassVar[int] = 1
    name: Annotated[str, Words("name", max_length=80)]
    feature: Annotated[str, Words("feature", help="the one that decides", max_length=60)] = (
        "diameter"
    )
    machine: Annotated[str, Words("machine", help="its id; the first if left out")] = ""
    note: Annotated[str, Words("note", max_length=2000)] = ""


KINDS: Final[Mapping[str, type[Spec]]] = MappingProxyType(
    {
        "workshop": Workshop,
        "machine": Machine,
        "instrument": OwnInstrument,
        "engine": Engine,
        "part": Part,
        "piece": Piece,
        "lot": Lot,
        "past part": PastPart,
        "event": Event,
        "scrapped": Scrapped,
        "note": Note,
    }
)


def stated_body(kind: str, stated: Mapping[str, object]) -> dict[str, Any]:
    """Read what was stated for a kind; raises ``SpecError`` with every problem."""
    understood = understood_with_days(KINDS[kind], stated)
    return {
        "version": KINDS[kind].version,
        "stated": understood.text,
        "si": understood.spec.model_dump(mode="json"),
    }


def spec_of(kind: str, body: Mapping[str, Any]) -> Any:
    """The reading of a record in SI, as its kind's model."""
    return KINDS[kind].model_validate(body["si"])


def default_u(instrument: str) -> float | None:
    """Standard uncertainty of an instrument of the trade, if it is one."""
    known = INSTRUMENTS.get(instrument)
    return None if known is None or known.measures not in {"length", "angle"} else known.u
