from __future__ import annotations

import numpy as np
import pytest

from benchproof.physics.errors import OutOfRange
from benchproof.physics.ranges import (
    require,
    require_downhill,
    require_not_negative,
    require_positive,
)


def test_the_first_offender_and_its_own_range_are_named() -> None:
    with pytest.raises(OutOfRange) as caught:
        require(
            np.array([True, False, False]),
            quantity="offset",
            given=np.array([0.1, 0.7, 0.9]),
            low=0.0,
            high=np.array([0.5, 0.6, 0.7]),
            hint="closer to the middle",
        )
    assert caught.value.quantity == "offset"
    assert caught.value.given == 0.7
    assert caught.value.allowed == (0.0, 0.6)
    assert "closer to the middle" in str(caught.value)


@pytest.mark.parametrize("value", [0.0, -1.0, np.nan, np.inf, np.array([1.0, 0.0])])
def test_positive(value: float) -> None:
    with pytest.raises(OutOfRange, match=r"radial gap .* m"):
        require_positive(radial_gap=value)


@pytest.mark.parametrize("value", [-1.0, np.nan, np.inf])
def test_not_negative(value: float) -> None:
    with pytest.raises(OutOfRange, match=r"wall friction .* N"):
        require_not_negative(wall_friction=value)


def test_what_lies_in_range_passes() -> None:
    require_positive(diameter=0.03, length=np.array([0.01, 0.02]))
    require_not_negative(radial_gap=0.0)
    require_downhill(high_pressure=1e5, low_pressure=np.array([1e5, 5e4]))


def test_downhill() -> None:
    with pytest.raises(OutOfRange) as caught:
        require_downhill(high_pressure=1e5, low_pressure=np.array([9e4, 1.1e5]))
    assert caught.value.allowed == (1.1e5, np.inf)
    with pytest.raises(OutOfRange, match="high pressure"):
        require_downhill(high_pressure=np.nan, low_pressure=1e5)
