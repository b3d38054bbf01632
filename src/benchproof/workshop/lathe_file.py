"""Read a lathe file: past parts of every process counted in that process's own unit.

The file is TOML. Under ``[standing.bore]`` stands what is known in sum of past bores, each
``[[part]]`` is one past part, and ``[instrument."bore gauge"]`` replaces what is assumed of an
instrument. Everything wrong with it is reported at once, each by the name of its field.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType
from typing import Final, TypeVar, cast

from benchproof.features import PROCESSES, ProcessKind
from benchproof.instruments import INSTRUMENTS, Instrument, Measures
from benchproof.quantities.errors import shortened
from benchproof.specs import Problem, Spec, SpecError, read_toml
from benchproof.workshop.lathe_specs import (
    AngleInstrument,
    AnglePart,
    AngleSummary,
    DiameterPart,
    DiameterSummary,
    DurationInstrument,
    Heading,
    LengthInstrument,
    MassInstrument,
    PlacePart,
    PlaceSummary,
    TemperatureInstrument,
)
from benchproof.workshop.standing import Shown, Summary

MOST_ROWS: Final = 1000
"""More single parts, or more instruments, than this are refused: state a summary instead."""

SpecT = TypeVar("SpecT", bound=Spec)
AnyInstrument = (
    LengthInstrument | AngleInstrument | DurationInstrument | MassInstrument | TemperatureInstrument
)

_INSTRUMENT_SPECS: Final[Mapping[str, type[AnyInstrument]]] = {
    "length": LengthInstrument,
    "angle": AngleInstrument,
    "duration": DurationInstrument,
    "mass": MassInstrument,
    "temperature": TemperatureInstrument,
}


@dataclass(frozen=True)
class LatheRecord:
    """What a lathe file states, deviations in each process's own unit."""

    name: str
    invented: bool
    notes: tuple[str, ...]
    shown: Mapping[str, tuple[Shown, ...]]
    summaries: Mapping[str, Summary]
    instruments: Mapping[str, Instrument]


def read_lathe_file(path: Path | str) -> LatheRecord:
    """Read a lathe file; raises SpecError with everything that is wrong with it."""
    stated = read_toml(path)
    reader = _Reader()
    heading = reader.read(
        Heading,
        {key: value for key, value in stated.items() if key not in _Reader.GROUPS},
        path="",
        label="",
    )
    instruments = dict(INSTRUMENTS) | reader.instruments(stated.get("instrument"))
    summaries = reader.summaries(stated.get("standing"))
    shown = reader.parts(stated.get("part"), instruments)
    if reader.problems or heading is None:
        raise SpecError(reader.problems)
    return LatheRecord(
        name=heading.name,
        invented=heading.invented,
        notes=tuple(line.strip() for line in heading.notes.splitlines() if line.strip()),
        shown=MappingProxyType({key: tuple(parts) for key, parts in shown.items()}),
        summaries=MappingProxyType(summaries),
        instruments=MappingProxyType(instruments),
    )


