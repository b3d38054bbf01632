"""Whatever a file holds: a valid object, or problems that each name a field; never a crash."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable, Iterable
from importlib.resources import files
from pathlib import Path
from typing import Any
from unittest import mock

import pytest

from benchproof.bench_tests import load_bench_test
from benchproof.cli import REFUSED, run
from benchproof.duties.piston_fit import PistonFit, PistonSpec
from benchproof.reckon import plan as reckon_plan
from benchproof.reckon import result as reckon_result
from benchproof.reckon.finished import read_finished
from benchproof.reckon.joint import Made
from benchproof.reckon.learning import ImpossibleReadings
from benchproof.reckon.plain import plain_answer, plain_result
from benchproof.reckon.plan import Job, plan
from benchproof.reckon.result import bench_result
from benchproof.specs import SpecError
from benchproof.workshop import lathe_file
from benchproof.workshop.lathe import assumed_lathe
from hostile import JUNK, mutations, odd_ones

DEMO = files("benchproof.demo")
DUTY = PistonFit()


def demo(name: str) -> dict[str, Any]:
    return tomllib.loads((DEMO / name).read_text(encoding="utf-8"))


PISTON = {
    **demo("piston.toml"),
    "film": "2 to 4 µm",
    "bore_temperature": "120 °C",
    "warm_up_lead": "15 ± 5 K",
    "service_posture": "0.53 to 2.5",
    "grooves": {"count": 3},
}
DROPS = demo("drop.toml")
DROPS["reading"][0]["marks"] = [{"at": "10 mm", "time": "2:35"}]
DROPS["reading"][1]["added_mass"] = "0 g"
LEAKS = {
    "volume": "60 mL",
    "volume_uncertainty": "1 mL",
    "air_temperature": "18 °C",
    "air_pressure": "1005 mbar",
    "reading": [{"start_pressure": "3 bar", "end_pressure": "2 bar", "time": "4.2 s"}] * 3,
}
MADE = {
    "bore": {"size": "30.006 mm", "u": "3 µm", "aim": "30 mm"},
    "piston": {"size": "29.987 mm", "instrument": "micrometer", "fitted": True},
}


def read_spec(stated: Any) -> Any:
    return PistonSpec.from_text(stated).spec


def read_made(stated: Any) -> Any:
    made, _ = read_finished(stated, DUTY, read_spec(demo("piston.toml")), assumed_lathe())
    return made


def read_drops(stated: Any) -> Any:
    return load_bench_test("drop-test").record_type.from_text(stated).spec


def read_leaks(stated: Any) -> Any:
    return load_bench_test("leak-down").record_type.from_text(stated).spec


def read_lathe(stated: Any) -> Any:
    with mock.patch.object(lathe_file, "read_toml", lambda given: given):
        return lathe_file.read_lathe_file(stated)


def valid_of(read: Callable[[Any], Any], files_stated: Iterable[dict[str, Any]]) -> list[Any]:
    """Read hostile files; every refusal must name fields in printable words."""
    good, refusals = [], []
    for stated in files_stated:
        try:
            good.append(read(stated))
        except SpecError as refused:
            refusals.append((stated, refused.problems))
    for stated, problems in refusals:
        assert problems, stated
        for problem in problems:
            assert problem.field.strip(), stated
            assert problem.label.strip(), stated
            assert problem.message.strip(), stated
            assert f"{problem.field}{problem.given}{problem.example}".isprintable(), stated
    return good


def different(specs: list[Any], count: int) -> list[Any]:
    found = list({spec.model_dump_json(): spec for spec in specs}.values())[:count]
    assert len(found) == count
    return found


@pytest.mark.parametrize(
    ("read", "valid", "count"),
    [
        (read_spec, PISTON, 3000),
        (read_drops, DROPS, 2000),
        (read_leaks, LEAKS, 1300),
        (read_made, MADE, 1300),
        (read_lathe, demo("lathe.toml"), 1000),
    ],
    ids=["spec", "drop test", "leak-down", "made", "lathe"],
)
def test_ten_thousand_hostile_files_are_read_or_refused_by_field(
    read: Callable[[Any], Any], valid: dict[str, Any], count: int
) -> None:
    read(valid)
    good = valid_of(read, mutations(valid, seed=count, count=count))
    assert 0.02 * count < len(good) < 0.98 * count


def test_every_junk_value_in_every_field_of_a_spec() -> None:
    hostile = [{**PISTON, name: junk} for name in PistonSpec.model_fields for junk in JUNK]
    assert len(hostile) > 1400
    assert len(valid_of(read_spec, hostile)) > 150


@pytest.fixture
def few_circumstances(monkeypatch: pytest.MonkeyPatch) -> None:
    """Windows from fewer draws: what is asked here is whether there is an answer at all."""
    monkeypatch.setattr(reckon_plan, "CIRCUMSTANCES", 512)
    monkeypatch.setattr(reckon_result, "CIRCUMSTANCES", 512)


def finite(data: object) -> None:
    json.dumps(data, allow_nan=False, ensure_ascii=False)


@pytest.mark.usefixtures("few_circumstances")
def test_whatever_is_read_can_be_planned() -> None:
    specs = valid_of(read_spec, odd_ones(PISTON, seed=21, count=400))
    for number, spec in enumerate(different(specs, 40)):
        made: dict[str, Made] = {}
        if number % 3 == 0:
            spec = spec.model_copy(update={"bore": 30e-3})  # noqa: PLW2901
            made, _ = read_finished(MADE, DUTY, spec, assumed_lathe())
        job = Job(DUTY, spec, assumed_lathe(), made)
        finite(plain_answer(plan(job, draws=2048)))


@pytest.mark.usefixtures("few_circumstances")
@pytest.mark.parametrize(
    ("key", "read", "valid"),
    [("drop-test", read_drops, DROPS), ("leak-down", read_leaks, LEAKS)],
)
def test_whatever_is_read_can_be_inferred_from(
    key: str, read: Callable[[Any], Any], valid: dict[str, Any]
) -> None:
    test = load_bench_test(key)
    spec = read_spec(demo("piston.toml"))
    records = valid_of(read, odd_ones(valid, seed=5, count=300))
    inferred = 0
    for number, record in enumerate(different(records, 12)):
        made = read_made(MADE) if number % 2 else {}
        try:
            result = bench_result(Job(DUTY, spec, assumed_lathe(), made), test, record, draws=512)
        except ImpossibleReadings:
            continue
        inferred += 1
        finite(plain_result(result))
    assert inferred > 8


TEXTS = {
    "no table": "bore",
    "unit without quotes": "bore = 30 mm",
    "twice": 'bore = "30 mm"\nbore = "31 mm"',
    "a list": 'bore = ["30 mm", "31 mm"]',
    "a date": "bore = 2024-02-29",
    "a table": '[bore]\nsize = "30 mm"\nwidth = "3 mm"',
    "deep": "bore = " + "[" * 300 + "]" * 300,
    "a control character": 'bore = "\\u0000"',
    "another alphabet": 'внутренний = "30 мм"',
    "infinite": "bore = inf\nland_length = nan",
    "huge": "bore = 1e400\nstroke = " + "9" * 4000,
    "a name twice as long as a line": "x" * 160 + " = 1",
    "an unknown field": 'boar = "30 mm"',
}


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())
@pytest.mark.parametrize("place", ["spec", "record", "made", "lathe"])
def test_a_hostile_file_is_refused_in_words_wherever_it_stands(
    text: str, place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text(text, encoding="utf-8")
    good, drops = str(DEMO / "piston.toml"), str(DEMO / "drop.toml")
    words = {
        "spec": ["size", "piston-fit", str(bad)],
        "record": ["result", "drop-test", good, str(bad)],
        "made": ["result", "drop-test", good, drops, "--made", str(bad), "--json"],
        "lathe": ["standing", str(bad)],
    }[place]
    code = run(words)
    out, err = capsys.readouterr()
    assert code == REFUSED
    assert not out
    assert "Traceback" not in err
    assert "bad.toml" in err
    assert all(len(line) <= 80 for line in err.splitlines() if " " in line.strip())


@pytest.mark.parametrize("stated", [None, [], "bore", 3, b"bore"])
def test_what_is_no_mapping_is_refused(stated: object) -> None:
    with pytest.raises(SpecError, match="must be named values, each on a line of its own"):
        PistonSpec.from_text(stated)  # type: ignore[arg-type]


def test_binary_and_folders_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    binary = tmp_path / "binary.toml"
    binary.write_bytes(bytes(range(256)))
    for path in (binary, tmp_path, tmp_path / "none.toml"):
        assert run(["size", "piston-fit", str(path)]) == REFUSED
        assert path.name in capsys.readouterr().err
