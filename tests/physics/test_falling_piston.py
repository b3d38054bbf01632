from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from benchproof.physics.clearance_flow import SLIP
from benchproof.physics.errors import OutOfRange
from benchproof.physics.falling_piston import (
    STANDARD_GRAVITY,
    dashpot_time,
    sink_speed,
    sink_time,
    sinking_pressure,
)
from sources import source

quick = settings(max_examples=40, deadline=None, derandomize=True)
MASS = 0.1018
WEIGHT = MASS * STANDARD_GRAVITY
BENCH = {
    "travel": 0.02,
    "diameter": 0.03,
    "radial_gap": 10e-6,
    "length": 0.02,
    "mass": MASS,
    "air_pressure": 101325.0,
    "air_temperature": 293.15,
    "air_viscosity": 18.134e-6,
    "gas_constant": 287.055,
    "flow_factor": 1.0,
}


def seconds(**changed: float) -> float:
    return float(sink_time(**(BENCH | changed)))


def clearance_read_as_concentric(time: float) -> float:
    """Diametral clearance [µm] that a clean concentric fall of this time would show."""
    return float(brentq(lambda c: seconds(radial_gap=0.5e-6 * c) - time, 1.0, 100.0))


@source("own derivation, 30 mm piston of 101.8 g, land 20 mm, clearance 20 µm, 20 mm of travel",
        kind="own calculation")  # fmt: skip
def test_reference_fall() -> None:
    pressure = sinking_pressure(diameter=0.03, radial_gap=10e-6, mass=MASS)
    np.testing.assert_allclose(pressure, 1411.4, rtol=0.001, atol=0.0)
    np.testing.assert_allclose(seconds(), 446.2, rtol=0.005, atol=0.0)
    np.testing.assert_allclose(seconds(flow_factor=2.5), 181.6, rtol=0.005, atol=0.0)


@source("own derivation, the same fall without slip, and the dashpot law", kind="own calculation")
def test_dashpot_limit_and_compressibility() -> None:
    shared = {key: BENCH[key] for key in ("diameter", "radial_gap", "length", "mass")}
    per_metre = dashpot_time(travel=1.0, viscosity=18.134e-6, **shared)
    np.testing.assert_allclose(per_metre, 23112.0, rtol=0.002, atol=0.0)
    np.testing.assert_allclose(seconds(travel=1.0, slip=0.0), 23303.0, rtol=0.002, atol=0.0)
    light = MASS * 1e-6
    np.testing.assert_allclose(
        seconds(mass=light, slip=0.0),
        dashpot_time(travel=0.02, viscosity=18.134e-6, **(shared | {"mass": light})),
        rtol=0.0011,  # three gaps over the diameter, which the limit leaves out
        atol=0.0,
    )


@source(
    "J. Lohrenz, G. W. Swift, F. Kurata, An experimentally verified theoretical study of the "
    "falling cylinder viscometer, AIChE Journal 6, 1960, p. 547",
    kind="from memory",
)
@pytest.mark.parametrize("radial_gap", [10e-6, 100e-6, 500e-6])
def test_exact_falling_cylinder(radial_gap: float) -> None:
    inner = 0.015
    outer = inner + radial_gap
    light = MASS * 1e-6
    exact = (
        light * STANDARD_GRAVITY / (2.0 * np.pi * 18.134e-6 * 0.02)
        * (np.log(outer / inner) - (outer**2 - inner**2) / (outer**2 + inner**2))
    )  # fmt: skip
    # The narrow gap errs by the square of gap over radius; rounding costs the exact form more.
    np.testing.assert_allclose(
        0.02 / seconds(mass=light, slip=0.0, radial_gap=radial_gap), exact, rtol=2e-4, atol=0.0
    )


@source("own derivation, solid iron piston 7200 kg/m³, 30 mm of travel", kind="own calculation")
@pytest.mark.parametrize(
    ("clearance", "concentric", "on_wall"),
    [(10.0, 5133.0, 2123.0), (20.0, 669.0, 272.0), (30.0, 201.0, 81.0), (60.0, 25.6, 10.3)],
)
def test_solid_piston(clearance: float, concentric: float, on_wall: float) -> None:
    times = [
        seconds(travel=0.03, radial_gap=0.5e-6 * clearance, flow_factor=factor)
        for factor in (1.0, 2.5)
    ]
    np.testing.assert_allclose(times, [concentric, on_wall], rtol=0.001, atol=0.5)
    longer = seconds(travel=0.03, radial_gap=0.5e-6 * clearance, length=0.025, mass=1.25 * MASS)
    np.testing.assert_allclose(longer, times[0], rtol=0.003, atol=0.0)


