"""A spec: stated in any unit, kept in SI, and told apart from what is inherited or default."""

from typing import Annotated, ClassVar, get_args

import pytest
from pydantic import BaseModel, ValidationError, model_validator

from benchproof.specs import (
    Angle,
    Choice,
    Count,
    Duration,
    FieldError,
    Flag,
    Fraction,
    Group,
    Length,
    Mass,
    Number,
    Pressure,
    Problem,
    Rotation,
    Spec,
    SpecError,
    SpreadField,
    Taper,
    Temperature,
    TemperatureDifference,
    Words,
    describe,
)
from benchproof.specs.spread_form import SPREADS
from benchproof.spread import (
    Below,
    Fixed,
    LogNormal,
    LogUniform,
    Normal,
    Spread,
    Uniform,
)


def metals() -> tuple[str, ...]:
    return "gunmetal", "grey iron", "phosphor bronze"


class Grooves(Spec):
    version: ClassVar[int] = 1
    count: Annotated[int, Count("number of grooves", minimum=0, maximum=20)] = 0
    width: Annotated[float, Length("width", minimum=0.2e-3, maximum=5e-3)] = 1e-3


class Run(Spec):
    version: ClassVar[int] = 1
    time: Annotated[float, Duration("time", minimum=0.2, maximum=3600.0)]
    good: Annotated[bool, Flag("counts")] = True


class ValveSpec(Spec):
    version: ClassVar[int] = 1
    bore: Annotated[float, Length("bore", minimum=5e-3, maximum=150e-3)]
    pressure: Annotated[
        float,
        Pressure("boiler pressure", minimum=1e5, maximum=20e5, inherits="boiler_pressure"),
    ]
    metal: Annotated[str, Choice("metal", options=metals)]
    lead: Annotated[Spread, TemperatureDifference("hotter by", minimum=-50.0, maximum=150.0)] = (
        Normal(10.0, 3.0)
    )
    film: Annotated[SpreadField | None, Length("oil film", unit="um")] = None
    wall: Annotated[float | None, Temperature("wall", minimum=273.15)] = None
    cutoff: Annotated[float, Fraction("cut-off", minimum=0.0, maximum=1.0, exclusive=True)] = 0.75
    plug: Annotated[float, Taper("plug taper")] = 0.1
    note: Annotated[str, Words("note", max_length=20)] = ""
    lapped: Annotated[bool, Flag("lapped")] = False
    grooves: Annotated[Grooves, Group("grooves")] = Grooves(width=2e-3)
    runs: tuple[Run, ...] = ()

    @model_validator(mode="after")
    def _fits_together(self) -> "ValveSpec":
        if self.grooves.count * self.grooves.width > self.bore:
            raise FieldError("grooves.count", "must fit on the bore", example="2")
        if self.lapped and self.metal == "grey iron":
            raise ValueError("grey iron is not lapped: choose another metal")
        if self.plug > 1.0:
            raise ZeroDivisionError
        return self


STATED = {"bore": "30 mm", "metal": "Gunmetal"}
ENGINE = {"boiler_pressure": "80 psi", "gauge": "5 in"}


def problems(stated: object, inherited: object = ENGINE) -> tuple[Problem, ...]:
    with pytest.raises(SpecError) as refusal:
        ValveSpec.from_text(stated, inherited=inherited)  # type: ignore[arg-type]
    return refusal.value.problems


def test_stated_inherited_and_default_values_are_told_apart() -> None:
    understood = ValveSpec.from_text(STATED, inherited=ENGINE)
    spec = understood.spec
    assert spec.bore == 30e-3
    assert spec.pressure == pytest.approx(551580.58, rel=1e-8)
    assert spec.metal == "gunmetal"
    assert spec.lead == Normal(10.0, 3.0)
    assert understood.origin["bore"] == "stated"
    assert understood.origin["pressure"] == "engine"
    assert understood.origin["lead"] == "default"
    assert understood.origin["grooves.width"] == "default"
    assert understood.text == {"bore": "30 mm", "metal": "Gunmetal", "pressure": "80 psi"}


def test_what_is_stated_goes_before_what_the_engine_states() -> None:
    understood = ValveSpec.from_text({**STATED, "pressure": "5 bar"}, inherited=ENGINE)
    assert understood.spec.pressure == 5e5
    assert understood.origin["pressure"] == "stated"


