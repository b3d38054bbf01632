"""What handbooks and old papers say of tapers that hold, and of how large a drop is."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.duties.cock_leak import DROP, CockLeak, Wedge, water_at
from benchproof.duties.cock_making import clock_reading
from benchproof.duties.cock_spec import CockSpec
from benchproof.physics.drops_and_bubbles import DROP_SHARE, surface_tension, tate_volume
from benchproof.physics.taper_seat import half_angle, self_holding
from sources import source

HANDBOOK = "Machinery's Handbook, 28th ed., Standard Tapers, p. 924"


@source(HANDBOOK)
@pytest.mark.parametrize("degrees", [2.0, 3.0])
def test_tapers_of_two_or_three_degrees_hold_themselves(degrees: float) -> None:
    taper = 2.0 * np.tan(np.radians(0.5 * degrees))
    # Steel on steel between oiled and dry.
    assert np.all(self_holding(taper=taper, friction=np.array([0.08, 0.12, 0.2])))


@source(HANDBOOK)
def test_three_and_a_half_inches_in_the_foot_is_over_sixteen_degrees_and_lets_go() -> None:
    taper = 3.5 / 12.0
    included = np.degrees(2.0 * half_angle(taper=taper))
    assert 16.0 < included < 17.0
    assert not self_holding(taper=taper, friction=0.12)


@source(
    "F. Eschbaum, Bulletin of Pharmacy 9, no. 10, October 1895, p. 461 (weight of a drop of water "
    "by outside diameter of the tip)"
)
@pytest.mark.parametrize(("millimetres", "grams"), [(3.07, 0.0522), (4.17, 0.0690), (6.56, 0.1000)])
def test_a_drop_is_seven_tenths_of_what_the_rim_holds(millimetres: float, grams: float) -> None:
    held = tate_volume(
        diameter=millimetres * 1e-3, tension=surface_tension(temperature=288.15), density=999.0
    )
    assert DROP_SHARE * held * 999.0 * 1e3 == pytest.approx(grams, rel=0.1)


@source("Tate's law and F. Eschbaum, as above")
def test_thin_tips_let_more_of_the_drop_go() -> None:
    held = tate_volume(diameter=0.67e-3, tension=surface_tension(temperature=288.15), density=999.0)
    assert 0.0134 / (held * 999.0 * 1e3) == pytest.approx(0.85, abs=0.02)


@source("L sin(a): 1:50, 1:8, and 0.59941 inch in the foot, over 50 mm", kind="own calculation")
@pytest.mark.parametrize(
    ("taper", "millimetres"), [(1 / 50, 0.5000), (1 / 8, 3.1189), (0.59941 / 12.0, 1.2484)]
)
def test_what_a_clock_shows_over_a_travel_of_the_top_slide(
    taper: float, millimetres: float
) -> None:
    spec = CockSpec(
        mean_diameter=6e-3,
        length=12e-3,
        port=2e-3,
        pressure=8e5,
        fluid="water",
        angles="one setting",
        taper=taper,
        clock_travel=50e-3,
    )
    reading = clock_reading(spec, 2.0 * float(half_angle(taper=taper)))
    assert reading * 1e3 == pytest.approx(millimetres, abs=1e-4)


@source("common practice among builders of small engines", kind="common practice")
def test_a_plug_twenty_microns_loose_leaks_at_once() -> None:
    """Held by its M2 screws and not by its cone: 10 µm of gap all round, 8 bar of water."""
    spec = CockSpec(
        mean_diameter=3e-3,
        length=6e-3,
        port=1.2e-3,
        pressure=8e5,
        fluid="water",
        angles="one setting",
    )
    gap = np.array([10e-6])
    none = np.zeros(1)
    loose = Wedge(gap=gap, openness=none, rise=none, left=none, mismatch=none)
    flow = CockLeak(spec).liquid(loose, water_at(spec, spec.pressure))
    drops = float(60.0 * flow[0] / DROP)
    assert 200.0 < drops < 400.0  # some 290 a minute, five a second: a dribble of 14 mL