@source("own derivation, −d ln t/d ln c", kind="own calculation")
@pytest.mark.parametrize(("clearance", "power"), [(5.0, 2.85), (20.0, 2.96), (60.0, 2.98)])
def test_power_of_the_clearance(clearance: float, power: float) -> None:
    step = 1.001
    ratio = seconds(radial_gap=0.5e-6 * clearance / step) / seconds(
        radial_gap=0.5e-6 * clearance * step
    )
    np.testing.assert_allclose(np.log(ratio) / (2.0 * np.log(step)), power, rtol=0.002, atol=0.0)


@source("own derivation, what a true 20 µm reads when taken as concentric and clean",
        kind="own calculation")  # fmt: skip
@pytest.mark.parametrize(
    ("changed", "reading"),
    [({"flow_factor": 2.5}, 27.1), ({"flow_factor": 0.54}, 16.4),
     ({"wall_friction": 0.02 * WEIGHT}, 19.9),
     ({"face_gap": 1e-6, "face_outer_radius": 0.02}, 20.03)],
)  # fmt: skip
def test_what_shifts_the_reading(changed: dict[str, float], reading: float) -> None:
    apparent = clearance_read_as_concentric(seconds(**changed))
    np.testing.assert_allclose(apparent, reading, rtol=0.004, atol=0.0)


def test_slip_left_out_reads_too_wide() -> None:
    true_time = seconds()
    wide = brentq(lambda c: seconds(radial_gap=0.5e-6 * c, slip=0.0) - true_time, 10.0, 40.0)
    np.testing.assert_allclose(wide, 20.3, rtol=0.002, atol=0.0)


@source("own derivation, twice the mass at 1.4 kPa", kind="own calculation")
def test_a_second_mass_shows_friction() -> None:
    np.testing.assert_allclose(seconds() / seconds(mass=2.0 * MASS), 1.986, rtol=0.001, atol=0.0)
    rubbing = 0.05 * WEIGHT
    np.testing.assert_allclose(
        seconds(wall_friction=rubbing) / seconds(mass=2.0 * MASS, wall_friction=rubbing),
        2.038,
        rtol=0.001,
        atol=0.0,
    )


@source("own derivation: cos 20° − 0.15 sin 20°", kind="own calculation")
def test_tilted_piston_is_driven_by_less() -> None:
    upright = sinking_pressure(diameter=0.03, radial_gap=10e-6, mass=MASS)
    tilted = sinking_pressure(
        diameter=0.03,
        radial_gap=10e-6,
        mass=MASS,
        tilt=np.deg2rad(20.0),
        friction_coefficient=0.15,
    )
    np.testing.assert_allclose(tilted / upright, 0.888, rtol=0.001, atol=0.0)
    for tilt in (0.0, 0.35, 1.5):
        smooth = sinking_pressure(diameter=0.03, radial_gap=10e-6, mass=MASS, tilt=tilt)
        np.testing.assert_allclose(smooth / upright, np.cos(tilt), rtol=1e-12, atol=0.0)
        np.testing.assert_allclose(
            seconds(tilt=tilt, slip=0.0),
            seconds(wall_friction=(1.0 - np.cos(tilt)) * WEIGHT, slip=0.0),
            rtol=1e-9,
            atol=0.0,
        )


def test_friction_may_hold_the_piston() -> None:
    held = sink_time(**(BENCH | {"wall_friction": np.array([0.0, WEIGHT, 2.0 * WEIGHT])}))
    assert np.isfinite(held).tolist() == [True, False, False]
    steep = sink_time(**(BENCH | {"tilt": 1.4, "friction_coefficient": 0.5}))
    assert np.isinf(steep)
    assert np.isinf(sink_time(**(BENCH | {"radial_gap": 0.0})))


