"""Finished features as their builder states them: measured size, gauge, aim when cut."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any

from benchproof.duties.contract import Duty
from benchproof.features import Feature
from benchproof.quantities import QuantityError, parse
from benchproof.reckon.answer import Flagged
from benchproof.reckon.joint import Made
from benchproof.specs import Problem, SpecError
from benchproof.workshop.lathe import Lathe

_KEYS = ("size", "u", "instrument", "aim", "fitted")
CERTAIN = 0.998  # a size outside this predictive interval was not cut to the planned aim


def read_finished(
    stated: Mapping[str, object], duty: Duty[Any], spec: Any, lathe: Lathe
) -> tuple[dict[str, Made], list[Flagged]]:
    """Read finished features of one part, each a table named after its feature.

    A table has ``size``; ``u`` (standard uncertainty) or ``instrument``, else the feature's usual
    gauge; ``aim`` when cut, or ``fitted = true`` for a piece cut until it fitted. Where no aim is
    stated the planned one is taken, unless the size lies too far from it or the piece is cut to
    suit. Raises ``SpecError`` with every problem.
    """
    features = {feature.name: feature for feature in duty.features(spec)}
    problems: list[Problem] = []
    made: dict[str, Made] = {}
    flags: list[Flagged] = []
    for name, table in stated.items():
        if name not in features:
            near = get_close_matches(str(name), features, n=1)
            hint = f"did you mean {near[0]!r}? " if near else ""
            problems.append(
                Problem(
                    field=str(name),
                    label=str(name),
                    given=str(name),
                    message=f"is no feature of {duty.key}; there are: {', '.join(features)}",
                    example=f"{hint}[{next(iter(features))}]",
                )
            )
        elif not isinstance(table, Mapping):
            problems.append(_problem(name, table, "must be a table with a size", f"[{name}]"))
        else:
            read = _read_one(features[name], table, lathe, problems)
            if read is not None:
                made[name], flag = _with_aim(features[name], read, table, duty, spec, lathe)
                flags += flag
    if problems:
        raise SpecError(tuple(problems))
    return made, flags


def _problem(field: str, given: object, message: str, example: str) -> Problem:
    return Problem(
        field=field, label=field, given=str(given)[:60], message=message, example=example
    )


def _read_one(
    feature: Feature, table: Mapping[str, object], lathe: Lathe, problems: list[Problem]
) -> Made | None:
    before = len(problems)
    for key in table:
        if key not in _KEYS:
            near = get_close_matches(str(key), _KEYS, n=1)
            problems.append(
                _problem(
                    f"{feature.name}.{key}",
                    key,
                    f"is not known here; there are: {', '.join(_KEYS)}",
                    near[0] if near else _KEYS[0],
                )
            )

    def quantity(key: str, *, least: float | None = None) -> float | None:
        if key not in table:
            return None
        kind = feature.kind if key != "u" else feature.kind.deviation
        unit = kind.display(feature.aim, "metric").symbol if key != "u" else _small_unit(kind)
        try:
            return parse(table[key], kind, default_unit=unit, minimum=least)  # type: ignore[arg-type]
        except QuantityError as refused:
            problems.append(
                Problem(
                    field=f"{feature.name}.{key}",
                    label=f"{feature.label}, {key}",
                    given=refused.given,
                    message=f"{refused.reason}; give {refused.allowed}",
                    example=refused.example,
                )
            )
            return None

    if "size" not in table:
        problems.append(
            _problem(f"{feature.name}.size", "nothing", "the measured size is missing", "30 mm")
        )
    if "fitted" in table and not isinstance(table["fitted"], bool):
        problems.append(
            _problem(f"{feature.name}.fitted", table["fitted"], "must be true or false", "true")
        )
    size, aim, u = quantity("size"), quantity("aim"), quantity("u", least=0.0)
    if u is None and "u" not in table:
        u = _instrument_u(feature, table, lathe, problems)
    if len(problems) > before or size is None or u is None:
        return None
    return Made(size, u, aim)


def _small_unit(kind: Any) -> str:
    return "µm" if kind.unit == "m" else str(kind.unit)


def _instrument_u(
    feature: Feature, table: Mapping[str, object], lathe: Lathe, problems: list[Problem]
) -> float | None:
    key = str(table.get("instrument", feature.gauge or ""))
    if key in lathe.instruments:
        return lathe.instruments[key].u
    if not key:
        return 0.0
    near = get_close_matches(key, lathe.instruments, n=1)
    problems.append(
        _problem(
            f"{feature.name}.instrument",
            key,
            f"is not among the instruments: {', '.join(lathe.instruments)}",
            near[0] if near else next(iter(lathe.instruments)),
        )
    )
    return None


def _with_aim(
    feature: Feature,
    read: Made,
    table: Mapping[str, object],
    duty: Duty[Any],
    spec: Any,
    lathe: Lathe,
) -> tuple[Made, list[Flagged]]:
    """Decide what the piece was aimed at, and say so where it was not stated."""
    if table.get("fitted") is True:
        return Made(read.size, read.u, None), []
    if read.aim is not None or feature.to_suit:
        return read, []
    errors = {error.name: error for error in duty.errors(spec)}
    reach = 3.0 * read.u
    for name, gain in feature.gains.items():
        low, high = lathe.standings[errors[name].process].predictive_interval(CERTAIN)
        reach += abs(gain) * errors[name].unit * max(abs(low), abs(high))
    if abs(read.size - feature.aim) > reach:
        return Made(read.size, read.u, None), [
            Flagged(
                "far from the plan",
                f"The {feature.label} lies farther from its planned size than this lathe misses "
                "by, so it was aimed elsewhere, or the reading or its unit is wrong. State the "
                "aim when cut.",
            )
        ]
    return Made(read.size, read.u, feature.aim), []
