"""The command line: thin. It reads files, asks the reckoning, and prints."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any, Literal, NoReturn

from cyclopts import App, CycloptsError, Parameter

from benchproof import __version__

Units = Literal["metric", "inch"]
ANSWERED, BROKEN, REFUSED, NO_FIT = 0, 1, 2, 3

app = App(
    name="benchproof",
    version=__version__,
    help="What a part must do, what to cut, will my lathe hold it, and what did the bench test "
    "show. Start with: benchproof demo",
    help_epilogue="Exit codes: 0 answered; 2 something typed was refused; 3 answered, and the "
    "answer is that nothing fits or the readings contradict each other.",
)

LatheFile = Annotated[
    Path | None,
    Parameter(help="What your lathe has shown (TOML); else a careful builder is assumed."),
]
MadeFile = Annotated[Path | None, Parameter(help="What is already made and measured (TOML).")]
AsJson = Annotated[
    bool, Parameter(name="--json", negative="", help="Plain data in SI instead of words.")
]
InUnits = Annotated[Units, Parameter(help="Units to answer in.")]
WithSources = Annotated[
    bool, Parameter(name="--sources", negative="", help="List what it rests on.")
]


@app.command
def size(
    duty: str,
    spec: Path,
    *,
    lathe: LatheFile = None,
    made: MadeFile = None,
    json: AsJson = False,
    units: InUnits = "metric",
    sources: WithSources = False,
) -> int:
    """Work out what to cut, and whether the lathe will hold it.

    Parameters
    ----------
    duty
        What the part must do, such as piston-fit; see benchproof duties.
    spec
        What it must do in figures (TOML).
    """
    from benchproof.listing import tell_understood
    from benchproof.reckon.plain import plain_answer
    from benchproof.reckon.plan import plan
    from benchproof.telling import tell_plan

    job, understood, flags = _job(duty, spec, lathe, made)
    answer = plan(job, more_flags=flags)
    if json:
        _print({"spec": understood.spec.model_dump(mode="json"), **plain_answer(answer)})
    else:
        _print(tell_plan(answer, units, all_sources=sources) + tell_understood(understood))
    return ANSWERED if answer.window.lower is not None else NO_FIT


@app.command
def result(
    test: str,
    spec: Path,
    record: Path,
    *,
    made: MadeFile = None,
    lathe: LatheFile = None,
    json: AsJson = False,
    units: InUnits = "metric",
    sources: WithSources = False,
) -> int:
    """Infer what a bench test showed of a finished part.

    Parameters
    ----------
    test
        Which bench test, such as drop-test; see benchproof duties.
    spec
        What the part must do (TOML).
    record
        The set-up and its readings (TOML).
    """
    from benchproof.bench_tests import BENCH_TESTS, load_bench_test
    from benchproof.listing import tell_understood
    from benchproof.reckon.learning import ImpossibleReadings
    from benchproof.reckon.plain import plain_result
    from benchproof.reckon.result import bench_result
    from benchproof.specs import read_toml
    from benchproof.telling import tell_result

    _known(test, BENCH_TESTS, "bench test")
    bench = load_bench_test(test)
    job, _, flags = _job(bench.serves[0], spec, lathe, made)
    understood = bench.record_type.from_text(read_toml(record))
    try:
        found = bench_result(job, bench, understood.spec, more_flags=flags)
    except ImpossibleReadings as impossible:
        _refuse(str(impossible), NO_FIT)
    if json:
        _print({"record": understood.spec.model_dump(mode="json"), **plain_result(found)})
    else:
        _print(tell_result(found, units, all_sources=sources) + tell_understood(understood))
    return NO_FIT if found.contradicted else ANSWERED


@app.command
def procedure(test: str) -> int:
    """Print how a bench test is done, step by step."""
    from benchproof.bench_tests import BENCH_TESTS, load_bench_test
    from benchproof.listing import tell_procedure

    _known(test, BENCH_TESTS, "bench test")
    _print(tell_procedure(load_bench_test(test)))
    return ANSWERED


@app.command
def duties(duty: str | None = None) -> int:
    """List what parts can be asked to do, or the fields one duty or bench test is stated in."""
    from benchproof.bench_tests import BENCH_TESTS, load_bench_test
    from benchproof.duties import DUTIES, load_duty
    from benchproof.listing import tell_fields, tell_list

    if duty is None:
        _print(tell_list([load_duty(k) for k in DUTIES], [load_bench_test(k) for k in BENCH_TESTS]))
    elif duty in BENCH_TESTS:
        test = load_bench_test(duty)
        _print(tell_fields(test.title, test.record_type))
    else:
        _known(duty, DUTIES | BENCH_TESTS, "duty or bench test")
        found = load_duty(duty)
        _print(tell_fields(found.title, found.spec_type))
    return ANSWERED


@app.command
def materials(name: str | None = None) -> int:
    """List the materials, or what is known of one, with sources."""
    from benchproof.listing import tell_material, tell_materials
    from benchproof.tables.materials import UnknownMaterial, material
    from benchproof.tables.materials import materials as all_materials

    if name is None:
        _print(tell_materials(all_materials()))
        return ANSWERED
    try:
        _print(tell_material(material(name)))
    except UnknownMaterial as unknown:
        _refuse(str(unknown))
    return ANSWERED


@app.command
def standing(lathe: Path | None = None, *, units: InUnits = "metric") -> int:
    """Say what the parts made so far have shown of a lathe.

    Parameters
    ----------
    lathe
        The lathe's file (TOML); without one, what is assumed of a careful builder.
    """
    from benchproof.workshop.lathe import assumed_lathe, load_lathe, report

    known = assumed_lathe() if lathe is None else load_lathe(lathe)
    _print("\n".join(report(known, system=units)) + "\n")
    return ANSWERED


@app.command
def sources(
    kind: Literal["published", "common practice", "from memory", "own calculation"] | None = None,
) -> int:
    """List every check of the tool against the outside world, and of what kind it is."""
    from benchproof.checks import checks
    from benchproof.listing import tell_checks

    _print(tell_checks([check for check in checks() if kind in {None, check.kind}]))
    return ANSWERED


@app.command
def demo(*, into: Path | None = None) -> int:
    """Take the piston of an invented engine from what it must do to what the drop test showed.

    Parameters
    ----------
    into
        Folder to leave the demo's files in, to try your own figures on.
    """
    from benchproof.demo import STEPS, closing, files_in, opening

    with files_in(into) as folder:
        _print(opening())
        for step in STEPS:
            _print(step.heading())
            code = run([word.replace("FOLDER", str(folder)) for word in step.command])
            if code not in {ANSWERED, NO_FIT}:
                return code
        _print(closing(folder if into is not None else None))
    return ANSWERED


def _job(duty: str, spec: Path, lathe: Path | None, made: Path | None) -> Any:
    from benchproof.duties import DUTIES, load_duty
    from benchproof.reckon.finished import read_finished
    from benchproof.reckon.plan import Job
    from benchproof.specs import read_toml
    from benchproof.workshop.lathe import assumed_lathe, load_lathe

    _known(duty, DUTIES, "duty")
    loaded = load_duty(duty)
    machine = assumed_lathe() if lathe is None else load_lathe(lathe)
    understood = loaded.spec_type.from_text(read_toml(spec))
    finished, flags = (
        ({}, [])
        if made is None
        else read_finished(read_toml(made), loaded, understood.spec, machine)
    )
    return Job(loaded, understood.spec, machine, finished), understood, flags


def _known(key: str, known: Any, what: str) -> None:
    from difflib import get_close_matches

    if key not in known:
        near = get_close_matches(key, known, n=1)
        hint = f" Did you mean {near[0]}?" if near else ""
        _refuse(f"No {what} is called {key!r}; there are: {', '.join(sorted(known))}.{hint}")


def _print(what: Any) -> None:
    if not isinstance(what, str):
        import json

        what = json.dumps(what, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    sys.stdout.write(what)


def _refuse(words: str, code: int = REFUSED) -> NoReturn:
    sys.stderr.write(words.rstrip() + "\n")
    raise SystemExit(code)


def run(words: list[str]) -> int:
    """Run one command line and return its exit code; what is wrong is told in words."""
    try:
        code = app(words, exit_on_error=False, print_error=False, result_action="return_value")
    except CycloptsError as wrong:
        sys.stderr.write(f"{wrong}\nTry: benchproof --help\n")
        return REFUSED
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else BROKEN
    except BrokenPipeError:
        return BROKEN
    except ValueError as wrong:
        if not hasattr(wrong, "problems"):
            raise
        sys.stderr.write(refusal(wrong.problems))
        return REFUSED
    return code if isinstance(code, int) else ANSWERED


def refusal(problems: Any) -> str:
    """Every problem in words: the field, what was given, what is allowed, what to try."""
    lines = ["Refused, nothing was reckoned:"]
    for problem in problems:
        given = f" (given: {problem.given})" if problem.given else ""
        lines.append(f"- {problem.label} [{problem.field}]: {problem.message}{given}")
        if problem.example:
            lines.append(f"  try: {problem.example}")
    return "\n".join(lines) + "\n"


def main() -> None:
    """Run the command line; a refusal is words and exit code 2, never a traceback."""
    raise SystemExit(run(sys.argv[1:]))
