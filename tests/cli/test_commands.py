"""The commands as somebody uses them, with the exit code each ends in."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

from benchproof.cli import ANSWERED, BROKEN, NO_FIT, REFUSED, main, run
from benchproof.demo import FILES

DEMO = files("benchproof.demo")
Captured = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in FILES:
        shutil.copyfile(str(DEMO / name), tmp_path / name)
    return tmp_path


def write(path: Path, text: str) -> str:
    path.write_text(text, encoding="utf-8")
    return str(path)


def changed(folder: Path, name: str, **fields: str | None) -> str:
    """Copy the demo's piston with some fields changed, or left out where None."""
    lines = (folder / "piston.toml").read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if line.split("=")[0].strip() not in fields]
    stated = [f"{field} = {value}" for field, value in fields.items() if value is not None]
    return write(folder / name, "\n".join([*kept, *stated]) + "\n")


def in_80_columns(text: str) -> bool:
    return all(len(line) <= 80 for line in text.splitlines())


def test_size_tells_first_what_to_cut(folder: Path, capsys: Captured) -> None:
    code = run(["size", "piston-fit", str(folder / "piston.toml")])
    out, err = capsys.readouterr()
    assert code == ANSWERED
    assert not err
    assert in_80_columns(out)
    title, blank, first, *_ = out.splitlines()
    assert title == "Piston in its bore, without rings"
    assert not blank
    assert re.fullmatch(r"  Cut the piston to \d\d\.\d{3} mm: \d+(\.\d)? µm diametral .*", first)
    assert "assumed,\n  careful builder" in out or "assumed, careful builder" in out
    assert "The bore is not made yet" in out
    assert "bore: 30 mm (1.1811 in)" in out


def test_size_from_a_measured_bore_echoes_what_is_made(folder: Path, capsys: Captured) -> None:
    words = ["size", "piston-fit", str(folder / "piston.toml")]
    words += ["--made", str(folder / "made_bore.toml"), "--lathe", str(folder / "lathe.toml")]
    assert run(words) == ANSWERED
    out = capsys.readouterr().out
    assert "MADE, AS UNDERSTOOD\n  bore: 30.006 mm (1.1813 in), give or take 3 µm" in out
    assert "not made yet" not in out
    assert "turned diameters shown by 4 parts" in " ".join(out.split())


def test_size_in_inches_leaves_no_metric_but_in_the_echo(folder: Path, capsys: Captured) -> None:
    assert run(["size", "piston-fit", str(folder / "piston.toml"), "--units", "inch"]) == ANSWERED
    answer, _, _ = capsys.readouterr().out.partition("RESTS ON")
    assert re.search(r"Cut the piston to 1\.\d{4} in: 0\.\d+ thou diametral clearance", answer)
    assert " lb/h" in answer
    assert not re.search(r"\d (mm|µm|g/h|kg/h|N)\b", answer)


def test_size_with_no_window_answers_that_nothing_fits(folder: Path, capsys: Captured) -> None:
    spec = changed(folder, "hot.toml", piston_lead='"40 to 70 K"')
    assert run(["size", "piston-fit", spec]) == NO_FIT
    out = capsys.readouterr().out
    assert "  No window: fit a ring or packing." in out
    assert "none; at best" in out
    assert in_80_columns(out)


def test_size_lists_sources_when_asked(folder: Path, capsys: Captured) -> None:
    words = ["size", "piston-fit", str(folder / "piston.toml")]
    run(words)
    plain = capsys.readouterr().out
    run([*words, "--sources"])
    told = capsys.readouterr().out
    assert "Rabie" not in plain
    assert "add --sources" in plain
    assert "Rabie" in told


@pytest.mark.parametrize(
    ("alias", "name"), [("gun metal", "gunmetal"), ("Cast  Iron", "grey iron"), ("LG2", "gunmetal")]
)
def test_a_material_goes_by_any_name_of_the_trade(
    alias: str, name: str, folder: Path, capsys: Captured
) -> None:
    spec = changed(folder, "alias.toml", bore_material=f'"{alias}"', piston_material=f'"{alias}"')
    assert run(["size", "piston-fit", spec]) == ANSWERED
    assert f"piston material: {name}" in capsys.readouterr().out


