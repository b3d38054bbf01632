"""The bench test a duty is judged by, and what it is reckoned from.

A test keeps the spec, sizes and beliefs it was entered with; it is inferred again from those, and
judged by the spec of now as long as that is of the same part.
"""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from benchproof.bench_tests import load_bench_test
from benchproof.bench_tests.contract import BenchTest
from benchproof.bench_tests.together import Records, Together
from benchproof.book.state import Binding, Tested
from benchproof.book.store import canonical
from benchproof.duties import load_duty
from benchproof.duties.contract import Unknown
from benchproof.reckon.joint import Made
from benchproof.reckon.learning import ImpossibleReadings
from benchproof.reckon.plan import Job, versions
from benchproof.reckon.result import (
    Believed,
    Result,
    bench_result,
    inferred,
    judges_alike,
    taught_by,
)
from benchproof.reckon.taught import Taught
from benchproof.specs import spread_from_json
from benchproof.workshop.standing import Standing

if TYPE_CHECKING:
    from benchproof.book.model import Book

REVIEW_DRAWS: Final = 8192
_MOST_KNOWN: Final = 8
_KNOWN: OrderedDict[str, Believed] = OrderedDict()
_LOCK = threading.Lock()


def still_stands(book: Book, binding: Binding, test: Tested) -> bool:
    """Whether no piece was cut, measured anew or scrapped after a bench test."""
    state, pieces = book.state, binding.roles
    cut = [size.order for role, piece in pieces.items() for size in state.sizes_of(piece, role)]
    lost = [order for piece in pieces.values() for order in state.lost(piece)]
    return all(order < test.order for order in (*cut, *lost))


def standing_test(book: Book, binding: Binding) -> Tested | None:
    """The last bench test that still speaks of the pieces, beside it the last of each other kind.

    Tests are taken together only when they were reckoned with the same spec and sizes. Of two of
    one kind the later one counts: the earlier is as a rule why it was done again.
    """
    return _last([t for t in book.state.tests_of(binding.id) if still_stands(book, binding, t)])


def last_test(book: Book, binding: Binding) -> Tested | None:
    """The last bench test, with those beside it, whether or not a piece was cut since."""
    return _last(book.state.tests_of(binding.id))


def _last(tests: Sequence[Tested]) -> Tested | None:
    if not tests:
        return None
    *before, last = tests
    return replace(last, beside=_beside(before, last.test, last.resolved))


def beside_one_to_come(
    book: Book, binding: Binding, job: Job[Any], test: str, *, instead_of: str = ""
) -> tuple[Tested, ...]:
    """What would count beside a bench test of kind ``test`` that is about to be entered.

    It would be reckoned with the spec and the sizes of ``job``, those of now; ``instead_of`` is
    the test that it corrects, if it does.
    """
    resolved = {
        "spec": job.spec.model_dump(mode="json"),
        "sizes": {name: [made.size, made.u, made.aim] for name, made in job.made.items()},
    }
    tests = [
        each
        for each in book.state.tests_of(binding.id)
        if each.id != instead_of and still_stands(book, binding, each)
    ]
    return _beside(tests, test, resolved)


def _beside(tests: Sequence[Tested], test: str, resolved: Mapping[str, Any]) -> tuple[Tested, ...]:
    """The last of each other kind, of those reckoned with the same spec and sizes."""
    found: dict[str, Tested] = {}
    for each in tests:
        same = all(each.resolved[name] == resolved[name] for name in ("spec", "sizes"))
        if each.test != test and same:
            found[each.test] = each
    return tuple(found.values())


def taken_together(
    bench: BenchTest[Any], record: Any, beside: Sequence[Tested]
) -> tuple[BenchTest[Any], Any]:
    """A bench test and its record with those that count beside it, as one test and one record."""
    if not beside:
        return bench, record
    others = [load_bench_test(each.test) for each in beside]
    taken = zip(others, beside, strict=True)
    read = (other.record_type.from_text(each.stated).spec for other, each in taken)
    return Together([bench, *others]), Records((record, *read))


