import csv
import itertools
import subprocess
import sys
from importlib.resources import files

import pytest

from benchproof.tables.materials import (
    Material,
    UnknownMaterial,
    Value,
    material,
    material_keys,
    materials,
)

# Lowest and highest figure of any solid a workshop meets, in SI.
SANE = {
    "density": (900.0, 12_000.0),
    "youngs_modulus": (0.05e9, 420e9),
    "poisson_ratio": (0.0, 0.5),
    "expansion": (1e-6, 200e-6),
    "yield_strength": (5e6, 2.5e9),
    "tensile_strength": (10e6, 3.5e9),
    "conductivity": (0.1, 420.0),
    "specific_heat": (120.0, 2500.0),
    "highest_temperature": (323.15, 1273.15),
}
METALS = {"copper", "copper alloy", "steel", "stainless steel", "iron", "aluminium", "white metal"}
every_material = pytest.mark.parametrize("each", materials(), ids=lambda each: each.key)


def figures(each: Material) -> dict[str, Value]:
    found = {name: getattr(each, name) for name in SANE}
    return {name: value for name, value in found.items() if value is not None}


def test_a_workshop_finds_its_materials() -> None:
    assert len(materials()) >= 24
    assert {"gunmetal", "mild steel", "grey iron", "ptfe", "copper"} <= set(material_keys())


def test_every_name_means_one_material() -> None:
    names = [name.casefold() for each in materials() for name in (each.key, *each.aliases)]

    assert len(names) == len(set(names))
    assert all(name and name == name.strip() for name in names)


@every_material
def test_every_name_leads_to_its_material(each: Material) -> None:
    for name in (each.key, *each.aliases):
        assert material(name) is each
        assert material(f"  {name.upper().replace(' ', '-')} ") is each


@every_material
def test_every_figure_is_one_a_solid_can_have(each: Material) -> None:
    for name, figure in figures(each).items():
        low, high = SANE[name]
        assert low <= figure.value <= high, name
        assert figure.u < figure.value, name


@every_material
def test_every_figure_names_its_source(each: Material) -> None:
    for name, figure in figures(each).items():
        assert len(figure.source) > 10, name


def test_a_source_that_nobody_looked_up_says_so() -> None:
    text = files("benchproof.tables").joinpath("material_sources.csv").read_text(encoding="utf-8")
    for row in csv.DictReader(text.splitlines()):
        assert (row["kind"] == "from memory") == ("from memory" in row["text"])


@every_material
def test_nothing_yields_above_its_tensile_strength(each: Material) -> None:
    if each.yield_strength and each.tensile_strength:
        assert each.yield_strength.value < each.tensile_strength.value


@every_material
def test_metals_hold_the_heat_of_their_atoms(each: Material) -> None:
    # Heat per volume of all common metals lies within a factor of 1.7 (Dulong and Petit, and
    # atoms of like size): a slipped digit in density or specific heat falls outside.
    if each.family in METALS:
        assert 1.6e6 < each.density.value * each.specific_heat.value < 4.1e6


def test_iron_has_no_yield_point() -> None:
    iron = material("cast iron")

    assert iron.yield_strength is None
    assert iron.tensile_strength is not None


def test_families_expand_in_the_order_every_engineer_knows() -> None:
    order = ["grey iron", "mild steel", "stainless 304", "gunmetal", "aluminium 6061", "ptfe"]
    growth = [material(key).expansion.value for key in order]

    assert all(less < more for less, more in itertools.pairwise(growth))


def test_copper_carries_heat_better_than_brass_and_brass_than_stainless() -> None:
    order = ["copper", "aluminium 6061", "free-cutting brass", "mild steel", "stainless 304"]
    carried = [material(key).conductivity.value for key in order]

    assert all(more > less for more, less in itertools.pairwise(carried))


def test_members_of_a_family_are_alike() -> None:
    for family in METALS:
        stiffness = [each.youngs_modulus.value for each in materials() if each.family == family]
        density = [each.density.value for each in materials() if each.family == family]
        assert max(stiffness) < 2.0 * min(stiffness), family
        assert max(density) < 1.25 * min(density), family


def test_an_unknown_name_is_refused_with_the_nearest() -> None:
    with pytest.raises(UnknownMaterial, match="did you mean gunmetal") as refused:
        material("gunmetl")

    assert refused.value.given == "gunmetl"
    assert refused.value.suggestions[0] == "gunmetal"


def test_a_name_like_none_is_refused_without_guessing() -> None:
    with pytest.raises(UnknownMaterial, match="see the list") as refused:
        material("xyzzy")

    assert refused.value.suggestions == ()


@pytest.mark.parametrize("u", [0.0, -1.0, float("nan"), float("inf")])
def test_a_figure_needs_an_uncertainty(u: float) -> None:
    with pytest.raises(ValueError, match="needs an uncertainty"):
        Value(value=1.0, u=u, source="a book")


def test_a_figure_needs_to_be_a_number() -> None:
    with pytest.raises(ValueError, match="needs an uncertainty"):
        Value(value=float("nan"), u=1.0, source="a book")


@pytest.mark.parametrize("text", ["", "  "])
def test_a_figure_needs_a_source(text: str) -> None:
    with pytest.raises(ValueError, match="needs a source"):
        Value(value=1.0, u=0.1, source=text)


def test_materials_are_ready_without_loading_a_slow_library() -> None:
    code = (
        "import sys; from benchproof.tables.materials import materials; materials();"
        "sys.exit(bool({'numpy', 'scipy', 'pydantic', 'difflib'} & set(sys.modules)))"
    )

    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