def test_the_echo_shows_every_value_in_both_systems() -> None:
    stated = {**STATED, "film": "2 to 4", "runs": [{"time": "4:12"}], "grooves": {"count": 3}}
    rows = ValveSpec.from_text(stated, inherited=ENGINE).echo()
    assert rows == [
        ("bore", "30 mm (1.1811 in)", "stated"),
        ("boiler pressure", "5.52 bar gauge (80 psi gauge)", "engine"),
        ("metal", "gunmetal", "stated"),
        ("hotter by", "10 ± 3 K difference (18 ± 5.4 °F)", "default"),
        ("oil film", "2 to 4 µm (0.079 to 0.16 thou)", "stated"),
        ("wall", "not stated", "default"),
        ("cut-off", "75 %", "default"),
        ("plug taper", "1 in 10 on diameter (5.725° included)", "default"),
        ("note", "", "default"),
        ("lapped", "no", "default"),
        ("grooves: number of grooves", "3", "stated"),
        ("grooves: width", "2 mm (0.0787 in)", "default"),
        ("runs 1: time", "4 min 12 s", "stated"),
        ("runs 1: counts", "yes", "default"),
    ]


def test_every_way_to_say_it_is_taken() -> None:
    stated = {
        "bore": 30,
        "pressure": 5.5,
        "metal": " PHOSPHOR  bronze ",
        "lead": "18 °F",
        "note": 17,
        "lapped": "Yes",
        "cutoff": "70",
        "plug": "1 in 8",
        "grooves": {"count": "2", "width": ""},
        "runs": ({"time": 3, "good": "no"}, {"time": "3.1 s", "good": True}),
    }
    spec = ValveSpec.from_text(stated).spec
    assert spec.bore == 30e-3
    assert spec.metal == "phosphor bronze"
    assert spec.lead == Fixed(10.0)
    assert spec.note == "17"
    assert spec.lapped
    assert spec.plug == 0.125
    assert spec.grooves == Grooves(count=2, width=2e-3)
    assert spec.runs == (Run(time=3.0, good=False), Run(time=3.1))
    assert isinstance(spec.grooves.count, int)


def test_all_problems_come_at_once_and_each_names_its_field() -> None:
    found = problems(
        {
            "bore": "30 kg",
            "metal": "gun metal",
            "boiler_presure": "5 bar",
            "preßure": "5",
            "grooves": {"count": "2.5", "depth": "1 mm"},
            "runs": [{"time": "3 s"}, {}, 7],
            "lapped": "perhaps",
            "note": "x" * 21,
        },
        {"boiler_pressure": "9 bar abs"},
    )
    assert [problem.field for problem in found] == [
        "boiler_presure",
        "preßure",
        "bore",
        "pressure",
        "metal",
        "note",
        "lapped",
        "grooves.depth",
        "grooves.count",
        "runs.1.time",
        "runs.2",
    ]
    told = {problem.field: problem for problem in found}
    assert told["bore"].message == (
        "“30 kg” is a mass, not a length; give a length from 5 mm to 150 mm"
    )
    assert told["bore"].example == "12 mm"
    assert "did you mean 'pressure'?" in told["preßure"].message
    assert told["pressure"].message.startswith("from the engine: “9 bar abs” is absolute")
    assert told["metal"].example == "gunmetal"
    assert told["runs.1.time"].message.startswith("is not stated")
    assert told["lapped"].given == "perhaps"


def test_a_refusal_reads_as_text() -> None:
    with pytest.raises(SpecError) as refusal:
        ValveSpec.from_text({"bore": "3 mm", "metal": "gunmetal"})
    assert str(refusal.value).splitlines() == [
        "bore (bore): “3 mm” is too little; give a length from 5 mm to 150 mm; try 12 mm",
        "boiler pressure (pressure): is not stated; give a gauge pressure from 1 bar gauge to "
        "20 bar gauge (the engine does not state it either); try 5.5 bar gauge",
    ]


def test_what_a_validator_refuses_names_a_field() -> None:
    (problem,) = problems({**STATED, "grooves": {"count": 20}})
    assert problem == Problem("grooves.count", "grooves", "20", "must fit on the bore", "2")
    (problem,) = problems({**STATED, "metal": "grey iron", "lapped": True})
    assert (problem.field, problem.given) == ("lapped", "yes")
    (problem,) = problems({**STATED, "plug": "2"})
    assert problem.message == "cannot be reckoned with these values"


@pytest.mark.parametrize("bore", [4.9e-3, 0.151, float("nan"), float("inf"), "30 mm", True, None])
def test_the_model_itself_takes_si_numbers_within_bounds_only(bore: float) -> None:
    with pytest.raises(ValidationError, match="bore"):
        ValveSpec(bore=bore, pressure=5e5, metal="gunmetal")