def result_of(job: Job[Any], test: Tested, *, brief: bool = False) -> Result:
    """Infer a bench test again from what was recorded with it, and judge it by the spec of now.

    Where the spec of now is of another part, it is judged by the one it was tested under.
    """
    bench, record, then, now = _then_and_now(job, test)
    alike = now is not None and judges_alike(then, now, bench, record)
    return bench_result(
        then,
        bench,
        record,
        brief=brief,
        judged_by=now if alike else None,
        believed=_believed(then, test, bench, record),
    )


def taught_by_test(job: Job[Any], test: Tested, *, part: str) -> Taught | None:
    """What a bench test of a part, called ``part``, teaches of the next of its kind."""
    bench, record, then, _ = _then_and_now(job, test)
    if not then.duty.for_the_next:
        return None
    try:
        believed = _believed(then, test, bench, record)
    except ImpossibleReadings:
        return None
    return taught_by(then, bench, record, part=part, believed=believed)


def _believed(then: Job[Any], test: Tested, bench: BenchTest[Any], record: Any) -> Believed:
    """What a test taught of its part.

    The last few stay known: while only the spec of now changes, or when the next part asks,
    nothing need be inferred again.
    """
    key = key_of(then, test)
    found = _KNOWN.get(key) or inferred(then, bench, record)
    with _LOCK:
        _KNOWN[key] = found
        _KNOWN.move_to_end(key)
        while len(_KNOWN) > _MOST_KNOWN:
            _KNOWN.popitem(last=False)
    return found


def judged_as_now(job: Job[Any], test: Tested) -> bool:
    """Whether a bench test is judged by the spec of now, changed or not since it was done."""
    bench, record, then, now = _then_and_now(job, test)
    return now is None or judges_alike(then, now, bench, record)


def _then_and_now(
    job: Job[Any], test: Tested
) -> tuple[BenchTest[Any], Any, Job[Any], Job[Any] | None]:
    """A test and its record; the job as it was tested; the same part under a spec changed since.

    What was recorded of an unknown holds, unless the builder has stated it anew since.
    """
    bench = load_bench_test(test.test)
    duty = load_duty(test.resolved["duty"])
    spec = duty.spec_type.model_validate(test.resolved["spec"])
    recorded = {
        name: spread_from_json(spread) for name, spread in test.resolved["unknowns"].items()
    }
    made = {name: Made(*values) for name, values in test.resolved["sizes"].items()}
    then = Job(duty, spec, job.lathe, made, recorded=recorded, taught=job.taught)
    record = bench.record_type.from_text(test.stated).spec
    bench, record = taken_together(bench, record, test.beside)
    if job.duty.key != duty.key or job.spec == spec:
        return bench, record, then, None
    before, after = (
        {u.name: u.spread for u in duty.unknowns(each) if isinstance(u, Unknown)}
        for each in (spec, job.spec)
    )
    kept = {name: held for name, held in recorded.items() if before.get(name) == after.get(name)}
    return bench, record, then, replace(then, spec=job.spec, recorded=kept)


def key_of(job: Job[Any], test: Tested | None) -> str:
    """Hash of everything a duty is judged from: equal for equal answers only."""
    duty, spec, lathe = job.duty, job.spec, job.lathe
    standings = lathe.standings
    used = sorted({e.process for e in duty.errors(spec)})
    shown = [[key, *fingerprint(standings[key])] for key in used]
    material = {
        "duty": duty.key,
        "spec": spec.model_dump(mode="json"),
        "made": {name: [m.size, m.u, m.aim] for name, m in job.made.items()},
        "lathe": lathe.name,
        "standing": shown,
        "instruments": {key: i.u for key, i in sorted(lathe.instruments.items())},
        "test": None
        if test is None
        else [[t.test, t.stated, t.resolved] for t in (test, *test.beside)],
        "unknowns": [repr(u) for u in duty.unknowns(spec)],
        "taught": repr(job.taught),
        "versions": versions(),
        "draws": REVIEW_DRAWS,
    }
    return hashlib.sha256(canonical(material).encode()).hexdigest()


def fingerprint(standing: Standing) -> list[object]:
    """All of a standing, in short."""
    held = (standing.spread_grid, standing.probability, standing.bias_mean, standing.bias_sd)
    digest = hashlib.sha256(b"".join(array.tobytes() for array in held)).hexdigest()
    return [standing.parts, digest]
