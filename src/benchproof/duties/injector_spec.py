"""What a builder states of an injector: the service it is for, the tube it must fit, its sizes.

Sizes may be left to be worked out. What cannot be, in this tube or with this tank, is refused by
the field that can mend it.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Final

from pydantic import model_validator

from benchproof.duties.injector_sizes import TANK_DENSITY, require_sound
from benchproof.duties.matter import MaterialSpec
from benchproof.physics.injector import DELIVERY_LOSS
from benchproof.physics.injector_tube import DRAFT_HALF_ANGLE, LEAST_WALL
from benchproof.quantities import GAUGE_PRESSURE, TEMPERATURE, VOLUME_FLOW, show
from benchproof.specs import (
    Angle,
    Choice,
    FieldError,
    Fraction,
    Length,
    MassFlow,
    Number,
    Pressure,
    PressureDifference,
    SpreadField,
    Temperature,
    VolumeFlow,
)
from benchproof.spread import LogNormal
from benchproof.tables.materials import material, material_keys

FLOODED, FREE = "flooded", "free"
ROUNDED, AS_DRILLED, NOT_KNOWN = "rounded", "as drilled", "not known"
LOWEST, HIGHEST = 2e5, 12e5
"""Range of the boiler pressure, gauge [Pa]."""
COLDEST, WARMEST = 278.15, 318.15
"""Range of the tank's temperature [K]."""
LOWER_SHARE: Final = 0.7  # of the boiler pressure: lowest it is to work at, unless stated
OVER_EVAPORATION: Final = 1.5  # feed over what the boiler evaporates, unless stated

_COEFFICIENT: Final = "as your own bench tests have shown; else as published, and wide"


