"""Witness mark: a line across tyre and rim, looked at after runs. It has moved, or it has not.

Each entry is a number of runs of one kind, the most torque one of them put on the wheel, and how
hot the tyre got. No run slipped when the grip outlasted the worst of them; so many runs that stayed
put say more than one, but only as far as they were alike. Grip is far above what rail and flange
can ask for unless heat takes it, so a mark that stands still after gentle runs proves little, and
one that moved says that most of the interference is gone.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, ClassVar, Final

import numpy as np
from pydantic import model_validator
from scipy.special import log_ndtr

from benchproof.bench_tests.contract import Array, BenchTest, Figure, Flag
from benchproof.duties.contract import Samples, Unknown
from benchproof.duties.tyre_model import TyreModel
from benchproof.duties.tyre_spec import TyreSpec
from benchproof.quantities import LENGTH, TEMPERATURE_DIFFERENCE, TORQUE
from benchproof.specs import (
    Count,
    FieldError,
    Spec,
    SpreadField,
    TemperatureDifference,
    Torque,
)
from benchproof.specs import Flag as YesOrNo
from benchproof.spread import Normal, Uniform

BETWEEN_RUNS: Final = 0.15  # ln of the worst torque, run to run of one kind
GUESSED: Final = 0.3  # ln of the torque as estimated, all runs together
MISREAD: Final = 0.01  # of marks: rubbed off, drawn twice, crept with the paint
_LEAST: Final = 1e-9  # N m: a tyre without grip, so that its logarithm is a number
_MANY: Final = 20


class Runs(Spec):
    """Runs of one kind, and whether the mark had moved after them."""

    version: ClassVar[int] = 1
    runs: Annotated[
        int, Count("runs", help="of this kind, since the mark was last true", minimum=1,
                   maximum=100_000)
    ]  # fmt: skip
    torque: Annotated[
        SpreadField | None,
        Torque(
            "most torque on the wheel",
            help="in a usual run of this kind; by adhesion and load where not stated",
            minimum=1e-3,
            maximum=1e5,
        ),
    ] = None
    tyre_lead: Annotated[
        SpreadField,
        TemperatureDifference(
            "tyre hotter than wheel",
            help="at its hottest in these runs",
            minimum=0.0,
            maximum=400.0,
        ),
    ] = Uniform(0.0, 10.0)
    moved: Annotated[bool, YesOrNo("mark has moved")]


class WitnessRecord(Spec):
    """One wheel's mark and what it has run since."""

    version: ClassVar[int] = 1
    reading: tuple[Runs, ...]

    @model_validator(mode="after")
    def _has_runs(self) -> WitnessRecord:
        if not 1 <= len(self.reading) <= 60:
            raise FieldError("reading", "needs one to sixty entries, each under [[reading]]")
        return self


class WitnessForesight:
    """Chance that the mark stands still through each entry, in every sample."""

    def __init__(self, spec: TyreSpec, record: WitnessRecord) -> None:
        self.spec = spec
        self.record = record
        self.model = TyreModel(spec)
        self._moved = np.array([entry.moved for entry in record.reading])

    def stays(self, samples: Samples) -> Array:
        """Log of the chance that no run of an entry turned the tyre; shape (n, entries)."""
        left = self.model.left(samples)
        shares = []
        for entry in self.record.reading:
            lead = entry.tyre_lead.at(samples["witness_lead"])
            capacity = self.model.capacity(samples, left - self.model.lead_taken(samples, lead))
            if entry.torque is None:
                asked = samples["adhesion"] * (0.5 * self.spec.tread * self.spec.wheel_load)
            else:
                asked = entry.torque.at(samples["witness_torque"])
            asked = asked * np.exp(GUESSED * samples["witness_guess"])
            margin = np.log(np.maximum(capacity, _LEAST) / np.maximum(asked, _LEAST))
            shares.append(entry.runs * log_ndtr(margin / BETWEEN_RUNS))
        return np.stack(shares, axis=-1)

    def _chance_of_moved(self, samples: Samples) -> Array:
        """Chance that the mark is seen to have moved, a misread mark counted in."""
        moved = -np.expm1(self.stays(samples))
        return np.asarray(MISREAD + (1.0 - 2.0 * MISREAD) * moved)

    def residuals(self, samples: Samples) -> Array:
        """What was seen less its chance, in standard deviations; shape (n, entries)."""
        chance = self._chance_of_moved(samples)
        return np.asarray((self._moved - chance) / np.sqrt(chance * (1.0 - chance)))

    def log_likelihood(self, samples: Samples) -> Array:
        """Log-likelihood of what was seen; worst torques of single runs are integrated out."""
        chance = self._chance_of_moved(samples)
        seen = np.where(self._moved, chance, 1.0 - chance)
        return np.asarray(np.log(seen).sum(axis=1))

    def figures(self, samples: Samples) -> Sequence[Figure]:
        """Interference, torque that turns the tyre cold and braked hot, heat that frees it."""
        model = self.model
        left = model.left(samples)
        held = np.maximum(left, 0.0)
        one = model.lead_taken(samples, np.ones_like(left))
        hot = left - one * samples["tyre_lead"]
        return [
            Figure("interference", "interference as cut", LENGTH, model.interference(samples)),
            Figure("slip_torque", "torque that turns the tyre, cold", TORQUE,
                   model.capacity(samples, left)),
            Figure("hot_torque", "torque that turns the tyre, braked hot", TORQUE,
                   model.capacity(samples, hot)),
            Figure("grip_lost_at", "tyre hotter than wheel at which all grip is lost",
                   TEMPERATURE_DIFFERENCE, held / one),
        ]  # fmt: skip


