"""What may stand in a lathe file: summaries of past work, single past parts, instruments.

Deviations are true size less aim, on diameter for diameters; first sizes only, before any
second cut was taken to put a part right.
"""

from __future__ import annotations

import math
from typing import Annotated, Final

from pydantic import model_validator

from benchproof.instruments import INSTRUMENTS
from benchproof.specs import (
    Angle,
    Choice,
    Count,
    Duration,
    FieldError,
    Flag,
    Length,
    Mass,
    Number,
    Spec,
    TemperatureDifference,
    Words,
)

# Judgement: beyond these a size was mistyped or the wrong thing was cut; it says nothing of
# how well the lathe holds what it is set to.
FARTHEST_OFF: Final = 1e-3
FARTHEST_ANGLE_OFF: Final = math.radians(2.0)
LEAST_GRADE, GREATEST_GRADE = 1.0, 16.0

_Weight = Annotated[
    float,
    Number(
        "How far it still counts",
        "1 for parts of this lathe as it is now; less where it has changed since",
        minimum=0.01,
        maximum=1.0,
    ),
]
_Parts = Annotated[int, Count("Parts behind it", minimum=1, maximum=10_000)]
_Size = Length("Diameter", "size of the parts", minimum=0.1e-3, maximum=0.5)
_LengthOff = Length("Mean of true less aim", unit="µm", minimum=-FARTHEST_OFF, maximum=FARTHEST_OFF)
_LengthSpread = Length("One standard deviation", unit="µm", minimum=0.0, maximum=FARTHEST_OFF)
_LengthDoubt = Length(
    "Instrument's standard uncertainty", unit="µm", minimum=0.0, maximum=FARTHEST_OFF
)
_AngleOff = Angle(
    "Mean of true less aim",
    unit="arcmin",
    minimum=-FARTHEST_ANGLE_OFF,
    maximum=FARTHEST_ANGLE_OFF,
)
_AngleSpread = Angle(
    "One standard deviation", unit="arcmin", minimum=0.0, maximum=FARTHEST_ANGLE_OFF
)
_AngleDoubt = Angle(
    "Instrument's standard uncertainty", unit="arcmin", minimum=0.0, maximum=FARTHEST_ANGLE_OFF
)
_InstrumentName = Annotated[
    str | None, Words("Instrument it was measured with", "its name, in place of u")
]


class Heading(Spec):
    """Whose lathe it is."""

    name: Annotated[str, Words("Name of the lathe")]
    invented: Annotated[bool, Flag("Whether the record is made up")] = False
    notes: Annotated[str, Words("Notes", max_length=2000)] = ""


class DiameterSummary(Spec):
    """Past diameters: their spread as a standard deviation, or as the grade six sigma spans."""

    parts: _Parts
    at: Annotated[float, _Size]
    bias: Annotated[float, _LengthOff]
    spread: Annotated[float | None, _LengthSpread] = None
    grade: Annotated[
        float | None,
        Number(
            "Tolerance grade of six sigma",
            "7.4 for IT7.4, in place of spread",
            minimum=LEAST_GRADE,
            maximum=GREATEST_GRADE,
        ),
    ] = None
    u: Annotated[float, _LengthDoubt] = 0.0
    weight: _Weight = 1.0

    @model_validator(mode="after")
    def _spread_or_grade(self) -> DiameterSummary:
        if (self.spread is None) == (self.grade is None):
            raise FieldError(
                "spread", "give either spread or grade, and not both", example='spread = "4 µm"'
            )
        return self


class PlaceSummary(Spec):
    """Past places along the axis."""

    parts: _Parts
    bias: Annotated[float, _LengthOff]
    spread: Annotated[float, _LengthSpread]
    u: Annotated[float, _LengthDoubt] = 0.0
    weight: _Weight = 1.0


class AngleSummary(Spec):
    """Past angles."""

    parts: _Parts
    bias: Annotated[float, _AngleOff]
    spread: Annotated[float, _AngleSpread]
    u: Annotated[float, _AngleDoubt] = 0.0
    weight: _Weight = 1.0


class DiameterPart(Spec):
    """One past diameter as first measured."""

    aim: Annotated[float, _Size]
    came_out: Annotated[float, Length("First measured size", minimum=0.0, maximum=0.501)]
    u: Annotated[float | None, _LengthDoubt] = None
    instrument: _InstrumentName = None
    weight: _Weight = 1.0

    @model_validator(mode="after")
    def _believable(self) -> DiameterPart:
        _check_part(self.came_out - self.aim, FARTHEST_OFF, "1 mm", self.u, self.instrument)
        return self


class PlacePart(Spec):
    """One past place along the axis as first measured."""

    aim: Annotated[float, Length("Aim", minimum=-1.0, maximum=1.0)]
    came_out: Annotated[float, Length("First measured place", minimum=-1.1, maximum=1.1)]
    u: Annotated[float | None, _LengthDoubt] = None
    instrument: _InstrumentName = None
    weight: _Weight = 1.0

    @model_validator(mode="after")
    def _believable(self) -> PlacePart:
        _check_part(self.came_out - self.aim, FARTHEST_OFF, "1 mm", self.u, self.instrument)
        return self


class AnglePart(Spec):
    """One past angle as first measured."""

    aim: Annotated[float, Angle("Aim", minimum=-math.pi, maximum=math.pi)]
    came_out: Annotated[float, Angle("First measured angle", minimum=-4.0, maximum=4.0)]
    u: Annotated[float | None, _AngleDoubt] = None
    instrument: _InstrumentName = None
    weight: _Weight = 1.0

    @model_validator(mode="after")
    def _believable(self) -> AnglePart:
        _check_part(self.came_out - self.aim, FARTHEST_ANGLE_OFF, "2°", self.u, self.instrument)
        return self


def _check_part(
    off: float, farthest: float, farthest_text: str, u: float | None, instrument: str | None
) -> None:
    if abs(off) > farthest:
        raise FieldError(
            "came_out",
            f"lies more than {farthest_text} from the aim: one of the two is mistyped, "
            "or the part says nothing of what the lathe holds",
        )
    if (u is None) == (instrument is None):
        raise FieldError(
            "u",
            "give either u or the instrument it was measured with, and not both",
            example=f'instrument = "{next(iter(INSTRUMENTS))}"',
        )


class _StatedInstrument(Spec):
    name: Annotated[str, Words("Name")] = ""
    measures: Annotated[
        str, Choice("What it measures", ("length", "angle", "duration", "mass", "temperature"))
    ] = "length"


class LengthInstrument(_StatedInstrument):
    """An instrument for lengths."""

    u: Annotated[
        float,
        Length("Standard uncertainty", unit="µm", minimum=0.0, maximum=0.01, exclusive=True),
    ]


class AngleInstrument(_StatedInstrument):
    """An instrument for angles."""

    u: Annotated[
        float,
        Angle("Standard uncertainty", unit="arcmin", minimum=0.0, maximum=0.2, exclusive=True),
    ]


class DurationInstrument(_StatedInstrument):
    """An instrument for durations."""

    u: Annotated[float, Duration("Standard uncertainty", minimum=0.0, maximum=60.0, exclusive=True)]


class MassInstrument(_StatedInstrument):
    """An instrument for masses."""

    u: Annotated[float, Mass("Standard uncertainty", minimum=0.0, maximum=10.0, exclusive=True)]


class TemperatureInstrument(_StatedInstrument):
    """An instrument for temperatures."""

    u: Annotated[
        float,
        TemperatureDifference("Standard uncertainty", minimum=0.0, maximum=50.0, exclusive=True),
    ]
