"""What one command line is about, read from its files."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any, Final

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.bench_tests.contract import BenchTest
from benchproof.duties import DUTIES, load_duty
from benchproof.reckon.answer import Flagged
from benchproof.reckon.finished import read_finished
from benchproof.reckon.joint import Made
from benchproof.reckon.plan import Job
from benchproof.refusing import check_kind, told_of
from benchproof.specs import Understood, read_toml
from benchproof.workshop.lathe import Lathe, assumed_lathe, load_lathe
from benchproof.workshop.lot_spec import LotSpec

LOT_FILE: Final = "a lot file"


def read_job(
    duty: str, spec: Path, lathe: Path | None, made: Path | None
) -> tuple[Job[Any], Understood[Any], list[Flagged]]:
    """Read a duty's spec, its lathe and what is made of it; tell what was understood.

    Raises ``SpecError`` with every problem of the first file that has one.
    """
    loaded = load_duty(duty)
    with told_of(spec):
        understood = loaded.spec_type.from_text(contents(spec, f"a spec of {duty}"))
    machine = read_lathe(lathe)
    finished: Mapping[str, Made] = {}
    flags: list[Flagged] = []
    if made is not None:
        with told_of(made):
            stated = contents(made, "a file of sizes made")
            finished, flags = read_finished(stated, loaded, understood.spec, machine)
    return Job(loaded, understood.spec, machine, finished), understood, flags


def read_record(test: BenchTest[Any], path: Path) -> Understood[Any]:
    """Read the set-up and readings of a bench test; raises ``SpecError``."""
    with told_of(path):
        understood: Understood[Any] = test.record_type.from_text(
            contents(path, f"a record of the {test.key}")
        )
    return understood


def read_lathe(path: Path | None) -> Lathe:
    """Read a lathe, or take the assumed one where there is no file; raises ``SpecError``."""
    if path is None:
        return assumed_lathe()
    with told_of(path):
        contents(path, "a lathe file")
        return load_lathe(path)


def plain_job(job: Job[Any]) -> dict[str, Any]:
    """Spec and sizes made as plain data in SI."""
    return {
        "spec": job.spec.model_dump(mode="json"),
        "made": {name: asdict(made) for name, made in job.made.items()},
    }


def contents(path: Path, wanted: str) -> Mapping[str, Any]:
    """Read a TOML file; one that is plainly of another kind is refused as such."""
    stated = read_toml(path)
    kinds: dict[str, Collection[str]] = {
        f"a spec of {key}": load_duty(key).spec_type.model_fields for key in DUTIES
    }
    for key in BENCH_TESTS:
        kinds[f"a record of the {key}"] = load_bench_test(key).record_type.model_fields
    kinds["a lathe file"] = ("name", "invented", "notes", "standing", "part", "instrument")
    kinds[LOT_FILE] = tuple(LotSpec.model_fields)
    kinds["a file of sizes made"] = [
        name for name, table in stated.items() if isinstance(table, Mapping) and "size" in table
    ]
    check_kind(stated, wanted, kinds, path)
    return stated