def test_result_of_the_demo(folder: Path, capsys: Captured) -> None:
    words = ["result", "drop-test", str(folder / "piston.toml"), str(folder / "drop.toml")]
    words += ["--made", str(folder / "made.toml"), "--lathe", str(folder / "lathe.toml")]
    assert run(words) == ANSWERED
    out = capsys.readouterr().out
    assert in_80_columns(out)
    assert out.splitlines()[2] == "  Leave it as it is."
    assert "6 readings" in out
    for title in ("THE TEST", "MADE,", "THE PART"):
        assert f"\n{title} AS UNDERSTOOD\n" in out
    assert "reading 5: posture tilted, time over the travel 4 min 2 s" in out


def test_contradicting_readings_are_not_acted_on(folder: Path, capsys: Captured) -> None:
    drops = (folder / "drop.toml").read_text(encoding="utf-8")
    record = write(
        folder / "odd.toml", drops.replace('"4:02"', '"20 s"').replace('"3:58"', '"21 s"')
    )
    assert run(["result", "drop-test", str(folder / "piston.toml"), record]) == NO_FIT
    out = capsys.readouterr().out
    assert out.splitlines()[2].startswith("  Do not cut by this: the readings contradict")
    assert "Tilted, it flows" in out


def test_impossible_readings_are_an_answer_too(
    folder: Path, capsys: Captured, monkeypatch: pytest.MonkeyPatch
) -> None:
    from benchproof.reckon import result
    from benchproof.reckon.learning import ImpossibleReadings

    def impossible(*_: object, **__: object) -> None:
        raise ImpossibleReadings

    monkeypatch.setattr(result, "bench_result", impossible)
    words = ["result", "drop-test", str(folder / "piston.toml"), str(folder / "drop.toml")]
    assert run(words) == NO_FIT
    out, err = capsys.readouterr()
    assert not out
    assert err.startswith("These readings are impossible")


def test_a_spoilt_set_up_is_not_acted_on(folder: Path, capsys: Captured) -> None:
    drops = (folder / "drop.toml").read_text(encoding="utf-8")
    record = write(
        folder / "hung.toml", drops.replace('falls_free      = "yes"', 'falls_free = "no"')
    )
    words = ["result", "drop-test", str(folder / "piston.toml"), record]
    assert run([*words, "--made", str(folder / "made.toml")]) == ANSWERED
    assert "  Do not cut by this: the set-up spoils the readings." in capsys.readouterr().out


def test_result_without_sizes_says_so(folder: Path, capsys: Captured) -> None:
    words = ["result", "drop-test", str(folder / "piston.toml"), str(folder / "drop.toml")]
    assert run(words) == ANSWERED
    out = " ".join(capsys.readouterr().out.split())
    assert "No measured size is stated of the bore and the piston" in out


LEAK = """
volume = "60 mL"
air_temperature = "20 °C"
[[reading]]
start_pressure = "3 bar"
end_pressure = "2 bar"
time = "9.5 s"
"""


def test_a_leak_down(folder: Path, capsys: Captured) -> None:
    record = write(folder / "leak.toml", LEAK)
    words = ["result", "leak-down", str(folder / "piston.toml"), record]
    assert run([*words, "--made", str(folder / "made.toml"), "--units", "inch"]) == ANSWERED
    out = capsys.readouterr().out
    assert "1 reading;" in out
    assert " thou" in out
    assert in_80_columns(out)


def test_the_wrong_file_is_named_as_what_it_is(folder: Path, capsys: Captured) -> None:
    piston, drops = str(folder / "piston.toml"), str(folder / "drop.toml")
    lathe, made = str(folder / "lathe.toml"), str(folder / "made.toml")
    for words, said in (
        (["size", "piston-fit", drops], "reads like a record of the drop-test"),
        (["size", "piston-fit", made], "reads like a file of sizes made"),
        (["result", "drop-test", drops, piston], "are two files swapped?"),
        (["result", "leak-down", piston, drops], "reads like a record of the drop-test"),
        (["size", "piston-fit", piston, "--lathe", piston], "reads like a spec of piston-fit"),
        (["size", "piston-fit", piston, "--made", lathe], "reads like a lathe file"),
        (["standing", made], "reads like a file of sizes made"),
    ):
        assert run(words) == REFUSED
        out, err = capsys.readouterr()
        assert not out
        assert said in " ".join(err.split())
        assert in_80_columns(err)


