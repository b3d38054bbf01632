"""What a builder states of a plug cock: its sizes, what it holds back, how the tapers are made."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import model_validator

from benchproof.duties.matter import MaterialSpec
from benchproof.physics.taper_ports import LARGEST_PORT
from benchproof.quantities import LENGTH, show
from benchproof.specs import (
    Choice,
    FieldError,
    Force,
    Fraction,
    Length,
    MassFlow,
    Number,
    Pressure,
    SpreadField,
    Taper,
    Torque,
    VolumeFlow,
)
from benchproof.spread import LogNormal, Normal, Spread, Uniform
from benchproof.tables.materials import material_keys

FLUIDS = ("water", "steam", "air")
ONE_SETTING, CLOCKED, GRADUATIONS = "one setting", "clocked", "graduations"
BOUGHT_REAMER = "bought reamer"
BEFORE_LAPPING = "drilled together before lapping"
AFTER_LAPPING = "drilled together after lapping"
APART = "drilled apart"
SPRING_PULL = Normal(10.0, 1.0)
NUT_PULL = LogNormal(20.0, 1.5)


class CockSpec(MaterialSpec):
    """What one plug cock must do."""

    version: ClassVar[int] = 1
    material_fields: ClassVar[tuple[str, ...]] = ("plug_material", "body_material")

    mean_diameter: Annotated[
        float,
        Length(
            "mean diameter",
            help="of the taper, half-way along the seat, where the port is",
            minimum=1.5e-3,
            maximum=25e-3,
        ),
    ]
    length: Annotated[
        float,
        Length("length of the seat", help="that plug and body share", minimum=2e-3, maximum=80e-3),
    ]
    port: Annotated[
        float,
        Length("port", help="diameter, through body and plug", minimum=0.3e-3, maximum=15e-3),
    ]
    pressure: Annotated[
        float,
        Pressure(
            "working pressure",
            help="gauge pressure that the closed cock holds back",
            unit="bar",
            minimum=0.1e5,
            maximum=20e5,
            inherits="boiler_pressure",
        ),
    ]
    fluid: Annotated[
        str, Choice("what it holds back", options=FLUIDS, help="water is reckoned cold, at 20 °C")
    ]
    angles: Annotated[
        str,
        Choice(
            "how the angles are made",
            options=(ONE_SETTING, CLOCKED, GRADUATIONS, BOUGHT_REAMER),
            help="one setting: plug and the body's reamer turned without touching the top slide; "
            "clocked, graduations: a setting for each; bought reamer: the plug's slide set to it",
        ),
    ]
    lapping: Annotated[
        str,
        Choice(
            "lapping",
            options=("none", "touch", "full"),
            help="touch: until it marks all round; full: until it bears from end to end",
        ),
    ] = "touch"
    taper: Annotated[
        float,
        Taper("taper on diameter", help="0.1 for 1:10", minimum=0.02, maximum=0.5),
    ] = 0.1
    ports: Annotated[
        str,
        Choice(
            "port is",
            options=(BEFORE_LAPPING, AFTER_LAPPING, APART),
            help="drilled together: through body and plug, the plug seated",
        ),
    ] = BEFORE_LAPPING
    plug_material: Annotated[str, Choice("plug material", options=material_keys)] = (
        "phosphor bronze"
    )
    body_material: Annotated[str, Choice("body material", options=material_keys)] = "gunmetal"
    held_by: Annotated[
        str, Choice("plug is held by", options=("spring", "nut"), help="pulled in from below")
    ] = "spring"
    seating_force: Annotated[
        SpreadField | None,
        Force(
            "pull into the seat",
            help="10 ± 1 N of a spring, 20 N within a factor 1.5 of a nut, when not stated",
            minimum=0.0,
            maximum=2000.0,
        ),
    ] = None
    drops_allowed: Annotated[
        float,
        Number("drops of water allowed a minute", minimum=0.01, maximum=1000.0),
    ] = 1.0
    steam_allowed: Annotated[
        float,
        MassFlow("steam allowed", unit="g/h", minimum=1e-9, maximum=1e-3),
    ] = 0.5e-3 / 3600.0
    air_allowed: Annotated[
        float,
        VolumeFlow("free air allowed", unit="mL/min", minimum=1e-12, maximum=1e-4),
    ] = 5e-6 / 60.0
    torque_allowed: Annotated[
        float,
        Torque("torque allowed", help="to turn it", unit="N·m", minimum=1e-4, maximum=50.0),
    ] = 0.15
    overlap_wanted: Annotated[
        float,
        Fraction(
            "port left open", help="share of its area, the cock open", minimum=0.05, maximum=1.0
        ),
    ] = 0.8
    room_to_sink: Annotated[
        float,
        Length(
            "room to sink",
            help="travel before the plug bottoms or its nut runs out of thread",
            minimum=0.0,
            maximum=10e-3,
        ),
    ] = 0.5e-3
    plug_finish: Annotated[
        float,
        Length("finish of the plug", help="as turned, Rp", unit="um", minimum=1e-7, maximum=2e-5),
    ] = 1.5e-6
    body_finish: Annotated[
        float,
        Length("finish of the body", help="as reamed, Rp", unit="um", minimum=1e-7, maximum=2e-5),
    ] = 1.5e-6
    floor: Annotated[
        SpreadField,
        Length("gap where lapped cones touch", help="radial", unit="um", minimum=0.0, maximum=2e-5),
    ] = LogNormal(0.5e-6, 1.5)
    take_up: Annotated[
        SpreadField,
        Length(
            "gap that touch lapping takes up",
            help="radial, off the end that stands open",
            unit="um",
            minimum=0.0,
            maximum=2e-5,
        ),
    ] = LogNormal(0.5e-6, 2.0)
    friction: Annotated[
        SpreadField,
        Number("friction of plug on body", help="0.08 oiled, 0.2 dry", minimum=0.01, maximum=1.0),
    ] = Uniform(0.08, 0.2)
    tool_height: Annotated[
        SpreadField,
        Length(
            "tool off centre height",
            help="of each cone turned at a setting of its own",
            minimum=-1e-3,
            maximum=1e-3,
        ),
    ] = Normal(0.0, 0.05e-3)
    clock_travel: Annotated[
        float,
        Length("travel under the clock", help="of the top slide", minimum=5e-3, maximum=100e-3),
    ] = 25e-3
    clock_division: Annotated[
        float, Length("division of the clock", minimum=0.5e-6, maximum=0.1e-3)
    ] = 0.01e-3
    air_pressure: Annotated[
        float,
        Pressure(
            "air pressure",
            help="pressure of the air outside",
            unit="mbar",
            minimum=0.7e5,
            maximum=1.1e5,
            absolute=True,
        ),
    ] = 101325.0

    @model_validator(mode="after")
    def _fits_together(self) -> CockSpec:
        diameter, port = self.mean_diameter, self.port
        if not 0.8 * diameter <= self.length <= 6.0 * diameter:
            raise FieldError(
                "length",
                f"must be 0.8 to 6 mean diameters, {_mm(0.8 * diameter)} to {_mm(6.0 * diameter)}:"
                " two of them are usual",
            )
        if not 0.1 * diameter <= port <= LARGEST_PORT * diameter:
            raise FieldError(
                "port",
                f"must be 0.1 to 0.7 of the mean diameter, {_mm(0.1 * diameter)} to "
                f"{_mm(LARGEST_PORT * diameter)}: 0.4 of it leaves good lands",
            )
        if port > self.length / 1.2:
            raise FieldError("port", "must leave a tenth of the seat on either side of it")
        if self.small_diameter < 1.1 * port:
            raise FieldError(
                "taper",
                f"brings the small end to {_mm(max(self.small_diameter, 0.0))}, too little for "
                f"the port of {_mm(port)}: a smaller taper, or a shorter seat",
            )
        return self

    @property
    def small_diameter(self) -> float:
        """Diameter at the small end of the seat [m]."""
        return self.mean_diameter - 0.5 * self.taper * self.length

    @property
    def large_diameter(self) -> float:
        """Diameter at the large end of the seat [m]."""
        return self.mean_diameter + 0.5 * self.taper * self.length

    @property
    def pull(self) -> Spread:
        """Pull into the seat [N]: as stated, or usual for a spring or a nut."""
        if self.seating_force is not None:
            return self.seating_force
        return SPRING_PULL if self.held_by == "spring" else NUT_PULL

    @property
    def inlet_pressure(self) -> float:
        """Absolute pressure held back [Pa]."""
        return self.pressure + self.air_pressure

    @property
    def peaks(self) -> float:
        """Gap between the mean surfaces where cones touch as cut [m]: one peak on another."""
        return self.plug_finish + self.body_finish


def _mm(length: float) -> str:
    return show(length, LENGTH, unit="mm")
