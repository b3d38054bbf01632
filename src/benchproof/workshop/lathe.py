"""One builder's lathe: what it has shown process by process, and the instruments beside it.

A lathe nobody has told anything about is an *assumed* one: a careful builder's prior with no
parts behind it, and every face that shows it says so.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

from benchproof.features import PROCESSES, ProcessKind
from benchproof.instruments import INSTRUMENTS, Instrument
from benchproof.quantities import (
    ANGLE,
    DURATION,
    LENGTH,
    MASS,
    TEMPERATURE_DIFFERENCE,
    System,
    show,
)
from benchproof.workshop.lathe_file import read_lathe_file
from benchproof.workshop.standing import Prior, Standing, learn
from benchproof.workshop.standing_words import words

_KIND_MEASURED = {
    "length": LENGTH,
    "angle": ANGLE,
    "duration": DURATION,
    "mass": MASS,
    "temperature": TEMPERATURE_DIFFERENCE,
}
_LINE_WIDTH = 80
_HEADING_WIDTH = 19


@dataclass(frozen=True)
class Lathe:
    """A lathe with its standing per process key and its instruments per key.

    Every process of :data:`benchproof.features.PROCESSES` has a standing, the prior where no
    part speaks. ``invented`` marks made-up records, for demonstrations.
    """

    name: str
    standings: Mapping[str, Standing]
    instruments: Mapping[str, Instrument] = field(default_factory=lambda: INSTRUMENTS)
    invented: bool = False
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        missing = [key for key in PROCESSES if key not in self.standings]
        if missing:
            raise ValueError(f"lathe {self.name!r} has no standing for {', '.join(missing)}")

    @property
    def assumed(self) -> bool:
        """Whether no part of its own stands behind anything said of it."""
        return all(standing.parts == 0 for standing in self.standings.values())


def prior_of(kind: ProcessKind) -> Prior:
    """Return what is believed of a process before the first part, in its own unit."""
    return Prior(spread=kind.typical_spread, factor=kind.spread_factor, bias_sd=kind.typical_bias)


@lru_cache(maxsize=1)
def assumed_standings() -> Mapping[str, Standing]:
    """Return the standing of a careful builder without a single part, for every process."""
    return MappingProxyType({key: learn(prior_of(kind)) for key, kind in PROCESSES.items()})


def assumed_lathe() -> Lathe:
    """Return the lathe that is taken when nothing is known: priors alone, default instruments."""
    return Lathe(name="assumed, careful builder", standings=assumed_standings())


def load_lathe(path: Path | str) -> Lathe:
    """Return the lathe a file describes; raises SpecError with everything wrong with the file.

    The same file gives the same standings in whatever order its parts stand.
    """
    record = read_lathe_file(path)
    standings = {
        key: learn(prior_of(kind), record.shown.get(key, ()), record.summaries.get(key))
        for key, kind in PROCESSES.items()
    }
    return Lathe(
        name=record.name,
        standings=MappingProxyType(standings),
        instruments=record.instruments,
        invented=record.invented,
        notes=record.notes,
    )


def report(lathe: Lathe, *, system: System = "metric") -> list[str]:
    """Return what a lathe has shown, as lines of at most 80 columns."""
    size = 25e-3 if system == "metric" else 25.4e-3
    lines = _wrapped("", lathe.name)
    if lathe.invented:
        lines += _wrapped("", "Invented: nobody's lathe, made up to show how this works.")
    if lathe.assumed:
        lines += _wrapped("", "No parts yet: a careful builder is assumed throughout.")
    for note in lathe.notes:
        lines += _wrapped("", note)
    for key, kind in PROCESSES.items():
        lines += _wrapped(key, words(lathe.standings[key], kind, size=size, system=system))
    for instrument in lathe.instruments.values():
        u = show(instrument.u, _KIND_MEASURED[instrument.measures], system=system)
        doubt = f"{instrument.name}: standard uncertainty {u} ({instrument.source})"
        lines += _wrapped(instrument.key, doubt)
    lines += _wrapped(
        "", "Deviations are true size less aim, on diameter. Older parts may count in part."
    )
    return lines


def _wrapped(heading: str, text: str) -> list[str]:
    """Text beside its heading, or at the margin where it has none, in lines that fit."""
    if not heading:
        return textwrap.wrap(text, width=_LINE_WIDTH)
    above: list[str] = []
    if len(heading) >= _HEADING_WIDTH:
        above, heading = textwrap.wrap(heading, width=_LINE_WIDTH), ""
    beside = textwrap.wrap(
        text,
        width=_LINE_WIDTH,
        initial_indent=f"{heading:<{_HEADING_WIDTH}}",
        subsequent_indent=" " * _HEADING_WIDTH,
        break_on_hyphens=False,
    )
    return above + beside