def test_every_problem_is_told_at_once(folder: Path, capsys: Captured) -> None:
    spec = changed(
        folder,
        "wrong.toml",
        bore='"30 psi"',
        land_length=None,
        boiler_pressure='"5 bar abs"',
        bore_material='"cheese"',
        wheels="6",
    )
    assert run(["size", "piston-fit", spec]) == REFUSED
    err = capsys.readouterr().err
    assert err.startswith("Refused in wrong.toml, nothing was reckoned:\n- wheels")
    for said in ("bore: “30 psi” is a gauge pressure", "[land_length]: is not stated", "cheese"):
        assert said in err
    assert "try 3.99 bar gauge" in " ".join(err.split())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["size"], "DUTY is missing.\nSuch as: benchproof size piston-fit"),
        (["size", "piston-fit"], "SPEC is missing."),
        (["size", "piston-fits", "a.toml"], "Did you mean piston-fit?"),
        (["size", "a.toml", "piston-fit"], "The duty comes before the files."),
        (["result", "drop", "a.toml", "b.toml"], "Did you mean drop-test?"),
        (["procedure", "leak"], "No bench test is called leak"),
        (["procedure"], "TEST is missing."),
        (["duties", "wheels"], "No duty or bench test is called wheels"),
        (["materials", "cheese"], "No material is called 'cheese'"),
        (["materials", "gunmetl"], "did you mean gunmetal"),
        (["siez"], 'Did you mean "size"?'),
        (["size", "piston-fit", "a.toml", "b.toml"], "More words than it takes"),
        (["size", "piston-fit", "a.toml", "--units", "yards"], "yards"),
        (["sources", "rumour"], "rumour"),
        (["standing", "none.toml"], "[none.toml]: does not exist"),
        (["size", "piston-fit", "none.toml"], "Refused in none.toml"),
    ],
)
def test_what_is_mistyped_is_told_in_words(words: list[str], said: str, capsys: Captured) -> None:
    assert run(words) == REFUSED
    out, err = capsys.readouterr()
    assert not out
    assert said in err.replace("\n  ", " ")
    assert in_80_columns(err)


def test_procedure_numbers_its_steps(capsys: Captured) -> None:
    assert run(["procedure", "drop-test"]) == ANSWERED
    out = capsys.readouterr().out
    assert out.startswith("Drop test on plate glass\n\n  1. Degrease")
    assert "  8. Note the air's temperature" in out


def test_duties_and_their_fields(capsys: Captured) -> None:
    assert run(["duties"]) == ANSWERED
    assert "piston-fit" in capsys.readouterr().out
    assert run(["duties", "piston-fit"]) == ANSWERED
    assert "must be stated; unit mm; from 5 mm to 150 mm" in capsys.readouterr().out
    assert run(["duties", "drop-test"]) == ANSWERED
    assert "  under each [[reading]]:\n  posture: " in capsys.readouterr().out


def test_materials_all_one_and_by_another_name(capsys: Captured) -> None:
    assert run(["materials"]) == ANSWERED
    listed = capsys.readouterr().out
    rows = [line for line in listed.splitlines() if line.startswith("free-cutting")]
    assert len({len(row) for row in rows}) == 1  # the longest name does not push its row aside
    assert run(["materials", "gun", "metal"]) == ANSWERED
    assert "expansion, 20 to 200 °C: 18 ± " in capsys.readouterr().out


def test_standing_assumed_and_shown(folder: Path, capsys: Captured) -> None:
    assert run(["standing"]) == ANSWERED
    assert "No parts yet" in capsys.readouterr().out
    assert run(["standing", str(folder / "lathe.toml"), "--units", "inch"]) == ANSWERED
    shown = capsys.readouterr().out
    assert "Invented" in shown
    assert " thou" in shown


