"""Rims held from within: their two limits, spokes against a frame of beams, what is refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.physics.errors import OutOfRange
from benchproof.physics.rims import (
    rim_of,
    spoke_bending,
    spoke_share,
    spoke_support,
    web_support,
)
from sources import source

NU = 0.211


def test_a_web_as_wide_as_the_rim_is_a_solid_disc() -> None:
    full = web_support(thickness=0.02, width=0.02, poisson=NU)
    for inside in (0.03, 0.084, 0.095):
        rim = rim_of(seat=0.1, inside=inside, support=full, poisson=NU)
        assert float(rim.give()) == pytest.approx(1.0 - NU, rel=1e-12)
        assert float(rim.pushed_back()) == pytest.approx(1.0, rel=1e-12)
        assert float(rim.hoop()) == pytest.approx(1.0, rel=1e-9)
    solid = rim_of(seat=0.1, inside=0.0, support=0.0, poisson=NU)
    assert float(solid.give()) == pytest.approx(1.0 - NU, rel=1e-12)


@source("Shigley's Mechanical Engineering Design, 8th ed., eq. 3-56, inner member")
def test_without_support_it_is_a_free_ring() -> None:
    rim = rim_of(seat=0.1, inside=0.084, support=0.0, poisson=NU)
    outer, inner = 0.1**2, 0.084**2
    assert float(rim.give()) == pytest.approx((outer + inner) / (outer - inner) - NU, rel=1e-12)
    assert float(rim.pushed_back()) == 0.0
    assert float(rim.hoop()) == pytest.approx(2.0 * outer / (outer - inner), rel=1e-12)


@source(
    "Lamé's field of a ring between two pressures, from its two constants", kind="own calculation"
)
def test_what_is_pushed_back_and_what_shrinks_agree() -> None:
    support = 0.3
    rim = rim_of(seat=2.0, inside=1.6, support=support, poisson=NU)
    back = float(rim.pushed_back())
    radii = np.array([1.0, 0.8])
    # sigma_r = a - b/r², sigma_t = a + b/r²; sigma_r = -1 outside and -back inside.
    a, b = np.linalg.solve(np.column_stack([np.ones(2), -1.0 / radii**2]), np.array([-1.0, -back]))
    strain = (1.0 - NU) * a + (1.0 + NU) * b / radii**2
    assert -strain[0] == pytest.approx(float(rim.give()), rel=1e-12)
    assert -support * strain[1] == pytest.approx(back, rel=1e-12)
    assert -(a + b / radii[1] ** 2) == pytest.approx(float(rim.hoop()), rel=1e-12)


@settings(max_examples=50, deadline=None)
@given(st.floats(0.2, 0.97), st.floats(0.01, 1.2), st.floats(0.0, 1.0))
def test_a_held_rim_lies_between_free_ring_and_held_fast(
    hollow: float, support: float, share: float
) -> None:
    rim = rim_of(seat=1.0, inside=hollow, support=support, poisson=NU)
    give = float(rim.give(share))
    assert rim.held - 1e-12 <= give <= rim.free + 1e-12
    assert float(rim.give(1.0)) <= give + 1e-12


def ring_on_spokes(spokes: int, stiffness: float, *, depth: float, middle: float) -> Any:
    """A frame of straight beams round the rim, on springs: how far it shrinks under unit load.

    Unit width and modulus, one newton for each metre round the middle line. Returns what the
    springs carry for each metre of that line, over their mean shrinkage, and the moment over one.
    """
    pieces = 40 * spokes
    angle = 2.0 * np.pi * np.arange(pieces) / pieces
    x, y = middle * np.cos(angle), middle * np.sin(angle)
    matrix = np.zeros((3 * pieces, 3 * pieces))
    area, second = depth, depth**3 / 12.0
    long = 2.0 * middle * np.sin(np.pi / pieces)
    beams = []
    for one in range(pieces):
        two = (one + 1) % pieces
        c, s = (x[two] - x[one]) / long, (y[two] - y[one]) / long
        turn = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])
        rotate = np.kron(np.eye(2), turn)
        e, f, g = area / long, 12.0 * second / long**3, 6.0 * second / long**2
        h, k = 4.0 * second / long, 2.0 * second / long
        own = np.array(
            [
                [e, 0, 0, -e, 0, 0],
                [0, f, g, 0, -f, g],
                [0, g, h, 0, -g, k],
                [-e, 0, 0, e, 0, 0],
                [0, -f, -g, 0, f, -g],
                [0, g, k, 0, -g, h],
            ]
        )
        at = [3 * one, 3 * one + 1, 3 * one + 2, 3 * two, 3 * two + 1, 3 * two + 2]
        matrix[np.ix_(at, at)] += rotate.T @ own @ rotate
        beams.append((at, rotate, own))
    load = np.zeros(3 * pieces)
    share = 2.0 * np.pi * middle / pieces
    load[0::3], load[1::3] = -share * np.cos(angle), -share * np.sin(angle)
    for spoke in range(0, pieces, 40):
        way = np.array([np.cos(angle[spoke]), np.sin(angle[spoke])])
        at = [3 * spoke, 3 * spoke + 1]
        matrix[np.ix_(at, at)] += stiffness * np.outer(way, way)
    matrix[2, 2] += 1e-9  # it must not turn as a whole
    matrix += 1e-12 * np.eye(3 * pieces)
    moved = np.linalg.solve(matrix, load)
    inward = -(moved[0::3] * np.cos(angle) + moved[1::3] * np.sin(angle))
    at, rotate, own = beams[0]
    moment = (own @ (rotate @ moved[at]))[2]
    push = stiffness * inward[0]
    return push * spokes / (2.0 * np.pi * middle), float(inward.mean()), abs(float(moment)), push


@source("a frame of 40 straight beams for each spoke, solved as a whole", kind="own calculation")
@pytest.mark.parametrize(("spokes", "depth"), [(6, 4e-3), (6, 8e-3), (10, 3e-3)])
def test_spokes_under_a_bending_rim_against_a_frame_of_beams(spokes: int, depth: float) -> None:
    middle = 46e-3
    seat, inside = 2.0 * middle + depth, 2.0 * middle - depth
    stiffness = 1.5  # of one spoke, over modulus and unit width: section over length
    support = spoke_support(spokes=spokes, section=stiffness * 0.02, length=0.02, width=1.0)
    share = spoke_share(spokes=spokes, support=support, seat=seat, inside=inside)
    carried, shrunk, moment, push = ring_on_spokes(spokes, stiffness, depth=depth, middle=middle)
    # Spread evenly the spokes would carry their stiffness times the mean shrinkage.
    even = spokes * stiffness / (2.0 * np.pi * middle) * shrunk
    # The frame also feels the hoop force rise and fall, and stands on its middle line.
    assert share == pytest.approx(carried / even, abs=0.03)
    back = push * spokes / (np.pi * inside)
    stress = spoke_bending(spokes=spokes, seat=seat, inside=inside, rim_share=1.0) * back
    assert stress == pytest.approx(6.0 * moment / depth**2, rel=0.12)


@source("S. Timoshenko, Strength of Materials, part II, flywheel, f2(alpha)", kind="from memory")
@pytest.mark.parametrize("spokes", [4, 6, 8, 12])
def test_the_bending_of_the_rim_is_that_of_a_flywheel(spokes: int) -> None:
    half = np.pi / spokes
    f2 = (np.sin(2.0 * half) / 4.0 + half / 2.0) / (2.0 * np.sin(half) ** 2) - 1.0 / (2.0 * half)
    # Deflection over a spoke: X r³ f2/(E I); the spoke itself gives X l/(E A).
    section, length, width, seat, inside = 60e-6, 25e-3, 14e-3, 94e-3, 82e-3
    middle, second = 44e-3, width * 6e-3**3 / 12.0
    bends, gives = middle**3 * f2 / second, length / section
    support = spoke_support(spokes=spokes, section=section, length=length, width=width)
    share = spoke_share(spokes=spokes, support=support, seat=seat, inside=inside)
    assert share == pytest.approx(1.0 / (1.0 + bends / gives), rel=1e-9)


def test_many_spokes_are_as_good_as_spread_evenly() -> None:
    few, many = (spoke_share(spokes=n, support=0.3, seat=94e-3, inside=82e-3) for n in (4, 20))
    assert few < 0.6
    assert many > 0.97


RIM: dict[str, Any] = {"seat": 0.1, "inside": 0.08, "support": 0.1, "poisson": 0.3}
SPOKES: dict[str, Any] = {"spokes": 8, "section": 5e-5, "length": 0.02, "width": 0.02}
SHARE: dict[str, Any] = {"spokes": 8, "support": 0.2, "seat": 0.1, "inside": 0.08}
BENDING: dict[str, Any] = {"spokes": 8, "seat": 0.1, "inside": 0.08, "rim_share": 0.5}


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (rim_of, RIM | {"seat": 0.0}),
        (rim_of, RIM | {"inside": 0.1}),
        (rim_of, RIM | {"support": -0.1}),
        (rim_of, RIM | {"poisson": 0.7}),
        (web_support, {"thickness": 0.03, "width": 0.02, "poisson": 0.3}),
        (spoke_support, SPOKES | {"spokes": 2}),
        (spoke_support, SPOKES | {"section": 0.0}),
        (spoke_support, SPOKES | {"width": 0.0}),
        (spoke_share, SHARE | {"spokes": 2}),
        (spoke_share, SHARE | {"inside": 0.0}),
        (spoke_bending, BENDING | {"spokes": 1}),
        (spoke_bending, BENDING | {"inside": 0.2}),
        (spoke_bending, BENDING | {"rim_share": 1.5}),
    ],
)
def test_what_is_no_wheel_is_refused(
    function: Callable[..., Any], arguments: dict[str, Any]
) -> None:
    with pytest.raises(OutOfRange):
        function(**arguments)