class WitnessMark(BenchTest[WitnessRecord]):
    """Look at a line across tyre and rim after runs."""

    key = "witness-mark"
    title = "Witness mark after runs"
    summary = "A line across tyre and rim shows whether the tyre has turned on its wheel."
    serves = ("tyre-fit",)
    assembled = True
    record_type = WitnessRecord
    theory = (
        "The mark stays when the grip, less what heat took, is above the worst torque of every "
        "run. Torque is known within a third and differs from run to run by 15 %; one mark in a "
        "hundred is misread. Runs of one kind are not independent: they share the same doubt "
        "about torque and heat. A mark that stayed after gentle runs says little about braking."
    )
    sources = (
        "Grip: slip torque of a pressed ring, Coulomb friction",
        "Spread of torque between runs, doubt about it, share of marks misread: judgement",
    )

    def procedure(self, spec: TyreSpec) -> Sequence[str]:
        """Steps at the engine, each caution at its step."""
        return (
            "Degrease tyre and rim on the outer face, scribe or paint one thin line across both, "
            "and punch a light dot at its end on the tyre only.",
            "Write down what the runs will be: load, gradient, and for how long it is braked. "
            "First runs gentle, wheels easy to see.",
            "After each day, engine stopped, chocked and in mid gear, look at the line before "
            "anyone wipes it. Hot tyres burn: look, do not feel.",
            "Enter the runs, how hot the tyre got over the wheel (crayon or infrared within a "
            "minute of stopping), and yes or no: has the line parted.",
            "If it has moved by a hair, the engine does not run again with people behind it until "
            "the tyre is off and the fit is measured; a tyre that turns can also walk off.",
        )

    def unknowns(self, spec: TyreSpec, record: WitnessRecord) -> Sequence[Unknown]:
        """What all entries share: the torque and the heat as estimated."""
        score = Normal(0.0, 1.0)
        return [
            Unknown("witness_torque", score, "the torque within its stated spread", "bench test"),
            Unknown("witness_guess", score, "how well the torque was judged", "bench test"),
            Unknown("witness_lead", score, "the heat within its stated spread", "bench test"),
        ]

    def prepare(self, spec: TyreSpec, record: WitnessRecord) -> WitnessForesight:
        """The rings, and what was seen."""
        return WitnessForesight(spec, record)

    def screen(self, spec: TyreSpec, record: WitnessRecord) -> Sequence[Flag]:
        """What the entries alone give away."""
        found = []
        if any(entry.moved for entry in record.reading):
            found.append(
                Flag(
                    "moved",
                    "The mark has moved: take the engine out of use, take the tyre off and "
                    "measure seat and bore. What is told here is how it came about, not a leave "
                    "to run.",
                    "stop",
                )
            )
        else:
            hottest = max(entry.tyre_lead.median for entry in record.reading)
            if hottest < 0.5 * spec.tyre_lead.median:
                found.append(
                    Flag(
                        "never hot",
                        "No run braked the tyre half as hot as the spec asks: the mark says "
                        "nothing of that heat.",
                        "note",
                    )
                )
            if sum(entry.runs for entry in record.reading) < _MANY:
                found.append(
                    Flag(
                        "few runs",
                        "So far it stayed put, in few runs: go on looking at it.",
                        "note",
                    )
                )
        return found
