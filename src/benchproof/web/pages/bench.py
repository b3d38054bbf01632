"""A bench test: its form, what it shows while readings come in, and every one that was done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from starlette.responses import Response

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.bench_tests.contract import BenchTest
from benchproof.book.errors import BookError
from benchproof.book.model import Book
from benchproof.book.state import Binding, Tested
from benchproof.book.tested import beside_one_to_come, standing_test
from benchproof.reckon.learning import ImpossibleReadings
from benchproof.reckon.result import Result
from benchproof.specs import Problem, SpecError
from benchproof.specs.layout import fields_of
from benchproof.specs.markers import Quantity
from benchproof.web.asking import Asked, gone_to, missing, page
from benchproof.web.finding import binding_at, test_called, told_history
from benchproof.web.forms import Group, Rows, form_of, renumbered
from benchproof.web.pages.photographs import photographs_of
from benchproof.web.reckoning import Reckoning
from benchproof.web.results import told_readings, told_result
from benchproof.web.showing import shown
from benchproof.web.stale import Stale, check_fresh, differences
from benchproof.web.typed import flat, nested, row_numbers

# What the last key of the stopwatch is called, where "stop" is not what is seen.
ENDS: Final = {"drop-test": "Landed"}


def test(asked: Asked) -> Response:
    """The form of a bench test, and its entry; a correction of one that was done."""
    book = asked.desk.read()
    binding = binding_at(book, asked.path["key"])
    bench = _bench(binding, asked.path["test"])
    instead = _instead(asked, book, binding, bench)
    when = asked.typed.get("when", "").strip()
    typed = _typed(asked, bench) if asked.posted else _start(asked, book, binding, bench, instead)
    if not asked.posted:
        when = instead.when if instead is not None else asked.today
    problems: Sequence[Problem] = ()
    stale: Stale | None = None
    if asked.posted:
        key, entered = asked.key, []

        def deed(live: Book) -> tuple[str, ...]:
            before = None
            if instead is not None:
                drawn_from = asked.typed.get("drawn_from", "")
                before = check_fresh(live, instead.id, drawn_from, key).id
            stated = nested(bench.record_type, typed)
            record = live.test(binding.id, bench.key, stated, when=when, supersedes=before, key=key)
            entered.append(live.state.first_of(record.id) or record.id)
            return (record.id,)

        try:
            asked.desk.write(asked.who, asked.browser, deed)
            return gone_to(f"/test/{entered[0]}", done=f"Entered: {bench.title}")
        except SpecError as refused:
            problems = refused.problems
        except Stale as found:
            stale = found
        except BookError as refused:
            problems = [Problem("when", "day", when, str(refused))]
    form = form_of(bench.record_type, typed, problems=problems)
    theirs = flat(stale.now.body["stated"]) if stale is not None else {}
    labels = {box.name: box.label for box in form.boxes}
    return shown(
        asked,
        "bench.html",
        409 if stale else 422 if problems else 200,
        binding=binding,
        bench=bench,
        procedure=_procedure(book, binding, bench),
        form=form,
        when=when,
        when_wrong=[p for p in problems if p.field == "when"],
        instead=instead,
        before=_last(book, binding, bench) if instead is None else None,
        drawn_from=_drawn_from(asked, instead, stale),
        stale=stale,
        changes=differences(theirs, typed, labels) if stale else [],
        clock=_clock(form),
        ends=ENDS.get(bench.key, "Stop"),
        live=f"/duty/{binding.id}/test/{bench.key}/live",
        action=f"/duty/{binding.id}/test/{bench.key}",
        key=asked.key_kept,
    )


def live(asked: Asked) -> Response:
    """What the readings typed so far show; nothing is kept."""
    book = asked.desk.read()
    binding = binding_at(book, asked.path["key"])
    bench = _bench(binding, asked.path["test"])
    typed = _typed(asked, bench)
    problems: tuple[Problem, ...] = ()
    result: Result | None = None
    beside: Sequence[Tested] = ()
    impossible, in_full = "", False
    try:
        record = bench.record_type.from_text(nested(bench.record_type, typed)).spec
        job, instead = book.job(binding), _instead(asked, book, binding, bench)
        corrected = instead.id if instead is not None else ""
        beside = beside_one_to_come(book, binding, job, bench.key, instead_of=corrected)
        result, in_full = asked.desk.reckoning.readings(
            job, bench, record, beside=beside, quick="full" not in asked.query
        )
    except SpecError as refused:
        problems = refused.problems
    except ImpossibleReadings as none:
        impossible = str(none)
    form = form_of(bench.record_type, typed, problems=problems)
    told = told_result(result, asked.units, quick=not in_full) if result is not None else None
    numbers = _numbers(asked.typed, _measured(bench))
    boxes = [replace(box, name=_where_typed(box.name, numbers)) for box in form.boxes]
    return shown(
        asked,
        "bench_live.html",
        form=form,
        boxes=boxes,
        result=told,
        beside=[(load_bench_test(each.test).title, each.order[0]) for each in beside],
        impossible=impossible,
        lacking=[problem.label for problem in problems if not problem.given],
    )


def done(asked: Asked) -> Response:
    """A bench test that was done: what it showed, its readings, photographs, history."""
    book = asked.desk.read()
    key = asked.path["key"]
    tested = test_called(book, key)
    if tested is None:
        raise missing("bench test")
    binding = binding_at(book, tested.binding)
    bench = load_bench_test(tested.test)
    standing = standing_test(book, binding)
    whole = standing if standing is not None and standing.id == tested.id else tested
    result, wrong = _result(asked.desk.reckoning, book, binding, whole)
    own = len(tested.stated.get("reading", ()))
    return shown(
        asked,
        "bench_done.html",
        binding=binding,
        bench=bench,
        tested=tested,
        beside=[load_bench_test(each.test).title for each in whole.beside],
        stands=standing is not None
        and tested.id in {standing.id, *(each.id for each in standing.beside)},
        result=told_result(result, asked.units) if result is not None else None,
        wrong=wrong,
        readings=told_readings(
            bench.record_type, tested.stated, result.residuals[:own] if result is not None else ()
        ),
        photographs=photographs_of(book, tested.id),
        history=told_history(book, tested.id),
    )


def _result(
    reckoning: Reckoning, book: Book, binding: Binding, tested: Tested
) -> tuple[Result | None, str]:
    try:
        return reckoning.result(book.job(binding), tested)[0], ""
    except ImpossibleReadings as impossible:
        return None, str(impossible)
    except SpecError as refused:
        return None, " ".join(f"{p.label} {p.message}" for p in refused.problems)


def _bench(binding: Binding, key: str) -> BenchTest[Any]:
    if key not in BENCH_TESTS or binding.duty not in load_bench_test(key).serves:
        raise missing("bench test of this duty")
    return load_bench_test(key)


def _instead(asked: Asked, book: Book, binding: Binding, bench: BenchTest[Any]) -> Tested | None:
    """The bench test that is to be corrected, if one is."""
    wanted = asked.typed.get("instead_of") or asked.query.get("instead_of", "")
    if not wanted:
        return None
    first = book.state.first_of(wanted)
    found = next((each for each in book.state.tests_of(binding.id) if each.id == first), None)
    if found is None or found.test != bench.key:
        raise missing("bench test to correct")
    return found


def _drawn_from(asked: Asked, instead: Tested | None, stale: Stale | None) -> str:
    if stale is not None:
        return stale.now.id
    if asked.posted:
        return asked.typed.get("drawn_from", "")
    return instead.record.id if instead is not None else ""


def _last(book: Book, binding: Binding, bench: BenchTest[Any]) -> Tested | None:
    same = [each for each in book.state.tests_of(binding.id) if each.test == bench.key]
    return same[-1] if same else None


def _start(
    asked: Asked,
    book: Book,
    binding: Binding,
    bench: BenchTest[Any],
    instead: Tested | None,
) -> dict[str, str]:
    """What stands in the form at first: what is to be corrected, or the set-up of last time."""
    if instead is not None:
        return flat(instead.stated)
    last = _last(book, binding, bench) if "as_before" in asked.query else None
    if last is None:
        return {}
    return {name: text for name, text in flat(last.stated).items() if "." not in name}


def _typed(asked: Asked, bench: BenchTest[Any]) -> dict[str, str]:
    """What was typed; rows that hold choices alone are no readings yet and are left out."""
    kept = {f"reading.{number}" for number in _numbers(asked.typed, _measured(bench))}
    return renumbered(
        bench.record_type,
        {
            name: text
            for name, text in asked.typed.items()
            if not name.startswith("reading.") or ".".join(name.split(".")[:2]) in kept
        },
    )


def _measured(bench: BenchTest[Any]) -> list[str]:
    """Names of the quantities that every reading must have."""
    inner = next(each.rows for each in fields_of(bench.record_type) if each.name == "reading")
    assert inner is not None
    return [e.name for e in fields_of(inner) if e.required and isinstance(e.marker, Quantity)]


def _numbers(typed: Mapping[str, str], measured: Sequence[str]) -> list[int]:
    """Numbers of the rows in which something was measured, as they stand in the page."""
    return [
        number
        for number in row_numbers(typed, "reading.")
        if any(_stands(typed, f"reading.{number}.{name}") for name in measured)
    ]


def _where_typed(name: str, numbers: Sequence[int]) -> str:
    """Name of a box of the rows that were read, as it is in the page."""
    first, _, rest = name.partition(".")
    number, _, field = rest.partition(".")
    if first != "reading" or not number.isdecimal() or int(number) >= len(numbers):
        return name
    return f"reading.{numbers[int(number)]}.{field}"


def _stands(typed: Mapping[str, str], name: str) -> bool:
    return bool(typed.get(name, "").strip())


def _procedure(book: Book, binding: Binding, bench: BenchTest[Any]) -> Sequence[str]:
    try:
        return bench.procedure(book.understood(binding).spec)
    except SpecError:
        return bench.procedure(None)


def _clock(form: Group) -> str:
    """Name of the duration in each reading that a stopwatch can fill in; empty without one."""
    rows = next((each for each in form.items if isinstance(each, Rows)), None)
    if rows is None:
        return ""
    return next(
        (
            box.name.rpartition(".")[2]
            for box in rows.blank.items
            if not isinstance(box, Group | Rows) and box.kind == "duration" and box.required
        ),
        "",
    )


ROUTES = (
    page("/duty/{key}/test/{test}", test, "GET", "POST", name="bench test"),
    page("/duty/{key}/test/{test}/live", live, "POST", name="bench test live"),
    page("/test/{key}", done, name="bench test done"),
)
