"""Growth: the tyre's outside measured before and after shrinking gives the real interference.

A tyre that grips is stretched, so its outside grows, by eight tenths of the interference on a
stiff wheel. One instrument measures both times, so its own offset drops out; what is left is its
scatter, and how alike the two temperatures were. Unlike the two sizes of the seat, growth knows of
roughness pressed flat, a tapered bore, and a tyre that did not go home.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, ClassVar, Final

import numpy as np
from pydantic import model_validator

from benchproof.bench_tests.contract import Array, BenchTest, Figure, Flag
from benchproof.duties.contract import Samples, Unknown
from benchproof.duties.tyre_model import TyreModel
from benchproof.duties.tyre_spec import TyreSpec
from benchproof.quantities import LENGTH, STRESS, TEMPERATURE_DIFFERENCE, TORQUE, echo
from benchproof.specs import FieldError, Length, Spec, TemperatureDifference
from benchproof.spread import Normal

RINGS_KNOWN: Final = 0.03  # one standard deviation of the true growth over that of plain rings
LEAST_OUTSIDE: Final = 0.95  # of the tread planned: smaller, it is another tyre
MOST_OUTSIDE: Final = 1.25  # of the tread planned: larger, it is another tyre
_FEW: Final = 3


class Place(Spec):
    """The outside at one place of the tyre, before and after."""

    version: ClassVar[int] = 1
    before: Annotated[
        float,
        Length("outside before", help="cold, at a mark", minimum=12e-3, maximum=620e-3),
    ]
    after: Annotated[
        float,
        Length("outside after", help="cold again, at the same mark", minimum=12e-3, maximum=620e-3),
    ]


class GrowthRecord(Spec):
    """One tyre measured before and after it was shrunk on."""

    version: ClassVar[int] = 1
    reading_doubt: Annotated[
        float,
        Length(
            "doubt of one reading",
            help="standard uncertainty of its scatter; a lasting offset drops out",
            unit="um",
            minimum=0.2e-6,
            maximum=100e-6,
        ),
    ] = 3e-6
    warmer_after: Annotated[
        float,
        TemperatureDifference(
            "tyre warmer the second time",
            help="over the micrometer, against the first time; as far as it is known",
            minimum=-20.0,
            maximum=20.0,
        ),
    ] = 0.0
    warmth_doubt: Annotated[
        float,
        TemperatureDifference(
            "doubt about that", help="standard uncertainty", minimum=0.05, maximum=10.0
        ),
    ] = 0.7
    reading: tuple[Place, ...]

    @model_validator(mode="after")
    def _has_places(self) -> GrowthRecord:
        if not 1 <= len(self.reading) <= 60:
            raise FieldError("reading", "needs one to sixty places, each under [[reading]]")
        return self


class GrowthForesight:
    """What each place would have grown, in every sample."""

    def __init__(self, spec: TyreSpec, record: GrowthRecord) -> None:
        self.spec = spec
        self.record = record
        self.model = TyreModel(spec)
        places = record.reading
        self.outside = float(np.mean([place.before for place in places]))
        self._grown = np.array([place.after - place.before for place in places])
        self._doubt = record.reading_doubt * np.sqrt(2.0)

    def foresee(self, samples: Samples) -> Array:
        """Growth of the outside on diameter [m], as an instrument at one temperature reads it."""
        rise = self.record.warmer_after + samples["growth_warmth"]
        # Tyre and micrometer are both of steel: only what one is warmer than the other counts.
        warmed = self.spec.tyre.expansion.value * self.outside * rise
        grown = self.model.grown(samples, self.outside) * samples["growth_rings"]
        return np.asarray(grown + warmed)

    def residuals(self, samples: Samples) -> Array:
        """Places less what is foreseen, in standard deviations; shape (n, places)."""
        return np.asarray((self._grown - self.foresee(samples)[:, None]) / self._doubt)

    def log_likelihood(self, samples: Samples) -> Array:
        """Log-likelihood of what was measured."""
        return np.asarray(-0.5 * np.sum(np.square(self.residuals(samples)), axis=1))

    def figures(self, samples: Samples) -> Sequence[Figure]:
        """Interference as gauged and as left, what it presses and bears, and where it lets go."""
        model = self.model
        left = np.maximum(model.left(samples), 0.0)
        pressure = left * model.circumstances(samples).taken_up
        return [
            Figure("interference", "interference as cut", LENGTH, model.interference(samples)),
            Figure("left", "interference left, roughness pressed flat", LENGTH, left),
            Figure("pressure", "pressure on the seat, tread finished", STRESS, pressure),
            Figure("hoop_stress", "hoop stress, tread finished", STRESS, model.hoop * pressure),
            Figure("slip_torque", "torque that turns the tyre, cold", TORQUE,
                   model.capacity(samples, left)),
            Figure("grip_lost_at", "tyre hotter than wheel at which all grip is lost",
                   TEMPERATURE_DIFFERENCE, left / model.lead_taken(samples, np.ones_like(left))),
            Figure("foreseen", "growth of the outside", LENGTH,
                   model.grown(samples, self.outside)),
        ]  # fmt: skip


class Growth(BenchTest[GrowthRecord]):
    """Measure the tyre's outside before and after shrinking."""

    key = "growth"
    title = "Growth of the tyre"
    summary = "How much the outside grew in shrinking tells the interference that is really there."
    serves = ("tyre-fit",)
    assembled = True
    record_type = GrowthRecord
    theory = (
        "Thick rings: a stretched tyre grows outside as its mean hoop stress over its stiffness. "
        "Growth follows the interference left, so it is known no better than the stiffness of the "
        "rim and the share of roughness pressed flat allow; rings with a flange are trusted to 3 "
        "parts in a hundred. A kelvin between tyre and micrometer counts as a micrometre or more. "
        "Beyond the yield of the tyre growth tells too much."
    )
    sources = (
        "Thick rings: Budynas and Nisbett, Shigley's Mechanical Engineering Design, 8th ed., eq. "
        "3-50 and 3-56",
        "Growth of the outside: own derivation",
        "Rings with a flange trusted to 3 parts in a hundred: judgement",
    )

    def procedure(self, spec: TyreSpec) -> Sequence[str]:
        """Steps at the bench."""
        return (
            "Before shrinking: turn a clean band on the tyre's outside, mark three or four "
            "diameters across it, and number them.",
            "Let tyre and micrometer lie together for an hour; measure each mark with the tyre "
            "cold and not yet on the wheel. Write each down, not the mean.",
            "Shrink the tyre on. Hot metal looks cold: do not touch or measure it on the day; no "
            "water, no draught.",
            "Next day, the same room, the same micrometer and zero: measure the same marks. Do "
            "this before the tread is finished: turning takes the band away.",
            "A tyre one degree warmer than the micrometer reads a micron (0.04 thou) too large on "
            "90 mm (3.5 in): note what a thermometer on each says, and how far you trust it.",
        )

    def unknowns(self, spec: TyreSpec, record: GrowthRecord) -> Sequence[Unknown]:
        """Warmth between the two days, and how well plain rings tell the growth."""
        return [
            Unknown(
                "growth_warmth",
                Normal(0.0, record.warmth_doubt),
                "warmth of the tyre over the micrometer, second time against first",
                "bench test",
            ),
            Unknown(
                "growth_rings",
                Normal(1.0, RINGS_KNOWN),
                "growth over that of plain rings",
                "bench test",
            ),
        ]

    def prepare(self, spec: TyreSpec, record: GrowthRecord) -> GrowthForesight:
        """The rings, and the readings' own scatter."""
        return GrowthForesight(spec, record)

    def screen(self, spec: TyreSpec, record: GrowthRecord) -> Sequence[Flag]:
        """What the readings alone give away."""
        found = []
        grown = [place.after - place.before for place in record.reading]
        doubt = record.reading_doubt
        before = [place.before for place in record.reading]
        if min(before) < spec.tread - 10.0 * doubt or max(before) > 1.1 * spec.tread:
            found.append(
                Flag(
                    "another outside",
                    f"The outside was {echo(min(before), LENGTH)} before shrinking and "
                    f"{echo(spec.tread, LENGTH)} is planned for the finished tread: is it this "
                    "tyre, and was it measured before the tread was finished?",
                    "spoilt"
                    if min(before) < LEAST_OUTSIDE * spec.tread
                    or max(before) > MOST_OUTSIDE * spec.tread
                    else "doubt",
                )
            )
        if max(grown) < -2.0 * doubt:
            found.append(
                Flag(
                    "did not grow",
                    "The outside is smaller after shrinking than before, which no tyre does: were "
                    "before and after swapped, or was it not cold the first time? Do not run it "
                    "before that is settled.",
                    "stop",
                )
            )
        elif max(grown) <= 2.0 * doubt:
            found.append(
                Flag(
                    "did not grow",
                    "The outside did not grow beyond doubt: there is hardly any grip, or the "
                    "marks were not the same. Do not run it; a light tap should ring, not clack.",
                    "stop",
                )
            )
        if max(grown) - min(grown) > 6.0 * doubt:
            found.append(
                Flag(
                    "uneven",
                    f"Growth runs from {echo(min(grown), LENGTH)} to {echo(max(grown), LENGTH)}: "
                    "the tyre is oval, not home on one side, or over the spokes of a thin rim. "
                    "Look for daylight at the shoulder.",
                )
            )
        if len(grown) < _FEW:
            found.append(
                Flag(
                    "few places",
                    "Fewer than three places: a tyre is seldom round, measure three or four.",
                    "note",
                )
            )
        return found
