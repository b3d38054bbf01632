"""The fields in which a builder states a pipe union, each with its help and bounds."""

from __future__ import annotations

import math
from typing import Annotated, ClassVar

from benchproof.duties.matter import MaterialSpec
from benchproof.physics.pipes import HOTTEST
from benchproof.specs import (
    Angle,
    Choice,
    Count,
    Force,
    Length,
    MassFlow,
    Number,
    Pressure,
    PressureDifference,
    Speed,
    SpreadField,
    Stress,
    Temperature,
    Torque,
    Words,
)
from benchproof.spread import Uniform
from benchproof.tables.materials import material_keys, metals_that_yield

COPPER = "copper"
NO_YIELD = "the others have no yield: they crack, or creep"


class UnionFields(MaterialSpec):
    """One union: nut, nipple or ferrule, cone seat, and the pipe it holds."""

    version: ClassVar[int] = 1
    material_fields: ClassVar[tuple[str, ...]] = (
        "pipe_material",
        "nut_material",
        "nipple_material",
        "fitting_material",
    )

    thread: Annotated[
        str,
        Words(
            "thread",
            help="as the trade writes it: 1/4x40, 5/16 x 32 ME, 2 BA, M6x0.75, M5, 1/8 BSP",
            max_length=40,
        ),
    ]
    engagement_length: Annotated[
        float,
        Length(
            "length of thread engaged",
            help="full threads only, nut on fitting when tight",
            minimum=0.5e-3,
            maximum=25e-3,
        ),
    ]
    pipe_diameter: Annotated[float, Length("pipe outside diameter", minimum=1e-3, maximum=15e-3)]
    pipe_wall: Annotated[float, Length("wall of the pipe", minimum=0.2e-3, maximum=3e-3)]
    pipe_material: Annotated[str, Choice("pipe material", options=material_keys)] = COPPER
    pipe_temper: Annotated[
        str,
        Choice(
            "temper of the pipe",
            help="half hard counts only for a pipe that is not heated and stays below 65 °C",
            options=("annealed", "half hard"),
        ),
    ] = "annealed"
    nipple_is: Annotated[str, Choice("nipple is", options=("silver-brazed", "a ferrule"))] = (
        "silver-brazed"
    )
    allowed_stress: Annotated[
        float | None,
        Stress(
            "stress allowed in the pipe",
            help="from your code, hot; needed for any pipe that is not copper",
            unit="MPa",
            minimum=1e6,
            maximum=300e6,
        ),
    ] = None
    nut_material: Annotated[str, Choice("nut material", options=metals_that_yield, why=NO_YIELD)]
    nipple_material: Annotated[
        str, Choice("nipple material", options=metals_that_yield, why=NO_YIELD)
    ]
    fitting_material: Annotated[
        str,
        Choice(
            "fitting material", help="of seat and screw", options=metals_that_yield, why=NO_YIELD
        ),
    ]
    fluid: Annotated[str, Choice("fluid", options=("water", "steam"))]
    flow: Annotated[
        float,
        MassFlow(
            "flow", help="of water, 1 mL/min is 1 g/min", unit="g/s", minimum=1e-6, maximum=0.2
        ),
    ]
    pipe_length: Annotated[float, Length("length of pipe", minimum=5e-3, maximum=5.0)]
    bends: Annotated[int, Count("bends", minimum=0, maximum=20)] = 2
    working_pressure: Annotated[
        float,
        Pressure(
            "working pressure",
            help="gauge",
            unit="bar",
            minimum=0.1e5,
            maximum=20e5,
            inherits="boiler_pressure",
        ),
    ]
    temperature: Annotated[
        float | None,
        Temperature(
            "temperature of fluid and pipe",
            help="that of saturated steam at working pressure when not stated",
            minimum=276.15,
            maximum=HOTTEST,
        ),
    ] = None
    test_factor: Annotated[
        float,
        Number(
            "hydraulic test over working pressure",
            help="what your inspector asks",
            minimum=1.0,
            maximum=3.0,
        ),
    ] = 2.0
    nipple_cone: Annotated[
        float,
        Angle(
            "cone of the nipple",
            help="included",
            unit="°",
            minimum=math.radians(20.0),
            maximum=math.radians(120.0),
        ),
    ] = math.radians(60.0)
    seat_cone: Annotated[
        float,
        Angle(
            "cone of the seat",
            help="included",
            unit="°",
            minimum=math.radians(20.0),
            maximum=math.radians(120.0),
        ),
    ] = math.radians(60.0)
    seat_diameter: Annotated[
        float, Length("mean diameter of the seat", minimum=1e-3, maximum=15e-3)
    ]
    seat_width: Annotated[
        float,
        Length(
            "width of the seat",
            help="along the slope, that both faces share",
            minimum=0.1e-3,
            maximum=6e-3,
        ),
    ] = 0.5e-3
    cones_are: Annotated[
        str,
        Choice(
            "cones are turned",
            help="both at one setting of the top slide, or each set by clock or graduations",
            options=("at one setting", "clocked", "by graduations"),
        ),
    ] = "at one setting"
    faces_are: Annotated[str, Choice("faces are", options=("turned", "lapped together"))] = "turned"
    mismatch_limit: Annotated[
        float,
        Angle(
            "mismatch allowed",
            help="difference of the included angles",
            unit="°",
            minimum=0.0,
            maximum=math.radians(20.0),
        ),
    ] = math.radians(3.0)
    collar_diameter: Annotated[
        float | None,
        Length(
            "diameter of the collar",
            help="that the nut pushes; 0.1 mm under the core of the nut when not stated",
            minimum=1e-3,
            maximum=16e-3,
        ),
    ] = None
    torque: Annotated[
        SpreadField | None,
        Torque(
            "tightening torque",
            help="or state spanner length and hand force",
            unit="N·m",
            minimum=0.02,
            maximum=60.0,
        ),
    ] = None
    spanner_length: Annotated[
        float | None, Length("length of the spanner", minimum=20e-3, maximum=400e-3)
    ] = None
    hand_force: Annotated[
        SpreadField | None,
        Force("force of the hand on it", unit="N", minimum=1.0, maximum=400.0),
    ] = None
    friction: Annotated[
        SpreadField,
        Number(
            "friction",
            help="of threads and collar; oiled about 0.12, dry about 0.2",
            minimum=0.04,
            maximum=0.6,
        ),
    ] = Uniform(0.10, 0.20)
    tapping_drill: Annotated[
        float | None,
        Length(
            "tapping drill",
            help="the usual one for the thread when not stated",
            minimum=0.8e-3,
            maximum=16e-3,
        ),
    ] = None
    turning_play: Annotated[
        float,
        Length(
            "play wanted in the thread",
            help="on diameter, lead errors taken off",
            unit="um",
            minimum=0.0,
            maximum=300e-6,
        ),
    ] = 10e-6
    stripping_factor: Annotated[
        float,
        Number("stripping load over load, at least", minimum=1.0, maximum=10.0),
    ] = 2.0
    velocity_limit: Annotated[
        float | None,
        Speed(
            "velocity allowed",
            help="3 m/s for water and 30 m/s for steam when not stated",
            unit="m/s",
            minimum=0.01,
            maximum=100.0,
        ),
    ] = None
    drop_limit: Annotated[
        float | None,
        PressureDifference(
            "pressure drop allowed",
            help="a tenth of the working pressure when not stated",
            unit="bar",
            minimum=10.0,
            maximum=10e5,
        ),
    ] = None
