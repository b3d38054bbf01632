"""Whatever a file or a form holds, a spec answers with problems that name their fields."""

import datetime
import random
from typing import Annotated

import pytest
from pydantic import model_validator

from benchproof.specs import (
    Choice,
    Count,
    FieldError,
    Flag,
    Length,
    Spec,
    SpecError,
    SpreadField,
    TemperatureDifference,
    Words,
    describe,
)
from benchproof.spread import Normal


class Inner(Spec):
    count: Annotated[int, Count("count", maximum=20)] = 0


class Sample(Spec):
    size: Annotated[float, Length("size", minimum=1e-3, maximum=1.0, inherits="size")]
    lead: Annotated[SpreadField, TemperatureDifference("lead")] = Normal(10.0, 3.0)
    metal: Annotated[str, Choice("metal", options=("iron", "bronze"))] = "iron"
    note: Annotated[str, Words("note")] = ""
    dry: Annotated[bool, Flag("dry")] = False
    inner: Inner = Inner()
    rows: tuple[Inner, ...] = ()

    @model_validator(mode="after")
    def _dry_iron(self) -> "Sample":
        if self.dry and self.inner.count == 13:
            raise FieldError("inner.count", "must not be 13 when dry")
        return self


class Odd:
    def __repr__(self) -> str:
        raise RuntimeError("not to be shown")


LOOP: dict[str, object] = {}
LOOP["inner"] = LOOP
LOOP["rows"] = [LOOP]
DEEP: object = "1"
for _ in range(5000):
    DEEP = {"inner": DEEP}
LONG_LIST: list[object] = [{}] * 5000
VALUES: list[object] = [
    "12 mm", "0.5", "10 ± 3 K", "iron", "yes", "", "  ", "nan", "-1", "1e999", "x" * 10_000,
    "\x00\x1b[31m", "\ud800", "１２", 0, 1, 13, -1, 10**5000, -(10**400), 1.5, float("nan"),
    float("inf"), True, False, None, b"12 mm", 1j, Odd(), Odd, object(), [], [1], [[]], (), ({},),
    {}, {"count": "3"}, {"count": 13}, {"count": []}, {1: 2}, {None: None}, set(), LOOP, DEEP,
    LONG_LIST, [DEEP], [LOOP], datetime.date(2000, 1, 1), datetime.time(1, 20),
    datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC), lambda: 1, range(3), Ellipsis,
]  # fmt: skip
KEYS: list[object] = [
    *Sample.model_fields, *Sample.model_fields, "Size", "sise", "", "\x00", "a.b", "x" * 10_000,
    1, None, 10**5000, (1, 2), b"size", 1.5, "model_config", "__class__",
]  # fmt: skip


def test_two_thousand_hostile_mappings_give_a_spec_or_problems_with_fields() -> None:
    choice = random.Random(7)
    understood = 0
    refusals: list[SpecError] = []
    for _ in range(2000):
        chosen = choice.choices(KEYS, k=choice.randint(0, 6))
        stated = {key: choice.choice(VALUES) for key in chosen}
        inherited = {"size": choice.choice(VALUES)}
        try:
            Sample.from_text(stated, inherited=inherited)  # type: ignore[arg-type]
            understood += 1
        except SpecError as error:
            refusals.append(error)
    for refusal in refusals:
        assert refusal.problems
        assert len(str(refusal)) < 200_000
        for problem in refusal.problems:
            assert problem.field
            assert problem.message
            assert problem.given.isprintable()
    assert understood > 20


@pytest.mark.parametrize("stated", [None, [], "size = 1", 3, b"", Odd()])
def test_what_is_no_mapping_at_all_is_one_problem(stated: object) -> None:
    with pytest.raises(SpecError, match="must be named values, each on a line of its own"):
        Sample.from_text(stated)  # type: ignore[arg-type]


def test_very_many_unknown_fields_are_counted_not_listed() -> None:
    with pytest.raises(SpecError, match="has 9980 more fields") as refusal:
        Sample.from_text({"size": 1, **{f"field {n}": n for n in range(10_000)}})
    assert len(refusal.value.problems) == 21


def test_very_many_rows_are_refused() -> None:
    with pytest.raises(SpecError, match="1000 at most"):
        Sample.from_text({"size": 12, "rows": LONG_LIST})


class Tree(Spec):
    size: Annotated[float, Length("size")] = 1.0
    trunk: "Tree | None" = None
    branches: "tuple[Tree, ...]" = ()


@pytest.mark.parametrize("name", ["trunk", "branches"])
def test_a_spec_that_holds_itself_ends_somewhere(name: str) -> None:
    endless: dict[str, object] = {}
    endless[name] = endless if name == "trunk" else [endless]
    with pytest.raises(SpecError, match="nested too deep"):
        Tree.from_text(endless)
    assert len(describe(Tree)) < 1000
    assert Tree.from_text({"trunk": {"size": 2}}).spec.trunk == Tree(size=2e-3)
