import math
import pickle

import numpy as np
import pytest

from benchproof.physics.errors import OutOfRange, require_within


def test_values_within_the_range_and_on_its_ends_come_back_as_an_array() -> None:
    values = require_within("gap", [1.0, 2.0, 3.0], low=1.0, high=3.0, unit="m")

    np.testing.assert_array_equal(values, [1.0, 2.0, 3.0])
    assert values.dtype == np.float64


def test_the_refusal_names_the_quantity_the_value_farthest_out_and_the_range() -> None:
    with pytest.raises(OutOfRange) as refused:
        require_within("gap", [0.5, 2.0, 9.0], low=1.0, high=3.0, unit="m", hint="measure it")

    assert refused.value.quantity == "gap"
    assert refused.value.given == 9.0
    assert refused.value.allowed == (1.0, 3.0)
    assert str(refused.value) == "gap 9 m is outside 1 to 3 m: measure it"


def test_without_a_hint_the_sentence_ends_with_the_range() -> None:
    assert str(OutOfRange("gap", 9.0, (1.0, 3.0), "m")) == "gap 9 m is outside 1 to 3 m"


@pytest.mark.parametrize("given", [math.nan, math.inf, -math.inf])
def test_what_is_not_a_finite_number_is_out_of_every_range(given: float) -> None:
    with pytest.raises(OutOfRange):
        require_within("gap", [2.0, given], low=1.0, high=3.0, unit="m")


def test_an_empty_set_of_samples_is_within_every_range() -> None:
    assert require_within("gap", [], low=1.0, high=3.0, unit="m").shape == (0,)


def test_a_refusal_survives_the_way_between_processes() -> None:
    refused = OutOfRange("gap", 9.0, (1.0, 3.0), "m", "measure it")

    assert str(pickle.loads(pickle.dumps(refused))) == str(refused)
