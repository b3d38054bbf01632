"""The demo's parts, lathe and readings, which every figure is measured on."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from benchproof.bench_tests import load_bench_test
from benchproof.duties import load_duty
from benchproof.reckon.finished import read_finished
from benchproof.reckon.plan import Job
from benchproof.specs import read_toml
from benchproof.workshop.lathe import load_lathe

FOLDER = Path(str(files("benchproof.demo")))
SPECS: Final = {
    "piston-fit": "piston.toml",
    "pipe-union": "union.toml",
    "taper-cock": "cock.toml",
    "running-fit": "running.toml",
    "tyre-fit": "tyre.toml",
    "injector": "injector.toml",
}


def job(made: str | None = None, duty_key: str = "piston-fit") -> Job[Any]:
    """Part to be made, or made and measured as a file of the demo says."""
    duty = load_duty(duty_key)
    spec = duty.spec_type.from_text(read_toml(FOLDER / SPECS[duty_key])).spec
    lathe = load_lathe(FOLDER / "lathe.toml")
    finished = {} if made is None else read_finished(read_toml(FOLDER / made), duty, spec, lathe)[0]
    return Job(duty, spec, lathe, finished)


def drop_test() -> tuple[Any, Any]:
    """The drop test, and its record."""
    test = load_bench_test("drop-test")
    return test, test.record_type.from_text(read_toml(FOLDER / "drop.toml")).spec
