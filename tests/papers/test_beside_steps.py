"""A caution stands beside the step that it names, once, or at the head: never nowhere."""

from __future__ import annotations

import copy
import pickle
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchproof.duties import DUTIES, load_duty
from benchproof.duties.contract import Caution
from benchproof.papers.beside_steps import Step, beside_steps, step_of
from examples import SPECS
from papers.specs_at_random import spec_at_random

STEPS = ("Drill the nuts 5 mm.", "Tap the nuts.", "Braze the nipple.")


def test_a_caution_goes_to_the_first_step_that_begins_as_it_says() -> None:
    hot = Caution("Brazing is hot.", at="Braze")
    swarf = Caution("Swarf cuts.", at="Drill the")
    head, steps = beside_steps((*STEPS, "Braze it again."), [hot, swarf])
    assert head == ()
    assert [step.cautions for step in steps] == [("Swarf cuts.",), (), ("Brazing is hot.",), ()]


def test_a_copy_of_a_caution_names_its_step_too() -> None:
    hot = Caution("Brazing is hot.", at="Braze")
    again = pickle.loads(pickle.dumps(copy.deepcopy(hot)))
    assert (again, again.at) == (hot, "Braze")


def test_without_a_step_and_where_its_step_is_missing_it_stands_at_the_head() -> None:
    told = ["Drill the nuts with goggles on.", Caution("Never quench.", at="Cool")]
    head, steps = beside_steps(STEPS, told)
    assert head == tuple(told)
    assert steps == tuple(Step(step) for step in STEPS)
    assert beside_steps((), told) == (tuple(told), ())


@given(
    st.lists(st.sampled_from(["Drill", "Tap", "Braze", "Cool"]), max_size=6),
    st.lists(st.sampled_from(["Drill", "Tap", "Braze", "Cool", ""]), max_size=6),
)
@settings(max_examples=60, deadline=None)
def test_none_is_lost_and_none_is_said_twice(steps: list[str], at: list[str]) -> None:
    cautions = [Caution(f"no. {n}", at=a) if a else f"no. {n}" for n, a in enumerate(at)]
    head, placed = beside_steps(steps, cautions)
    assert sorted([*head, *(c for step in placed for c in step.cautions)]) == sorted(cautions)
    assert [step.words for step in placed] == steps


@pytest.mark.parametrize("key", DUTIES)
def test_every_step_that_a_caution_names_is_a_step_of_its_duty(key: str) -> None:
    """Words of a step that are changed must be changed in its cautions too."""
    duty, choice = load_duty(key), random.Random(7)
    specs = [SPECS[key], *(spec_at_random(key, choice) for _ in range(8))]
    named: set[str] = set()
    found: set[str] = set()
    for spec in specs:
        steps = duty.steps(spec, {f.name: f.aim for f in duty.features(spec)})
        for caution in duty.cautions(spec):
            if isinstance(caution, Caution):
                named.add(caution.at)
                found |= {caution.at} if step_of(caution, steps) is not None else set()
    assert found == named


def test_what_burns_is_told_beside_the_heating() -> None:
    duty, spec = load_duty("tyre-fit"), SPECS["tyre-fit"]
    _, steps = beside_steps(duty.steps(spec, {}), duty.cautions(spec))
    told = {step.words.split()[0]: step.cautions for step in steps if step.cautions}
    assert any("burns at a touch" in caution for caution in told["Heat"])
    assert any("never quench" in caution for caution in told["Let"])
