"""Screw threads against published tables: ISO metric, BA, Whitworth, pipe threads, areas."""

from __future__ import annotations

import math

import numpy as np
import pytest

from benchproof.physics.threads import nut_shear_area, screw_shear_area, tensile_stress_area
from benchproof.tables.threads import engagement, thread
from sources import source

MM = 1e-3
THOUSANDTH = 0.00051e-3  # half of the last digit printed in millimetres, and a hair
TEN_THOUSANDTH = 0.00011 * 25.4e-3  # the last digit printed in inches


@source("ISO 965-2, limits of sizes of general purpose screws, 6g (same in ASME B1.13M)")
@pytest.mark.parametrize(
    ("name", "major", "pitch"),
    [
        ("M1.6", (1.496, 1.581), (1.291, 1.354)),
        ("M2", (1.886, 1.981), (1.654, 1.721)),
        ("M2.5", (2.380, 2.480), (2.117, 2.188)),
        ("M3", (2.874, 2.980), (2.580, 2.655)),
        ("M3.5", (3.354, 3.479), (3.004, 3.089)),
        ("M4", (3.838, 3.978), (3.433, 3.523)),
        ("M5", (4.826, 4.976), (4.361, 4.456)),
        ("M6", (5.794, 5.974), (5.212, 5.324)),
    ],
)
def test_screws_of_6g(name: str, major: tuple[float, float], pitch: tuple[float, float]) -> None:
    limits = thread(name).limits
    np.testing.assert_allclose(limits.screw_major, np.multiply(major, MM), rtol=0, atol=THOUSANDTH)
    np.testing.assert_allclose(limits.screw_pitch, np.multiply(pitch, MM), rtol=0, atol=THOUSANDTH)


@source("ISO 68-1 and ISO 965-2, basic diameters and largest pitch diameter of 6H nuts")
@pytest.mark.parametrize(
    ("name", "pitch", "screw_core", "nut_core", "largest"),
    [
        ("M2", 1.740, 1.509, 1.567, 1.830),
        ("M3", 2.675, 2.387, 2.459, 2.775),
        ("M4", 3.545, 3.141, 3.242, 3.663),
        ("M5", 4.480, 4.019, 4.134, 4.605),
        ("M6", 5.350, 4.773, 4.917, 5.500),
        ("M8", 7.188, 6.466, 6.647, 7.348),
        ("M10", 9.026, 8.160, 8.376, 9.206),
    ],
)
def test_nuts_of_6h(
    name: str, pitch: float, screw_core: float, nut_core: float, largest: float
) -> None:
    size = thread(name)
    found = (size.pitch_diameter, size.screw_core, size.nut_core, size.limits.nut_pitch[1])
    wanted = np.multiply((pitch, screw_core, nut_core, largest), MM)
    np.testing.assert_allclose(found, wanted, rtol=0, atol=THOUSANDTH)


@source(
    "J. H. Bickford, Introduction to the Design and Behavior of Bolted Joints, 4th ed., table "
    "of metric stress and shear areas, 6H/6g, engaged over one diameter"
)
@pytest.mark.parametrize(
    ("name", "tensile", "screw", "nut"),
    [
        ("M5", 14.183, 35.366, 49.994),
        ("M6", 20.123, 51.875, 73.145),
        ("M8", 36.609, 97.290, 134.63),
        ("M10", 57.990, 155.80, 214.77),
        ("M12", 84.267, 227.72, 313.41),
    ],
)
def test_stress_and_shear_areas(name: str, tensile: float, screw: float, nut: float) -> None:
    # The table works with diameters rounded to a micrometre, and so moves by some 5 in 10 000.
    size = thread(name)
    limits, form = size.limits, size.form
    core, pitch = size.screw_core, size.pitch_diameter
    area = tensile_stress_area(pitch_diameter=pitch, core_diameter=core)
    np.testing.assert_allclose(area, tensile * MM**2, rtol=1e-4, atol=0)
    np.testing.assert_allclose(
        screw_shear_area(
            nut_minor=limits.nut_minor[1],
            screw_pitch_diameter=limits.screw_pitch[0],
            pitch=size.pitch,
            half_angle=form.half_angle,
            length=size.major,
        ),
        screw * MM**2,
        rtol=8e-4,
        atol=0,
    )
    np.testing.assert_allclose(
        nut_shear_area(
            screw_major=limits.screw_major[0],
            nut_pitch_diameter=limits.nut_pitch[1],
            pitch=size.pitch,
            half_angle=form.half_angle,
            length=size.major,
        ),
        nut * MM**2,
        rtol=8e-4,
        atol=0,
    )


