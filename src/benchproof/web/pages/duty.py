"""A duty on its pieces: what to cut, the odds and their causes, its spec to change, its past."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from benchproof.bench_tests import BENCH_TESTS, load_bench_test
from benchproof.book.errors import BookError
from benchproof.book.model import Book
from benchproof.book.review import to_make_again
from benchproof.book.roles import leading_values, machine_of
from benchproof.book.state import Binding
from benchproof.duties import load_duty
from benchproof.quantities import show
from benchproof.specs import Problem, SpecError
from benchproof.web.asking import Asked, gone_to, page
from benchproof.web.drawings import has_drawing
from benchproof.web.finding import binding_at, told_history
from benchproof.web.forms import form_of, renumbered
from benchproof.web.judging import Judged, judged
from benchproof.web.pages.photographs import photographs_of
from benchproof.web.showing import shown
from benchproof.web.stale import Stale, check_fresh, differences
from benchproof.web.typed import flat, nested

PATIENCE = 0.06  # s that a page waits for an answer before it comes without


def duty(asked: Asked) -> Response:
    """Everything about one duty."""
    book = asked.desk.read()
    binding = binding_at(book, asked.path["key"])
    return _shown(asked, book, binding, flat(binding.stated))


def keep(asked: Asked) -> Response:
    """Keep a changed spec: a new version, the old one stays in the history."""
    book = asked.desk.read()
    binding = binding_at(book, asked.path["key"])
    spec_type = load_duty(binding.duty).spec_type
    typed = renumbered(spec_type, asked.typed)
    name = asked.typed.get("duty_name", "").strip() or binding.name
    key, drawn_from = asked.key, asked.typed.get("drawn_from", "")

    def deed(live: Book) -> tuple[str, ...]:
        now = check_fresh(live, binding.id, drawn_from, key)
        record = live.bind(
            binding.duty,
            name,
            nested(spec_type, typed),
            binding.roles,
            engine=binding.engine,
            machine=binding.machine if binding.machine in live.state.things else None,
            supersedes=now.id,
            key=key,
        )
        return (record.id,)

    try:
        asked.desk.write(asked.who, asked.browser, deed)
    except SpecError as refused:
        return _shown(asked, book, binding, typed, problems=refused.problems, status=422)
    except Stale as stale:
        fresh = asked.desk.read()
        return _shown(asked, fresh, binding_at(fresh, binding.id), typed, stale=stale, status=409)
    except BookError as refused:
        problem = Problem("duty_name", "name", name, str(refused))
        return _shown(asked, book, binding, typed, problems=[problem], status=409)
    return gone_to(f"/duty/{binding.id}", done="Kept. The version before stays in the history.")


def live(asked: Asked) -> Response:
    """The answer to what stands in the form now; nothing is kept."""
    book = asked.desk.read()
    binding = binding_at(book, asked.path["key"])
    spec_type = load_duty(binding.duty).spec_type
    typed = renumbered(spec_type, asked.typed)
    inherited = leading_values(book.state.things[binding.engine])
    quick = "full" not in asked.query
    found: Judged | None = None
    problems: tuple[Problem, ...] = ()
    try:
        spec = spec_type.from_text(nested(spec_type, typed), inherited=inherited).spec
        found = judged(asked.desk.reckoning, book, binding, spec=spec, quick=quick)
    except SpecError as refused:
        problems = refused.problems
    form = form_of(spec_type, typed, problems=problems, inherited=inherited)
    told = found.told(asked.units) if found else None
    return shown(asked, "live.html", form=form, answer=told, judged=found)


def _shown(
    asked: Asked,
    book: Book,
    binding: Binding,
    typed: dict[str, str],
    *,
    problems: Any = (),
    stale: Stale | None = None,
    status: int = 200,
) -> Response:
    state = book.state
    spec_type = load_duty(binding.duty).spec_type
    inherited = leading_values(state.things[binding.engine])
    found, broken = _as_it_stands(asked, book, binding)
    form = form_of(spec_type, typed, problems=problems, inherited=inherited)
    labels = {box.name: box.label for box in form.boxes}
    return shown(
        asked,
        "duty.html",
        status,
        binding=binding,
        duty=load_duty(binding.duty),
        engine=state.things[binding.engine],
        form=form,
        drawn_from=binding.record.id,
        duty_name=asked.typed.get("duty_name", binding.name),
        judged=found,
        broken=broken,
        answer=found.told(asked.units) if found else None,
        live=f"/duty/{binding.id}/live",
        again=to_make_again(book, binding),
        roles=_roles(asked, book, binding, found),
        tests=_tests(book, binding),
        bench=[
            (key, load_bench_test(key))
            for key in BENCH_TESTS
            if binding.duty in load_bench_test(key).serves
        ],
        machine=_machine(book, binding),
        drawing=found is not None and has_drawing(found.job.duty),
        photographs=photographs_of(book, binding.id),
        history=told_history(book, binding.id),
        stale=stale,
        changes=differences(flat(binding.stated), typed, labels) if stale else [],
    )


def _as_it_stands(
    asked: Asked, book: Book, binding: Binding
) -> tuple[Judged | None, tuple[Problem, ...]]:
    """The duty judged, or why its spec cannot be read any more."""
    try:
        quick = "full" not in asked.query
        reckoning = asked.desk.reckoning
        return judged(reckoning, book, binding, quick=quick, patience=PATIENCE), ()
    except SpecError as refused:
        return None, refused.problems


def _machine(book: Book, binding: Binding) -> str:
    there = machine_of(book.state, binding)
    return book.state.things[there].name if there else ""


def _roles(
    asked: Asked, book: Book, binding: Binding, found: Judged | None
) -> list[dict[str, Any]]:
    """Each feature with its piece, how it is to be cut and what was measured of it."""
    if found is None:
        return []
    rows = []
    for feature in found.job.duty.features(found.job.spec):
        piece = book.state.things[binding.roles[feature.name]]
        sizes = book.state.sizes_of(piece.id, feature.name)
        rows.append(
            {
                "name": feature.name,
                "label": feature.label,
                "piece": piece,
                "suits": feature.mate if feature.to_suit else "",
                "sizes": [
                    {
                        "id": size.record.id,
                        "value": show(size.value, feature.kind, system=asked.units),
                        "u": show(size.u, feature.kind.deviation, system=asked.units),
                        "aim": size.record.body["stated"]["aim"] or "",
                        "stated": size.record.body["stated"]["size"],
                        "cut": size.cut,
                        "when": size.order[0],
                        "who": size.record.who,
                    }
                    for size in sizes
                ],
            }
        )
    return rows


def _tests(book: Book, binding: Binding) -> list[dict[str, Any]]:
    return [
        {
            "id": test.record.id,
            "title": load_bench_test(test.test).title,
            "when": test.order[0],
            "who": test.record.who,
            "readings": len(test.stated.get("reading", ())),
        }
        for test in reversed(book.state.tests_of(binding.id))
    ]


ROUTES = (
    page("/duty/{key}", duty),
    page("/duty/{key}/keep", keep, "POST"),
    page("/duty/{key}/live", live, "POST"),
)
