"""The working map on the command line: places, causes, tests taken together, what is refused."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from benchproof.cli import run
from benchproof.demo import files_in
from benchproof.exits import ANSWERED, NO_FIT, REFUSED

TESTS = ("--made", "made_injector.toml", "--catch", "catch.toml", "--throttle", "throttle.toml")


@pytest.fixture
def demo_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with files_in(tmp_path):
        pass


def mapped(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert run(["map", "injector.toml", *words]) == ANSWERED
    return capsys.readouterr().out


@pytest.mark.usefixtures("demo_files")
def test_the_map_names_each_place_and_why_it_stops(capsys: pytest.CaptureFixture[str]) -> None:
    told = mapped(capsys)
    rows = [line for line in told.splitlines() if re.match(r" +\d+ \|", line)]
    assert [int(row.split("|")[0]) for row in rows] == list(range(12, 1, -1))
    for row in rows:
        assert len(re.findall(r"\d+[=saHCLx]", row)) == 9
    assert "H steam not condensed" in told
    assert rows[0].count("H") > 3  # hot and high: nothing condenses
    assert "s" in rows[-4]  # it spills at low pressure
    assert "not of starting" in told


@pytest.mark.usefixtures("demo_files")
def test_bench_tests_narrow_the_coefficients_and_the_lower_limit(
    capsys: pytest.CaptureFixture[str],
) -> None:
    def low(told: str) -> tuple[float, float]:
        flat = " ".join(told.split())
        found = re.search(r"between ([\d.]+) bar gauge and ([\d.]+) bar", flat)
        assert found is not None
        return float(found[1]), float(found[2])

    before, told = mapped(capsys), mapped(capsys, *TESTS)
    wide, narrow = low(before), low(told)
    assert narrow[1] - narrow[0] < 0.5 * (wide[1] - wide[0])
    assert "WHAT THE TESTS SHOWED TOGETHER: catch test, throttle test" in told
    stated = re.findall(r'^  (\w+) = "([\d.]+) ± ([\d.]+)"$', told, re.MULTILINE)
    assert [name for name, *_ in stated] == [
        "steam_discharge", "momentum", "momentum_product", "water_discharge", "mixing",
    ]  # fmt: skip


@pytest.mark.usefixtures("demo_files")
def test_what_the_map_prints_is_a_spec_of_the_next_injector(
    capsys: pytest.CaptureFixture[str],
) -> None:
    told = mapped(capsys, *TESTS)
    lines = re.findall(r'^  (\w+ = "[\d.]+ ± [\d.]+")$', told, re.MULTILINE)
    spec = Path("injector.toml").read_text("utf-8") + "\n" + "\n".join(lines) + "\n"
    Path("injector.toml").write_text(spec, "utf-8")
    assert "Working map" in mapped(capsys)


@pytest.mark.usefixtures("demo_files")
def test_inches_and_a_wrong_file(capsys: pytest.CaptureFixture[str]) -> None:
    told = mapped(capsys, "--units", "inch")
    assert "72.5 |" in told
    assert "lb/h" in told
    assert run(["map", "injector.toml", "--catch", "warm.toml"]) == REFUSED


@pytest.mark.usefixtures("demo_files")
def test_readings_that_are_impossible_are_said_to_be(capsys: pytest.CaptureFixture[str]) -> None:
    text = Path("catch.toml").read_text("utf-8").replace("361 g", "150 kg")
    Path("catch.toml").write_text(text, "utf-8")
    code = run(["map", "injector.toml", "--catch", "catch.toml"])
    assert code in {ANSWERED, NO_FIT}
    assert capsys.readouterr().out