def test_sources_by_kind(capsys: Captured) -> None:
    assert run(["sources"]) == ANSWERED
    everything = capsys.readouterr().out
    assert run(["sources", "from memory"]) == ANSWERED
    some = capsys.readouterr().out
    assert "PUBLISHED" in everything
    assert "PUBLISHED" not in some
    assert "FROM MEMORY" in some


def test_demo_runs_all_its_steps(capsys: Captured) -> None:
    assert run(["demo"]) == ANSWERED
    out = capsys.readouterr().out
    assert out.count("$ benchproof ") == 4
    assert "$ benchproof review Dunnock\n\nWhat holds Dunnock back most: " in out
    assert "Leave it as it is." in out
    assert in_80_columns(re.sub(r"(?m)^\$ .*$", "", out))


def test_demo_into_a_folder_leaves_files_that_run(tmp_path: Path, capsys: Captured) -> None:
    into = tmp_path / "my piston"
    assert run(["demo", "--into", str(into)]) == ANSWERED
    assert {path.name for path in into.iterdir()} == set(FILES)
    spec = into / "piston.toml"
    spec.write_text(spec.read_text(encoding="utf-8").replace("30 mm", "40 mm"), encoding="utf-8")
    capsys.readouterr()
    assert run(["demo", "--into", str(into)]) == REFUSED  # the bore made is no longer the one drawn
    out, err = capsys.readouterr()
    assert "Cut the piston to 39.9" in out  # what was changed is kept
    assert "40 mm is planned" in " ".join(err.split())


def test_demo_into_a_file_is_refused(tmp_path: Path, capsys: Captured) -> None:
    assert run(["demo", "--into", write(tmp_path / "taken", "")]) == REFUSED
    assert capsys.readouterr().err.startswith("Cannot use ")


def test_help_and_version_answer(capsys: Captured) -> None:
    assert run(["--help"]) == ANSWERED
    assert "Exit codes: 0 answered; 2" in capsys.readouterr().out
    assert run(["--version"]) == ANSWERED
    assert re.match(r"\d+\.\d+\.\d+", capsys.readouterr().out)


def test_a_fault_of_our_own_is_not_dressed_as_a_refusal(monkeypatch: pytest.MonkeyPatch) -> None:
    from benchproof import listing

    def broken(_: object) -> str:
        raise ValueError("a fault")

    monkeypatch.setattr(listing, "tell_materials", broken)
    with pytest.raises(ValueError, match="a fault"):
        run(["materials"])


def stopping(monkeypatch: pytest.MonkeyPatch, error: type[BaseException]) -> None:
    from benchproof import listing

    def stop(_: object) -> str:
        raise error

    monkeypatch.setattr(listing, "tell_materials", stop)
    monkeypatch.setattr(sys, "argv", ["benchproof", "materials"])


def test_main_ends_with_the_exit_code(monkeypatch: pytest.MonkeyPatch, capsys: Captured) -> None:
    monkeypatch.setattr(sys, "argv", ["benchproof", "materials", "cheese"])
    with pytest.raises(SystemExit) as end:
        main()
    assert end.value.code == REFUSED
    assert "cheese" in capsys.readouterr().err


@pytest.mark.parametrize(("error", "code"), [(KeyboardInterrupt, 130), (BrokenPipeError, BROKEN)])
def test_whoever_stops_it_gets_no_traceback(
    error: type[BaseException], code: int, monkeypatch: pytest.MonkeyPatch, capsys: Captured
) -> None:
    stopping(monkeypatch, error)
    with pytest.raises(SystemExit) as end:
        main()
    assert end.value.code == code
    assert not capsys.readouterr().err


def test_letters_no_terminal_lacks(monkeypatch: pytest.MonkeyPatch) -> None:
    narrow = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    monkeypatch.setattr(sys, "stdout", narrow)
    monkeypatch.setattr(sys, "argv", ["benchproof", "materials", "brass"])
    with pytest.raises(SystemExit) as end:
        main()
    assert end.value.code == ANSWERED
    narrow.flush()
    assert "expansion, 20 to 200 °C".encode() in narrow.buffer.getvalue()


def test_a_reader_that_goes_away_ends_it_quietly() -> None:
    words = [sys.executable, "-c", "from benchproof.cli import main; main()", "sources"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.wait(timeout=60) == BROKEN
        assert process.stderr.read() == b""
