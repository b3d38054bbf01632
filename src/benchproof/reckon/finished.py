"""Finished features as their builder states them: measured size, gauge, aim when cut."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any, Final

from benchproof.duties.contract import Duty
from benchproof.features import Feature
from benchproof.quantities import LENGTH, Kind, QuantityError, parse, show
from benchproof.quantities.errors import shortened
from benchproof.reckon.answer import Flagged
from benchproof.reckon.joint import Made
from benchproof.specs import Problem, SpecError
from benchproof.workshop.lathe import Lathe

_KEYS: Final = ("size", "u", "instrument", "aim", "fitted")
CERTAIN: Final = 0.998  # a size outside this predictive interval was not cut to the aim
FARTHEST_OFF: Final = 0.2  # of the planned size; farther off it is another part, or another unit


def read_finished(
    stated: Mapping[str, object], duty: Duty[Any], spec: Any, lathe: Lathe
) -> tuple[dict[str, Made], list[Flagged]]:
    """Read finished features of one part, each a table named after its feature.

    A table has ``size``; ``u`` (standard uncertainty) or ``instrument``, else the feature's usual
    gauge; ``aim`` when cut, or ``fitted = true`` for a piece cut until it fitted. Where no aim is
    stated the planned one is taken, unless the piece is cut to suit. An aim the size lies too far
    from is left out, and that is flagged. Raises ``SpecError`` with every problem.
    """
    features = {feature.name: feature for feature in duty.features(spec)}
    problems: list[Problem] = []
    made: dict[str, Made] = {}
    flags: list[Flagged] = []
    for key, table in stated.items():
        name = _named(key)
        if key not in features:
            message = f"is no feature of {duty.key}; there are: {', '.join(features)}"
            near = get_close_matches(name, features, n=1) or list(features)
            problems.append(_problem(name, None, message, f"[{near[0]}]"))
        elif not isinstance(table, Mapping):
            message = "must be a table with a size in it"
            problems.append(_problem(name, table, message, f'[{name}] and size = "30.006 mm"'))
        else:
            read = _read_one(features[key], table, lathe, problems)
            if read is not None:
                made[key], flag = _with_aim(features[key], read, table, duty, spec, lathe)
                flags += flag
    if problems:
        raise SpecError(tuple(problems))
    return made, flags


def still_to_make(duty: Duty[Any], spec: Any, made: Mapping[str, Made]) -> list[Flagged]:
    """What a plan takes as it was drawn because it is not made yet, where that matters."""
    found = []
    features = {feature.name: feature for feature in duty.features(spec)}
    for feature in features.values():
        if feature.mate is None or feature.mate in made or not feature.cut_last:
            continue
        mate = features[feature.mate].label
        if feature.name in made:
            words = (
                f"The {feature.label} is made and its {mate} is not: the {mate} is taken as "
                f"planned, not as one could still cut it to suit the {feature.label}."
            )
        elif feature.to_suit:
            words = (
                f"The {mate} is not made yet: the {feature.label}'s sizes suit a {mate} exactly "
                f"as planned. Make and measure the {mate} first, then ask again."
            )
        else:
            continue
        found.append(Flagged("not made yet", words))
    return found


def not_measured(duty: Duty[Any], spec: Any, made: Mapping[str, Made]) -> list[Flagged]:
    """What a bench test has to take from the plan because nobody stated its measured size."""
    left = [f.label for f in duty.features(spec) if f.name not in made]
    if not left:
        return []
    words = (
        f"No measured size is stated of the {' and the '.join(left)}: the odds rest on the test "
        "and on what is usual. Add --made with what the gauges say."
    )
    return [Flagged("not measured", words)]


def _named(key: object) -> str:
    return shortened(key).strip() or "(no name)"


def _problem(field: str, given: object, message: str, example: str) -> Problem:
    shown = "" if given is None else shortened(given)
    return Problem(field=field, label=field, given=shown, message=message, example=example)


def _read_one(
    feature: Feature, table: Mapping[str, object], lathe: Lathe, problems: list[Problem]
) -> Made | None:
    before = len(problems)
    name = feature.name
    for key, given in table.items():
        if key not in _KEYS:
            shown = _named(key)
            near = get_close_matches(shown, _KEYS, n=1) or _KEYS
            message = f"is not known here; there are: {', '.join(_KEYS)}"
            problems.append(_problem(f"{name}.{shown}", given, message, near[0]))

    def quantity(key: str) -> float | None:
        if key not in table:
            return None
        kind = feature.kind if key != "u" else feature.kind.deviation
        unit = kind.display(feature.aim, "metric").symbol if key != "u" else _small_unit(kind)
        least = 0.0 if key == "u" else None
        try:
            return parse(table[key], kind, default_unit=unit, minimum=least)  # type: ignore[arg-type]
        except QuantityError as refused:
            problems.append(
                Problem(
                    field=f"{name}.{key}",
                    label=f"{feature.label}, {key}",
                    given=refused.given,
                    message=f"{refused.reason}; give {refused.allowed}",
                    example=refused.example,
                )
            )
            return None

    if "size" not in table:
        planned = show(feature.aim, feature.kind)
        problems.append(_problem(f"{name}.size", None, "the measured size is missing", planned))
    if "fitted" in table and not isinstance(table["fitted"], bool):
        message = "must be true or false, without quotes"
        problems.append(_problem(f"{name}.fitted", table["fitted"], message, "fitted = true"))
    for one, other in (("u", "instrument"), ("aim", "fitted")):
        if one in table and table.get(other, False) is not False:
            message = f"give either {one} or {other}, and not both"
            problems.append(
                _problem(f"{name}.{other}", table[other], message, f"leave {other} out")
            )
    size, aim, u = quantity("size"), quantity("aim"), quantity("u")
    for key, value in (("size", size), ("aim", aim)):
        if value is not None:
            _check_size(feature, key, value, table[key], problems)
    if u is None and "u" not in table:
        u = _instrument_u(feature, table, lathe, problems)
    if len(problems) > before or size is None or u is None:
        return None
    return Made(size, u, aim)


def _check_size(
    feature: Feature, key: str, value: float, given: object, problems: list[Problem]
) -> None:
    """Refuse a size that can only be a wrong unit or a slip of the pen."""
    if feature.kind is LENGTH and abs(value - feature.aim) > FARTHEST_OFF * feature.aim:
        planned = show(feature.aim, feature.kind)
        message = (
            f"is {show(value, feature.kind)}, and {planned} is planned: a wrong unit, a slip "
            "of the pen, or another part"
        )
        problems.append(_problem(f"{feature.name}.{key}", given, message, planned))


def _small_unit(kind: Kind) -> str:
    return "µm" if kind.unit == "m" else kind.unit


def _instrument_u(
    feature: Feature, table: Mapping[str, object], lathe: Lathe, problems: list[Problem]
) -> float | None:
    given = table.get("instrument", feature.gauge)
    if given is None:
        return 0.0
    measures = "length" if feature.kind is LENGTH else "angle"
    fitting = [k for k, instrument in lathe.instruments.items() if instrument.measures == measures]
    if isinstance(given, str) and given in fitting:
        return lathe.instruments[given].u
    near = get_close_matches(shortened(given), fitting, n=1) or fitting
    message = f"is no instrument for it here; there are: {', '.join(fitting)}"
    problems.append(_problem(f"{feature.name}.instrument", given, message, near[0]))
    return None


def _with_aim(
    feature: Feature,
    read: Made,
    table: Mapping[str, object],
    duty: Duty[Any],
    spec: Any,
    lathe: Lathe,
) -> tuple[Made, list[Flagged]]:
    """Decide what the piece was aimed at, and say so where that cannot be."""
    alone = Made(read.size, read.u, None)
    if table.get("fitted") is True or (read.aim is None and feature.to_suit):
        return alone, []
    aim = feature.aim if read.aim is None else read.aim
    if abs(read.size - aim) <= _farthest(feature, read, duty, spec, lathe):
        return Made(read.size, read.u, aim), []
    words = f"The {feature.label} lies farther from its {{}} than this lathe misses by, so {{}}."
    if read.aim is None:
        doubt = "it was aimed elsewhere, or the reading or its unit is wrong"
        said = words.format("planned size", doubt) + " State the aim when cut."
        return alone, [Flagged("far from the plan", said)]
    said = words.format("stated aim", "one of the two is wrong; the aim is left out")
    return alone, [Flagged("far from its aim", said)]


def _farthest(feature: Feature, read: Made, duty: Duty[Any], spec: Any, lathe: Lathe) -> float:
    """How far from its aim a piece of this lathe is ever gauged [SI]."""
    errors = {error.name: error for error in duty.errors(spec)}
    reach = 3.0 * read.u
    for name, gain in feature.gains.items():
        low, high = lathe.standings[errors[name].process].predictive_interval(CERTAIN)
        reach += abs(gain) * errors[name].unit * max(abs(low), abs(high))
    return reach