BA = (
    (0, 1.00, 6.0, 5.400, 4.80),
    (1, 0.90, 5.3, 4.760, 4.22),
    (2, 0.81, 4.7, 4.215, 3.73),
    (3, 0.73, 4.1, 3.660, 3.22),
    (4, 0.66, 3.6, 3.205, 2.81),
    (5, 0.59, 3.2, 2.845, 2.49),
    (6, 0.53, 2.8, 2.480, 2.16),
    (7, 0.48, 2.5, 2.210, 1.92),
    (8, 0.43, 2.2, 1.940, 1.68),
    (9, 0.39, 1.9, 1.665, 1.43),
    (10, 0.35, 1.7, 1.490, 1.28),
)


@source("BS 93:1951, in Machinery's Handbook, 31st ed., p. 2115")
@pytest.mark.parametrize(("number", "pitch", "major", "effective", "minor"), BA)
def test_ba(number: int, pitch: float, major: float, effective: float, minor: float) -> None:
    size = thread(f"{number} BA")
    np.testing.assert_allclose((size.pitch, size.major), (pitch * MM, major * MM), rtol=1e-12)
    # The standard rounds the depth to 5 um and the minor diameter to 10 um.
    np.testing.assert_allclose(size.pitch_diameter, effective * MM, rtol=0, atol=2.6e-6)
    np.testing.assert_allclose(size.screw_core, minor * MM, rtol=0, atol=5.1e-6)


@source(
    "BS 93:1951, in Machinery's Handbook, 31st ed., p. 2115: 0 to 13 BA; the series 0.9^k and "
    "6 p^1.2 from memory"
)
def test_the_ba_series_comes_of_unrounded_pitches_and_only_of_those() -> None:
    def two_figures(diameter: float) -> float:
        return round(diameter, 1 - math.floor(math.log10(diameter)))

    exact = [two_figures(6.0 * (0.9**k) ** 1.2) for k in range(14)]
    assert exact == [*(row[2] for row in BA), 1.5, 1.3, 1.2]
    assert [round(0.9**k, 2) for k in range(11)] == [row[1] for row in BA]
    rounded = [two_figures(6.0 * round(0.9**k, 2) ** 1.2) for k in range(14)]
    # Down to 12 BA the rounding does no harm; 13 BA would come out a tenth small.
    assert rounded[:13] == exact[:13]
    assert (exact[13], rounded[13]) == (1.2, 1.1)


@source("BS 84, British Standard Whitworth, as tabulated by TR Fastenings and others")
@pytest.mark.parametrize(
    ("name", "pitch", "minor"),
    [
        ("1/8x40", 0.1090, 0.0930),
        ("5/32x32", 0.1362, 0.1162),
        ("3/16x24", 0.1608, 0.1341),
        ("1/4 BSW", 0.2180, 0.1860),
        ("5/16 BSW", 0.2769, 0.2414),
        ("3/8 BSW", 0.3350, 0.2950),
        ("7/16 BSW", 0.3918, 0.3460),
        ("1/2 BSW", 0.4467, 0.3933),
    ],
)
def test_whitworth(name: str, pitch: float, minor: float) -> None:
    size = thread(name)
    found = np.array([size.pitch_diameter, size.screw_core]) / 25.4e-3
    np.testing.assert_allclose(found, (pitch, minor), rtol=0, atol=1.1e-4)


@source("Mechanical Engineer's Pocket Book, 3rd ed., 4.1.38, ISO pipe threads")
@pytest.mark.parametrize(
    ("name", "major", "pitch", "minor"),
    [
        ("1/8 BSP", 9.728, 9.147, 8.566),
        ("1/4 BSP", 13.157, 12.301, 11.445),
        ("3/8 BSP", 16.662, 15.806, 14.950),
    ],
)
def test_pipe_threads(name: str, major: float, pitch: float, minor: float) -> None:
    size = thread(name)
    found = (size.major, size.pitch_diameter, size.screw_core)
    wanted = np.multiply((major, pitch, minor), MM)
    np.testing.assert_allclose(found, wanted, rtol=0, atol=1.1e-6)


@source("own calculation: core diameters of the model engineer's threads", kind="own calculation")
@pytest.mark.parametrize(("name", "core"), [("3/16x40", 0.1555), ("5/16x32", 0.2725)])
def test_model_threads(name: str, core: float) -> None:
    np.testing.assert_allclose(thread(name).screw_core / 25.4e-3, core, rtol=0, atol=5.1e-5)


@source("own calculation: one drill, two scales", kind="own calculation")
def test_a_percentage_needs_its_scale() -> None:
    share = engagement(thread("M3"), drill=2.5e-3)
    np.testing.assert_allclose(share, 0.924, rtol=0, atol=5e-4)
    sharp = share * 1.0825 / 1.2990  # the same drill on the height of the American form
    np.testing.assert_allclose(sharp, 0.77, rtol=0, atol=5e-4)