class _Reader:
    """Reads the groups of one file and collects what is wrong on the way."""

    GROUPS = ("standing", "part", "instrument")

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def read(
        self, spec_type: type[SpecT], stated: Mapping[str, object], *, path: str, label: str
    ) -> SpecT | None:
        """Return the spec, or None with its problems noted under the path they stand at."""
        try:
            return spec_type.from_text(stated).spec
        except SpecError as error:
            self.problems += [
                replace(problem, field=path + problem.field, label=label + problem.label)
                for problem in error.problems
            ]
            return None

    def note(self, field: str, given: object, message: str, example: str = "") -> None:
        """Note one thing wrong; ``given`` is None where nothing was given."""
        label = field.replace(".", " ")
        shown = "" if given is None else shortened(given)
        self.problems.append(Problem(field, label, shown, message, example))

    def groups(self, stated: object, name: str, example: str) -> dict[str, Mapping[str, object]]:
        """Named groups below ``name``; what is none is noted and left out."""
        if stated is None:
            return {}
        if not isinstance(stated, dict):
            self.note(name, stated, "must be a group of groups", example)
            return {}
        if len(stated) > MOST_ROWS:
            self.note(name, None, f"has {len(stated)} groups; give {MOST_ROWS} at most")
            return {}
        good: dict[str, Mapping[str, object]] = {}
        for key, group in stated.items():
            if isinstance(group, dict):
                good[key] = group
            else:
                self.note(f"{name}.{shortened(key)}", group, "must be a group", example)
        return good

    def process(self, key: object, field: str) -> ProcessKind | None:
        """Return the process of this name, or None with the known ones noted."""
        kind = PROCESSES.get(key) if isinstance(key, str) else None
        if kind is None:
            close = get_close_matches(shortened(key), PROCESSES, 1)
            message = f"is no process; known are {', '.join(PROCESSES)}"
            self.note(field, key, message, close[0] if close else next(iter(PROCESSES)))
        return kind

    def instruments(self, stated: object) -> dict[str, Instrument]:
        """Return what the builder says of instruments, in place of what is assumed."""
        found = {}
        for key, group in self.groups(stated, "instrument", '[instrument."bore gauge"]').items():
            shown = shortened(key)
            usual = INSTRUMENTS.get(key)
            filled: Mapping[str, object] = {"measures": usual.measures, **group} if usual else group
            measures = filled.get("measures", "length")
            spec_type = (
                _INSTRUMENT_SPECS.get(measures) if isinstance(measures, str) else None
            ) or LengthInstrument
            spec = self.read(
                spec_type, filled, path=f"instrument.{shown}.", label=f"instrument {shown}: "
            )
            if spec is not None:
                found[key] = Instrument(
                    key=key,
                    name=spec.name or (usual.name if usual else key),
                    measures=cast(Measures, spec.measures),
                    u=spec.u,
                    source="stated by the builder",
                )
        return found

    def summaries(self, stated: object) -> dict[str, Summary]:
        """Past work known in sum, by process."""
        found = {}
        for key, group in self.groups(stated, "standing", "[standing.bore]").items():
            shown = shortened(key)
            kind = self.process(key, f"standing.{shown}")
            if kind is None:
                continue
            where = {"path": f"standing.{shown}.", "label": f"standing {shown}: "}
            spec: DiameterSummary | PlaceSummary | AngleSummary | None
            if kind.unit == "tolerance unit":
                spec = self.read(DiameterSummary, group, **where)
            elif kind.unit == "m":
                spec = self.read(PlaceSummary, group, **where)
            else:
                spec = self.read(AngleSummary, group, **where)
            if spec is not None:
                found[key] = _summary(spec, kind)
        return found

    def parts(
        self, stated: object, instruments: Mapping[str, Instrument]
    ) -> dict[str, list[Shown]]:
        """Single past parts, by process."""
        found: dict[str, list[Shown]] = {}
        if stated is None:
            return found
        if not isinstance(stated, list):
            message = "must be rows: put a line [[part]] above the values of each"
            self.note("part", stated, message, "[[part]]")
            return found
        if len(stated) > MOST_ROWS:
            self.note("part", None, f"has {len(stated)} rows; give {MOST_ROWS} at most")
            return found
        for number, row in enumerate(stated):
            if not isinstance(row, dict):
                self.note(f"part.{number}", row, "must be a group", "[[part]]")
                continue
            kind = self.process(row.get("process"), f"part.{number}.process")
            if kind is None:
                continue
            shown = self._part(row, kind, number, instruments)
            if shown is not None:
                found.setdefault(kind.key, []).append(shown)
        return found

    def _part(
        self,
        row: Mapping[str, object],
        kind: ProcessKind,
        number: int,
        instruments: Mapping[str, Instrument],
    ) -> Shown | None:
        stated = {key: value for key, value in row.items() if key != "process"}
        where = {"path": f"part.{number}.", "label": f"part {number + 1}: "}
        spec: DiameterPart | PlacePart | AnglePart | None
        if kind.unit == "tolerance unit":
            spec = self.read(DiameterPart, stated, **where)
        elif kind.unit == "m":
            spec = self.read(PlacePart, stated, **where)
        else:
            spec = self.read(AnglePart, stated, **where)
        if spec is None:
            return None
        u = spec.u
        if u is None:
            fitting = [
                key
                for key, instrument in instruments.items()
                if instrument.measures == ("angle" if kind.unit == "rad" else "length")
            ]
            if spec.instrument not in fitting:
                message = f"is no instrument for it here; known are {', '.join(fitting)}"
                self.note(f"part.{number}.instrument", spec.instrument, message, fitting[0])
                return None
            u = instruments[spec.instrument].u
        unit = kind.unit_at(spec.aim)
        return Shown((spec.came_out - spec.aim) / unit, u / unit, spec.weight)


def _summary(spec: DiameterSummary | PlaceSummary | AngleSummary, kind: ProcessKind) -> Summary:
    unit = kind.unit_at(spec.at if isinstance(spec, DiameterSummary) else 1.0)
    if isinstance(spec, DiameterSummary) and spec.grade is not None:
        # IT6 is ten tolerance units, five grades are a factor of ten, and six sigma fill it.
        spread = 10.0 * 10.0 ** ((spec.grade - 6.0) / 5.0) / 6.0
    else:
        assert spec.spread is not None
        spread = spec.spread / unit
    return Summary(spec.parts, spec.bias / unit, spread, spec.u / unit, spec.weight)
