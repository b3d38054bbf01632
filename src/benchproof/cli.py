"""The command line: thin. It reads files, asks the reckoning, and prints."""

from __future__ import annotations

import os
import shlex
import sys
from pathlib import Path
from typing import Annotated, Literal, NoReturn

from cyclopts import App, CycloptsError, Parameter

from benchproof import (
    __version__,
    book_commands,
    injector_commands,
    papers_commands,
    web_commands,
)
from benchproof.book_commands.opening import BookFile, a_book_is_meant, opened
from benchproof.exits import ANSWERED, BROKEN, NO_FIT, REFUSED
from benchproof.exits import say as _print

__all__ = ["ANSWERED", "BROKEN", "NO_FIT", "REFUSED", "app", "main", "run"]

Units = Literal["metric", "inch"]

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
    from benchproof.job_files import plain_job, read_job
    from benchproof.listing import tell_made, tell_understood
    from benchproof.reckon.finished import still_to_make
    from benchproof.reckon.plain import plain_answer
    from benchproof.reckon.plan import plan
    from benchproof.telling import tell_plan

    _known(duty, "duty", f"benchproof size piston-fit {_quoted(spec, 'piston.toml')}")
    job, understood, flags = read_job(duty, spec, lathe, made)
    answer = plan(job, more_flags=[*still_to_make(job.duty, job.spec, job.made), *flags])
    if json:
        _print({**plain_job(job), **plain_answer(answer)})
    else:
        _print(
            tell_plan(answer, units, all_sources=sources)
            + tell_understood(understood)
            + tell_made(job.duty.features(job.spec), job.made)
        )
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
    from benchproof.bench_tests import load_bench_test
    from benchproof.job_files import plain_job, read_job, read_record
    from benchproof.listing import tell_made, tell_understood
    from benchproof.reckon.finished import not_measured
    from benchproof.reckon.learning import ImpossibleReadings
    from benchproof.reckon.plain import plain_result
    from benchproof.reckon.result import bench_result
    from benchproof.telling import tell_result

    files = f"{_quoted(spec, 'piston.toml')} {_quoted(record, 'drop.toml')}"
    _known(test, "bench test", f"benchproof result drop-test {files}")
    bench = load_bench_test(test)
    job, understood, flags = read_job(bench.serves[0], spec, lathe, made)
    seen = read_record(bench, record)
    flags = [*not_measured(job.duty, job.spec, job.made), *flags]
    try:
        found = bench_result(job, bench, seen.spec, more_flags=flags)
    except ImpossibleReadings as impossible:
        _refuse(str(impossible), NO_FIT)
    if json:
        said = {**plain_job(job), "record": seen.spec.model_dump(mode="json")}
        _print({**said, **plain_result(found)})
    else:
        _print(
            tell_result(found, units, all_sources=sources)
            + tell_understood(seen, "THE TEST AS UNDERSTOOD")
            + tell_made(job.duty.features(job.spec), job.made)
            + tell_understood(understood, "THE PART AS UNDERSTOOD")
        )
    return NO_FIT if found.contradicted else ANSWERED


@app.command
def procedure(test: str) -> int:
    """Print how a bench test is done, step by step."""
    from benchproof.bench_tests import load_bench_test
    from benchproof.listing import tell_procedure

    _known(test, "bench test", "benchproof procedure drop-test")
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
        _known(duty, "duty or bench test", "benchproof duties piston-fit")
        found = load_duty(duty)
        _print(tell_fields(found.title, found.spec_type))
    return ANSWERED


@app.command
def materials(*name: str) -> int:
    """List the materials, or what is known of one, with sources.

    Parameters
    ----------
    name
        What the trade calls it, such as gunmetal or cast iron.
    """
    from benchproof.columns import sentence
    from benchproof.listing import tell_material, tell_materials
    from benchproof.tables.materials import UnknownMaterial, material
    from benchproof.tables.materials import materials as all_materials

    if not name:
        _print(tell_materials(all_materials()))
        return ANSWERED
    try:
        _print(tell_material(material(" ".join(name))))
    except UnknownMaterial as unknown:
        _refuse(f"{sentence(str(unknown))}\nTry: benchproof materials")
    return ANSWERED


