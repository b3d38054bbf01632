"""What a builder states of a journal in its bearing: place, size, load, oil, metals, play."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from math import pi
from typing import Annotated, ClassVar, Self

from pydantic import model_validator

from benchproof.duties.matter import MaterialSpec
from benchproof.physics.journal_bearing import LEAST_SLENDERNESS, MOST_SLENDERNESS
from benchproof.quantities import LENGTH, show
from benchproof.specs import (
    Area,
    Choice,
    FieldError,
    Force,
    Length,
    Number,
    Rotation,
    Speed,
    SpreadField,
    Temperature,
    TemperatureDifference,
    Understood,
)
from benchproof.spread import Normal
from benchproof.tables.bearing_limits import bearing_limits, bearing_materials
from benchproof.tables.materials import material_keys, materials
from benchproof.tables.oils import UnknownOil, oil, oil_keys

AXLE, CRANK_PIN, SPINDLE = "axle in axlebox", "crank pin in rod bush", "valve spindle in gland"
PLACES = (AXLE, CRANK_PIN, SPINDLE)
IN_HOUSING = "cut in the housing"
REAMED_AFTER = "bush reamed after pressing"
BORED_BEFORE = "bush bored before pressing"
STATED, DRY = "stated", "none"
USUAL_HOUSING = 2.0  # outside of a housing over its seat, where not stated
_MOST_PRESS = 4e-3  # interference over seat: more than any bush bears
_LONGEST_NAME = 60


def _journal_materials() -> tuple[str, ...]:
    soft = {"plastic", "packing", "white metal"}
    return tuple(each.key for each in materials() if each.family not in soft)


def _oils() -> tuple[str, ...]:
    return (*oil_keys(), STATED, DRY)


class RunningSpec(MaterialSpec):
    """What one journal must do in its bearing."""

    version: ClassVar[int] = 1
    material_fields: ClassVar[tuple[str, ...]] = (
        "journal_material",
        "bearing_material",
        "housing_material",
    )

    place: Annotated[str, Choice("kind of place", options=PLACES)]
    diameter: Annotated[
        float,
        Length("diameter", help="nominal, of journal and bore", minimum=1e-3, maximum=100e-3),
    ]
    length: Annotated[float, Length("length", help="that bears", minimum=1e-3, maximum=200e-3)]
    load: Annotated[
        SpreadField,
        Force("load", help="on this one bearing, as a mean over a turn", minimum=0.01, maximum=1e5),
    ]
    speed: Annotated[
        float | None,
        Rotation(
            "speed of rotation",
            help="of axle or crank pin in its bearing",
            unit="rpm",
            minimum=1.0 / 60.0,
            maximum=5000.0 / 60.0,
        ),
    ] = None
    rubbing_speed: Annotated[
        float | None,
        Speed("rubbing speed", help="of a spindle, mean over a stroke", minimum=1e-4, maximum=20.0),
    ] = None
    journal_material: Annotated[
        str,
        Choice(
            "journal material", options=_journal_materials, why="the others are too soft for one"
        ),
    ]
    bearing_material: Annotated[
        str,
        Choice(
            "bearing material",
            options=bearing_materials,
            help="of the bush, or of a housing without; only where a limit is published",
        ),
    ]
    bearing_is: Annotated[
        str, Choice("bearing is", options=(IN_HOUSING, REAMED_AFTER, BORED_BEFORE))
    ] = IN_HOUSING
    bore_is: Annotated[str, Choice("bore is", options=("reamed", "bored"))] = "reamed"
    cut_last: Annotated[
        str,
        Choice("cut last", options=("bore", "journal"), help="which of the two suits the other"),
    ] = "bore"
    fit_is: Annotated[str, Choice("fit is", options=("made to suit", "cut separately"))] = (
        "made to suit"
    )
    bush_outside: Annotated[
        float | None,
        Length(
            "seat of the bush",
            help="diameter where a bush is pressed in",
            minimum=2e-3,
            maximum=150e-3,
        ),
    ] = None
    interference: Annotated[
        float | None,
        Length(
            "interference of the bush",
            help="planned, on diameter; a thousandth of the seat when not stated",
            minimum=1e-6,
            maximum=0.5e-3,
        ),
    ] = None
    housing_outside: Annotated[
        float | None,
        Length(
            "outside of the housing",
            help="of a ring as stiff as the metal round the seat; twice the seat when not stated",
            minimum=3e-3,
            maximum=500e-3,
        ),
    ] = None
    housing_material: Annotated[
        str | None, Choice("housing material", options=material_keys, help="round a bush")
    ] = None
    oil: Annotated[
        str, Choice("oil", options=_oils, help="stated: by its maker's two figures; or none")
    ] = "ISO VG 68"
    oil_at_40: Annotated[
        float | None,
        Number(
            "viscosity at 40 °C, in mm²/s (cSt)",
            help="for a stated oil",
            minimum=2.5,
            maximum=3000.0,
        ),
    ] = None
    oil_at_100: Annotated[
        float | None,
        Number("viscosity at 100 °C, in mm²/s (cSt)", help="likewise", minimum=2.0, maximum=500.0),
    ] = None
    housing_temperature: Annotated[
        float,
        Temperature(
            "housing temperature",
            help="of the bearing when running, its own heat counted",
            minimum=263.15,
            maximum=493.15,
        ),
    ] = 313.15
    journal_lead: Annotated[
        SpreadField,
        TemperatureDifference(
            "journal hotter than bearing", help="when running", minimum=-40.0, maximum=80.0
        ),
    ] = Normal(5.0, 3.0)
    journal_finish: Annotated[
        float,
        Length(
            "journal finish", help="mean roughness Ra", unit="um", minimum=0.01e-6, maximum=2e-5
        ),
    ] = 0.8e-6
    bore_finish: Annotated[
        float,
        Length("bore finish", help="mean roughness Ra", unit="um", minimum=0.01e-6, maximum=2e-5),
    ] = 0.8e-6
    seat_finish: Annotated[
        float,
        Length(
            "finish of the seats",
            help="peak to valley Rz of bush and housing together; pressing takes 0.8 of it",
            unit="um",
            minimum=0.0,
            maximum=50e-6,
        ),
    ] = 6e-6
    form: Annotated[
        float,
        Length(
            "form error",
            help="bend, taper, ovality, and what the journal lies askew, on diameter",
            unit="um",
            minimum=0.0,
            maximum=200e-6,
        ),
    ] = 5e-6
    play_allowed: Annotated[
        float,
        Length(
            "play allowed",
            help="on diameter, at the end of its life",
            minimum=2e-6,
            maximum=2e-3,
        ),
    ]
    wear_allowed: Annotated[
        float,
        Length(
            "wear allowed for", help="on diameter, out of that play", minimum=0.0, maximum=1.9e-3
        ),
    ] = 0.0
    full_film: Annotated[
        float,
        Number(
            "film over roughness wanted",
            help="above 3 the surfaces hardly meet",
            minimum=1.0,
            maximum=10.0,
        ),
    ] = 3.0
    cooling_area: Annotated[
        float | None,
        Area(
            "cooling surface",
            help="of the housing; 60 times length by diameter when not stated",
            minimum=1e-6,
            maximum=1.0,
        ),
    ] = None

    @classmethod
    def from_text(
        cls,
        stated: Mapping[str, object],
        *,
        inherited: Mapping[str, object] | None = None,
    ) -> Understood[Self]:
        """Read what people write; an oil goes by any name the trade has for it."""
        if isinstance(stated, Mapping) and isinstance(given := stated.get("oil"), str):
            with suppress(UnknownOil):
                stated = {**stated, "oil": oil(given[:_LONGEST_NAME]).key}
        return super().from_text(stated, inherited=inherited)

    @model_validator(mode="after")
    def _fits_together(self) -> RunningSpec:
        self._check_speed()
        self._check_oil()
        self._check_metals()
        if not LEAST_SLENDERNESS <= self.length / self.diameter <= MOST_SLENDERNESS:
            raise FieldError(
                "length",
                f"must be {LEAST_SLENDERNESS:g} to {MOST_SLENDERNESS:g} times the diameter",
            )
        if self.wear_allowed >= self.play_allowed:
            raise FieldError("wear_allowed", "must leave some of the play allowed for a new fit")
        if self.pressed:
            self._check_bush()
        else:
            self._check_no_bush()
        return self

    def _check_speed(self) -> None:
        if self.place == SPINDLE:
            wanted, other = "rubbing_speed", "speed"
            words, example = "a spindle slides: state its rubbing speed", "0.3 m/s"
        else:
            wanted, other = "speed", "rubbing_speed"
            words, example = "a journal turns: state its speed of rotation", "300 rpm"
        if getattr(self, wanted) is None:
            raise FieldError(wanted, words, example=example)
        if getattr(self, other) is not None:
            raise FieldError(other, f"{words}, and leave this out")

    def _check_oil(self) -> None:
        for name, example in (("oil_at_40", "68"), ("oil_at_100", "8.7")):
            given = getattr(self, name) is not None
            if self.oil == STATED and not given:
                raise FieldError(
                    name,
                    "goes with an oil that is stated by its two figures: state both",
                    example=example,
                )
            if given and self.oil != STATED:
                raise FieldError(
                    name,
                    f"goes with the oil called stated, not with {self.oil}: leave it out",
                    example='oil = "stated"',
                )
        if (self.oil_at_100 or 0.0) >= (self.oil_at_40 or 1.0):
            raise FieldError("oil_at_100", "must be less than the viscosity at 40 °C")

    def _check_metals(self) -> None:
        limits = bearing_limits(self.bearing_material)
        assert limits is not None
        if self.oil == DRY and limits.needs_oil:
            raise FieldError(
                "oil",
                f"{self.bearing_material} has no published limit without oil: oil it, or take a "
                "bearing that runs dry, such as ptfe",
                example="ISO VG 68",
            )

    def _check_no_bush(self) -> None:
        """Sizes of a bush nobody presses in would be left unread, and the builder not told."""
        for name in ("bush_outside", "interference"):
            if getattr(self, name) is not None:
                raise FieldError(
                    name,
                    f"means nothing for a bearing that is {IN_HOUSING}: leave it out, or say "
                    "what the bush is",
                    example=f'bearing_is = "{REAMED_AFTER}"',
                )

    def _check_bush(self) -> None:
        if self.bush_outside is None:
            raise FieldError(
                "bush_outside",
                "is wanted where a bush is pressed in",
                example=self._likely_bush(),
            )
        if self.housing_material is None:
            raise FieldError(
                "housing_material",
                "is wanted where a bush is pressed in",
                example="cast iron",
            )
        if self.bush_outside <= 1.05 * self.diameter:
            raise FieldError(
                "bush_outside",
                f"must leave a wall: over 1.05 times the diameter, "
                f"{show(1.05 * self.diameter, LENGTH)}",
                example=self._likely_bush(),
            )
        if self.housing_round <= 1.05 * self.bush_outside:
            raise FieldError("housing_outside", "must leave a wall round the seat of the bush")
        most = _MOST_PRESS * self.bush_outside
        if self.planned_interference > most:
            raise FieldError(
                "interference", f"must be at most {most * 1e6:.0f} µm on this seat: it would yield"
            )

    def _likely_bush(self) -> str:
        """What one might write for the outside of a bush: a wall of an eighth of the bore."""
        return f"{1.25e3 * self.diameter:.3g} mm"

    @property
    def pressed(self) -> bool:
        """Whether a bush is pressed into a housing."""
        return self.bearing_is != IN_HOUSING

    @property
    def seat(self) -> float:
        """Diameter of the seat of a pressed bush [m]; the bore's own where there is none."""
        return self.diameter if self.bush_outside is None else self.bush_outside

    @property
    def planned_interference(self) -> float:
        """Interference planned between bush and housing, on diameter [m]."""
        return 1e-3 * self.seat if self.interference is None else self.interference

    @property
    def housing_round(self) -> float:
        """Outside of the ring that stands for the housing [m]."""
        return USUAL_HOUSING * self.seat if self.housing_outside is None else self.housing_outside

    @property
    def has_film(self) -> bool:
        """Whether oil and a turning journal can make a film at all."""
        return self.place != SPINDLE and self.oil != DRY

    @property
    def slides_at(self) -> float:
        """Speed at which the surfaces rub [m/s]."""
        if self.rubbing_speed is not None:
            return self.rubbing_speed
        assert self.speed is not None
        return pi * self.diameter * self.speed

    @property
    def new_play(self) -> float:
        """Most play, on diameter, of a bearing that is new [m]."""
        return self.play_allowed - self.wear_allowed
