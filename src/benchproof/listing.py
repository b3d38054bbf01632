"""Plain words for lists: duties and their fields, bench tests, materials, checks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from benchproof.columns import page, wrapped
from benchproof.quantities import echo
from benchproof.specs import FieldRow, Understood, describe

if TYPE_CHECKING:
    from benchproof.bench_tests.contract import BenchTest
    from benchproof.checks import Check
    from benchproof.duties.contract import Duty
    from benchproof.features import Feature
    from benchproof.reckon.joint import Made
    from benchproof.specs import Spec
    from benchproof.tables.materials import Material, Value


def tell_list(duties: Sequence[Duty[Any]], tests: Sequence[BenchTest[Any]]) -> str:
    """Tell what parts can be asked to do, and how that is tested on the bench."""
    lines = ["Duties: what a part must do"]
    for duty in duties:
        lines += wrapped(f"{duty.key:<12} {duty.title}. {duty.summary}", after=" " * 15)
    lines += ["", "Bench tests: what a finished part does"]
    for test in tests:
        serves = ", ".join(test.serves)
        lines += wrapped(
            f"{test.key:<12} {test.title} (for {serves}). {test.summary}", after=" " * 15
        )
    lines += ["", "Fields of one:  benchproof duties piston-fit"]
    return page(lines)


def tell_fields(title: str, spec_type: type[Spec]) -> str:
    """Tell every field a spec is stated in: unit, limits, default."""
    lines = [title, "", "  A number without a unit is taken in the unit named here.", ""]
    for row in describe(spec_type):
        lines += _table_header(row.name, lines)
        facts = [
            _when_left_out(row),
            f"unit {row.unit}" if row.unit else "",
            row.bounds,
            f"from the engine's {row.inherits}" if row.inherits else "",
        ]
        name, label = row.name.rpartition("*.")[2], row.label.rpartition(": ")[2]
        lines += wrapped(f"{name}: {label}" + (f" ({row.help})" if row.help else ""), after="    ")
        lines += wrapped("; ".join(fact for fact in facts if fact), "      ", "      ")
        if row.options:
            lines += wrapped("one of: " + ", ".join(row.options), "      ", "      ")
    return page(lines)


def _table_header(name: str, above: Sequence[str]) -> list[str]:
    """Header under which the rows of a list stand in the file, when it is not there yet."""
    path, star, _ = name.rpartition(".*.")
    header = f"  under each [[{path.replace('.*.', '.')}]]:"
    return ["", header] if star and header not in above else []


def _when_left_out(row: FieldRow) -> str:
    if row.required:
        return "must be stated"
    return "may be left out" if row.default == "not stated" else f"default {row.default}"


def tell_understood(understood: Understood[Any], title: str = "AS UNDERSTOOD") -> str:
    """Tell what was understood of a file, in both measuring systems; a reading takes one line."""
    lines = ["", title]
    rows: dict[str, list[str]] = {}
    defaults = []
    for label, shown, origin in understood.echo():
        row, _, rest = label.partition(": ") if label.startswith("reading ") else ("", "", label)
        if row and origin != "default":
            rows.setdefault(row, []).append(f"{rest} {shown}")
        elif origin == "default" and not row and shown not in {"not stated", "none"}:
            defaults.append(f"{label} {shown}")
        elif origin != "default":
            lines += wrapped(f"{label}: {shown}" + ("" if origin == "stated" else f" ({origin})"))
    for row, parts in rows.items():
        lines += wrapped(f"{row}: {', '.join(parts)}", after="    ")
    if defaults:
        lines += wrapped(f"Not stated, so taken: {'; '.join(defaults)}.")
    return page(lines)


def tell_made(features: Sequence[Feature], made: Mapping[str, Made]) -> str:
    """Tell what was understood of sizes made; nothing where there are none."""
    lines = []
    for feature in features:
        if feature.name in made:
            one = made[feature.name]
            aim = "aim not stated" if one.aim is None else f"aimed at {echo(one.aim, feature.kind)}"
            doubt = echo(one.u, feature.kind.deviation)
            lines += wrapped(
                f"{feature.label}: {echo(one.size, feature.kind)}, give or take {doubt}; {aim}",
                after="    ",
            )
    return page(["", "MADE, AS UNDERSTOOD", *lines]) if lines else ""


def tell_procedure(test: BenchTest[Any]) -> str:
    """Tell how a bench test is done, step by step."""
    lines = [test.title, ""]
    for number, step in enumerate(test.procedure(None), 1):
        lines += wrapped(step, f"{number:>3}. ", "     ")
    return page(lines)


def tell_materials(found: Sequence[Material]) -> str:
    """Tell the materials in one table."""
    lines = [
        "material                 density     E  expansion  yield or proof",
        "                           kg/m3   GPa   1e-6 / K             MPa",
    ]
    for one in found:
        strength = f"{one.yield_strength.value / 1e6:.0f}" if one.yield_strength else "-"
        lines.append(
            f"{one.key:<24} {one.density.value:7.0f} {one.youngs_modulus.value / 1e9:5.3g} "
            f"{one.expansion.value * 1e6:10.1f} {strength:>15}"
        )
    lines += ["", "One with its doubts and sources:  benchproof materials gunmetal"]
    return page(lines)


def tell_material(one: Material) -> str:
    """Tell what is known of one material, with doubts and sources."""
    rows: list[tuple[str, Value | None, float, str]] = [
        ("density", one.density, 1.0, "kg/m3"),
        ("Young's modulus", one.youngs_modulus, 1e-9, "GPa"),
        ("Poisson's ratio", one.poisson_ratio, 1.0, ""),
        ("expansion, 20 to 200 °C", one.expansion, 1e6, "1e-6/K"),
        ("yield or proof stress", one.yield_strength, 1e-6, "MPa"),
        ("tensile strength", one.tensile_strength, 1e-6, "MPa"),
        ("conductivity", one.conductivity, 1.0, "W/(m K)"),
        ("specific heat", one.specific_heat, 1.0, "J/(kg K)"),
    ]
    lines = [f"{one.name}", ""]
    for label, value, scale, unit in rows:
        if value is not None:
            figure = f"{value.value * scale:.4g} ± {value.u * scale:.2g} {unit}".rstrip()
            lines += wrapped(f"{label}: {figure} ({value.source})", after="      ")
    if one.highest_temperature is not None:
        hottest = one.highest_temperature
        lines += wrapped(
            f"highest working temperature: {hottest.value - 273.15:.0f} °C ({hottest.source})"
        )
    if one.note:
        lines += ["", *wrapped(one.note)]
    return page(lines)


def tell_checks(found: Sequence[Check]) -> str:
    """Tell every check against the outside world, by kind and source."""
    counts = Counter(check.kind for check in found)
    counted = ", ".join(f"{number} {kind}" for kind, number in counts.items())
    lines = wrapped(f"Checks against the outside world: {counted}", "")
    for kind in counts:
        lines += ["", kind.upper()]
        by_source: dict[str, list[str]] = {}
        for check in found:
            if check.kind == kind:
                by_source.setdefault(check.source, []).append(check.name)
        for source in sorted(by_source):
            lines += wrapped(f"- {source}", "  ", "    ")
            for name in sorted(set(by_source[source])):
                lines += wrapped(name.removeprefix("test_").replace("_", " "), "      ", "        ")
    return page(lines)
