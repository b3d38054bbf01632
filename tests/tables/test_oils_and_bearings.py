"""The named oils and what bearing metals stand."""

from __future__ import annotations

import itertools

import pytest

from benchproof.tables.bearing_limits import bearing_limits, bearing_materials
from benchproof.tables.oils import UnknownOil, oil, oil_keys, oils
from sources import source


@source("ISO 3448:1992: the grade is the viscosity at 40 °C in mm2/s", kind="from memory")
def test_an_oils_number_is_its_viscosity_at_40() -> None:
    for each in oils():
        assert float(each.key.split()[-1]) * 1e-6 == pytest.approx(each.at_40, rel=1e-9)


def test_a_thicker_grade_is_thicker_hot_too() -> None:
    for thin, thick in itertools.pairwise(oils()):
        assert thin.at_100 < thick.at_100 < thick.at_40
        assert thin.density_15 < thick.density_15


@pytest.mark.parametrize("name", ["ISO VG 68", "iso vg 68", "VG68", "slideway-oil 68"])
def test_an_oil_goes_by_many_names(name: str) -> None:
    assert oil(name).key == "ISO VG 68"


def test_no_two_oils_share_a_name() -> None:
    names = [name.casefold() for each in oils() for name in (each.key, *each.aliases)]
    assert len(names) == len(set(names))
    assert oil_keys()[0] == "ISO VG 22"


def test_what_is_no_oil_is_said_to_be_none() -> None:
    with pytest.raises(UnknownOil, match=r"no oil is called 'treacle'.*ISO VG 32"):
        oil("treacle")


@source("R. L. Mott, Machine Elements in Mechanical Design, table 16-1")
@pytest.mark.parametrize(
    ("name", "psi_feet_a_minute"),
    [("aluminium bronze", 125_000), ("SAE 660", 75_000), ("white metal", 30_000)],
)
def test_pressure_times_speed_as_printed(name: str, psi_feet_a_minute: float) -> None:
    limits = bearing_limits(name)
    assert limits is not None
    si = psi_feet_a_minute * 6894.757 * 0.3048 / 60.0
    assert limits.pressure_speed == pytest.approx(si, rel=0.005)
    assert limits.needs_oil


def test_every_limit_is_of_a_known_material_and_says_where_it_is_from() -> None:
    for name in bearing_materials():
        limits = bearing_limits(name)
        assert limits is not None
        assert limits.source
        assert limits.pressure_speed < limits.pressure
    assert bearing_limits("mild steel") is None
