"""What a builder states about a tyre and the wheel it is shrunk on."""

from __future__ import annotations

from typing import Annotated, ClassVar, Final

import numpy as np
from pydantic import model_validator

from benchproof.duties.matter import MaterialSpec
from benchproof.quantities import LENGTH, TEMPERATURE, show
from benchproof.specs import (
    Choice,
    Count,
    Duration,
    FieldError,
    Force,
    Fraction,
    Length,
    Number,
    SpreadField,
    Stress,
    Temperature,
    TemperatureDifference,
)
from benchproof.spread import Fixed, LogNormal, Spread, Uniform
from benchproof.tables.materials import Material, Value, material, materials

SOLID, WEB, SPOKED, RING = "solid", "plate web", "spoked", "free ring"
BORED_TO_SUIT = "bored to suit"
ALLOWED_SHARE: Final = 0.67  # of the yield stress
DROP_SHARE: Final = 1e-3  # of the seat: clearance to drop on with (DIN 7190-1, from memory)
PLANNED_SHARE: Final = 1e-3  # of the seat: interference a drawing starts from
HEATED_TO: Final = {"oven": 523.15, "hotplate": 553.15, "torch": 573.15}
"""Mean temperature [K] each means of heating brings a tyre to (judgement): a kitchen oven stops at
250 °C; on a hotplate and under a torch some places are much hotter than the mean."""
_TEMPERED: Final = {"alloy steel en24": 573.15}
_PLAIN: Final = 623.15  # highest heat of plain steel [K] (DIN 7190-1, from memory)
_OF_TYRES: Final = {"steel", "stainless steel"}
_TOO_SOFT: Final = {"plastic", "packing", "white metal"}
_FRICTION: Final = {
    "steel": (0.14, 0.20),
    "stainless steel": (0.14, 0.20),
    "iron": (0.10, 0.16),
    "copper alloy": (0.07, 0.17),
}
"""Sticking friction of a dry shrunk steel ring on each family (DIN 7190-1, from memory)."""


def positive(figure: Value) -> Spread:
    """Spread of a figure of a metal that cannot fall below nothing, however far it is bent."""
    return LogNormal(figure.value, float(np.exp(figure.u / figure.value)))


def _tyre_materials() -> tuple[str, ...]:
    return tuple(
        each.key
        for each in materials()
        if each.family in _OF_TYRES and each.yield_strength is not None
    )


def _wheel_materials() -> tuple[str, ...]:
    return tuple(each.key for each in materials() if each.family not in _TOO_SOFT)


