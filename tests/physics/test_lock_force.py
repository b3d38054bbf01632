"""Side force on a piston in a tapered gap."""

from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics.errors import OutOfRange
from benchproof.physics.posture import lock_force
from sources import source


@source("J. F. Blackburn, Fluid Power Control, 1960, and H. E. Merritt, Hydraulic Control "
        "Systems, 1967: largest lock force 0.27 L D Δp", kind="from memory")  # fmt: skip
def test_largest_lock_force() -> None:
    taper = np.linspace(0.01, 0.8, 791)
    force = lock_force(
        diameter=1.0, length=1.0, pressure_difference=1.0, taper=taper, offset=1.0 - taper
    )
    np.testing.assert_allclose(np.max(force), 0.27, rtol=0.02, atol=0.0)
    np.testing.assert_allclose(taper[np.argmax(force)], 0.29, rtol=0.02, atol=0.0)


@source("own integral of the pressure round a tapered gap", kind="own calculation")
def test_lock_force_is_the_integral_of_the_pressure() -> None:
    diameter, length, difference, taper, offset = 0.03, 0.02, 1411.0, 0.2, 0.5
    force = lock_force(
        diameter=diameter,
        length=length,
        pressure_difference=difference,
        taper=taper,
        offset=offset,
    )
    np.testing.assert_allclose(force, 82e-3, rtol=0.01, atol=0.0)

    theta = (np.arange(400) + 0.5) * 2.0 * np.pi / 400
    z = (np.arange(2000) + 0.5) / 2000
    a = 1.0 - taper + offset * np.cos(theta)
    b = 1.0 + taper + offset * np.cos(theta)
    gap = a[:, None] + (b - a)[:, None] * z
    resistance = np.cumsum(gap**-3.0, axis=1) - 0.5 * gap**-3.0
    fraction = 1.0 - resistance / np.sum(gap**-3.0, axis=1, keepdims=True)
    mean = difference * np.mean(fraction, axis=1)
    # The wall pushes towards the narrow side when the pressure is higher where the gap is wide.
    towards_wide = -np.sum(mean * np.cos(theta)) * 2.0 * np.pi / 400 * 0.5 * diameter * length
    np.testing.assert_allclose(force, -towards_wide, rtol=1e-5, atol=0.0)


def test_lock_force_changes_sign_with_the_taper_and_vanishes_when_centred() -> None:
    common = {"diameter": 0.03, "length": 0.02, "pressure_difference": 8e5}
    locking = lock_force(taper=0.1, offset=0.5, **common)
    assert locking > 0.0
    np.testing.assert_allclose(
        lock_force(taper=-0.1, offset=0.5, **common), -locking, rtol=1e-12, atol=0.0
    )
    assert lock_force(taper=0.1, offset=0.0, **common) == 0.0


@pytest.mark.parametrize(("offset", "taper"), [(-0.1, 0.0), (1.1, 0.0), (0.9, 0.2), (np.nan, 0.0)])
def test_offsets_out_of_range(offset: float, taper: float) -> None:
    with pytest.raises(OutOfRange, match="offset"):
        lock_force(diameter=1.0, length=1.0, pressure_difference=1.0, taper=taper, offset=offset)