@pytest.mark.parametrize(
    "wrong",
    [
        {"lead": Normal(200.0, 3.0)},
        {"lead": Uniform(-60.0, 3.0)},
        {"lead": Normal(10.0, float("inf"))},
        {"lead": {"kind": "normal", "mean": 10.0}},
        {"lead": {"kind": "strange", "mean": 10.0}},
        {"lead": {"kind": "below", "gap": {"kind": "fixed", "value": 1.0}}},
        {"lead": "10 K"},
        {"cutoff": 1.0},
        {"metal": "Gunmetal"},
        {"metal": "cheese"},
        {"note": "x" * 21},
        {"grooves": {"count": 2.5}},
        {"grooves": {"count": 21}},
        {"unheard": 1},
    ],
)
def test_bounds_hold_for_everything_the_model_is_given(wrong: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        ValveSpec.model_validate({"bore": 30e-3, "pressure": 5e5, "metal": "gunmetal", **wrong})


def test_a_default_out_of_bounds_is_refused() -> None:
    class Wrong(Spec):
        size: Annotated[float, Length("size", maximum=1e-3)] = 2e-3

    with pytest.raises(ValidationError, match="out of bounds"):
        Wrong()


def test_a_spec_is_frozen_and_can_be_a_key() -> None:
    spec = ValveSpec.from_text(STATED, inherited=ENGINE).spec
    with pytest.raises(ValidationError, match="frozen"):
        spec.bore = 1.0  # type: ignore[misc]
    assert {spec: 1}[ValveSpec.from_text(STATED, inherited=ENGINE).spec] == 1


@pytest.mark.parametrize(
    "spread",
    [
        Fixed(1e-6),
        Normal(2e-6, 1e-6),
        Uniform(2e-6, 4e-6),
        LogUniform(2e-6, 4e-6),
        LogNormal(2e-6, 1.5),
    ],
    ids=lambda spread: type(spread).__name__,
)
def test_a_spread_comes_back_from_json_as_the_same_class(spread: Spread) -> None:
    spec = ValveSpec(bore=30e-3, pressure=5e5, metal="gunmetal", film=spread, runs=(Run(time=1.0),))
    again = ValveSpec.model_validate(spec.to_si_json())
    assert again == spec
    assert type(again.film) is type(spread)
    assert ValveSpec.model_validate_json(spec.model_dump_json()) == spec


def test_a_gap_below_zero_comes_back_from_json() -> None:
    class Piston(Spec):
        below_bore: Annotated[SpreadField, Length("below bore", minimum=-1e-3, maximum=0.0)]

    for gap in (LogUniform(2e-6, 8e-6), LogNormal(2e-6, 2.0), Uniform(0.0, 1e-6)):
        spec = Piston(below_bore=Below(gap))
        assert Piston.model_validate_json(spec.model_dump_json()) == spec


def test_the_json_schema_states_bounds_units_and_kinds_of_spread() -> None:
    properties = ValveSpec.model_json_schema()["properties"]
    assert properties["bore"]["minimum"] == 5e-3
    assert properties["bore"]["unit"] == "m"
    assert properties["cutoff"]["exclusiveMaximum"] == 1.0
    kinds = [form["properties"]["kind"]["const"] for form in properties["lead"]["anyOf"]]
    assert kinds == ["fixed", "normal", "uniform", "log-uniform", "log-normal", "below"]


def test_every_field_must_say_what_it_is() -> None:
    with pytest.raises(TypeError, match="must carry a marker"):

        class Bare(Spec):
            size: float

    with pytest.raises(LookupError, match="furlong"):
        Length("size", unit="furlong")
    with pytest.raises(ValueError, match="bounds from"):
        Length("size", minimum=2.0, maximum=1.0)


def test_the_description_has_a_row_for_every_field() -> None:
    rows = {row.name: row for row in describe(ValveSpec)}
    assert list(rows)[-4:] == ["grooves.count", "grooves.width", "runs.*.time", "runs.*.good"]
    bore = rows["bore"]
    assert (bore.label, bore.form, bore.unit, bore.bounds) == (
        "bore",
        "length",
        "mm",
        "from 5 mm to 150 mm",
    )
    assert bore.required
    assert rows["pressure"].inherits == "boiler_pressure"
    assert rows["metal"].options == metals()
    assert rows["lead"].default == "10 ± 3 K difference (18 ± 5.4 °F)"
    assert rows["cutoff"].bounds == "between 0 % and 100 %"
    assert rows["film"].default == "not stated"
    assert rows["grooves.width"].default == "2 mm (0.0787 in)"
    assert rows["runs.*.time"].required


def test_a_group_that_may_be_missing_stays_missing_until_something_is_stated() -> None:
    class Cock(Spec):
        handle: Annotated[float, Angle("handle", minimum=0.0)] = 0.0
        mass: Annotated[float, Mass("mass")] = 0.1
        flow: Annotated[float, Number("flow factor", minimum=0.0)] = 1.0
        speed: Annotated[float, Rotation("speed")] = 5.0

    class Engine(Spec):
        cock: Cock | None = None
        runs: tuple[Run, ...]

    understood = Engine.from_text({"runs": []})
    assert understood.spec.cock is None
    assert understood.echo() == [("cock", "not stated", "default"), ("runs", "none", "stated")]
    spec = Engine.from_text({"cock": {"speed": "120"}, "runs": []}).spec
    assert spec.cock is not None
    assert spec.cock.speed == 2.0
    with pytest.raises(SpecError, match="runs"):
        Engine.from_text({})


def test_groups_and_flags_that_must_be_stated_say_so() -> None:
    class Cock(Spec):
        ground: Annotated[bool, Flag("ground in")]
        grooves: Grooves
        sizes: tuple[Grooves, ...] = (Grooves(count=1),)

    class Engine(Spec):
        cock: Cock
        spare: Cock = Cock(ground=True, grooves=Grooves(count=4))
        cocks: tuple[Cock, ...] = (Cock(ground=True, grooves=Grooves(count=5)),)

    with pytest.raises(SpecError) as refusal:
        Engine.from_text({"spare": "bronze", "cocks": "two"})
    assert [problem.field for problem in refusal.value.problems] == [
        "cock.ground",
        "spare",
        "cocks",
    ]
    understood = Engine.from_text({"cock": {"ground": "y"}})
    assert understood.spec.spare.grooves.count == 4
    assert understood.origin["cocks.0.grooves.count"] == "default"
    assert understood.origin["cocks.0.sizes.0.width"] == "default"
    assert understood.origin["spare.grooves.count"] == "default"


def test_a_validator_may_speak_of_no_field() -> None:
    class Pair(Spec):
        one: Annotated[float, Length("one")] = 1e-3
        other: Annotated[float, Length("other")] = 1e-3

        @model_validator(mode="after")
        def _differ(self) -> "Pair":
            if self.one == self.other:
                raise ValueError("both are alike")
            assert self.one < self.other, "one is the smaller"
            return self

    with pytest.raises(SpecError) as refusal:
        Pair.from_text({})
    assert refusal.value.problems == (Problem("spec", "spec", "", "both are alike"),)
    with pytest.raises(SpecError) as refusal:
        Pair.from_text({"one": "2 mm"})
    assert refusal.value.problems[0].field == "one"


def test_any_pydantic_model_can_hold_a_spread() -> None:
    class Answer(BaseModel):
        clearance: SpreadField

    answer = Answer(clearance=LogUniform(2e-6, 4e-6))
    assert answer.model_dump() == {
        "clearance": {"kind": "log-uniform", "lower": 2e-6, "upper": 4e-6}
    }
    assert Answer.model_validate_json(answer.model_dump_json()) == answer
    assert "anyOf" in Answer.model_json_schema()["properties"]["clearance"]
    assert Answer.model_validate({"clearance": 1}).clearance == Fixed(1.0)
    for wrong in (10**400, True, "2 µm", {"kind": "below", "gap": 1}):
        with pytest.raises(ValidationError):
            Answer.model_validate({"clearance": wrong})


def test_the_plain_form_knows_every_spread() -> None:
    assert set(SPREADS) == set(get_args(Spread))


def test_yes_and_no_may_be_words_to_choose_from() -> None:
    class Look(Spec):
        falls: Annotated[str, Choice("falls", options=("yes", "no", "not tried"))]
        note: Annotated[str, Words("note")] = ""

    assert Look.from_text({"falls": True}).spec.falls == "yes"
    with pytest.raises(SpecError, match="must be text"):
        Look.from_text({"falls": False, "note": True})


def test_default_rows_are_marked_as_defaults() -> None:
    class Trial(Spec):
        runs: tuple[Run, ...] = (Run(time=1.0), Run(time=2.0))

    understood = Trial.from_text({})
    assert set(understood.origin.values()) == {"default"}
    assert [row[1] for row in understood.echo()] == ["1 s", "yes", "2 s", "yes"]


def test_an_inherited_flag_choice_or_note_is_read_like_a_stated_one() -> None:
    class Inherits(Spec):
        metal: Annotated[str, Choice("metal", options=("iron", "bronze"), inherits="metal")]
        lapped: Annotated[bool, Flag("lapped", inherits="lapped")] = False
        maker: Annotated[str, Words("maker", inherits="maker")] = ""

    engine = {"metal": "Iron", "lapped": True, "maker": "A. Builder"}
    understood = Inherits.from_text({}, inherited=engine)
    assert understood.spec == Inherits(metal="iron", lapped=True, maker="A. Builder")
    assert set(understood.origin.values()) == {"engine"}
    with pytest.raises(SpecError, match="give one of iron, bronze"):
        Inherits.from_text({})