class TyreSpec(MaterialSpec):
    """What one shrunk tyre must do."""

    version: ClassVar[int] = 1
    material_fields: ClassVar[tuple[str, ...]] = ("wheel_material", "tyre_material")

    seat: Annotated[
        float,
        Length(
            "wheel seat",
            help="planned diameter of the wheel where the tyre sits",
            minimum=10e-3,
            maximum=500e-3,
        ),
    ]
    tread: Annotated[
        float,
        Length(
            "tread diameter",
            help="outside of the finished tyre, flange left out",
            minimum=12e-3,
            maximum=600e-3,
        ),
    ]
    width: Annotated[float, Length("tyre width", help="on the seat", minimum=2e-3, maximum=100e-3)]
    flange_height: Annotated[
        float,
        Length("flange height", help="over the tread", minimum=0.0, maximum=30e-3),
    ] = 0.0
    flange_width: Annotated[
        float, Length("flange width", help="mean of root and tip", minimum=0.0, maximum=30e-3)
    ] = 0.0
    wheel_is: Annotated[
        str,
        Choice(
            "wheel is",
            help="a spoked rim is stiffer than a free ring and softer than a disc",
            options=(SOLID, WEB, SPOKED, RING),
        ),
    ]
    rim_inside: Annotated[
        float | None,
        Length(
            "rim inside diameter",
            help="where the rim's metal ends; not of a solid wheel",
            minimum=5e-3,
            maximum=480e-3,
        ),
    ] = None
    web_thickness: Annotated[
        float | None,
        Length("web thickness", help="of a plate web", minimum=1e-3, maximum=100e-3),
    ] = None
    spokes: Annotated[int | None, Count("spokes", minimum=3, maximum=40)] = None
    spoke_width: Annotated[
        float | None,
        Length("spoke width", help="mean, seen from the side", minimum=0.5e-3, maximum=60e-3),
    ] = None
    spoke_thickness: Annotated[
        float | None,
        Length("spoke thickness", help="mean, along the axle", minimum=0.5e-3, maximum=60e-3),
    ] = None
    hub_diameter: Annotated[float | None, Length("hub diameter", minimum=3e-3, maximum=300e-3)] = (
        None
    )
    spoke_bearing: Annotated[
        SpreadField | None,
        Fraction(
            "share of the spokes' support",
            help="100 % as if spread evenly round the rim, 0 % a free ring; from half of what "
            "a bending rim leaves to all, where not stated",
            minimum=0.0,
            maximum=1.5,
        ),
    ] = None
    wheel_material: Annotated[
        str,
        Choice(
            "wheel material",
            options=_wheel_materials,
            why="anything softer bears no shrunk tyre",
        ),
    ]
    tyre_material: Annotated[
        str,
        Choice("tyre material", options=_tyre_materials, why="a shrunk tyre is of steel here"),
    ]
    tyre_yield: Annotated[
        SpreadField | None,
        Stress(
            "yield stress of the tyre",
            help="by its certificate; of the material where not stated",
            minimum=80e6,
            maximum=2000e6,
        ),
    ] = None
    hoop_allowed: Annotated[
        float | None,
        Stress(
            "hoop stress allowed in the tyre",
            help="0.67 of its yield stress where not stated",
            minimum=20e6,
            maximum=1500e6,
        ),
    ] = None
    rim_allowed: Annotated[
        float | None,
        Stress(
            "stress allowed in the rim",
            help="squeezed; 0.67 of its yield, or of grey iron its strength in tension, a "
            "quarter of what crushes it, where not stated",
            minimum=5e6,
            maximum=1000e6,
        ),
    ] = None
    seat_finish: Annotated[
        float, Length("seat finish", help="Rz", unit="um", minimum=0.0, maximum=100e-6)
    ] = 6.3e-6
    bore_finish: Annotated[
        float, Length("tyre bore finish", help="Rz", unit="um", minimum=0.0, maximum=100e-6)
    ] = 6.3e-6
    smoothing: Annotated[
        SpreadField,
        Fraction(
            "roughness pressed flat",
            help="share of both Rz that comes off the interference",
            minimum=0.0,
            maximum=2.0,
        ),
    ] = Uniform(0.6, 1.0)
    friction: Annotated[
        SpreadField | None,
        Number(
            "friction of the seat",
            help="dry and free of oil; by the wheel's material where not stated",
            minimum=0.01,
            maximum=0.6,
        ),
    ] = None
    axle_load: Annotated[
        float,
        Force("axle load", help="on both its wheels", unit="N", minimum=1.0, maximum=1e5),
    ]
    adhesion: Annotated[
        SpreadField,
        Number("adhesion", help="wheel on rail", minimum=0.05, maximum=0.7),
    ] = Uniform(0.15, 0.35)
    side_thrust: Annotated[
        float,
        Fraction(
            "side thrust",
            help="of the flange in a curve, share of the wheel's load",
            minimum=0.0,
            maximum=2.0,
        ),
    ] = 0.5
    grip_wanted: Annotated[
        float,
        Number(
            "grip wanted",
            help="over the most that rail and flange can ask for",
            minimum=1.0,
            maximum=50.0,
        ),
    ] = 2.0
    tyre_lead: Annotated[
        SpreadField,
        TemperatureDifference(
            "tyre hotter than wheel",
            help="when braked for long",
            minimum=0.0,
            maximum=300.0,
        ),
    ] = Fixed(50.0)
    coldest: Annotated[
        float,
        Temperature("coldest", help="wheel and tyre", minimum=233.15, maximum=293.15),
    ] = 273.15
    warmest: Annotated[
        float,
        Temperature(
            "warmest",
            help="wheel, and tyre when not braked",
            minimum=293.15,
            maximum=423.15,
        ),
    ] = 313.15
    heated_by: Annotated[
        str,
        Choice(
            "heated by",
            help="oven to 250 °C, hotplate to 280 °C, torch to 300 °C in the mean",
            options=tuple(HEATED_TO),
        ),
    ] = "oven"
    heat_limit: Annotated[
        float | None,
        Temperature(
            "hottest you can or will make it",
            help="by the means of heating and the steel where not stated",
            minimum=323.15,
            maximum=773.15,
        ),
    ] = None
    room_temperature: Annotated[
        float, Temperature("room temperature", minimum=263.15, maximum=313.15)
    ] = 293.15
    drop_clearance: Annotated[
        float | None,
        Length(
            "clearance to drop on",
            help="on diameter, when hot; a thousandth of the seat where not stated",
            minimum=5e-6,
            maximum=2e-3,
        ),
    ] = None
    handling_time: Annotated[
        float,
        Duration(
            "time to get it home",
            help="from the heat to fully on the wheel",
            unit="s",
            minimum=1.0,
            maximum=300.0,
        ),
    ] = 15.0
    tread_left: Annotated[
        float,
        Length(
            "metal left on the tread",
            help="on diameter, to finish when it is on",
            minimum=0.0,
            maximum=5e-3,
        ),
    ] = 0.5e-3
    tyre_is: Annotated[str, Choice("tyre is", options=(BORED_TO_SUIT, "bored separately"))] = (
        BORED_TO_SUIT
    )

    @model_validator(mode="after")
    def _fits_together(self) -> TyreSpec:
        if self.tread < 1.02 * self.seat:
            raise FieldError(
                "tread",
                f"must be at least 2 % over the seat of {show(self.seat, LENGTH)}: a thinner ring "
                "is a hoop, not a tyre",
                example=show(1.12 * self.seat, LENGTH),
            )
        if self.flange_width > self.width:
            raise FieldError(
                "flange_width", f"cannot be wider than the tyre, {show(self.width, LENGTH)}"
            )
        self._check_rim()
        if self.highest_heat < self.room_temperature + 30.0:
            least = show(self.room_temperature + 30.0, TEMPERATURE)
            raise FieldError(
                "heat_limit", f"must be at least {least}, 30 K over the room's", example="250 °C"
            )
        return self

    def _check_rim(self) -> None:
        """Each kind of wheel asks for its own sizes, and takes no others."""
        asked = {
            SOLID: (),
            WEB: ("rim_inside", "web_thickness"),
            SPOKED: ("rim_inside", "spokes", "spoke_width", "spoke_thickness", "hub_diameter"),
            RING: ("rim_inside",),
        }[self.wheel_is]
        every = ("rim_inside", "web_thickness", "spokes", "spoke_width", "spoke_thickness",
                 "hub_diameter", "spoke_bearing")  # fmt: skip
        for name in asked:
            if getattr(self, name) is None:
                words = f"must be stated for a wheel that is {self.wheel_is}"
                if len(asked) > 1:
                    words += f", which asks for {', '.join(asked)}"
                raise FieldError(name, words, example=self._likely(name))
        optional = ("spoke_bearing",) if self.wheel_is == SPOKED else ()
        for name in every:
            if name not in (*asked, *optional) and getattr(self, name) is not None:
                raise FieldError(
                    name, f"means nothing for a wheel that is {self.wheel_is}: leave it out"
                )
        if self.rim_inside is not None and self.rim_inside > 0.98 * self.seat:
            raise FieldError(
                "rim_inside",
                f"must leave a rim: at most 98 % of the seat, {show(0.98 * self.seat, LENGTH)}",
                example=self._likely("rim_inside"),
            )
        if self.web_thickness is not None and self.web_thickness > self.width:
            raise FieldError(
                "web_thickness",
                f"cannot be thicker than the tyre is wide, {show(self.width, LENGTH)}",
                example=self._likely("web_thickness"),
            )
        if self.wheel_is == SPOKED:
            self._check_spokes()

    def _likely(self, name: str) -> str:
        """What one might write for a size of the wheel, in proportion to what is stated."""
        if name == "spokes":
            return "10"
        of_seat = {"rim_inside": 0.86, "hub_diameter": 0.34, "spoke_width": 0.08}
        size = of_seat[name] * self.seat if name in of_seat else 0.4 * self.width
        return f"{1e3 * size:.3g} mm"

    def _check_spokes(self) -> None:
        assert self.hub_diameter is not None
        assert self.rim_inside is not None
        if self.hub_diameter > 0.95 * self.rim_inside:
            raise FieldError(
                "hub_diameter",
                "must leave room for spokes inside the rim: at most 95 % of its inside, "
                f"{show(0.95 * self.rim_inside, LENGTH)}",
                example=self._likely("hub_diameter"),
            )
        assert self.spokes is not None
        assert self.spoke_width is not None
        if self.spokes * self.spoke_width > 3.2 * self.rim_inside:
            raise FieldError(
                "spoke_width", "so many spokes of that width leave no gaps: call it a plate web"
            )

    @property
    def tyre(self) -> Material:
        """What the tyre is made of."""
        return material(self.tyre_material)

    @property
    def wheel(self) -> Material:
        """What the wheel is made of."""
        return material(self.wheel_material)

    @property
    def outside(self) -> float:
        """Outside diameter [m] of the plain ring with the area of tyre and flange together."""
        return self.tread + 2.0 * self.flange_height * self.flange_width / self.width

    @property
    def yields_at(self) -> Spread:
        """Yield stress of the tyre [Pa], as stated or as usual of its steel."""
        if self.tyre_yield is not None:
            return self.tyre_yield
        usual = self.tyre.yield_strength
        assert usual is not None
        return positive(usual)

    @property
    def hoop_limit(self) -> float:
        """Hoop stress allowed in the tyre [Pa]."""
        if self.hoop_allowed is not None:
            return self.hoop_allowed
        return ALLOWED_SHARE * self.yields_at.median

    @property
    def rim_limit(self) -> float:
        """Stress allowed in the rim, squeezed [Pa]."""
        if self.rim_allowed is not None:
            return self.rim_allowed
        if self.wheel.yield_strength is not None:
            return ALLOWED_SHARE * self.wheel.yield_strength.value
        assert self.wheel.tensile_strength is not None
        return self.wheel.tensile_strength.value

    @property
    def grips_with(self) -> Spread:
        """Sticking friction of the seat [-]."""
        if self.friction is not None:
            return self.friction
        return Uniform(*_FRICTION.get(self.wheel.family, (0.07, 0.17)))

    @property
    def highest_heat(self) -> float:
        """Mean temperature the tyre may be heated to [K]."""
        if self.heat_limit is not None:
            return self.heat_limit
        return min(HEATED_TO[self.heated_by], _TEMPERED.get(self.tyre.key, _PLAIN))

    @property
    def clearance_to_drop(self) -> float:
        """Clearance on diameter to drop the hot tyre on with [m]."""
        return DROP_SHARE * self.seat if self.drop_clearance is None else self.drop_clearance

    @property
    def wheel_load(self) -> float:
        """Load on one wheel [N]."""
        return 0.5 * self.axle_load