class InjectorSpec(MaterialSpec):
    """What one injector must do."""

    version: ClassVar[int] = 1
    material_fields: ClassVar[tuple[str, ...]] = ("material",)

    boiler_pressure: Annotated[
        float,
        Pressure(
            "boiler pressure",
            help="gauge pressure at which the feed is wanted",
            minimum=LOWEST,
            maximum=HIGHEST,
            inherits="boiler_pressure",
        ),
    ]
    lowest_pressure: Annotated[
        float | None,
        Pressure(
            "lowest pressure",
            help="gauge pressure from which it is to work, as when lighting up; 0.7 of the "
            "boiler pressure, and 2 bar at the least, when not stated",
            minimum=LOWEST,
            maximum=HIGHEST,
        ),
    ] = None
    blowing_off: Annotated[
        float | None,
        Pressure(
            "blowing off",
            help="gauge pressure at which the safety valves blow; the boiler pressure when not "
            "stated",
            minimum=LOWEST,
            maximum=HIGHEST,
        ),
    ] = None
    feed: Annotated[
        float | None,
        VolumeFlow(
            "feed wanted",
            help="water from the tank into the boiler; from the evaporation when not stated",
            unit="L/min",
            minimum=0.02e-3 / 60.0,
            maximum=20e-3 / 60.0,
        ),
    ] = None
    evaporation: Annotated[
        float | None,
        MassFlow(
            "evaporation",
            help="of the boiler, working hard",
            unit="kg/h",
            minimum=1.0 / 3600.0,
            maximum=1200.0 / 3600.0,
            inherits="evaporation",
        ),
    ] = None
    over_evaporation: Annotated[
        float,
        Number(
            "feed over evaporation",
            help="the level must rise while steam is used",
            minimum=1.0,
            maximum=4.0,
        ),
    ] = OVER_EVAPORATION
    reserve: Annotated[
        float,
        Fraction(
            "reserve",
            help="set out for so much more than the feed wanted",
            minimum=0.0,
            maximum=0.5,
        ),
    ] = 0.1
    coldest_feed: Annotated[
        float, Temperature("coldest tank", minimum=COLDEST, maximum=WARMEST)
    ] = COLDEST
    feed_temperature: Annotated[
        float,
        Temperature("tank", help="usual temperature", minimum=COLDEST, maximum=WARMEST),
    ] = 288.15
    warmest_feed: Annotated[
        float,
        Temperature("warmest tank", help="on a summer's day", minimum=COLDEST, maximum=WARMEST),
    ] = 298.15
    head: Annotated[
        float,
        Length(
            "tank above injector",
            help="water level over the injector; negative for a lift",
            unit="mm",
            minimum=-2.0,
            maximum=1.0,
        ),
    ] = 0.1
    air_pressure: Annotated[
        float,
        Pressure(
            "air pressure",
            help="of the air outside: less by 12 mbar for each 100 m up",
            unit="mbar",
            minimum=0.7e5,
            maximum=1.1e5,
            absolute=True,
        ),
    ] = 101325.0
    delivery_loss: Annotated[
        float,
        PressureDifference(
            "clack and pipe take",
            help="pressure lost on the way to the boiler",
            unit="bar",
            minimum=0.0,
            maximum=2e5,
        ),
    ] = DELIVERY_LOSS
    overflow: Annotated[
        str,
        Choice(
            "overflow is",
            options=(FLOODED, FREE),
            help="flooded: always a little spills, and no air is drawn; free: air may come in",
        ),
    ] = FLOODED
    spill: Annotated[
        float,
        Fraction(
            "share that spills",
            help="at blowing-off pressure with the warmest tank, where it is least",
            minimum=0.0,
            maximum=0.3,
        ),
    ] = 0.05
    tube_bore: Annotated[
        float,
        Length("bore of the tube", help="that all cones go into", minimum=1.5e-3, maximum=15e-3),
    ] = 5e-3
    least_wall: Annotated[
        float,
        Length(
            "least wall",
            help="of the draft cone at its widest bore",
            minimum=0.1e-3,
            maximum=3e-3,
        ),
    ] = LEAST_WALL
    smallest_drill: Annotated[
        float,
        Length("smallest drill", help="to hand", minimum=0.1e-3, maximum=2e-3),
    ] = 0.3e-3
    smallest_reamer: Annotated[
        float,
        Length(
            "smallest reamer",
            help="or D-bit you have or can make: its diameter where it is to cut a throat",
            minimum=0.1e-3,
            maximum=2e-3,
        ),
    ] = 0.3e-3
    material: Annotated[str, Choice("material", options=material_keys)] = "phosphor bronze"
    steam_entry: Annotated[
        str,
        Choice(
            "entry of the steam throat",
            options=(ROUNDED, AS_DRILLED, NOT_KNOWN),
            help="a sharp one as drilled may pass a twentieth less",
        ),
    ] = ROUNDED
    draft_half_angle: Annotated[
        float,
        Angle(
            "half angle of the draft cone",
            unit="°",
            minimum=0.035,
            maximum=0.27,
        ),
    ] = DRAFT_HALF_ANGLE
    gauge_distance: Annotated[
        float,
        Length(
            "draft bore gauged off the nose plane by",
            help="the reamer's angle counts over this distance; 0 when gauged where the nose is",
            minimum=0.0,
            maximum=10e-3,
        ),
    ] = 0.0
    out_of_line: Annotated[
        SpreadField,
        Length(
            "tubes out of line",
            help="offset of the combining and delivery cones' axes",
            unit="um",
            minimum=0.0,
            maximum=0.5e-3,
        ),
    ] = LogNormal(15e-6, 1.8)
    steam_throat: Annotated[
        float | None,
        Length(
            "steam throat",
            help="with the delivery throat; both are worked out when not stated",
            minimum=0.3e-3,
            maximum=4e-3,
        ),
    ] = None
    delivery_throat: Annotated[
        float | None,
        Length("delivery throat", help="with the steam throat", minimum=0.3e-3, maximum=1.2e-3),
    ] = None
    mouth: Annotated[
        float | None,
        Length("mouth of the steam cone", minimum=0.3e-3, maximum=8e-3),
    ] = None
    nose: Annotated[
        float | None,
        Length("nose of the steam cone", help="outside", minimum=0.3e-3, maximum=9e-3),
    ] = None
    draft_bore: Annotated[
        float | None,
        Length("draft bore", help="in the plane of the nose", minimum=0.3e-3, maximum=12e-3),
    ] = None
    combining_throat: Annotated[
        float | None, Length("combining throat", minimum=0.3e-3, maximum=3e-3)
    ] = None
    delivery_exit: Annotated[
        float | None, Length("exit of the delivery cone", minimum=0.5e-3, maximum=8e-3)
    ] = None
    steam_discharge: Annotated[
        SpreadField | None,
        Number("steam discharge", help=_COEFFICIENT, minimum=0.5, maximum=1.3),
    ] = None
    momentum: Annotated[
        SpreadField | None,
        Number("momentum kept", help=_COEFFICIENT, minimum=0.3, maximum=1.0),
    ] = None
    momentum_product: Annotated[
        SpreadField | None,
        Number(
            "momentum kept, squared, times recovery", help=_COEFFICIENT, minimum=0.1, maximum=0.9
        ),
    ] = None
    water_discharge: Annotated[
        SpreadField | None,
        Number("water discharge", help=_COEFFICIENT, minimum=0.3, maximum=1.2),
    ] = None
    mixing: Annotated[
        SpreadField | None,
        Number("chamber between feed and mixture", help=_COEFFICIENT, minimum=0.2, maximum=1.2),
    ] = None

    @model_validator(mode="after")
    def _fits_together(self) -> InjectorSpec:
        if self.feed is None and self.evaporation is None:
            raise FieldError("feed", "state it, or the boiler's evaporation", example="0.3 L/min")
        low, work, blow = self.lowest, self.boiler_pressure, self.blows
        if low > work:
            raise FieldError(
                "lowest_pressure",
                f"must not be above the boiler pressure of {show(work, GAUGE_PRESSURE)}",
            )
        if blow < work:
            raise FieldError(
                "blowing_off",
                f"must not be below the boiler pressure of {show(work, GAUGE_PRESSURE)}",
            )
        if self.coldest_feed > self.feed_temperature:
            raise FieldError(
                "coldest_feed",
                f"must not be warmer than usual, {show(self.feed_temperature, TEMPERATURE)}",
            )
        if self.warmest_feed < self.feed_temperature:
            raise FieldError(
                "warmest_feed",
                f"must not be colder than usual, {show(self.feed_temperature, TEMPERATURE)}",
            )
        if 2.0 * self.least_wall >= self.tube_bore:
            raise FieldError("least_wall", "twice that fills the tube")
        if material(self.material).family in {"plastic", "packing"}:
            raise FieldError(
                "material", "softens or wears: a cone must be of a metal", example="gunmetal"
            )
        if (self.steam_throat is None) != (self.delivery_throat is None):
            missing = "steam_throat" if self.steam_throat is None else "delivery_throat"
            raise FieldError(missing, "state both throats or none: one follows from the other")
        self._ordered()
        require_sound(self)
        return self

    def _ordered(self) -> None:
        """Refuse stated sizes that cannot stand in one another."""
        order = (
            ("steam_throat", "mouth"),
            ("mouth", "nose"),
            ("nose", "draft_bore"),
            ("delivery_throat", "combining_throat"),
            ("delivery_throat", "delivery_exit"),
        )
        for smaller, larger in order:
            inner, outer = getattr(self, smaller), getattr(self, larger)
            if outer is not None and self.steam_throat is None:
                raise FieldError(larger, "state both throats too, or leave all sizes out")
            if inner is not None and outer is not None and inner >= outer:
                words = smaller.replace("_", " ")
                raise FieldError(larger, f"must be larger than the {words}")

    @property
    def lowest(self) -> float:
        """Lowest pressure it is to work at, gauge [Pa]."""
        if self.lowest_pressure is not None:
            return self.lowest_pressure
        return max(LOWER_SHARE * self.boiler_pressure, LOWEST)

    @property
    def blows(self) -> float:
        """Pressure at which the safety valves blow, gauge [Pa]."""
        return self.boiler_pressure if self.blowing_off is None else self.blowing_off

    @property
    def wanted(self) -> float:
        """Feed wanted from the tank [m³/s]."""
        if self.feed is not None:
            return self.feed
        assert self.evaporation is not None
        return self.evaporation * self.over_evaporation / TANK_DENSITY

    @property
    def wanted_shown(self) -> str:
        """Feed wanted, in litres a minute."""
        return show(self.wanted, VOLUME_FLOW, unit="L/min")
