"""Cautions stand beside the step that they are about; none is lost."""

from __future__ import annotations

import pytest

from benchproof.duties import DUTIES, load_duty
from benchproof.papers.beside_steps import beside_steps
from examples import SPECS

# First words of a caution, and of the step it must stand beside.
BESIDE = {
    "pipe-union": {
        "Brazing softens pipe and nipple": "Slip the nut on the pipe",
        "Never tighten a union": "Oil thread and collar and tighten",
    },
    "taper-cock": {
        "Before any test under pressure wash": "Take plug and body apart and wash",
        "Test with water, or with air": "Test it dry with air",
    },
    "running-fit": {"Press a bush in square": "Press it in"},
    "tyre-fit": {
        "When heating and dropping": "Heat the tyre",
        "Before heating": "Heat the tyre",
        "An oven used for tyres": "Heat the tyre",
        "When cooling: never quench": "Let it cool in still air",
    },
}


@pytest.mark.parametrize("key", DUTIES)
def test_every_caution_is_told_once(key: str) -> None:
    duty, spec = load_duty(key), SPECS[key]
    steps, cautions = duty.steps(spec, {}), duty.cautions(spec)
    head, placed = beside_steps(steps, cautions)
    told = [*head, *(caution for step in placed for caution in step.cautions)]
    assert sorted(told) == sorted(cautions)
    assert [step.words for step in placed] == list(steps)


@pytest.mark.parametrize("key", BESIDE)
def test_a_caution_stands_where_the_work_is_done(key: str) -> None:
    duty, spec = load_duty(key), SPECS[key]
    _, placed = beside_steps(duty.steps(spec, {}), duty.cautions(spec))
    where = {caution: step.words for step in placed for caution in step.cautions}
    for begins, step in BESIDE[key].items():
        (found,) = [words for caution, words in where.items() if caution.startswith(begins)]
        assert found.startswith(step)


def test_what_belongs_to_no_step_stands_at_the_head() -> None:
    steps = ("Bore the cylinder.", "Turn the piston to suit.")
    head, placed = beside_steps(steps, ("Keep clear of drain cocks.", "Boring dust: wear a mask."))
    assert head == ("Keep clear of drain cocks.",)
    assert placed[0].cautions == ("Boring dust: wear a mask.",)
    assert beside_steps((), ("Mind.",)) == (("Mind.",), ())