@app.command
def standing(
    lathe: Path | None = None,
    *,
    machine: str | None = None,
    units: InUnits = "metric",
    book: BookFile = None,
) -> int:
    """Say what the parts made so far have shown of a lathe.

    Parameters
    ----------
    lathe
        The lathe's file (TOML); without one the book's lathe, and without a book what is assumed
        of a careful builder.
    machine
        Which machine of the book; the first if left out.
    """
    from benchproof.book.evidence import counted
    from benchproof.job_files import read_lathe
    from benchproof.telling_books import tell_counted
    from benchproof.workshop.lathe import report

    below = ""
    if lathe is None and a_book_is_meant(book):
        with opened(book) as kept:
            which = None if machine is None else kept.find("machine", machine).id
            known, below = kept.lathe_called(which), tell_counted(counted(kept.state, which))
    else:
        known = read_lathe(lathe)
    _print("\n".join(report(known, system=units)) + "\n" + below)
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
    import tempfile

    from benchproof.book_commands.tour import reviewed
    from benchproof.demo import STEPS, closing, files_in, opening

    with files_in(into) as folder:
        _print(opening())
        for step in STEPS:
            _print(step.heading())
            code = run([word.replace("FOLDER", str(folder)) for word in step.command])
            if code not in {ANSWERED, NO_FIT}:
                return code
        with tempfile.TemporaryDirectory() as place:
            reviewed(
                Path(place, "dunnock.book"), "4. All of the engine, from the book it is kept in."
            )
        _print(closing(folder if into is not None else None))
    return ANSWERED


book_commands.register(app)
web_commands.register(app)
papers_commands.register(app)
injector_commands.register(app)


def _known(key: str, what: str, example: str) -> None:
    """Refuse a name that is no duty or no bench test, and say which was meant."""
    from benchproof.bench_tests import BENCH_TESTS
    from benchproof.duties import DUTIES
    from benchproof.refusing import unknown

    known = {"duty": DUTIES, "bench test": BENCH_TESTS}.get(what, DUTIES | BENCH_TESTS)
    if key in known:
        return
    if key in BENCH_TESTS:
        _refuse(f"{key} is a bench test, not a duty.\nTry: benchproof result {key} --help")
    if key in DUTIES:
        _refuse(f"{key} is a duty, not a bench test.\nTry: benchproof duties")
    _refuse(unknown(key, known, what, example))


def _quoted(path: Path, other: str) -> str:
    """A path as it would be typed; another one in place of one that is no name of a file."""
    return shlex.quote(str(path)) if path.suffix else other


def _refuse(words: str, code: int = REFUSED) -> NoReturn:
    from benchproof.columns import page, wrapped

    sys.stderr.write(page(line for each in words.splitlines() for line in wrapped(each, "", "  ")))
    raise SystemExit(code)


def run(words: list[str]) -> int:
    """Run one command line and return its exit code; what is wrong is told in words."""
    try:
        code = app(words, exit_on_error=False, print_error=False, result_action="return_value")
    except CycloptsError as wrong:
        from benchproof.refusing import misused

        sys.stderr.write(misused(str(wrong), " ".join(wrong.command_chain or ()), words))
        return REFUSED
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else BROKEN
    except BrokenPipeError:
        return BROKEN
    except OSError as wrong:
        folder = Path(wrong.filename).parent if wrong.filename else Path()
        if isinstance(wrong, FileNotFoundError) and not folder.is_dir():
            sys.stderr.write(f"There is no folder {folder}: make it, or choose another.\n")
        else:
            sys.stderr.write(f"Cannot use {wrong.filename}: {wrong.strerror}.\n")
        return REFUSED
    except Exception as wrong:
        from benchproof.book.errors import BookError
        from benchproof.refusing import book_refusal, refusal
        from benchproof.specs import SpecError

        if isinstance(wrong, BookError):
            sys.stderr.write(book_refusal(str(wrong)))
        elif isinstance(wrong, SpecError):
            sys.stderr.write(refusal(wrong))
        else:
            raise
        return REFUSED
    return code if isinstance(code, int) else ANSWERED


def main() -> None:
    """Run the command line; a refusal is words and exit code 2, never a traceback."""
    # Our matrices are small: more threads for them cost more than they bring.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from benchproof.columns import let_it_write_every_letter

    for stream in (sys.stdout, sys.stderr):
        let_it_write_every_letter(stream)
    try:
        code = run(sys.argv[1:])
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever was reading has gone: nothing left to say, and nothing to flush at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        code = BROKEN
    raise SystemExit(code)
