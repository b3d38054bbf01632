from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchproof.physics.draft_annulus import (
    annulus_area,
    draft_bore_at_nose,
    inflow_velocity,
    suction_pressure,
)
from benchproof.physics.errors import OutOfRange
from sources import source

HALF_ANGLE = float(np.radians(6.5))


@source("the reference injector: 0.1 mm of axial place is 22.8 µm of bore", kind="own calculation")
def test_drawing_the_steam_cone_out_widens_the_ring() -> None:
    bore = draft_bore_at_nose(draft_bore=2e-3, half_angle=HALF_ANGLE, axial_place=1e-4)
    np.testing.assert_allclose(bore - 2e-3, 22.8e-6, rtol=0.0, atol=0.05e-6)


@source("0.25 degrees at 3 mm from where the cone was gauged is 26 µm", kind="own calculation")
def test_a_wrong_angle_acts_over_the_distance_from_the_gauge() -> None:
    angle = np.radians([-0.25, 0.0, 0.25])
    bore = draft_bore_at_nose(
        draft_bore=2e-3, half_angle=HALF_ANGLE, angle_error=angle, gauge_distance=3e-3
    )
    np.testing.assert_allclose(bore - 2e-3, [-26.5e-6, 0.0, 26.5e-6], rtol=0.0, atol=0.2e-6)


@given(place=st.floats(-1e-3, 1e-3), error=st.floats(-0.02, 0.02), far=st.floats(0.0, 5e-3))
def test_the_bore_is_that_of_a_cone_through_the_gauged_circle(
    place: float, error: float, far: float
) -> None:
    bore = draft_bore_at_nose(
        draft_bore=2e-3,
        half_angle=HALF_ANGLE,
        axial_place=place,
        angle_error=error,
        gauge_distance=far,
    )
    gauged = 2e-3 - 2.0 * far * np.tan(HALF_ANGLE)
    np.testing.assert_allclose(bore, gauged + 2.0 * (far + place) * np.tan(HALF_ANGLE + error))


def test_a_ring_is_what_the_nose_leaves_of_the_bore() -> None:
    area = annulus_area(draft_bore=np.array([2e-3, 1e-3]), nose=1.6e-3)
    np.testing.assert_allclose(area, [0.25 * np.pi * (4.0 - 2.56) * 1e-6, 0.0])


@source("V. A. B. Hughes, The Steam Injector, London 1912, page 91")
@pytest.mark.parametrize(("feet", "printed"), [(0.0, 38.5), (5.0, 42.5)])
def test_water_runs_into_a_vacuum_of_ten_pounds(feet: float, printed: float) -> None:
    suction = suction_pressure(air_pressure=101325.0, head=feet * 0.3048, density=999.0)
    chamber = 101325.0 - 10.0 * 6894.757
    velocity = inflow_velocity(suction=suction, chamber_pressure=chamber, density=999.0)
    np.testing.assert_allclose(velocity / 0.3048, printed, rtol=0.003)


def test_water_does_not_run_uphill() -> None:
    assert inflow_velocity(suction=1e5, chamber_pressure=1.2e5, density=999.0) == 0.0


@pytest.mark.parametrize("angle", [0.0, 1.6, np.nan])
def test_an_angle_that_is_no_cone_is_refused(angle: float) -> None:
    with pytest.raises(OutOfRange, match="half angle"):
        draft_bore_at_nose(draft_bore=2e-3, half_angle=angle)