@source("own integral of radial flow between plates, with slip", kind="own calculation")
@pytest.mark.parametrize("face_gap", [1e-6, 5e-6, 20e-6])
def test_face_leak_is_a_radial_flow_beside_the_other(face_gap: float) -> None:
    outer, bore = 0.02, 0.015 + 10e-6
    gas, ambient = BENCH["gas_constant"] * BENCH["air_temperature"], BENCH["air_pressure"]
    below = ambient + float(sinking_pressure(diameter=0.03, radial_gap=10e-6, mass=MASS))
    pressure = ambient + (np.arange(1000) + 0.5) / 1000 * (below - ambient)
    slipping = 6.0 * SLIP * BENCH["air_viscosity"] * np.sqrt(2.0 * gas) / face_gap
    mobility = face_gap**3 / (12.0 * BENCH["air_viscosity"]) * np.mean(pressure + slipping)
    radius = bore + (np.arange(2000) + 0.5) / 2000 * (outer - bore)
    resistance = np.mean(1.0 / (2.0 * np.pi * radius)) * (outer - bore)
    leaving = mobility * (below - ambient) / resistance / gas
    faster = BENCH["travel"] * (
        1.0 / seconds(face_gap=face_gap, face_outer_radius=outer) - 1.0 / seconds()
    )
    swept = faster * 0.25 * np.pi * (0.03 + 10e-6) ** 2 * below / gas
    np.testing.assert_allclose(swept, leaving, rtol=1e-5, atol=0.0)


@source("own derivation: 1411 Pa over an open face, outer radius 20 mm", kind="own calculation")
@pytest.mark.parametrize(("face_gap", "speed"), [(0.05e-3, 25e-3), (0.1e-3, 200e-3)])
def test_an_open_face_lets_the_piston_drop(face_gap: float, speed: float) -> None:
    dropped = BENCH["travel"] / seconds(face_gap=face_gap, face_outer_radius=0.02)
    np.testing.assert_allclose(dropped, speed, rtol=0.05, atol=0.0)


@quick
@given(
    gap=st.floats(1.5e-6, 100e-6),
    factor=st.floats(0.4, 2.5),
    mass=st.floats(0.02, 2.0),
    face=st.floats(0.0, 5e-6),
)
def test_time_falls_with_gap_mass_posture_and_face_leak(
    gap: float, factor: float, mass: float, face: float
) -> None:
    here = {"radial_gap": gap, "flow_factor": factor, "mass": mass, "face_gap": face,
            "face_outer_radius": 0.02}  # fmt: skip
    time = seconds(**here)
    assert seconds(**(here | {"radial_gap": 1.01 * gap})) < time
    assert seconds(**(here | {"flow_factor": 1.01 * factor})) < time
    assert seconds(**(here | {"mass": 1.01 * mass})) < time
    assert seconds(**(here | {"face_gap": face + 1e-6})) < time
    assert seconds(**(here | {"wall_friction": 0.01 * mass * STANDARD_GRAVITY})) > time
    np.testing.assert_allclose(
        seconds(**(here | {"travel": 0.04})), 2.0 * time, rtol=1e-12, atol=0.0
    )


def test_shapes_broadcast() -> None:
    gap = np.array([[5e-6], [10e-6]])
    factor = np.array([1.0, 1.5, 2.5])
    times = sink_time(**(BENCH | {"radial_gap": gap, "flow_factor": factor}))
    assert times.shape == (2, 3)
    np.testing.assert_allclose(times[1, 0], seconds(), rtol=1e-12, atol=0.0)
    speeds = sink_speed(**{k: v for k, v in BENCH.items() if k != "travel"} | {"radial_gap": gap})
    np.testing.assert_allclose(speeds * seconds(), [[speeds[0, 0] * seconds()], [0.02]],
                               rtol=1e-12, atol=0.0)  # fmt: skip


@pytest.mark.parametrize(
    ("changed", "named"),
    [({"tilt": 1.6}, "tilt"), ({"tilt": -0.1}, "tilt"), ({"mass": 0.0}, "mass"),
     ({"radial_gap": -1e-6}, "radial gap"), ({"wall_friction": -1.0}, "wall friction"),
     ({"face_gap": 1e-6}, "face outer radius"), ({"travel": 0.0}, "travel"),
     ({"face_gap": 1e-6, "face_outer_radius": 0.014}, "face outer radius"),
     ({"flow_factor": np.nan}, "flow factor")],
)  # fmt: skip
def test_out_of_range(changed: dict[str, float], named: str) -> None:
    with pytest.raises(OutOfRange, match=named):
        seconds(**changed)
