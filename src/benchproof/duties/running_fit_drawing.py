"""The journal and its bearing, drawn to the sizes of the answer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from benchproof.drawing import Drawing, Sized, Step, TurnedPart, View, size_of
from benchproof.duties.running_fit_spec import BORED_BEFORE, SPINDLE, RunningSpec

USUAL_HOUSING: Final = 2.0  # outside over bore of what is drawn round a bearing without a bush


def running_drawing(spec: RunningSpec, sizes: Mapping[str, Sized]) -> Drawing:
    """Draw journal, bearing and, round a pressed bush, its housing, one view each."""
    views = [_bearing(spec, sizes), _journal(spec, sizes)]
    if spec.pressed:
        views.insert(1, _housing(spec, sizes))
    return Drawing(
        "Journal in its bearing",
        tuple(views),
        notes=_notes(spec),
        material=f"{spec.bearing_material}; journal {spec.journal_material}",
    )


def _bearing(spec: RunningSpec, sizes: Mapping[str, Sized]) -> View:
    if spec.pressed:
        planned = spec.seat + spec.planned_interference
        outside: float | Sized = size_of(sizes, "bush outside", planned)
        feature, title = "bush outside", "Bush"
    else:
        outside, feature, title = USUAL_HOUSING * spec.diameter, "", "Bearing"
    part = TurnedPart(
        outside=(
            Step(
                diameter=outside,
                length=spec.length,
                feature=feature,
                show="both" if spec.pressed else "length",
            ),
        ),
        inside=(
            Step(
                diameter=size_of(sizes, "bore", spec.diameter),
                length=spec.length,
                feature="bore",
                finish=spec.bore_finish,
                process="reamed" if spec.bore_is == "reamed" else "bored",
                show="diameter",
            ),
        ),
    )
    return part.view(title, section="full")


def _housing(spec: RunningSpec, sizes: Mapping[str, Sized]) -> View:
    part = TurnedPart(
        outside=(Step(diameter=spec.housing_round, length=spec.length, show="none"),),
        inside=(
            Step(
                diameter=size_of(sizes, "housing bore", spec.seat),
                length=spec.length,
                feature="housing bore",
                show="diameter",
            ),
        ),
    )
    return part.view("Housing, round the seat of the bush", section="full")


def _journal(spec: RunningSpec, sizes: Mapping[str, Sized]) -> View:
    part = TurnedPart(
        outside=(
            Step(
                diameter=size_of(sizes, "journal", spec.diameter),
                length=spec.length,
                feature="journal",
                finish=spec.journal_finish,
            ),
        )
    )
    return part.view("Spindle" if spec.place == SPINDLE else "Journal", section="none")


def _notes(spec: RunningSpec) -> tuple[str, ...]:
    notes = ["Break the edges of the bore; an oil hole clear of where the load presses."]
    if spec.bearing_is == BORED_BEFORE:
        notes.append("The bore is given as it stands pressed in: bore it larger by the closing.")
    elif spec.pressed:
        notes.append("The bore is given as reamed after pressing.")
    return tuple(notes)
