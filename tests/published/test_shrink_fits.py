"""Shrink fits against textbooks, and the allowances of full-size tyres."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.duties.tyre_fit import TyreFit
from benchproof.duties.tyre_spec import PLANNED_SHARE, TyreSpec
from benchproof.physics.rims import rim_of
from benchproof.physics.thick_rings import (
    contact_pressure,
    slip_torque,
    tyre_give,
    tyre_hoop,
    tyre_von_mises,
)
from sources import source

SHIGLEY = "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 8th ed., problem"
PSI_STEEL = {"modulus": 30e6, "poisson": 0.292}


def pressed(
    *,
    radial: float,
    radius: float,
    outside: float,
    inside: float = 0.0,
    outer: dict[str, float],
    inner: dict[str, float],
) -> float:
    """Pressure from a radial interference, in whatever units are given."""
    rim = rim_of(seat=2.0 * radius, inside=2.0 * inside, support=0.0, poisson=inner["poisson"])
    return float(
        contact_pressure(
            interference=2.0 * radial,
            seat=2.0 * radius,
            outer_give=tyre_give(seat=2.0 * radius, outside=2.0 * outside, **outer),
            inner_give=rim.give() / inner["modulus"],
        )
    )


@source(f"{SHIGLEY} 3-64 and 3-66, 40 mm shaft in an 80 mm hub")
@pytest.mark.parametrize(
    ("most", "least", "highest", "lowest"),
    [(0.0295, 0.009, 114.5, 34.9), (0.038, 0.0175, 147.5, 67.9)],
)
def test_a_millimetre_shaft_in_its_hub(
    most: float, least: float, highest: float, lowest: float
) -> None:
    steel = {"modulus": 207e3, "poisson": 0.292}
    for radial, printed in ((most, highest), (least, lowest)):
        found = pressed(radial=radial, radius=20.0, outside=40.0, outer=steel, inner=steel)
        assert found == pytest.approx(printed, abs=0.06)


@source(f"{SHIGLEY} 3-65 and 3-67, 1.5 in shaft in a 3 in hub")
@pytest.mark.parametrize(
    ("most", "least", "highest", "lowest"),
    [(0.00115, 0.00035, 17250.0, 5250.0), (0.0015, 0.0007, 22500.0, 10500.0)],
)
def test_an_inch_shaft_in_its_hub(most: float, least: float, highest: float, lowest: float) -> None:
    for radial, printed in ((most, highest), (least, lowest)):
        found = pressed(radial=radial, radius=0.75, outside=1.5, outer=PSI_STEEL, inner=PSI_STEEL)
        assert found == pytest.approx(printed, rel=1e-9)


@source(f"{SHIGLEY} 3-68")
def test_steel_on_steel_with_its_stress() -> None:
    found = pressed(radial=0.001, radius=0.5, outside=1.0, outer=PSI_STEEL, inner=PSI_STEEL)
    assert found == pytest.approx(22_500.0, rel=1e-9)
    hoop = tyre_hoop(pressure=found, seat=1.0, outside=2.0)
    assert float(hoop) == pytest.approx(37_500.0, rel=1e-9)


@source(f"{SHIGLEY} 3-69")
def test_unlike_metals() -> None:
    iron = {"modulus": 14.5e6, "poisson": 0.211}
    found = pressed(radial=0.001, radius=0.5, outside=1.0, outer=iron, inner=PSI_STEEL)
    assert found == pytest.approx(13_064.0, abs=1.0)
    assert float(tyre_hoop(pressure=found, seat=1.0, outside=2.0)) == pytest.approx(21_770, abs=5)


@source(f"{SHIGLEY} 7-24, 1.5 in H7/s6 in a 2.5 in hub")
def test_a_medium_drive_fit() -> None:
    for on_diameter, printed in ((0.0023, 14_720.0), (0.0007, 4480.0)):
        found = pressed(
            radial=0.5 * on_diameter, radius=0.75, outside=1.25, outer=PSI_STEEL, inner=PSI_STEEL
        )
        assert found == pytest.approx(printed, abs=5.0)


@source(
    "S. Timoshenko, Strength of Materials, part II, built-up cylinder 4, 6, 8 in, delta 0.005 in",
    kind="from memory",
)
def test_a_built_up_cylinder() -> None:
    steel = {"modulus": 30e6, "poisson": 0.3}
    found = pressed(radial=0.005, radius=6.0, outside=8.0, inside=4.0, outer=steel, inner=steel)
    assert found == pytest.approx(4050.0, abs=5.0)


@source("DIN 7190-1:2017, p allowed = (1 - Q²) Re/√3 of an outer part", kind="from memory")
def test_the_printed_limit_of_a_hub_is_that_of_a_thick_one_only() -> None:
    for ratio, over in ((0.02, 1.0), (0.862, 1.0882), (0.98, 1.1434)):
        pressure = (1.0 - ratio**2) / np.sqrt(3.0)
        mises = tyre_von_mises(pressure=pressure, seat=ratio, outside=1.0)
        assert float(mises) == pytest.approx(over, abs=1e-3)


RULE = "American Railway Master Mechanics' Association, in F. D. Jones, Turning and Boring, 1919"
FULL_SIZE = ((38, 0.040), (44, 0.047), (50, 0.053), (56, 0.060), (62, 0.066), (66, 0.070))


@source(RULE)
def test_full_size_allowance_is_about_a_thousandth_of_the_diameter() -> None:
    shares = [allowance / diameter for diameter, allowance in FULL_SIZE]
    assert min(shares) > 1.04e-3
    assert max(shares) < 1.08e-3
    # A drawing starts from a little less than full size took.
    assert 0.92 < PLANNED_SHARE / np.mean(shares) < 0.96


def model_tyre(**more: str) -> TyreSpec:
    stated = {
        "seat": "100 mm",
        "tread": "116 mm",
        "width": "20 mm",
        "wheel_is": "solid",
        "wheel_material": "cast iron",
        "tyre_material": "medium carbon steel",
        "tyre_yield": "250 MPa",
        "axle_load": "490 N",
        "coldest": "20 C",
        "warmest": "20 C",
        "heat_limit": "350 C",
    }
    return TyreSpec.from_text(stated | more).spec


@source(RULE)
def test_full_size_practice_lies_in_the_window_of_a_miniature_tyre() -> None:
    share = np.mean([allowance / diameter for diameter, allowance in FULL_SIZE])
    for wheel in ({}, {"wheel_is": "free ring", "rim_inside": "84 mm"}):
        window = TyreFit().plain_window(model_tyre(**wheel))
        assert window.lower is not None
        assert window.upper is not None
        assert window.lower < share * 0.1 < window.upper
    # Of mild steel on a solid wheel it leaves a seventh of the window for the lathe.
    window = TyreFit().plain_window(model_tyre())
    assert window.upper is not None
    assert window.upper - share * 0.1 < 10e-6


@source("a second derivation by hand, E 207 GPa on iron of 100 GPa", kind="own calculation")
def test_the_worked_tyre_of_a_hundred_millimetres() -> None:
    steel, iron = {"modulus": 207e9, "poisson": 0.292}, {"modulus": 100e9, "poisson": 0.211}
    for inside, printed in ((0.0, 23.8), (42e-3, 11.1)):
        found = pressed(
            radial=50e-6, radius=50e-3, outside=58e-3, inside=inside, outer=steel, inner=iron
        )
        assert found * 1e-6 == pytest.approx(printed, abs=0.06)
    found = pressed(radial=50e-6, radius=50e-3, outside=58e-3, outer=steel, inner=iron)
    hoop = tyre_hoop(pressure=found, seat=0.1, outside=0.116)
    assert float(hoop) * 1e-6 == pytest.approx(161.0, abs=0.5)
    torque = slip_torque(pressure=found, seat=0.1, width=0.02, friction=0.12)
    assert float(torque) == pytest.approx(896.0, abs=2.0)


@source("a second calculation of the same tyre and wheels", kind="own calculation")
def test_windows_of_the_worked_tyre() -> None:
    window = TyreFit().plain_window(model_tyre())
    assert window.lower == pytest.approx(0.070e-3, abs=2.5e-6)
    assert window.upper == pytest.approx(0.114e-3, abs=1e-6)
    ring = TyreFit().plain_window(model_tyre(wheel_is="free ring", rim_inside="84 mm"))
    assert ring.lower == pytest.approx(0.070e-3, abs=2.5e-6)
    assert ring.upper == pytest.approx(0.23e-3, abs=5e-6)
    braked = TyreFit().plain_window(model_tyre(tyre_lead="100 K"))
    assert braked.lower is None
    assert "stretched" in braked.reason
