"""Figures kept for as long as the very same draws come, and no longer."""

from __future__ import annotations

from threading import Thread

import numpy as np
import pytest

from benchproof.duties import DUTIES, load_duty
from benchproof.duties.contract import Array, Samples
from benchproof.duties.kept import Kept
from benchproof.reckon.plan import Job
from benchproof.workshop.lathe import assumed_lathe
from examples import SPECS


class Counted:
    """Doubles what it is given, and counts how often."""

    def __init__(self) -> None:
        self.times = 0

    def __call__(self, samples: Samples) -> Array:
        self.times += 1
        return np.asarray(2.0 * samples["warmth"])


def draws(warmth: float, size: float = 0.0) -> dict[str, Array]:
    return {"warmth": np.full(3, warmth), "size": np.full(3, size)}


def test_the_same_draws_are_worked_out_once_whatever_else_changes() -> None:
    work_out = Counted()
    kept = Kept(("warmth", "warmth"), work_out)
    given = draws(1.0)
    first = kept(given)
    again = kept(given | {"size": np.ones(3)})
    assert again is first
    assert work_out.times == 1


def test_other_draws_are_worked_out_anew_even_if_they_are_equal() -> None:
    work_out = Counted()
    kept = Kept(("warmth",), work_out)
    kept(draws(1.0))
    kept(draws(1.0))
    found = kept(draws(3.0))
    np.testing.assert_array_equal(found, np.full(3, 6.0))
    assert work_out.times == 3


def test_each_thread_keeps_its_own() -> None:
    work_out = Counted()
    kept = Kept(("warmth",), work_out)
    given = draws(1.0)
    kept(given)
    beside = Thread(target=kept, args=(given,))
    beside.start()
    beside.join()
    kept(given)
    assert work_out.times == 2


def test_nothing_asked_for_is_nothing_kept_apart() -> None:
    work_out = Counted()
    kept = Kept((), work_out)
    assert kept(draws(1.0)) is kept(draws(2.0))


@pytest.mark.parametrize("key", DUTIES)
def test_a_model_that_has_seen_other_draws_tells_the_same_as_a_new_one(key: str) -> None:
    # Every draw in turn is replaced, so whatever a model keeps must not outlive any of them.
    duty = load_duty(key)
    spec = SPECS[key]
    joint = Job(duty, spec, assumed_lathe(), {}).joint()
    samples = joint.samples(joint.normals(64, 1))
    others = joint.samples(joint.normals(64, 2))
    used = duty.prepare(spec)
    for name in samples:
        used.perform(samples)
        mixed = samples | {name: others[name]}
        told, anew = used.perform(mixed).merits, duty.prepare(spec).perform(mixed).merits
        for merit, values in anew.items():
            np.testing.assert_array_equal(told[merit], values, err_msg=f"{merit} after {name}")
